#include <gtest/gtest.h>

#include "check/check.h"
#include "outing/outing.h"
#include "plan/planner.h"
#include "risk/robust.h"
#include "sky/windows.h"

/// The demo outing: the plan that is best on likely times against the one that is best in simulation.
namespace handrail::risk {
namespace {

TEST(Demo, ThePlanBestInSimulationDoesBetterInRunsNobodyHasSeenAndKeepsTheRules) {
    const Result<Outing> read = read_outing(std::string(HANDRAIL_SOURCE_DIR) + "/demo/larkspur/outing.toml");
    ASSERT_TRUE(read.ok());
    const Outing& outing = read.value();
    const auto windows = sky::windows_of(outing, outing.pet_zero);
    ASSERT_TRUE(windows.ok());
    const plan::Situation morning = plan::initial(outing);
    plan::Budget budget;
    budget.iterations = 4000;
    budget.threads = 2;
    const auto planned = plan::make_plan(outing, windows.value(), morning, budget);
    const auto* start = std::get_if<Timeline>(&planned);
    ASSERT_NE(start, nullptr);

    RobustBudget search;
    search.candidates = 60;
    search.threads = 2;
    const RobustPlan plan = robust_plan(outing, windows.value(), morning, *start, search);
    Options fresh;
    fresh.runs = 20'000;
    fresh.seed = 20260801;
    fresh.threads = 2;
    const Worth before = worth_of(outing, windows.value(), morning, *start, fresh);
    const Worth after = worth_of(outing, windows.value(), morning, plan.timeline, fresh);
    EXPECT_GT(after.expected, before.expected + 3 * (before.error + after.error));
    EXPECT_GT(after.home.value, outing.risk.confidence.value());
    // What is measured is the file's: written, read back, followed.
    const auto again = read_timeline(outing, to_json(outing, plan.timeline), "plan.json");
    ASSERT_TRUE(again.ok());
    EXPECT_EQ(worth_of(outing, windows.value(), morning, again.value(), fresh).expected, after.expected);
    const std::vector<Finding> findings = check(outing, windows.value(), plan.timeline);
    EXPECT_FALSE(any_broken(findings)) << print_findings(findings);
}

}  // namespace
}  // namespace handrail::risk
