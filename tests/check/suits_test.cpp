#include <gtest/gtest.h>

#include "expect.h"
#include "lifesupport/consumption.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;

/// 36 W of electrical load draw 0.01 Wh a second, whatever the work.
void give_battery(Yard& yard, double capacity_wh) {
    yard.outing.suits[0].electrical_load = Watts{36};
    yard.outing.suits[0].battery = WattHours{capacity_wh};
}

TEST(CheckConsumable, ATenthOfAWattHourTooLittleIsFound) {
    Yard yard;
    give_battery(yard, 29.7);  // 2,970 s
    EXPECT_THAT(yard, IsFine());
    yard.outing.suits[0].battery = WattHours{29.6};
    // EV1 comes straight home from the valve, so turning back there would have been as late.
    EXPECT_EQ(broken(yard), (std::set<std::string>{"consumable", "turn-back"}));
    for (const Finding& finding : findings(yard)) {
        EXPECT_NEAR(finding.amount, 0.1, 1e-9);
        EXPECT_EQ(finding.unit, "Wh");
    }
}

TEST(CheckConsumable, TheReserveIsKept) {
    Yard yard;
    give_battery(yard, 29.7 + 18);
    yard.outing.suits[0].reserve = Seconds{1800};  // 18 Wh
    EXPECT_THAT(yard, IsFine());
    yard.outing.suits[0].battery = WattHours{29.7 + 17};
    for (const Finding& finding : findings(yard)) EXPECT_NEAR(finding.amount, 1, 1e-9);
    EXPECT_TRUE(broken(yard).contains("consumable"));
}

TEST(CheckConsumable, EachActivityAndEachWaitIsDrawnAtItsOwnEffort) {
    Yard yard;
    SuitType& suit = yard.outing.suits[0];
    suit.kind = SuitType::Kind::open_loop;
    suit.ventilation_per_watt_100 = LitresPerMinute{6};  // 0.001 L a second and watt
    // EV1: egress 600×150, pick up 30×200, translate 100×250, camera 240×200, translate 100×250, valve 300×300 +
    // 200×200 + 300×300, translate 200×250, clean up 300×200, ingress 600×150: 614,000 W s.
    suit.breathing_gas = Litres{614.0};
    EXPECT_THAT(yard, IsFine());
    suit.breathing_gas = Litres{613.5};
    for (const Finding& finding : findings(yard)) {
        EXPECT_NEAR(finding.amount, 0.5, 1e-6) << finding.what;
        EXPECT_EQ(finding.lanes, std::vector{Lane::ev1});
    }
    // EV2: 90,000 + 6,000 + 25,000 + 48,000 + 25,000 + waiting 1000×100 + 60,000 + 90,000 = 444,000 W s.
    suit.breathing_gas = Litres{443.0};
    bool ev2_found = false;
    for (const Finding& finding : findings(yard))
        if (finding.rule == "consumable" && finding.lanes == std::vector{Lane::ev2}) {
            ev2_found = true;
            EXPECT_NEAR(finding.amount, 1.0, 1e-6);
        }
    EXPECT_TRUE(ev2_found);
}

TEST(CheckConsumable, WhatIsInDaylightAtItsMiddleCountsAsSunlit) {
    Yard yard;
    SuitType& suit = yard.outing.suits[0];
    suit.heat_leak_sunlit = Watts{100};
    suit.heat_leak_dark = Watts{-50};
    suit.feedwater = Kilograms{1};
    const auto water = static_cast<std::size_t>(lifesupport::Consumable::water);
    // Only ingress (middle at 2670) is lit; EV2 as in the test above: effort and seconds, ingress apart.
    yard.windows.set("daylight", "", {{s(2670), s(2671)}});
    double needed = 0;
    const auto add = [&](double watts, double seconds, bool lit) {
        needed += lifesupport::draw_per_second(suit, Watts{watts}, lit)[water] * seconds;
    };
    add(150, 600, false);
    add(200, 30 + 240 + 300, false);
    add(250, 200, false);
    add(100, 1000, false);
    add(150, 600, true);
    suit.feedwater = Kilograms{needed - 0.001};
    bool found_for_ev2 = false;
    for (const Finding& finding : findings(yard))
        if (finding.rule == "consumable" && finding.lanes == std::vector{Lane::ev2}) {
            found_for_ev2 = true;
            EXPECT_NEAR(finding.amount, 0.001, 1e-9);
            EXPECT_EQ(finding.unit, "kg");
        }
    EXPECT_TRUE(found_for_ev2);
}

/// EV1 rides 30 m to the mast in 50 s and back again, where walking home takes 300 s:
/// egress 600 | to the truss 700 | ride 750 | work 850 | ride back 900 | home 1000 | clean up 1300 | ingress 1900.
struct RideYard : Yard {
    RideYard() {
        outing.station.arm = Arm{"the arm", {0, 0, 0}, Metres{35}, MetresPerSecond{1}, Seconds{0}, at(truss), "Cy"};
        outing.rules.tether = Metres{40};
        outing.rules.margin = Seconds{0};
        timeline.activities.clear();
        timeline.bindings.clear();
        outing.tasks[0].task_class = TaskClass::wanted;
        add_task("survey");
        bind("survey", Crew::ev1);
        add_step("survey", 50, {Role::lead}, truss).to = at(mast);
        add_step("survey", 100, {Role::lead}, mast);
        add_step("survey", 50, {Role::lead}, mast).to = at(truss);
        step("survey.1").arm = step("survey.3").arm = ArmUse::ride;
        const std::vector both{Lane::ev1, Lane::ev2};
        add(egress, both, 0, 600);
        add(translate, {Lane::ev1}, 600, 100, {airlock, truss});
        add_run("survey.1", {Lane::ev1, Lane::arm}, 700, 50);
        add_run("survey.2", {Lane::ev1}, 750, 100);
        add_run("survey.3", {Lane::ev1, Lane::arm}, 850, 50);
        add(translate, {Lane::ev1}, 900, 100, {truss, airlock});
        add(clean_up, both, 1000, 300);
        add(ingress, both, 1300, 600);
    }
};

TEST(CheckTurnBack, WhoCouldNotWalkHomeByTheHardEndIsFound) {
    RideYard yard;
    yard.outing.rules.limit = Seconds{850 + 300 + 300 + 600};  // from the mast at the end of survey.2
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.limit -= Seconds{50};
    const Finding found = only("turn-back", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 50);
    EXPECT_EQ(found.at, s(850));
    EXPECT_EQ(found.lanes, std::vector{Lane::ev1});
}

TEST(CheckTurnBack, WhoHasTooLittleLeftToWalkHomeIsFound) {
    RideYard yard;
    give_battery(yard, 20.5);  // 850 + 300 + 300 + 600 seconds
    EXPECT_THAT(yard, IsFine());
    yard.outing.suits[0].battery = WattHours{20.4};
    const Finding found = only("turn-back", yard).at(0);
    EXPECT_NEAR(found.amount, 0.1, 1e-9);
    EXPECT_EQ(found.unit, "Wh");
}

TEST(CheckTurnBack, CloseUpsOfAnOpenSiteAreCounted) {
    RideYard yard;
    yard.step("survey.2").opens = true;
    yard.add_step("survey", 60, {Role::lead}, mast).close_up = true;
    yard.outing.orders.clear();
    yard.delay(850, 60);
    yard.add_run("survey.4", {Lane::ev1}, 850, 60);
    yard.outing.rules.limit = Seconds{850 + 60 + 300 + 300 + 600};
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.limit -= Seconds{1};
    EXPECT_DOUBLE_EQ(only("turn-back", yard).at(0).amount, 1);
}

TEST(CheckTurnBack, APlaceWithoutAWayHomeIsFound) {
    RideYard yard;
    yard.outing.station.routes.erase(yard.outing.station.routes.begin() + 2);  // panel to mast
    yard.outing.rules.partner_within = Seconds{100000};
    EXPECT_TRUE(broken(yard).contains("turn-back"));
}

}  // namespace
}  // namespace handrail::test
