#include "lifesupport/prebreathe.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace handrail::lifesupport {
namespace {

constexpr KiloPascal suit_pressure{29.647};  // 4.3 psia
constexpr Seconds operator""_min(unsigned long long minutes) {
    return Seconds{static_cast<Seconds::rep>(minutes) * 60};
}

PrebreatheStage stage(const char* name, Seconds length, double psia, double oxygen) {
    PrebreatheStage made;
    made.name = name;
    made.duration = length;
    made.pressure = KiloPascal{psia * 6.894757};
    made.oxygen = Fraction{oxygen};
    return made;
}

/// 60 min of oxygen, 12 h at 10.2 psia, 75 min of oxygen, then the ramp down; the break rule in force to 2023
/// (Updates to NASA's Break-in-Prebreathe Rules, NTRS 20240005118, abstract).
Prebreathe staged() {
    Prebreathe protocol;
    protocol.protocol = "staged";
    protocol.cabin = KiloPascal{14.7 * 6.894757};
    protocol.stages = {stage("mask oxygen", 60_min, 14.7, 1.0), stage("night at 10.2 psia", 720_min, 10.2, 0.265),
                       stage("suit oxygen", 75_min, 14.7, 1.0), stage("depress", 30_min, 4.3, 1.0)};
    protocol.stages.back().pressure_start = KiloPascal{14.7 * 6.894757};
    protocol.breaks = {{10_min, 2.0, false}};
    return protocol;
}

PrebreatheCourse run(const Prebreathe& protocol, std::vector<Hold> holds = {}, std::vector<Break> breaks = {}) {
    return std::get<PrebreatheCourse>(run_prebreathe(protocol, suit_pressure, Utc{}, holds, breaks));
}
std::string refusal(const Prebreathe& protocol, std::vector<Hold> holds, std::vector<Break> breaks) {
    return std::get<Misplaced>(run_prebreathe(protocol, suit_pressure, Utc{}, holds, breaks)).why;
}
Utc at(Seconds since_start) { return Utc{} + since_start; }

TEST(Tissue, InBalanceStaysWhereItIs) {
    EXPECT_NEAR(tissue_after(KiloPascal{50}, KiloPascal{50}, KiloPascal{50}, 600_min, 360_min).value(), 50, 1e-9);
}

TEST(Tissue, HalvesItsDistanceInAHalfTime) {
    EXPECT_NEAR(tissue_after(KiloPascal{80}, KiloPascal{0}, KiloPascal{0}, 360_min, 360_min).value(), 40, 1e-9);
}

// The ramp equation against many small constant steps.
RC_GTEST_PROP(TissueLaw, ARampIsTheLimitOfSmallSteps, ()) {
    const double from = *rc::gen::inRange(0, 100), to = *rc::gen::inRange(0, 100), begin = *rc::gen::inRange(0, 100);
    const Seconds time{*rc::gen::inRange(1, 200) * 60};
    constexpr int steps = 2000;
    double tissue = begin;
    const double k = std::log(2.0) / 360, dt = static_cast<double>(time.count()) / 60 / steps;
    for (int i = 0; i < steps; ++i) {
        const double breathed = from + (to - from) * (i + 0.5) / steps;
        tissue = breathed + (tissue - breathed) * std::exp(-k * dt);
    }
    RC_ASSERT(std::abs(tissue_after(KiloPascal{begin}, KiloPascal{from}, KiloPascal{to}, time, 360_min).value() -
                       tissue) < 1e-4);
}

TEST(Prebreathe, DepressesAtTheStartOfItsLastRamp) {
    const PrebreatheCourse course = run(staged());
    EXPECT_EQ(course.depress, at(855_min));
    EXPECT_EQ(course.end, at(885_min));
    EXPECT_EQ(course.later, Seconds{0});
    EXPECT_NEAR(course.r_at_depress, 1.6524, 0.0005);
    EXPECT_NEAR(course.r_after_depress, 1.6524 * std::exp2(-30.0 / 360), 0.0005);
}

TEST(Prebreathe, SaysByWhichConventionItCounts) {
    EXPECT_EQ(
        run(staged()).convention,
        "R = nitrogen in one tissue of 360 min half-time at rest, over the suit's 29.6 kPa; air taken as 79 % nitrogen "
        "of dry 101.35 kPa");
}

TEST(Prebreathe, OfARestingProtocolGoesOnUntilItsLimit) {
    Prebreathe protocol = staged();
    protocol.limit_r = 1.5;
    const PrebreatheCourse course = run(protocol);
    EXPECT_NEAR(course.r_at_depress, 1.5, 0.0005);
    EXPECT_LE(course.r_at_depress, 1.5);
    const double extra = 360 * std::log2(1.6524 / 1.5);
    EXPECT_NEAR(std::chrono::duration<double>(course.later).count() / 60, extra, 0.1);
}

TEST(Prebreathe, SaysWhenTheGasBreathedNeverReachesTheLimit) {
    Prebreathe protocol = staged();
    protocol.stages = {stage("night at 10.2 psia", 720_min, 10.2, 0.265)};
    protocol.limit_r = 1.2;
    EXPECT_TRUE(run(protocol).limit_out_of_reach);
    EXPECT_FALSE(run(staged()).limit_out_of_reach);
}

// Two hours with exercise: 0 cases in 50 exposures (NEDU TR 18-01, 2018, Table 7 and Appendix E), yet R is 2.11.
TEST(Prebreathe, OfAValidatedExerciseProtocolIsNeverJudgedByR) {
    Prebreathe protocol = staged();
    protocol.validated_exercise = true;
    protocol.limit_r = 1.65;
    protocol.stages = {stage("oxygen with exercise", 50_min, 14.7, 1.0), stage("oxygen", 30_min, 10.2, 1.0),
                       stage("suit up", 30_min, 10.2, 0.265), stage("suit oxygen", 40_min, 14.7, 1.0)};
    const PrebreatheCourse course = run(protocol);
    EXPECT_NEAR(course.r_at_depress, 2.1138, 0.0005);
    EXPECT_EQ(course.later, Seconds{0});
    EXPECT_FALSE(course.limit_r);
}

TEST(Hold, BeforeTheDepressMovesItByItsLength) {
    const PrebreatheCourse course = run(staged(), {{30_min, {}}});
    EXPECT_EQ(course.depress, at(885_min));
    EXPECT_LT(course.r_at_depress, run(staged()).r_at_depress);  // oxygen is breathed meanwhile
}

TEST(Hold, AtATimeGoesOnWithThatStagesGas) {
    const PrebreatheCourse course = run(staged(), {{30_min, at(100_min)}});
    EXPECT_EQ(course.later, 30_min);
    EXPECT_EQ(course.rows.at(2).kind, StageKind::hold);
    EXPECT_EQ(course.rows.at(2).oxygen, Fraction{0.265});
    EXPECT_EQ(course.rows.at(2).start, at(100_min));
}

TEST(Hold, DuringTheDepressLeavesItsStartWhereItWas) {
    const PrebreatheCourse course = run(staged(), {{30_min, at(870_min)}});
    EXPECT_EQ(course.depress, at(855_min));
    EXPECT_EQ(course.end, at(915_min));
    EXPECT_NEAR(course.r_at_depress, 1.6524, 0.0005);
}

TEST(Hold, AtTheMomentOfTheDepressComesBeforeIt) {
    EXPECT_EQ(run(staged(), {{30_min, at(855_min)}}).depress, at(885_min));
}

TEST(Break, DuringTheDepressIsRefused) {
    EXPECT_THAT(refusal(staged(), {}, {{5_min, at(870_min)}}), testing::HasSubstr("depress is under way"));
}

TEST(Break, IsRepaidTwoForOneAtTheEndOfItsStage) {
    const PrebreatheCourse course = run(staged(), {}, {{8_min, at(800_min)}});
    EXPECT_EQ(course.later, 24_min);  // the break itself and 2 min for each of its minutes
    ASSERT_EQ(course.rows.size(), 7u);
    EXPECT_EQ(course.rows.at(3).kind, StageKind::off_oxygen);
    EXPECT_EQ(course.rows.at(5).kind, StageKind::payback);
    EXPECT_EQ(course.rows.at(5).duration, 16_min);
    EXPECT_EQ(course.rows.at(6).kind, StageKind::depress);
    EXPECT_LT(course.breaks.at(0).tissue.count(), 5);  // the tissue alone would ask far less: shown, not used
}

TEST(Break, LongerThanTheRuleAllowsStartsAgain) {
    const PrebreatheCourse course = run(staged(), {}, {{11_min, at(800_min)}});
    EXPECT_TRUE(course.breaks.at(0).rule.restart);
    EXPECT_EQ(course.end, at(811_min + 885_min));
}

TEST(Break, WithoutARuleStartsAgain) {
    Prebreathe protocol = staged();
    protocol.breaks.clear();
    EXPECT_TRUE(run(protocol, {}, {{1_min, at(800_min)}}).breaks.at(0).rule.restart);
}

TEST(Break, WhileNoOxygenIsBreathedCostsNothing) {
    const PrebreatheCourse course = run(staged(), {}, {{8_min, at(300_min)}});
    EXPECT_EQ(course.later, Seconds{0});
    EXPECT_FALSE(course.breaks.at(0).on_oxygen);
}

TEST(Break, NearTheDepressWaitsForTheLeastTimeOnOxygen) {
    Prebreathe protocol = staged();
    protocol.after_break = 59_min;
    const PrebreatheCourse course = run(protocol, {}, {{5_min, at(850_min)}});
    EXPECT_EQ(course.depress, at(855_min + 59_min));
    EXPECT_EQ(course.rows.at(course.rows.size() - 2).kind, StageKind::after_break);
}

TEST(Break, InsideAnotherOneIsRefused) {
    EXPECT_THAT(refusal(staged(), {}, {{8_min, at(800_min)}, {2_min, at(805_min)}}), testing::HasSubstr("already"));
}

TEST(Break, OutsideThePrebreatheIsRefusedWithItsTimes) {
    EXPECT_EQ(refusal(staged(), {}, {{8_min, at(900_min)}}),
              "At 1970-01-01T15:00:00Z no prebreathe is going on: it runs from 1970-01-01T00:00:00Z to "
              "1970-01-01T14:45:00Z.");
}

TEST(Payback, TakesTheNarrowestRuleThatCoversTheBreak) {
    const std::vector<BreakRule> rules{{20_min, 0, true}, {10_min, 4.0, false}, {5_min, 2.0, false}};
    EXPECT_EQ(payback(rules, 5_min).time, 10_min);
    EXPECT_EQ(payback(rules, 6_min).time, 24_min);
    EXPECT_TRUE(payback(rules, 15_min).restart);
    EXPECT_TRUE(payback(rules, 25_min).restart);
}

TEST(Outing, WashesNitrogenOutUntilTheRepressPutsItBack) {
    const auto moments = through_outing(staged(), run(staged()), 390_min, 15_min);
    ASSERT_GE(moments.size(), 4u);
    for (std::size_t i = 1; i + 2 < moments.size(); ++i) EXPECT_LT(moments[i].r, moments[i - 1].r);
    EXPECT_GT(moments.back().tissue, moments[moments.size() - 3].tissue);
    EXPECT_EQ(moments.back().what, "1 h of cabin air");
}

// Time is neither lost nor made, and no pressure goes below zero, whatever happens during a prebreathe.
RC_GTEST_PROP(PrebreatheLaw, RowsFollowEachOtherWithoutGapWhateverHappens, ()) {
    Prebreathe protocol = staged();
    if (*rc::gen::arbitrary<bool>()) protocol.limit_r = 1.2 + 0.01 * *rc::gen::inRange(0, 60);
    protocol.after_break = Seconds{*rc::gen::inRange(0, 90) * 60};
    std::vector<Hold> holds;
    std::vector<Break> breaks;
    for (int i = *rc::gen::inRange(0, 4); i > 0; --i)
        holds.push_back({Seconds{*rc::gen::inRange(1, 60) * 60}, at(Seconds{*rc::gen::inRange(0, 1000) * 60})});
    for (int i = *rc::gen::inRange(0, 4); i > 0; --i)
        breaks.push_back({Seconds{*rc::gen::inRange(1, 15) * 60}, at(Seconds{*rc::gen::inRange(0, 1000) * 60})});
    const auto outcome = run_prebreathe(protocol, suit_pressure, Utc{}, holds, breaks);
    if (const auto* misplaced = std::get_if<Misplaced>(&outcome)) {
        RC_ASSERT(!misplaced->why.empty());
        return;
    }
    const auto& course = std::get<PrebreatheCourse>(outcome);
    Utc clock{};
    for (const StageRow& row : course.rows) {
        RC_ASSERT(row.start == clock && row.duration >= Seconds{0});
        RC_ASSERT(std::isfinite(row.tissue_end.value()) && row.tissue_end.value() >= 0);
        clock = row.end();
    }
    RC_ASSERT(clock == course.end && course.depress <= course.end);
    RC_ASSERT(course.later >= Seconds{0});
    if (course.limit_r && !course.limit_out_of_reach) RC_ASSERT(course.r_at_depress <= *course.limit_r + 1e-9);
}

}  // namespace
}  // namespace handrail::lifesupport
