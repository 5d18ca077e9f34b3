#pragma once

#include <array>
#include <string>
#include <vector>

#include "outing/outing.h"
#include "plan/situation.h"
#include "units/random.h"

/// Small outings with walks, windows, two-person work, steps together, one voice for both, people and loads that end
/// elsewhere, rides by the arm, parts to be fetched, ground steps, ties between tasks and crew that is already outside,
/// and the best of many plans of each: every choice, every lead, every order, each step as soon as it can. It shares
/// nothing with the planner. Each of its plans keeps the rules, so no bound may be below the best; better plans than it
/// finds may exist.
namespace handrail::plan::detail {

struct DayTask {
    enum class Kind { here, both, carry, ride, fetch, ground, pair } kind = Kind::here;
    int value = 0, site = 0, other = 0, minutes = 0;
    bool required = false, sunny = false, tool = false;
    int after = -1, needs = -1, not_with = -1;  ///< other tasks
    int starts_by_min = -1;
};
struct Day {
    std::vector<DayTask> tasks;
    int limit_s = 0;
    std::array<std::array<int, 2>, 2> sun{};  ///< two windows, seconds
    int tool_at = 0;                          ///< the one tool lies there
    bool tool_returns = false;                ///< and must come home
    bool one_voice = false;                   ///< the crew's steps take turns
    bool outside = false;                     ///< the crew is out already
    std::array<int, 2> at{};                  ///< then: at these worksites
    int now_s = 0;
};
struct BestDay {
    bool any = false;
    int value = 0, finish_s = 0;
};

Day random_day(Random& random);
std::string text_of(const Day& day);
Situation situation_of(const Day& day, const Outing& outing);
BestDay best_of(const Day& day);

}  // namespace handrail::plan::detail
