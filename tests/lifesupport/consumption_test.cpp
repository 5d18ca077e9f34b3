#include "lifesupport/consumption.h"

#include <gtest/gtest.h>

#include <cmath>

#include "outing/outing.h"
#include "suit_for_test.h"

namespace handrail::lifesupport {
namespace {

double lasts_hours(const SuitType& suit, Watts rate, Consumable c) {
    return capacity(suit)[index(c)] / draw_per_second(suit, rate, true)[index(c)] / 3600;
}

// The published capacities and the published ratings (7 h at 1000 BTU/h, 8 h at 850 BTU/h) close on each other.
TEST(GenericSuit, HasOxygenForBothRatedOutings) {
    EXPECT_NEAR(lasts_hours(generic_suit(), btu_rate(1000), Consumable::oxygen), 7.01, 0.01);
    EXPECT_NEAR(lasts_hours(generic_suit(), btu_rate(850), Consumable::oxygen), 8.16, 0.01);
}

// The suit type that comes with Handrail, as its file says it.
TEST(SuppliedSuit, LastsAsLongAsItsPublishedNumbersSay) {
    const auto outing = read_outing(HANDRAIL_SOURCE_DIR "/demo/larkspur/outing.toml");
    ASSERT_TRUE(outing.ok());
    const SuitType& suit = outing.value().suit_of(Crew::ev1);
    EXPECT_NEAR(lasts_hours(suit, btu_rate(1000), Consumable::oxygen), 7.01, 0.01);
    EXPECT_NEAR(lasts_hours(suit, btu_rate(850), Consumable::oxygen), 8.16, 0.01);
    EXPECT_NEAR(lasts_hours(suit, btu_rate(1000), Consumable::co2), 7.79, 0.01);
    EXPECT_NEAR(lasts_hours(suit, btu_rate(1000), Consumable::battery), 7.0, 0.01);
    EXPECT_EQ(suit.secondary_oxygen, Seconds{30 * 60});
}

TEST(GenericSuit, ScrubsCo2ForLongerThanItHasOxygen) {
    EXPECT_NEAR(lasts_hours(generic_suit(), btu_rate(1000), Consumable::co2), 7.79, 0.01);
    EXPECT_NEAR(lasts_hours(generic_suit(), btu_rate(850), Consumable::co2), 9.17, 0.01);
}

TEST(Draw, CountsLeakAndWorkTogether) {
    SuitType suit = generic_suit();
    const double with_leak = draw_per_second(suit, Watts{250}, true)[index(Consumable::oxygen)];
    suit.leak = KilogramsPerHour{0};
    const double without = draw_per_second(suit, Watts{250}, true)[index(Consumable::oxygen)];
    EXPECT_NEAR(with_leak - without, 0.005 / 3600, 1e-12);
}

TEST(Draw, OfWaterFollowsTheHeatLeakOfSunAndShade) {
    SuitType suit = generic_suit();
    suit.heat_leak_sunlit = Watts{50};
    suit.heat_leak_dark = Watts{-50};
    const auto sun = draw_per_second(suit, Watts{200}, true), dark = draw_per_second(suit, Watts{200}, false);
    EXPECT_NEAR(sun[index(Consumable::water)] / dark[index(Consumable::water)], (200 + 60.8 + 50) / (200 + 60.8 - 50),
                1e-9);
    EXPECT_EQ(sun[index(Consumable::oxygen)], dark[index(Consumable::oxygen)]);
}

TEST(Draw, OfWaterIsNoneWhenTheSuitLosesMoreHeatThanItMakes) {
    SuitType suit = generic_suit();
    suit.heat_leak_dark = Watts{-500};
    EXPECT_EQ(draw_per_second(suit, Watts{200}, false)[index(Consumable::water)], 0);
}

TEST(Draw, OfWhatTheSuitDoesNotCarryIsNoneAndItsCapacityUnlimited) {
    SuitType umbilical;  // a pool umbilical: everything comes through the hose
    umbilical.kind = SuitType::Kind::umbilical;
    umbilical.electrical_load = Watts{10};
    for (Consumable c : all_consumables) {
        EXPECT_EQ(draw_per_second(umbilical, Watts{300}, true)[index(c)], 0) << word(c);
        EXPECT_TRUE(std::isinf(capacity(umbilical)[index(c)])) << word(c);
        EXPECT_EQ(reserve(umbilical)[index(c)], 0) << word(c);
    }
}

TEST(Draw, OfAnOpenLoopSuitIsGasInProportionToWork) {
    SuitType open;  // invented analogue suit
    open.kind = SuitType::Kind::open_loop;
    open.breathing_gas = Litres{2400};
    open.ventilation_per_watt_100 = LitresPerMinute{8};
    EXPECT_NEAR(draw_per_second(open, Watts{150}, true)[index(Consumable::gas)], 12.0 / 60, 1e-12);
    EXPECT_EQ(draw_per_second(open, Watts{150}, true)[index(Consumable::oxygen)], 0);
}

TEST(Reserve, IsHalfAnHourAtTheReserveRate) {
    const Amounts kept = reserve(generic_suit());
    // Reference notes 3.3: 28.3 g, 30.2 g, 198.1 g, 1.9 A h at 16 V.
    EXPECT_NEAR(kept[index(Consumable::oxygen)], 0.0283, 0.0001);
    EXPECT_NEAR(kept[index(Consumable::co2)], 0.0302, 0.0001);
    EXPECT_NEAR(kept[index(Consumable::water)], 0.1981, 0.0002);
    EXPECT_NEAR(kept[index(Consumable::battery)], 1.9 * 16, 0.01);
}

TEST(MetabolicRate, OfAStepIsTheClassTimesThePerson) {
    Rules rules;
    rules.effort_watts.fill(Watts{100});
    rules.effort_watts[index(Effort::forced)] = Watts{372};
    CrewMember person;
    person.metabolic_factor = 1.25;
    EXPECT_NEAR(metabolic_rate(rules, person, Effort::forced).value(), 465, 1e-9);
}

}  // namespace
}  // namespace handrail::lifesupport
