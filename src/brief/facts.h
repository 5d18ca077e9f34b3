#pragma once

#include <optional>
#include <string>
#include <vector>

#include "live/status.h"
#include "outing/model.h"
#include "timeline/timeline.h"

/// What documents say about a plan, read off the plan once so that no two documents disagree.
namespace handrail::brief {

struct Facts {
    Pet finish{}, limit{}, margin_from{};  ///< margin_from: after it less than the wanted margin is left
    Seconds in_hand{};                     ///< limit - finish; negative when the plan is too long
    Seconds in_hand_told{};                ///< the same as told beside the two: by the clock
    Seconds wanted{};                      ///< Rules::margin
    double value = 0;                      ///< of wanted and get-ahead tasks in the plan
    double value_of_all = 0;               ///< of wanted and get-ahead tasks in the outing
    int tasks_done = 0, tasks = 0, required_done = 0, required = 0;
};
/// On the day a task counts once it is done, and while it is still to come by the forecast.
Facts facts(const Outing& outing, const Timeline& timeline, const live::Status* day = nullptr);

/// Who stands on the arm in this activity: the lead of its task, or whoever of the two is in it. None: nobody does.
std::optional<Crew> rider(const Outing& outing, const Timeline& timeline, const Activity& activity);

/// The stretch a task takes on the timeline, from its first step's start to its last one's end.
struct Span {
    Pet from, to;
};
std::optional<Span> span_of(const Outing& outing, const Timeline& timeline, TaskId task);

/// Consecutive steps of one task on one lane, whatever small things lie between them.
struct TaskRun {
    TaskId task;
    Pet from, to;
};
std::vector<TaskRun> runs_on(const Outing& outing, const Timeline& timeline, Lane lane);

/// Where a crew member is.
struct Stay {
    Pet from, to;
    std::string where;    ///< a worksite's name, or where they are going
    bool moving = false;  ///< translating or riding there
};
std::vector<Stay> stays_of(const Outing& outing, const Timeline& timeline, Crew crew);

/// The activities of a lane in order.
std::vector<const Activity*> on_lane(const Timeline& timeline, Lane lane);

/// "40", "12.5": a value without needless zeros.
std::string print_value(double value);
/// "10 min", "1 h 5 min", "2 min 30 s": seconds only below ten minutes, where they matter beside a block.
std::string print_short(Seconds duration);
/// What is left from `at` until `end`, as short: to the second below ten minutes, else by the clocks beside it.
std::string print_left(Pet end, Pet at);

}  // namespace handrail::brief
