#include "risk/odds.h"

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "an_outing.h"
#include "risk/setup.h"

namespace handrail::risk {
namespace {

using test::AnOuting;
using test::minutes;

Timeline plan_of(const Outing& outing, const WindowTable& windows = {}) {
    plan::Budget budget;
    budget.iterations = 2000;
    budget.threads = 1;
    auto planned = plan::make_plan(outing, windows, plan::initial(outing), budget);
    return std::get<Timeline>(std::move(planned));
}

Options quick() {
    Options options;
    options.runs = 20'000;
    options.threads = 2;
    return options;
}

/// A and then B, one person, at the airlock, nothing else uncertain; home by 200 min.
AnOuting two_steps() {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(50), minutes(60), minutes(90)});
    outing.task("b", TaskClass::get_ahead)
        .lead(Crew::ev1)
        .after(0)
        .step(0, Duration3{minutes(20), minutes(30), minutes(60)});
    outing->risk.work[index(Effort::tools)].spread = Spread::log_normal;
    outing->rules.limit = minutes(200);
    return outing;
}

TEST(Gates, OfATwoStepChainIsTheQuantileOneWouldWorkOutByHand) {
    // B may begin as long as B + clean-up + ingress fits at 95 %: 200 - 30 - Q95(B).
    AnOuting outing = two_steps();
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    ASSERT_EQ(odds.gates.size(), 2u);
    const Gate& gate = odds.gates[1];
    const double by_hand = 200 - 30 - LogNormal::from_percentiles(20, 60).quantile(0.95);
    ASSERT_TRUE(gate.begin_until.has_value());
    EXPECT_EQ(outing->task(gate.task).key, "b");
    EXPECT_EQ(gate.after, outing->tasks[0].steps[0]);
    EXPECT_FALSE(gate.always);
    // To the minute below, and what 0.5 % of probability is worth in time: about a minute and a half at this density.
    EXPECT_NEAR(static_cast<double>(since_zero(*gate.begin_until).count()) / 60, by_hand, 2.5);
    EXPECT_GE(gate.home.value, 0.95 - 3 * gate.home.error);
    // Starting home now is two activities of known length.
    EXPECT_EQ(gate.start_home_by, pet(minutes(170)));
}

TEST(Gates, InForceTheOutcomeFollowsFromThem) {
    AnOuting outing = two_steps();
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    const double gate = static_cast<double>(since_zero(*odds.gates[1].begin_until).count()) / 60;
    const LogNormal a = LogNormal::from_percentiles(50, 90);
    const double begun = normal_cdf(std::log((gate - 15) / a.median) / a.sigma);  // egress takes 15
    EXPECT_NEAR(odds.tasks[1].done.value, begun, 5 * odds.tasks[1].done.error);
    EXPECT_GE(odds.home.value, 0.95);
    Options without = quick();
    without.gates = false;
    EXPECT_LT(odds_of(*outing, {}, plan_of(*outing), without).home.value, odds.home.value);
}

TEST(Gates, BeingLateIsTakenAsASlowDay) {
    AnOuting outing = two_steps();
    const auto gate_of = [&] {
        const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
        return since_zero(*odds.gates[1].begin_until).count();
    };
    const auto independent = gate_of();
    outing->risk.day = 0.25;
    EXPECT_LT(gate_of(), independent - 120);
}

TEST(Gates, AGetAheadIsLeftOutRatherThanCostARequiredTask) {
    AnOuting outing(1);
    outing.task("first", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(50), minutes(60), minutes(90)});
    outing.task("extra", TaskClass::get_ahead).lead(Crew::ev1).after(0).step(0, 30);
    outing.task("last", TaskClass::required).lead(Crew::ev1).after(1).step(0, 60);
    outing->risk.work[index(Effort::tools)].spread = Spread::log_normal;
    outing->steps[1].effort = outing->steps[2].effort = Effort::light;
    outing->risk.work[index(Effort::light)].spread = Spread::none;
    outing->rules.limit = minutes(225);
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    // 225 - 30 home - 60 last - 30 extra: later than 105 there is no room for both.
    const auto gate =
        std::find_if(odds.gates.begin(), odds.gates.end(), [](const Gate& g) { return index(g.task) == 1; });
    ASSERT_NE(gate, odds.gates.end());
    ASSERT_TRUE(gate->begin_until);
    EXPECT_NEAR(static_cast<double>(since_zero(*gate->begin_until).count()) / 60, 105, 1.01);
    EXPECT_LT(odds.tasks[1].done.value, 0.95);
    EXPECT_GT(odds.required.value, 0.99);
}

// One of two required alternatives is enough: planned as it must be, nothing required is missing.
TEST(Odds, OfWhatIsRequiredAreNotSpoiltByTheAlternativeThatIsLeftOut) {
    AnOuting outing(1);
    outing.task("repair", TaskClass::required).step(0, 30);
    outing.task("swap", TaskClass::required).step(0, 40);
    outing->tasks[0].instead_of = {TaskId{1}};
    outing->tasks[1].instead_of = {TaskId{0}};
    const Timeline plan = plan_of(*outing);
    ASSERT_EQ(plan.bindings.size(), 1u);
    EXPECT_EQ(odds_of(*outing, {}, plan, quick()).required.value, 1);
}

// A pinned step waits for its time in every run; begun late it is done all the same.
TEST(Odds, HoldToThePinsOfTheLead) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, 30);
    plan::Freedom freedom;
    freedom.wishes.starts.push_back({StepId{0}, pet(minutes(100)), pet(minutes(100))});
    plan::Budget budget;
    budget.iterations = 50;
    const auto planned = std::get<Timeline>(plan::make_plan(*outing, {}, plan::initial(*outing), budget, freedom));
    const Odds pinned = odds_of(*outing, {}, planned, quick(), freedom.wishes);
    EXPECT_EQ(pinned.p50.at, pet(minutes(160)));
    EXPECT_EQ(pinned.order_differs_s, 0);
    EXPECT_EQ(odds_of(*outing, {}, planned, quick()).p50.at, pet(minutes(75)));

    outing->rules.limit = minutes(1000);
    outing->risk.airlock = {8, 0.01};  // egress takes two hours
    EXPECT_EQ(odds_of(*outing, {}, planned, quick(), freedom.wishes).required.value, 1);
}

TEST(Odds, AreTheSameOnAnyNumberOfThreads) {
    AnOuting outing = test::a_long_outing(40, 5);
    outing->rules.limit = minutes(260);
    const WindowTable windows = test::sunshine();
    const Timeline timeline = plan_of(*outing, windows);
    Options one = quick();
    one.threads = 1;
    Options three = quick();
    three.threads = 3;
    EXPECT_EQ(to_json(*outing, odds_of(*outing, windows, timeline, one)),
              to_json(*outing, odds_of(*outing, windows, timeline, three)));
}

TEST(Odds, StandardErrorsAreThoseOfTheSpreadBetweenSeeds) {
    AnOuting outing = two_steps();
    const Timeline timeline = plan_of(*outing);
    Options options = quick();
    options.gates = options.explain = false;
    double sum = 0;
    double squares = 0;
    double stated = 0;
    constexpr int repeats = 40;
    for (int i = 0; i < repeats; ++i) {
        options.seed = 100 + static_cast<std::uint64_t>(i);
        options.runs = 4000;
        const Odds odds = odds_of(*outing, {}, timeline, options);
        const auto p50 = static_cast<double>(since_zero(odds.p50.at).count());
        sum += p50;
        squares += p50 * p50;
        stated += odds.p50.error_s / repeats;
    }
    const double seen = std::sqrt((squares - sum * sum / repeats) / (repeats - 1));
    EXPECT_NEAR(seen / stated, 1, 0.5);
}

TEST(Drivers, OfASumAreTheSharesOfTheVariance) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1);
    outing.step(0, Duration3{minutes(20), minutes(25), minutes(45)})
        .step(0, Duration3{minutes(30), minutes(40), minutes(90)});
    outing->risk.work[index(Effort::tools)].spread = Spread::pert;
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    const double small = Pert{20, 25, 45}.variance();
    const double large = Pert{30, 40, 90}.variance();
    ASSERT_EQ(odds.drivers.size(), 2u);
    EXPECT_EQ(odds.drivers[0].step, outing->tasks[0].steps[1]);
    // Sixteen classes see all but the spread within them, a per cent or two.
    EXPECT_NEAR(odds.drivers[0].share, large / (small + large), 0.03);
    EXPECT_NEAR(odds.drivers[1].share, small / (small + large), 0.03);
    EXPECT_NEAR(odds.unexplained, 0, 0.03);
}

TEST(Drivers, NameTheTroubleThatStrikes) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, 30);
    Trouble stuck;
    stuck.name = "stuck bolt";
    stuck.probability = Fraction{0.2};
    stuck.extra = {minutes(30), minutes(30), minutes(30)};
    stuck.steps = {StepId{0}};
    outing->risk.troubles.push_back(stuck);
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    ASSERT_EQ(odds.drivers.size(), 1u);
    EXPECT_EQ(odds.drivers[0].what, Driver::What::trouble);
    EXPECT_NEAR(odds.drivers[0].share, 1, 0.01);
    EXPECT_NE(print_odds(*outing, odds).find("stuck bolt at a: step 1"), std::string::npos);
}

TEST(Criticality, IsCertainOnTheOnlyLongLaneAndNothingOnTheShortOne) {
    AnOuting outing(1);
    outing.task("long", TaskClass::required).lead(Crew::ev1).step(0, 60).step(0, 60);
    outing.task("short", TaskClass::required).lead(Crew::ev2).step(0, 20);
    outing->risk.day = 0.1;
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    ASSERT_EQ(odds.steps.size(), 3u);
    for (const StepRisk& step : odds.steps)
        EXPECT_EQ(step.critical, index(step.step) < 2 ? 1.0 : 0.0) << index(step.step);
}

TEST(Criticality, OfTwoEqualLanesIsShared) {
    AnOuting outing(1);
    outing.task("one", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(50), minutes(60), minutes(90)});
    outing.task("two", TaskClass::required).lead(Crew::ev2).step(0, Duration3{minutes(50), minutes(60), minutes(90)});
    outing->risk.work[index(Effort::tools)].spread = Spread::pert;
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    for (const StepRisk& step : odds.steps) EXPECT_NEAR(step.critical, 0.5, 0.05);
}

TEST(Waiting, IsLaidAtTheDoorOfItsCause) {
    AnOuting outing(1);
    outing.task("lit", TaskClass::required).lead(Crew::ev1).step(0, 10);
    outing.last().during.push_back("daylight");
    outing.task("both", TaskClass::required).lead(Crew::ev1).after(0).step(0, 10, {Role::lead, Role::helper});
    WindowTable table;
    table.set("daylight", "", {Window{pet(minutes(45)), pet(minutes(90))}});
    const Odds odds = odds_of(*outing, table, plan_of(*outing, table), quick());
    ASSERT_EQ(odds.steps.size(), 2u);
    EXPECT_EQ(odds.steps[0].waits_for, StepRisk::For::window);
    EXPECT_NEAR(odds.steps[0].wait_mean_s, 30 * 60, 1);  // from egress at 15 to 45
    EXPECT_EQ(odds.steps[1].waits_for, StepRisk::For::partner);
    EXPECT_NEAR(odds.steps[1].wait_mean_s, 40 * 60, 1);  // EV2 from 15 to 55
}

TEST(Live, WhatTookLongerThanPlannedMakesTheRestLonger) {
    AnOuting outing(1);
    outing.task("done", TaskClass::required).lead(Crew::ev1).step(0, 60);
    outing.task("next", TaskClass::required).lead(Crew::ev1).after(0).step(0, 60);
    outing->risk.day = 0.2;
    const Timeline timeline = plan_of(*outing);
    const auto p50_after = [&](double took) {
        plan::Situation now = plan::initial(*outing);
        now.now = pet(minutes(15 + took));
        for (plan::CrewSituation& crew : now.crew) {
            crew.outside = true;
            crew.free_at = now.now;
        }
        now.steps[0] = plan::StepStatus::done;
        now.step_start[0] = pet(minutes(15));
        now.step_end[0] = now.now;
        now.lead[0] = Crew::ev1;
        const Odds odds = odds_from(*outing, {}, now, timeline, quick());
        return static_cast<double>((odds.p50.at - now.now).count()) / 60'000;
    };
    // All scatter is the day's: an hour that took 72 min means that the next takes 72 as well, and home 36 for 30.
    EXPECT_NEAR(p50_after(72), 72 + 36, 1);
    EXPECT_NEAR(p50_after(54), 54 + 27, 1);
}

TEST(Live, ARunningStepIsNotExpectedToEndInThePast) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(20), minutes(25), minutes(45)});
    outing->risk.work[index(Effort::tools)].spread = Spread::pert;
    const Timeline timeline = plan_of(*outing);
    plan::Situation now = plan::initial(*outing);
    now.now = pet(minutes(15 + 40));
    for (plan::CrewSituation& crew : now.crew) {
        crew.outside = true;
        crew.free_at = now.now;
    }
    now.steps[0] = plan::StepStatus::running;
    now.step_start[0] = pet(minutes(15));
    now.step_end[0] = pet(minutes(56));
    now.lead[0] = Crew::ev1;
    const Odds odds = odds_from(*outing, {}, now, timeline, quick());
    EXPECT_GE(odds.p10.at, now.now + minutes(30));
    EXPECT_LE(odds.p90.at, pet(minutes(15 + 45 + 30)));
    EXPECT_GT(odds.p90.at, odds.p10.at);
}

TEST(Factors, LearnFromAMeasurementAsANormalVariableDoes) {
    Factors factors;
    factors.spread[0][0] = 0.2;  // day: N(0, 0.04); people: certain
    const Factors after = given(factors, {1, 1, 0}, 0.3, 0.01);
    EXPECT_NEAR(after.mean[0], 0.3 * 0.04 / 0.05, 1e-12);
    EXPECT_NEAR(after.spread[0][0] * after.spread[0][0], 0.04 * 0.01 / 0.05, 1e-12);
    EXPECT_NEAR(after.mean[1], 0, 1e-12);
    // Nothing uncertain, nothing learned.
    EXPECT_EQ(given(Factors{}, {1, 1, 0}, 0.3, 0).mean[0], 0);
}

TEST(Report, CarriesTheCautionAndNeverCallsAnythingSafe) {
    AnOuting outing = two_steps();
    const Odds odds = odds_of(*outing, {}, plan_of(*outing), quick());
    const std::string text = print_odds(*outing, odds);
    const std::string json = to_json(*outing, odds);
    for (const std::string& page : {text, json}) {
        EXPECT_NE(page.find(std::string(caution)), std::string::npos);
        for (const char* banned : {"safe", "cleared", "nan", "inf"})
            EXPECT_EQ(page.find(banned), std::string::npos) << banned;
    }
    const auto parsed = nlohmann::json::parse(json);
    EXPECT_EQ(parsed["format"], "handrail-risk");
    EXPECT_EQ(parsed["gates"].size(), 2u);
    EXPECT_EQ(parsed["tasks"][0]["task"], "a");
}

}  // namespace
}  // namespace handrail::risk
