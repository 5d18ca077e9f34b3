#include <gtest/gtest.h>

#include "check/check.h"
#include "outing/outing.h"
#include "plan/planner.h"
#include "risk/robust.h"
#include "sky/windows.h"

/// The demo outing: the plan that is best on likely times against the one that is best in simulation.
namespace handrail::risk {
namespace {

class Demo : public testing::Test {
protected:
    Demo() : read_(read_outing(std::string(HANDRAIL_SOURCE_DIR) + "/demo/larkspur/outing.toml")) {
        fresh_.runs = 20'000;
        fresh_.seed = 20260801;
        fresh_.threads = 2;
    }
    const Outing& outing() const { return read_.value(); }
    Worth worth(const Timeline& timeline) const {
        return worth_of(outing(), windows_.value(), morning_, timeline, fresh_);
    }
    /// The plan searched for so long.
    Timeline planned(std::uint64_t iterations) const {
        plan::Budget budget;
        budget.iterations = iterations;
        budget.threads = 2;
        return std::get<Timeline>(plan::make_plan(outing(), windows_.value(), morning_, budget));
    }
    Timeline robust(const Timeline& start) const {
        RobustBudget search;
        search.candidates = 60;
        search.threads = 2;
        return robust_plan(outing(), windows_.value(), morning_, start, search).timeline;
    }

    Result<Outing> read_;
    Result<WindowTable> windows_ = sky::windows_of(outing(), outing().pet_zero);
    plan::Situation morning_ = plan::initial(outing());
    Options fresh_;
};

// The longer the search, the earlier the required work stands; after a short one it does not yet.
TEST_F(Demo, ThePlanBestInSimulationDoesBetterInRunsNobodyHasSeenAndKeepsTheRules) {
    const Timeline start = planned(30), best = robust(start);
    const Worth before = worth(start), after = worth(best);
    EXPECT_GT(after.expected, before.expected + 3 * (before.error + after.error));
    EXPECT_GT(after.home.value, outing().risk.confidence.value());
    // What is measured is the file's: written, read back, followed.
    const auto again = read_timeline(outing(), to_json(outing(), best), "plan.json");
    ASSERT_TRUE(again.ok());
    EXPECT_EQ(worth(again.value()).expected, after.expected);
    const std::vector<Finding> findings = check(outing(), windows_.value(), best);
    EXPECT_FALSE(any_broken(findings)) << print_findings(findings);
}

TEST_F(Demo, ThePlanBestOnLikelyTimesDoesAllRequiredWorkAlmostAlwaysAndNothingMakesItWorse) {
    const Timeline start = planned(60'000);
    const Worth before = worth(start), after = worth(robust(start));
    EXPECT_GT(before.required.value, 0.9);
    EXPECT_GE(after.expected, before.expected - 3 * (before.error + after.error));
    EXPECT_GT(after.home.value, outing().risk.confidence.value());
}

}  // namespace
}  // namespace handrail::risk
