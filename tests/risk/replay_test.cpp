#include <gtest/gtest.h>

#include <cmath>

#include "an_outing.h"
#include "risk/setup.h"
#include "slow_replay.h"

namespace handrail::risk {
namespace {

using namespace detail;
using test::AnOuting;
using test::minutes;

constexpr std::uint32_t many = 65'536;

/// The outing's first constructed plan, ready to be replayed.
struct Ready {
    explicit Ready(const Outing& the_outing, const WindowTable& the_windows = {})
        : outing(the_outing),
          windows(the_windows),
          situation(plan::initial(outing)),
          problem(outing, windows, situation, {}),
          found(plan::detail::construct(problem)),
          setup(outing, windows, situation, found.sequence, outing.risk) {}
    Runs runs(std::uint32_t count, bool drop = true, std::uint64_t seed = 1, int threads = 2) {
        Policy policy;
        policy.drop = drop;
        return simulate(setup.ground, setup.programs, setup.factors, policy, {count, seed, threads, 0});
    }
    Outing outing;
    WindowTable windows;
    plan::Situation situation;
    Problem problem;
    plan::detail::Found found;
    Setup setup;
};

struct Moments {
    double mean = 0, sd = 0;
};
Moments moments_of(const std::vector<float>& values) {
    double sum = 0;
    double squares = 0;
    for (float v : values) sum += v;
    const double mean = sum / static_cast<double>(values.size());
    for (float v : values) squares += (v - mean) * (v - mean);
    return {mean, std::sqrt(squares / static_cast<double>(values.size()))};
}

/// Four standard errors of a mean: one test in sixteen thousand fails by chance, and the seed is fixed.
double error_of_mean(double sd) { return 4 * sd / std::sqrt(static_cast<double>(many)); }

TEST(Replay, WithEveryTimeAsPlannedEndsWhenThePlanEnds) {
    for (int steps : {10, 40, 90, 200}) {
        AnOuting outing = test::a_long_outing(steps, 3);
        outing->risk = AnOuting::exact();
        Ready ready(*outing, test::sunshine());
        ASSERT_EQ(ready.found.score.violation, 0);
        const Runs runs = ready.runs(40);
        for (float finish : runs.finish) EXPECT_EQ(finish, static_cast<float>(ready.found.score.finish)) << steps;
        for (std::size_t t = 0; t < runs.done.size(); ++t)
            EXPECT_EQ(runs.done[t], ready.found.sequence.in[t] ? 40u : 0u);
    }
}

TEST(Replay, WithEveryTimeAsPlannedDrawsWhatTheLifeSupportFunctionsSay) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).step(0, 100).lead(Crew::ev1);
    outing->risk = AnOuting::exact();
    WindowTable dark;
    dark.set("daylight", "", {});
    Ready ready(*outing, dark);
    const Runs runs = ready.runs(1);
    const SuitType& suit = outing->suits[0];
    lifesupport::Amounts used{};
    const auto add = [&](Effort effort, double m) {
        const auto rate = lifesupport::draw_per_second(
            suit, lifesupport::metabolic_rate(outing->rules, outing->crew[0], effort), false);
        for (std::size_t i = 0; i < used.size(); ++i) used[i] += rate[i] * m * 60;
    };
    add(Effort::airlock, 15);
    add(Effort::tools, 100);
    add(Effort::light, 15);
    add(Effort::airlock, 15);
    const auto full = lifesupport::capacity(suit);
    const auto reserve_rate = lifesupport::draw_per_second(suit, suit.reserve_rate, true);
    double left = 1e9;
    for (std::size_t i = 0; i < used.size(); ++i)
        if (reserve_rate[i] > 0) left = std::min(left, (full[i] - used[i]) / reserve_rate[i]);
    EXPECT_NEAR(runs.suit_left[0][0], left, 1);
}

TEST(Replay, AgreesRunByRunWithTheSlowOne) {
    AnOuting outing = test::a_long_outing(60, 5);
    outing->rules.limit = minutes(380);  // tight: tasks are left out, runs turn back
    Trouble stuck;
    stuck.kind = Trouble::Kind::delay;
    stuck.name = "stuck";
    stuck.probability = Fraction{0.1};
    stuck.extra = {minutes(5), minutes(8), minutes(30)};
    stuck.effort = Effort::forced;
    for (const Step& step : outing->steps) stuck.steps.push_back(step.id);
    Trouble lost = stuck;
    lost.kind = Trouble::Kind::lost;
    lost.probability = Fraction{0.03};
    outing->risk.troubles = {stuck, lost};
    Ready ready(*outing, test::sunshine());
    Policy policy;
    const Runs fast = simulate(ready.setup.ground, ready.setup.programs, ready.setup.factors, policy, {2000, 7, 1, 0});
    std::size_t shorter = 0;
    std::size_t differ = 0;
    std::vector<std::uint64_t> done(outing->tasks.size(), 0);
    for (std::uint32_t run = 0; run < 2000; ++run) {
        slow::Run slow(ready.setup.ground, ready.setup.programs, ready.setup.factors, policy, 7, run);
        const slow::Result result = slow.go();
        for (std::size_t t = 0; t < done.size(); ++t) done[t] += result.done[t];
        shorter += result.done != ready.setup.programs.whole().done.back();
        if (std::abs(result.finish - fast.finish[run]) > 0.1f || result.reserve_kept != (fast.reserve_kept[run] != 0))
            ++differ;
    }
    EXPECT_EQ(differ, 0u);
    EXPECT_EQ(done, fast.done);
    EXPECT_GT(shorter, 500u);  // the test is about runs that leave something out
    EXPECT_LT(shorter, 2000u);
}

TEST(Replay, AgreesRunByRunWithTheSlowOneUnderGates) {
    AnOuting outing = test::a_long_outing(50, 5);
    outing->rules.limit = minutes(330);
    Ready ready(*outing, test::sunshine());
    const Gates gates = solve_gates(ready.setup, {});
    const Runs fast =
        simulate(ready.setup.ground, ready.setup.programs, ready.setup.factors, gates.policy, {1500, 9, 2, 0});
    std::size_t differ = 0;
    std::vector<std::uint64_t> done(outing->tasks.size(), 0);
    for (std::uint32_t run = 0; run < 1500; ++run) {
        const slow::Result result =
            slow::Run(ready.setup.ground, ready.setup.programs, ready.setup.factors, gates.policy, 9, run).go();
        for (std::size_t t = 0; t < done.size(); ++t) done[t] += result.done[t];
        differ += std::abs(result.finish - fast.finish[run]) > 0.1f;
    }
    EXPECT_EQ(differ, 0u);
    EXPECT_EQ(done, fast.done);
}

/// All runs meet a closed gate at once and go on together; half of them meet the gate of another task.
TEST(Replay, AgreesRunByRunWithTheSlowOneWhereAllLeaveOutTheSame) {
    AnOuting outing = test::a_long_outing(100, 4);
    Ready ready(*outing, test::sunshine());
    Policy policy;
    policy.sure = true;
    policy.gate.assign(outing->tasks.size(), never);
    std::size_t closed = 0;
    for (const auto& decision : ready.setup.programs.whole().decisions) {
        if (!decision.first || !decision.optional) continue;
        const auto task = static_cast<std::size_t>(decision.task);
        if (++closed <= 2) policy.gate[task] = -never;
        if (closed == 4) policy.gate[task] = decision.planned;
    }
    ASSERT_GE(closed, 4u);
    const Runs fast = simulate(ready.setup.ground, ready.setup.programs, ready.setup.factors, policy, {1500, 9, 2, 0});
    std::size_t differ = 0;
    std::vector<std::uint64_t> done(outing->tasks.size(), 0);
    for (std::uint32_t run = 0; run < 1500; ++run) {
        const slow::Result result =
            slow::Run(ready.setup.ground, ready.setup.programs, ready.setup.factors, policy, 9, run).go();
        for (std::size_t t = 0; t < done.size(); ++t) done[t] += result.done[t];
        differ += std::abs(result.finish - fast.finish[run]) > 0.1f;
    }
    EXPECT_EQ(differ, 0u);
    EXPECT_EQ(done, fast.done);
    EXPECT_GE(std::ranges::count(done, 0u), 2);
}

TEST(Replay, AChainOfLogNormalStepsHasTheSumsMeanAndVariance) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1);
    for (int i = 0; i < 10; ++i) outing.step(0, Duration3{minutes(10), minutes(13), minutes(20)});
    outing->risk.work[index(Effort::tools)].spread = Spread::log_normal;
    Ready ready(*outing);
    const LogNormal one = LogNormal::from_percentiles(600, 1200);
    const Moments m = moments_of(ready.runs(many, false).finish);
    const double sd = std::sqrt(10 * one.variance());
    EXPECT_NEAR(m.mean, 45 * 60 + 10 * one.mean(), error_of_mean(sd));
    EXPECT_NEAR(m.sd / sd, 1, 0.02);
}

TEST(Replay, AChainOfPertStepsHasTheSumsMeanAndVariance) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1);
    for (int i = 0; i < 8; ++i) outing.step(0, Duration3{minutes(20), minutes(25), minutes(45)});
    outing->risk.work[index(Effort::tools)].spread = Spread::pert;
    Ready ready(*outing);
    const Pert one{1200, 1500, 2700};
    const Moments m = moments_of(ready.runs(many, false).finish);
    const double sd = std::sqrt(8 * one.variance());
    EXPECT_NEAR(m.mean, 45 * 60 + 8 * one.mean(), error_of_mean(sd));
    EXPECT_NEAR(m.sd / sd, 1, 0.02);
}

TEST(Replay, ASharedDayFactorAddsItsShareOfTheVariance) {
    // Var = (1 + c²)(S² + n σ²) - S²: ten steps of 30 min, cv 0.3, c = 0.1 give 41.45 min instead of 28.46.
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1);
    const LogNormal step = LogNormal::with_mean_one(0.3);
    for (int i = 0; i < 10; ++i) outing.step(0, 30);
    outing->risk.work[index(Effort::tools)] = {Spread::log_normal, Scatter{step.median, step.sigma, 20, {}}};
    Ready without(*outing);
    EXPECT_NEAR(moments_of(without.runs(many, false).finish).sd / 60, 28.46, 0.5);
    outing->risk.day = 0.1;
    outing->rules.egress = outing->rules.clean_up = outing->rules.ingress = Seconds{1};
    Ready with(*outing);
    EXPECT_NEAR(moments_of(with.runs(many, false).finish).sd / 60, 41.45, 0.6);
}

TEST(Replay, TwoPeopleInParallelAreHomeAtTheLaterOfTheTwo) {
    // E max(X, Y) of independent log-normals: E X Φ((m - n + s²)/θ) + E Y Φ((n - m + t²)/θ), θ² = s² + t².
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(60), minutes(70), minutes(110)});
    outing.task("b", TaskClass::required).lead(Crew::ev2).step(0, Duration3{minutes(50), minutes(80), minutes(130)});
    outing->risk.work[index(Effort::tools)].spread = Spread::log_normal;
    Ready ready(*outing);
    const LogNormal x = LogNormal::from_percentiles(3600, 6600);
    const LogNormal y = LogNormal::from_percentiles(3000, 7800);
    const double apart = std::log(x.median / y.median);
    const double theta = std::hypot(x.sigma, y.sigma);
    const double expected = x.mean() * normal_cdf((apart + x.sigma * x.sigma) / theta) +
                            y.mean() * normal_cdf((-apart + y.sigma * y.sigma) / theta);
    const Moments m = moments_of(ready.runs(many, false).finish);
    EXPECT_NEAR(m.mean - 45 * 60, expected, error_of_mean(m.sd));
    EXPECT_GT(expected, std::max(x.mean(), y.mean()) + 300);
}

TEST(Replay, IsTheSameOnAnyNumberOfThreads) {
    AnOuting outing = test::a_long_outing(60, 5);
    outing->rules.limit = minutes(380);
    Ready one(*outing, test::sunshine());
    Ready four(*outing, test::sunshine());
    const Runs a = one.runs(20'000, true, 3, 1);
    const Runs b = four.runs(20'000, true, 3, 4);
    EXPECT_EQ(a.finish, b.finish);
    EXPECT_EQ(a.done, b.done);
    EXPECT_EQ(a.value, b.value);
    EXPECT_NE(a.finish, one.runs(20'000, true, 4, 1).finish);
}

TEST(Replay, PinsItsFirstNumbers) {
    // The same stream on every machine: xoshiro128++ seeded per run.
    Stream stream(1, 0);
    const std::array first{stream.next(), stream.next(), stream.next()};
    Stream again(1, 0);
    EXPECT_EQ(first[0], again.next());
    EXPECT_EQ(first, (std::array<std::uint32_t, 3>{2536242934u, 1497392235u, 1999031403u}));
}

TEST(Replay, MeetsTheSameLuckInAnotherOrder) {
    // Two independent tasks of one person at one place: the order does not matter, so with common random numbers not a
    // single run may differ.
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(20), minutes(25), minutes(45)});
    outing.task("b", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(30), minutes(40), minutes(90)});
    outing->risk = default_risk();
    Ready ready(*outing);
    plan::detail::Sequence other = ready.found.sequence;
    std::reverse(other.order.begin(), other.order.end());
    detail::Setup swapped(ready.outing, ready.windows, ready.situation, other, outing->risk);
    Policy everything;
    everything.drop = false;
    const Runs a = ready.runs(500, false);
    const Runs b = simulate(swapped.ground, swapped.programs, swapped.factors, everything, {500, 1, 1, 0});
    for (std::size_t i = 0; i < 500; ++i) EXPECT_NEAR(a.finish[i], b.finish[i], 0.01f);
}

TEST(Replay, StartingLaterNeverRaisesTheOddsOfAChain) {
    AnOuting outing(3);
    for (int t = 0; t < 6; ++t) {
        outing.task(fmt::format("t{}", t), TaskClass::required).lead(Crew::ev1);
        if (t > 0) outing.after(t - 1);
        outing.step(1 + t % 2, Duration3{minutes(30), minutes(40), minutes(80)});
    }
    outing->risk = default_risk();
    std::vector<std::uint64_t> before(6, 5000);
    for (int slip : {0, 15, 30, 60, 120}) {
        plan::Situation late = plan::initial(*outing);
        late.now = pet(minutes(slip));
        const WindowTable none;
        Problem problem(*outing, none, late, {});
        detail::Setup setup(*outing, none, late, plan::detail::construct(problem).sequence, outing->risk);
        const Runs runs = simulate(setup.ground, setup.programs, setup.factors, {}, {5000, 1, 2, 0});
        for (std::size_t t = 0; t < 6; ++t) EXPECT_LE(runs.done[t], before[t]) << slip << " min, task " << t;
        before = runs.done;
    }
    EXPECT_LT(before[5], 500u);
}

TEST(Replay, ALateStartMovesTheEndByWhatItLasts) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, 60);
    Trouble late;
    late.kind = Trouble::Kind::late_start;
    late.name = "late";
    late.probability = Fraction{1};
    late.extra = {minutes(12), minutes(12), minutes(12)};
    outing->risk.troubles.push_back(late);
    Ready ready(*outing);
    for (float finish : ready.runs(50).finish) EXPECT_NEAR(finish, (105 + 12) * 60, 0.01);
}

TEST(Replay, AHoldKeepsEverybodyFromStartingAndShowsAsTimeOnly) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1);
    for (int i = 0; i < 30; ++i) outing.step(0, 2);
    Trouble hold;
    hold.kind = Trouble::Kind::hold;
    hold.name = "hold";
    hold.probability = Fraction{1};
    hold.extra = {minutes(20), minutes(20), minutes(20)};
    outing->risk.troubles.push_back(hold);
    Ready ready(*outing);
    const Runs runs = ready.runs(2000);
    for (float finish : runs.finish) {
        EXPECT_GE(finish, 105 * 60 - 0.01f);
        EXPECT_LE(finish, (105 + 20) * 60 + 0.01f);
    }
    // It falls somewhere in the 105 minutes; during the chain of steps it costs 18 to 20 of its 20 minutes.
    EXPECT_GT(moments_of(runs.finish).mean, (105 + 8) * 60);
}

TEST(Replay, ALostItemEndsItsTaskAndNothingElse) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1).step(0, 20).step(0, 20);
    const StepId first = outing->tasks[0].steps[0];
    outing.task("b", TaskClass::wanted).lead(Crew::ev1).after(0).step(0, 20);
    Trouble lost;
    lost.kind = Trouble::Kind::lost;
    lost.name = "lost";
    lost.probability = Fraction{0.25};
    lost.extra = {minutes(5), minutes(5), minutes(5)};
    lost.steps = {first};
    outing->risk.troubles.push_back(lost);
    Ready ready(*outing);
    const Runs runs = ready.runs(many);
    EXPECT_NEAR(static_cast<double>(runs.done[0]) / many, 0.75, 4 * std::sqrt(0.25 * 0.75 / many));
    EXPECT_EQ(runs.done[1], many);
    // 20 + 20 + 20, or 20 + 5 + 20.
    for (std::size_t i = 0; i < 100; ++i) EXPECT_NEAR(runs.finish[i], (45 + (runs.required[i] ? 60 : 45)) * 60, 0.01);
}

TEST(Replay, AMissedWindowLeavesTheTaskOutAndGoesOn) {
    AnOuting outing(1);
    outing.task("early", TaskClass::required).lead(Crew::ev1).step(0, Duration3{minutes(50), minutes(60), minutes(90)});
    outing.task("lit", TaskClass::wanted).lead(Crew::ev1).after(0).step(0, 20);
    outing.last().during.push_back("daylight");
    outing.task("after", TaskClass::wanted).lead(Crew::ev1).after(1).step(0, 10);
    outing->risk.work[index(Effort::tools)].spread = Spread::log_normal;
    outing->risk.work[index(Effort::light)].spread = Spread::none;
    for (std::size_t s : {1, 2}) outing->steps[s].effort = Effort::light;
    WindowTable table;
    table.set("daylight", "", {Window{pet(minutes(0)), pet(minutes(110))}});  // the step must begin by 90
    Ready ready(*outing, table);
    const Runs runs = ready.runs(many);
    const LogNormal early = LogNormal::from_percentiles(3000, 5400);
    const double p = normal_cdf(std::log(75 * 60 / early.median) / early.sigma);  // done by 90 - 15
    EXPECT_NEAR(static_cast<double>(runs.done[1]) / many, p, 4 * std::sqrt(p * (1 - p) / many) + 1e-3);
    EXPECT_EQ(runs.done[0], many);
    EXPECT_EQ(runs.done[2], many);
}

TEST(Replay, TurnsBackWhenASuitRunsLowAndThenKeepsItsReserve) {
    AnOuting outing(1);
    outing.task("a", TaskClass::required).lead(Crew::ev1);
    for (int i = 0; i < 40; ++i) outing.step(0, 5);
    outing->risk.metabolic = 0.15;
    const auto per_second = lifesupport::draw_per_second(
        outing->suits[0], lifesupport::metabolic_rate(outing->rules, outing->crew[0], Effort::tools), false);
    // Enough CO2 removal for the plan at the mean rate, with one tenth in hand.
    outing->suits[0].co2_capacity =
        Kilograms{1.1 * per_second[index(lifesupport::Consumable::co2)] * 245 * 60 +
                  lifesupport::reserve(outing->suits[0])[index(lifesupport::Consumable::co2)]};
    Ready ready(*outing);
    const Runs runs = ready.runs(many);
    EXPECT_GT(runs.done[0], many / 4);
    EXPECT_LT(runs.done[0], many - many / 20);
    // Those who turn back keep it, but for what the way home at its own rate misjudges.
    std::size_t kept = 0;
    for (std::uint8_t k : runs.reserve_kept) kept += k;
    EXPECT_GT(static_cast<double>(kept) / many, 0.97);
}

}  // namespace
}  // namespace handrail::risk
