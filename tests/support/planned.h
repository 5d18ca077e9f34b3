#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <string_view>

#include "plan/planner.h"

/// Plans for tests: so many iterations on one thread, the same on any machine.
namespace handrail::test {

inline plan::Budget iterations(std::uint64_t count, int threads = 1, std::uint64_t seed = 1) {
    plan::Budget budget;
    budget.iterations = count;
    budget.seed = seed;
    budget.threads = threads;
    return budget;
}

inline std::variant<Timeline, plan::NoPlan> plan_of(const Outing& outing, const plan::Freedom& freedom = {},
                                                    std::uint64_t count = 4000, std::uint64_t seed = 1) {
    return plan::make_plan(outing, outing.windows, plan::initial(outing), iterations(count, 1, seed), freedom);
}

/// The plan; the test fails with the reasons where there is none.
inline Timeline planned(const Outing& outing, const plan::Freedom& freedom = {}, std::uint64_t count = 4000) {
    auto result = plan_of(outing, freedom, count);
    if (const auto* none = std::get_if<plan::NoPlan>(&result)) {
        for (const std::string& reason : none->reasons) ADD_FAILURE() << reason;
        return {};
    }
    return std::get<Timeline>(std::move(result));
}

inline const Activity* find_run(const Outing& outing, const Timeline& timeline, std::string_view label) {
    const auto run = std::ranges::find_if(timeline.activities, [&](const Activity& activity) {
        return activity.step && outing.step(*activity.step).label == label;
    });
    return run == timeline.activities.end() ? nullptr : &*run;
}

/// The test fails where the step is not on the timeline.
inline const Activity& run_of(const Outing& outing, const Timeline& timeline, std::string_view label) {
    if (const Activity* run = find_run(outing, timeline, label)) return *run;
    static const Activity none;
    ADD_FAILURE() << label << " is not on the timeline";
    return none;
}

}  // namespace handrail::test
