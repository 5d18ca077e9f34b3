#pragma once

#include <optional>
#include <string>
#include <vector>

#include "outing/input_error.h"
#include "outing/model.h"

/// The timeline: what each lane does when. Made by the planner, edited by hand, extended by the live record, judged by
/// the checker; all of them meet in these types. docs/rules.md says what a timeline must obey.
namespace handrail {

enum class ActivityKind : std::uint8_t {
    egress,       ///< both crew, at the airlock
    step,         ///< a step of a task
    translate,    ///< one crew member along `path`
    tether_swap,  ///< one crew member; the safety tether is anchored at `path.back()` from now on
    pick_up,      ///< one crew member takes `items` at `path.back()`
    put_down,     ///< one crew member leaves `items` at `path.back()`, loose
    glove_check,  ///< one crew member
    rest,         ///< one crew member
    arm_move,     ///< the empty arm from `path.front()` to `path.back()`
    clean_up,     ///< both crew: inventory at the airlock
    ingress       ///< both crew, at the airlock; ends with the hatch closed
};
std::string_view word(ActivityKind);

/// One block of the timeline: [start, start + duration) on every lane in `lanes`.
struct Activity {
    ActivityKind kind = ActivityKind::step;
    std::vector<Lane> lanes;  ///< in lane order, never empty
    Pet start{};
    Seconds duration{};
    std::optional<StepId> step;    ///< for ActivityKind::step
    std::vector<WorksiteId> path;  ///< where: one worksite, or from ... to along routes; empty where no place matters
    std::vector<ItemId> items;     ///< pick_up, put_down
    bool as_run = false;           ///< it happened (or is running) rather than being planned

    Pet end() const { return start + duration; }
    bool on(Lane lane) const;
};

/// Who leads a task; the partner helps.
struct Binding {
    TaskId task{};
    Crew lead = Crew::ev1;
};

struct LeftOut {
    TaskId task{};
    std::string reason;  ///< a sentence
};

/// How the plan came about; empty for a timeline written by hand.
struct PlanNote {
    std::uint64_t seed = 0, iterations = 0;
    double value = 0;                   ///< of wanted and get-ahead tasks done
    std::optional<double> value_bound;  ///< no plan can have more
    std::optional<Pet> finish_bound;    ///< no plan with this value can end sooner
    bool proven = false;                ///< value and finish both equal their bounds
    /// The steps in the order in which the planner placed them. It is not the order of their starts (a step may be
    /// placed early and wait for its window), and placing them in another order gives another timeline.
    std::vector<StepId> order{};
};

struct Timeline {
    std::string outing, fingerprint;   ///< Outing::name and Outing::fingerprint it was made from
    Utc pet_zero;                      ///< the PET zero it was made for
    std::vector<Binding> bindings;     ///< one for each task that has a step in it, in task order
    std::vector<Activity> activities;  ///< by start, then first lane
    std::vector<LeftOut> left_out;     ///< in task order
    PlanNote note;

    /// End of the last activity on a crew lane; PET zero when there is none.
    Pet finish() const;
    std::optional<Crew> lead_of(TaskId task) const;
};

/// Sorts activities by start, then first lane, then kind; the order every reader may rely on.
void put_in_order(Timeline& timeline);

/// "handrail-timeline" JSON, version 1 (docs/timeline.schema.json): names, not numbers, so that a person can edit it.
/// Times are PET seconds (`start_s`), durations seconds (`duration_s`).
std::string to_json(const Outing& outing, const Timeline& timeline);
/// Errors name the activity and the field. A timeline of another outing file (fingerprint) is read all the same:
/// the caller says so.
Result<Timeline> read_timeline(const Outing& outing, const std::string& text, const std::string& file);

/// What a crew member works at during this activity; `load` is the largest item they carry.
Effort effort_of(const Outing& outing, const Activity& activity, SizeClass load);
/// "Swap the coolant valve: open the panel", "translate to Radiator root", "glove check".
std::string title(const Outing& outing, const Activity& activity);
/// A table for people, 120 columns: PET, duration, EV1, EV2, one column for arm, IV and ground, place. Ends with
/// left-out tasks and the caution.
std::string print_table(const Outing& outing, const Timeline& timeline);

}  // namespace handrail
