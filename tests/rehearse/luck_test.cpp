#include "rehearse/luck.h"

#include <gtest/gtest.h>

#include <cmath>

#include "rehearsal_under_test.h"

/// What is drawn for a rehearsal.
namespace handrail::rehearse {
namespace {

TEST(Luck, WithoutTroubleEverythingTakesItsPlannedTime) {
    const Planned p = demo("larkspur", 200);
    const Outing& outing = p.source.outing;
    const Luck luck(outing, Level::none, 5);
    for (const Step& step : outing.steps) {
        EXPECT_EQ(luck.step(step, Crew::ev2), planned_duration(outing, step, Crew::ev2)) << step.label;
        EXPECT_TRUE(luck.strikes(step.id).empty());
    }
    EXPECT_EQ(luck.move(ActivityKind::translate, Seconds{90}, StepId{0}, Crew::ev1, Crew::ev1), Seconds{90});
    EXPECT_EQ(luck.airlock(ActivityKind::ingress, Seconds{900}), Seconds{900});
    EXPECT_EQ(luck.late_start(), Seconds{0});
    EXPECT_FALSE(luck.private_talk());
    EXPECT_EQ(luck.metabolic(Crew::ev1), 1.0);
}

TEST(Luck, TheSameSeedIsTheSameLuck) {
    const Planned p = demo("pool", 200);
    const Luck one(p.source.outing, Level::severe, 7), two(p.source.outing, Level::severe, 7),
        other(p.source.outing, Level::severe, 8);
    int different = 0;
    for (const Step& step : p.source.outing.steps) {
        EXPECT_EQ(one.step(step, Crew::ev1), two.step(step, Crew::ev1));
        EXPECT_EQ(one.strikes(step.id).size(), two.strikes(step.id).size());
        different += one.step(step, Crew::ev1) != other.step(step, Crew::ev1);
    }
    EXPECT_GT(different, 5);
}

/// Over many seeds the mean of the drawn times is the mean of their distribution: scatter of the step, of the day and
/// of the slower of two people (each with mean 1; their maximum lies above).
TEST(Luck, DrawnTimesHaveTheMeanOfTheirDistribution) {
    const Planned p = demo("larkspur", 200);
    const Outing& outing = p.source.outing;
    const Step& step = outing.steps[5];  // valve.remove: 10, 14, 35 min, one person
    ASSERT_EQ(step.who.size(), 1U);
    const double median = std::sqrt(600.0 * 2100.0);
    const double sigma = std::log(2100.0 / 600.0) / (2 * 1.2815515655);
    double sum = 0;
    constexpr int seeds = 600;
    for (int seed = 0; seed < seeds; ++seed)
        sum += static_cast<double>(
            Luck(outing, Level::mild, static_cast<std::uint64_t>(seed)).step(step, Crew::ev1).count());
    const double mean = median * std::exp(sigma * sigma / 2) * outing.person(Crew::ev1).experience_factor;
    const double error = mean * std::sqrt(std::exp(sigma * sigma) - 1 + 0.03) / std::sqrt(seeds);
    EXPECT_NEAR(sum / seeds, mean, 4 * error);
}

TEST(Luck, ASureTimeIsLongerThanThePlannedOneAndShrinksToItWithoutScatter) {
    const Planned p = demo("larkspur", 200);
    const std::vector<Luck::Part> home{{ActivityKind::translate, Seconds{300}, {}, Crew::ev1, Crew::ev1},
                                       {ActivityKind::ingress, Seconds{900}, {}, Crew::ev1, Crew::ev1}};
    EXPECT_EQ(Luck(p.source.outing, Level::none, 1).sure(home), Seconds{1200});
    const Seconds sure = Luck(p.source.outing, Level::mild, 1).sure(home);
    EXPECT_GT(sure, Seconds{1500});
    EXPECT_LT(sure, Seconds{2400});
    int within = 0;
    constexpr int seeds = 500;
    for (int seed = 0; seed < seeds; ++seed) {
        const Luck luck(p.source.outing, Level::mild, static_cast<std::uint64_t>(seed));
        within += luck.move(ActivityKind::translate, Seconds{300}, {}, Crew::ev1, Crew::ev1) +
                      luck.airlock(ActivityKind::ingress, Seconds{900}) <=
                  sure;
    }
    EXPECT_GT(within, seeds * 90 / 100);
    EXPECT_LT(within, seeds * 99 / 100);
}

TEST(Luck, MoreTroubleStrikesOnHarderLevels) {
    const Planned p = demo("larkspur", 200);
    const auto strikes = [&](Level level) {
        std::size_t count = 0;
        for (std::uint64_t seed = 0; seed < 60; ++seed) {
            const Luck luck(p.source.outing, level, seed);
            for (const Step& step : p.source.outing.steps) count += luck.strikes(step.id).size();
        }
        return count;
    };
    const std::size_t medium = strikes(Level::medium);
    EXPECT_EQ(strikes(Level::mild), 0U) << "the demo names no troubles of its own";
    EXPECT_GT(medium, 60U);
    EXPECT_GT(strikes(Level::severe), 3 * medium / 2);
}

}  // namespace
}  // namespace handrail::rehearse
