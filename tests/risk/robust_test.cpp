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

}  // namespace
}  // namespace handrail::risk
