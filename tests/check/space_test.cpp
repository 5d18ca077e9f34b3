#include <gtest/gtest.h>

#include "check/ways.h"
#include "expect.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;

TEST(Check, TheYardBreaksNoRule) { EXPECT_EQ(findings(Yard{}).size(), 0u) << print_findings(findings(Yard{})); }

TEST(CheckPlace, AStepElsewhereThanItsCrewMemberIsFound) {
    Yard yard;
    yard.remove(yard.nth(translate, Lane::ev1, 1));  // truss to panel
    const Finding found = only("place", yard).at(0);
    EXPECT_EQ(found.at, s(1070));
    EXPECT_EQ(found.lanes, std::vector{Lane::ev1});
    EXPECT_THAT(found.what, testing::HasSubstr("starts at panel, but EV1 is at truss"));
}

TEST(CheckRoute, AShortCutWithoutARouteIsFound) {
    Yard yard;
    yard.nth(translate, Lane::ev1, 2).path = {at(panel), at(airlock)};
    EXPECT_EQ(only("route", yard).at(0).at, s(1870));
}

TEST(CheckRoute, ARouteThatDoesNotPermitTheLoadIsFound) {
    Yard yard;
    yard.outing.rules.large_item_pace = Fraction{1};
    yard.item(Thing::wrench).size = SizeClass::large;
    EXPECT_THAT(yard, IsFine());
    yard.outing.station.routes[1].largest = SizeClass::medium;  // truss to panel, taken there and back
    EXPECT_EQ(only("route", yard).size(), 2u);
}

TEST(CheckRoute, AnOversizeItemIsNotCarriedAbout) {
    Yard yard;
    yard.item(Thing::bag).size = SizeClass::oversize;
    yard.outing.crew[1].carry = 1000;  // so that only the route speaks
    yard.outing.rules.large_item_pace = Fraction{1};
    for (Route& route : yard.outing.station.routes) route.largest = SizeClass::oversize;
    EXPECT_EQ(only("route", yard).size(), 2u);
}

TEST(CheckTranslationTime, TenSecondsShortAreFound) {
    Yard yard;
    Activity& back = yard.nth(translate, Lane::ev1, 2);  // two legs of 100 s
    back.start += Seconds{10};
    back.duration -= Seconds{10};
    EXPECT_DOUBLE_EQ(only("translation-time", yard).at(0).amount, 10);
    back.as_run = true;
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckTranslationTime, ALargeItemSlowsItsCarrier) {
    Yard yard;
    yard.item(Thing::wrench).size = SizeClass::large;  // half the pace: 200 s a leg instead of 100 s
    const auto found = only("translation-time", yard);
    ASSERT_EQ(found.size(), 3u);
    EXPECT_DOUBLE_EQ(found[0].amount, 100);
    EXPECT_DOUBLE_EQ(found[2].amount, 200);
}

TEST(CheckTether, FiveMetresTooFarAreFoundWhereverItIsTooShort) {
    Yard yard;
    yard.outing.rules.tether = Metres{20};  // exactly the way from the airlock to the panel
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.tether = Metres{15};
    const auto found = only("tether", yard);
    EXPECT_EQ(found.size(), 5u);  // there, three steps, back
    for (const Finding& finding : found) {
        EXPECT_DOUBLE_EQ(finding.amount, 5);
        EXPECT_EQ(finding.unit, "m");
    }
}

TEST(CheckTether, ASwapOnTheWayBringsThePanelIntoReach) {
    Yard yard;
    yard.outing.rules.tether = Metres{15};
    yard.insert(tether_swap, Lane::ev1, 970, 60, {truss});
    const Finding left_behind = only("tether", yard).at(0);
    EXPECT_EQ(left_behind.at, yard.timeline.activities.back().start);
    EXPECT_DOUBLE_EQ(left_behind.amount, 10);  // anchored at the truss, 10 m from the airlock
    yard.insert(tether_swap, Lane::ev1, 2130, 60, {airlock});
    EXPECT_THAT(yard, IsFine());
    Activity& swap = yard.nth(tether_swap, Lane::ev1, 0);
    swap.duration = Seconds{50};
    EXPECT_DOUBLE_EQ(only("tether", yard).at(0).amount, 10);
    EXPECT_EQ(only("tether", yard).at(0).unit, "s");
}

TEST(CheckTether, ASwapWhereNothingMayBeAnchoredIsFound) {
    Yard yard;
    yard.insert(tether_swap, Lane::ev1, 1070, 60, {panel});
    yard.insert(tether_swap, Lane::ev1, 2130, 60, {airlock});
    EXPECT_THAT(only("tether", yard).at(0).what, testing::HasSubstr("panel is no place to anchor"));
}

TEST(CheckPartner, OneSecondTooFarApartIsFound) {
    Yard yard;  // EV1 at the panel, EV2 at the airlock: 20 m, 200 s
    yard.outing.rules.partner_within = Seconds{200};
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.partner_within = Seconds{199};
    const auto found = only("partner", yard);
    ASSERT_EQ(found.size(), 1u);
    EXPECT_EQ(found[0].at, s(1070));
    EXPECT_DOUBLE_EQ(found[0].amount, 1);
}

TEST(CheckOpenSite, LeavingAnOpenSiteAloneIsFoundEvenIfOneComesBack) {
    Yard yard;
    yard.insert(translate, Lane::ev1, 1570, 200, {panel, truss, panel});
    const Finding found = only("open-site", yard).at(0);
    EXPECT_EQ(found.at, s(1570));
    EXPECT_DOUBLE_EQ(found.amount, 200);
    EXPECT_EQ(found.source, "yard.toml:1");
}

TEST(CheckOpenSite, ASiteStillOpenAtCleanUpIsFound) {
    Yard yard;
    yard.step("valve.3").close_up = false;
    const auto found = only("open-site", yard);
    ASSERT_EQ(found.size(), 2u);  // left alone from 1870, and open at clean-up
    EXPECT_DOUBLE_EQ(found[0].amount, 200);
    EXPECT_EQ(found[1].at, s(2070));
}

TEST(CheckWays, TheWayHomeCountsSwapsAndLeavesALargeItemBehind) {
    Yard yard;
    yard.outing.rules.tether = Metres{15};
    yard.outing.station.routes[0].largest = SizeClass::medium;
    checking::Ways ways(yard.outing, {});
    // Mast to panel to truss with the anchor at the mast would need 20 m of tether: no way.
    EXPECT_EQ(ways.home(Crew::ev1, at(mast), at(mast), SizeClass::small), std::nullopt);
    // Truss, anchored there: 100 s to the airlock, then a swap of 60 s.
    EXPECT_EQ(ways.home(Crew::ev1, at(truss), at(truss), SizeClass::large), Seconds{160});
    // Anchored at the airlock already.
    EXPECT_EQ(ways.home(Crew::ev1, at(truss), at(airlock), SizeClass::large), Seconds{100});
    EXPECT_EQ(ways.home(Crew::ev1, at(airlock), at(airlock), SizeClass::small), Seconds{0});
    yard.outing.rules.tether = Metres{20};
    checking::Ways longer(yard.outing, {});
    // Mast to truss 200 s, swap there 60 s, airlock 100 s, swap 60 s.
    EXPECT_EQ(longer.home(Crew::ev1, at(mast), at(mast), SizeClass::small), Seconds{420});
}

TEST(CheckWays, PartnersMeetAtThePaceOfTheSlowerOne) {
    Yard yard;
    yard.outing.crew[1].speed = MetresPerSecond{0.05};
    checking::Ways ways(yard.outing, {});
    EXPECT_EQ(ways.between(at(airlock), at(panel)), Seconds{400});
}

}  // namespace
}  // namespace handrail::test
