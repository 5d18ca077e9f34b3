#include "risk/robust.h"

#include <gtest/gtest.h>

#include "an_outing.h"

namespace handrail::risk {
namespace {

using test::AnOuting;
using test::minutes;

/// The required task comes last in the plan on likely times because the two others are worth something and all fit;
/// with times as they scatter, that risks it.
AnOuting tempting() {
    AnOuting outing(1);
    const Duration3 wide{minutes(40), minutes(50), minutes(100)};
    outing.task("first", TaskClass::wanted, 2).lead(Crew::ev1).step(0, wide);
    outing.task("second", TaskClass::wanted, 1).lead(Crew::ev1).step(0, wide);
    outing.task("needed", TaskClass::required).lead(Crew::ev1).step(0, wide);
    outing->risk.work[index(Effort::tools)].spread = Spread::log_normal;
    outing->rules.limit = minutes(205);
    return outing;
}

Timeline in_file_order(const Outing& outing) {
    Timeline timeline;
    timeline.outing = outing.name;
    Pet at = pet(minutes(15));
    for (const Step& step : outing.steps) {
        Activity activity;
        activity.lanes = {Lane::ev1};
        activity.start = at;
        activity.duration = step.duration.likely;
        activity.step = step.id;
        timeline.activities.push_back(activity);
        timeline.bindings.push_back({step.task, Crew::ev1});
        at += step.duration.likely;
    }
    return timeline;
}

RobustBudget small() {
    RobustBudget budget;
    budget.candidates = 60;
    budget.threads = 2;
    return budget;
}

TEST(RobustPlan, PutsTheRequiredTaskBeforeThoseThatEndangerIt) {
    AnOuting outing = tempting();
    const Timeline start = in_file_order(*outing);
    const RobustPlan plan = robust_plan(*outing, {}, plan::initial(*outing), start, small());
    EXPECT_GT(plan.gain, 5 * plan.gain_error);
    const auto start_of = [&](int task) {
        for (const Activity& a : plan.timeline.activities)
            if (a.step && index(outing->step(*a.step).task) == static_cast<std::size_t>(task)) return a.start;
        return pet(minutes(10'000));
    };
    EXPECT_LT(start_of(2), start_of(0));
    EXPECT_LT(start_of(2), start_of(1));
    EXPECT_GT(plan.best.required.value, plan.start.required.value);
}

TEST(RobustPlan, DoesBetterUnderASeedNobodyHasSeen) {
    AnOuting outing = tempting();
    const Timeline start = in_file_order(*outing);
    const plan::Situation morning = plan::initial(*outing);
    const RobustPlan plan = robust_plan(*outing, {}, morning, start, small());
    Options fresh;
    fresh.runs = 20'000;
    fresh.seed = 987654;
    const Worth before = worth_of(*outing, {}, morning, start, fresh);
    const Worth after = worth_of(*outing, {}, morning, plan.timeline, fresh);
    EXPECT_GT(after.expected, before.expected + 3 * before.error);
}

TEST(RobustPlan, IsTheSameOnAnyNumberOfThreads) {
    AnOuting outing = tempting();
    const Timeline start = in_file_order(*outing);
    RobustBudget one = small();
    one.threads = 1;
    const RobustPlan a = robust_plan(*outing, {}, plan::initial(*outing), start, one);
    const RobustPlan b = robust_plan(*outing, {}, plan::initial(*outing), start, small());
    EXPECT_EQ(to_json(*outing, a.timeline), to_json(*outing, b.timeline));
    EXPECT_EQ(a.gain, b.gain);
}

TEST(RobustPlan, KeepsTheStartWhenNothingIsUncertain) {
    AnOuting outing = tempting();
    outing->risk = AnOuting::exact();
    const Timeline start = in_file_order(*outing);
    const RobustPlan plan = robust_plan(*outing, {}, plan::initial(*outing), start, small());
    EXPECT_EQ(plan.gain, 0);
    EXPECT_EQ(to_json(*outing, plan.timeline), to_json(*outing, start));
}

Pet start_of(const Timeline& timeline, StepId step) {
    for (const Activity& activity : timeline.activities)
        if (activity.step == step) return activity.start;
    return pet(minutes(10'000));
}

// What the lead has settled: the required task would go first, but not before "first" and not before it is pinned.
TEST(RobustPlan, KeepsTheOrdersAndPinsOfTheLead) {
    AnOuting outing = tempting();
    const Timeline start = in_file_order(*outing);
    Settled settled;
    settled.wishes.must_do.push_back(TaskId{0});
    settled.wishes.before.push_back({StepId{0}, StepId{2}});
    const RobustPlan plan = robust_plan(*outing, {}, plan::initial(*outing), start, small(), settled);
    EXPECT_GT(plan.gain, 5 * plan.gain_error) << "the task between the two can still go";
    EXPECT_LT(start_of(plan.timeline, StepId{0}), start_of(plan.timeline, StepId{2}));

    Settled pinned;
    pinned.wishes.starts.push_back({StepId{2}, pet(minutes(80)), pet(minutes(80))});
    plan::Freedom freedom;
    freedom.wishes = pinned.wishes;
    plan::Budget budget;
    budget.iterations = 200;
    const auto planned = plan::make_plan(*outing, {}, plan::initial(*outing), budget, freedom);
    const RobustPlan other =
        robust_plan(*outing, {}, plan::initial(*outing), std::get<Timeline>(planned), small(), pinned);
    EXPECT_EQ(start_of(other.timeline, StepId{2}), pet(minutes(80)));
}

TEST(RobustPlan, CountsATaskThatMustBeDoneAsRequired) {
    AnOuting outing = tempting();
    outing->rules.limit = minutes(280);
    const Timeline start = in_file_order(*outing);
    Settled settled;
    settled.wishes.must_do.push_back(TaskId{1});
    const RobustPlan plan = robust_plan(*outing, {}, plan::initial(*outing), start, small(), settled);
    EXPECT_GT(plan.gain, 5 * plan.gain_error);
    EXPECT_LT(start_of(plan.timeline, StepId{1}), start_of(plan.timeline, StepId{0}))
        << "\"first\", worth more, is now the one that may fall out";
}

TEST(RobustPlan, LeavesTheOldPlanOnlyForMoreThanTheChangesCost) {
    AnOuting outing = tempting();
    const Timeline start = in_file_order(*outing);
    Settled settled;
    settled.keep = plan::Keep{start, Seconds{0}, 1000};
    const RobustPlan kept = robust_plan(*outing, {}, plan::initial(*outing), start, small(), settled);
    EXPECT_EQ(to_json(*outing, kept.timeline), to_json(*outing, start));
    settled.keep->worth = 0.01;
    const RobustPlan changed = robust_plan(*outing, {}, plan::initial(*outing), start, small(), settled);
    EXPECT_GT(changed.changes, 0);
    EXPECT_GT(changed.gain, 5 * changed.gain_error);
    EXPECT_NEAR(changed.gain, changed.best.expected - changed.start.expected - 0.01 * changed.changes, 1e-9);
}

}  // namespace
}  // namespace handrail::risk
