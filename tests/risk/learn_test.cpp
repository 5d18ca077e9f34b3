#include "risk/learn.h"

#include <gtest/gtest.h>

#include <cmath>

#include "an_outing.h"
#include "risk/distribution.h"
#include "risk/random.h"
#include "support/small_outing.h"

namespace handrail::risk {
namespace {

using test::AnOuting;
using test::minutes;

TEST(Updated, IsTheConjugateAnswerWorkedOutByHand) {
    // Prior worth 4 at mean 0 and sigma 0.2; seen 0.1, 0.3: mean 0.4 / 6; beta = 2 × 0.04 + 0.02 / 2 + 4 × 2 × 0.04
    // / 12.
    const Scatter after = updated({1, 0.2, 4, {}}, {0.1, 0.3}, "Outing 1");
    EXPECT_NEAR(std::log(after.median), 0.4 / 6, 1e-12);
    EXPECT_NEAR(after.sigma * after.sigma, (0.08 + 0.01 + 0.32 / 12) / 3, 1e-12);
    EXPECT_EQ(after.weight, 6);
    EXPECT_EQ(after.sources, std::vector<std::string>{"Outing 1 (2 times)"});
}

TEST(Updated, WithNothingSeenIsThePrior) {
    const Scatter after = updated({1.1, 0.25, 20, {}}, {}, "Outing 1");
    EXPECT_EQ(after.median, 1.1);
    EXPECT_TRUE(after.sources.empty());
}

TEST(Updated, InTwoPartsIsTheSameAsAtOnce) {
    const Scatter prior{1.1, 0.25, 20, {}};
    const Scatter once = updated(prior, {0.3, -0.1, 0.2, 0.05}, "a");
    const Scatter twice = updated(updated(prior, {0.3, -0.1}, "a"), {0.2, 0.05}, "b");
    EXPECT_NEAR(once.median, twice.median, 1e-12);
    EXPECT_NEAR(once.sigma, twice.sigma, 1e-12);
    EXPECT_EQ(twice.sources.size(), 2u);
}

/// Forty steps of 20 minutes by EV1 and forty by EV2, each taking `median` times as long, times the person's factor.
Timeline as_run(const Outing& outing, double median, double ev2_factor, std::uint64_t seed) {
    Timeline timeline;
    Stream luck(seed, 0);
    for (const Step& step : outing.steps) {
        const Crew crew = index(step.task) == 0 ? Crew::ev1 : Crew::ev2;
        const double z = normal_quantile(unit(luck.next()));
        const double factor = median * std::exp(0.2 * z) * (crew == Crew::ev2 ? ev2_factor : 1);
        Activity activity;
        activity.kind = ActivityKind::step;
        activity.step = step.id;
        activity.lanes = {lane_of(crew)};
        activity.duration = Seconds{std::lround(1200 * factor)};
        activity.as_run = true;
        timeline.activities.push_back(activity);
    }
    for (std::size_t t = 0; t < 2; ++t) timeline.bindings.push_back({static_cast<TaskId>(t), static_cast<Crew>(t)});
    return timeline;
}

AnOuting eighty_steps() {
    AnOuting outing(1);
    for (const char* key : {"a", "b"}) {
        outing.task(key, TaskClass::required);
        for (int i = 0; i < 40; ++i) outing.step(0, 20);
    }
    outing->crew[0].name = "Ada";
    outing->crew[1].name = "Ben";
    outing->risk = default_risk();
    return outing;
}

TEST(Learn, FindsWhoIsSlowAndLeavesTheClassAlone) {
    AnOuting outing = eighty_steps();
    const Learned learned = learn(*outing, as_run(*outing, 1.10, 1.12, 3), RunIn::flight, "Outing 1");
    ASSERT_EQ(learned.rows.size(), 1u);
    EXPECT_EQ(learned.rows[0].what, "tools");
    EXPECT_EQ(learned.rows[0].seen, 80);
    EXPECT_NEAR(learned.rows[0].after.median, 1.10, 0.06);
    EXPECT_NEAR(learned.rows[0].after.sigma, 0.2, 0.03);
    ASSERT_EQ(learned.people.size(), 2u);
    EXPECT_GT(learned.people[1].after.factor / learned.people[0].after.factor, 1.04);
    EXPECT_LT(learned.people[1].after.sigma, learned.people[1].before.sigma);
}

TEST(Learn, TakesASlowDayForASlowDayFirst) {
    AnOuting outing = eighty_steps();
    const Learned learned = learn(*outing, as_run(*outing, 1.10 * 1.15, 1, 4), RunIn::flight, "Outing 1");
    EXPECT_GT(learned.day, 1.08);
    EXPECT_LT(learned.rows[0].after.median, 1.10 * 1.10);
}

TEST(Learn, MultipliesTimesFromAPoolFirst) {
    AnOuting outing = eighty_steps();
    const Timeline seen = as_run(*outing, 1, 1, 5);
    const double flight = learn(*outing, seen, RunIn::flight, "x").rows[0].after.median;
    outing->risk.pool_to_flight[index(Effort::tools)] = 1.3;
    const Learned pool = learn(*outing, seen, RunIn::pool, "x");
    EXPECT_GT(pool.rows[0].after.median, flight * 1.02);
    EXPECT_NE(pool.rows[0].after.sources[0].find("pool"), std::string::npos);
}

TEST(Learn, IgnoresWhatIsOnlyPlanned) {
    AnOuting outing = eighty_steps();
    Timeline planned = as_run(*outing, 2, 1, 6);
    for (Activity& activity : planned.activities) activity.as_run = false;
    EXPECT_TRUE(learn(*outing, planned, RunIn::flight, "x").rows.empty());
}

TEST(Learn, WritesAFileThatTheNextOutingReadsBack) {
    AnOuting outing = eighty_steps();
    const Learned learned = learn(*outing, as_run(*outing, 1.2, 1.05, 7), RunIn::flight, "Outing \"1\"");
    const auto read = handrail::test::SmallOuting().with("Ben Probe", "Ben").add(library_toml(learned)).read();
    if (!read)
        for (const InputError& error : read.errors()) ADD_FAILURE() << print(error);
    ASSERT_TRUE(read.ok());
    const Risk& risk = read.value().risk;
    const Scatter& written = *learned.risk.work[index(Effort::tools)].share;
    ASSERT_TRUE(risk.work[index(Effort::tools)].share.has_value());
    const Scatter& taken = *risk.work[index(Effort::tools)].share;
    EXPECT_NEAR(taken.median, written.median, 1e-4);
    EXPECT_NEAR(taken.sigma, written.sigma, 1e-4);
    EXPECT_NEAR(taken.weight, written.weight, 0.1);
    EXPECT_EQ(taken.sources, written.sources);
    ASSERT_EQ(risk.people.size(), 2u);
    EXPECT_EQ(risk.people[1].name, "Ben");
    EXPECT_NEAR(risk.people[1].factor, learned.people[1].after.factor, 1e-4);
}

}  // namespace
}  // namespace handrail::risk
