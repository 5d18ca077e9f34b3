#include <gtest/gtest.h>

#include "expect.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;

TEST(CheckItem, AToolLeftBehindIsFound) {
    Yard yard;
    yard.remove(yard.nth(pick_up, Lane::ev1));
    const Finding found = only("item", yard).at(0);
    EXPECT_EQ(found.at, s(1070));
    EXPECT_THAT(found.what, testing::HasSubstr("needs wrench, which is loose at airlock"));
    EXPECT_EQ(found.source, "yard.toml:1");
}

TEST(CheckItem, ToolsWaitingAtTheWorksiteLooseOrInABagWillDo) {
    Yard yard;
    yard.remove(yard.nth(pick_up, Lane::ev1));
    yard.item(Thing::wrench).returns = false;
    yard.item(Thing::wrench).at = at(panel);
    EXPECT_THAT(yard, IsFine());
    yard.item(Thing::wrench).at.reset();
    yard.item(Thing::wrench).in = id(Thing::crate);
    yard.item(Thing::crate).at = at(panel);
    yard.item(Thing::crate).holds = 1;
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckItem, APartnerOutsideTheStepDoesNotLendTheirTool) {
    Yard yard;
    yard.nth(pick_up, Lane::ev1).items = {};
    yard.nth(pick_up, Lane::ev2).items = {id(Thing::bag), id(Thing::wrench)};
    yard.nth(pick_up, Lane::ev2).as_run = true;  // 30 s for two
    EXPECT_THAT(only("item", yard).at(0).what, testing::HasSubstr("in the hands of EV2"));
}

// The record says that it is gone; a pick-up that the plan still has does not bring it back.
TEST(CheckItem, WhatIsLostStaysLost) {
    Yard yard;
    CheckOptions options;
    options.lost = {id(Thing::wrench)};
    options.items = {{id(Thing::wrench), ItemFact::Where::lost, {}, {}, {}}};
    options.items_at = s(590);
    const std::vector<Finding> found = only("item", yard, options);
    ASSERT_GE(found.size(), 2u);
    EXPECT_THAT(found[0].what, testing::HasSubstr("picks up wrench, which is lost"));
    EXPECT_THAT(found[1].what, testing::HasSubstr("needs wrench, which is lost"));
}

TEST(CheckItem, TwoCannotTakeTheSameThing) {
    Yard yard;
    yard.nth(pick_up, Lane::ev1).items = {id(Thing::bag)};
    yard.step("valve.1").needs = {};
    const Finding found = only("item", yard).at(0);
    EXPECT_EQ(found.at, s(600));
    EXPECT_THAT(found.what, testing::HasSubstr("still handles it"));
}

TEST(CheckItem, WhatAStepNeedsMustStayUntilItsEnd) {
    Yard yard;
    yard.step("camera.1").who = {Role::lead};  // EV2
    yard.run("camera.1").lanes = {Lane::ev2};
    yard.step("camera.1").needs = {id(Thing::crate)};
    yard.item(Thing::crate).at = at(truss);
    yard.outing.rules.large_item_pace = Fraction{1};
    yard.outing.crew[0].carry = 5;
    EXPECT_THAT(yard, IsFine());
    yard.add(pick_up, {Lane::ev1}, 730, 30, {truss}, {Thing::crate});
    const Finding found = only("item", yard).at(0);
    EXPECT_EQ(found.at, s(970));
    EXPECT_THAT(found.what, testing::HasSubstr("in the hands of EV1"));
}

TEST(CheckItem, WhatIsInstalledCannotBePickedUp) {
    Yard yard;
    yard.insert(pick_up, Lane::ev2, 970, 30, {truss}, {Thing::camera});
    EXPECT_THAT(only("item", yard).at(0).what, testing::HasSubstr("installed at truss"));
}

TEST(CheckItem, OnlyWhatOneCarriesCanBePutDown) {
    Yard yard;
    yard.insert(put_down, Lane::ev2, 970, 30, {truss}, {Thing::wrench});
    EXPECT_THAT(only("item", yard).at(0).what, testing::HasSubstr("in the hands of EV1"));
}

TEST(CheckItem, StepsTakeLeaveInstallAndMove) {
    Yard yard;
    yard.step("valve.1").leaves = {id(Thing::wrench)};  // loose at the panel from 1370
    yard.step("valve.2").needs = {id(Thing::wrench)};
    yard.step("valve.3").takes = {id(Thing::wrench)};  // back in hand from 1870
    EXPECT_THAT(yard, IsFine());
    yard.step("valve.2").takes = {id(Thing::wrench)};  // and so valve.3 cannot take it
    EXPECT_EQ(only("item", yard).at(0).at, s(1570));
    yard.step("valve.2").takes = {};
    yard.step("valve.2").moves = {id(Thing::crate)};  // which waits at the airlock
    EXPECT_EQ(only("item", yard).at(0).at, s(1370));
    yard.item(Thing::crate).at = at(panel);
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckItem, AMovedItemOfAnySizeIsWhereItWasMovedTo) {
    Yard yard;
    yard.item(Thing::crate).size = SizeClass::oversize;
    yard.item(Thing::crate).at = at(panel);
    yard.item(Thing::crate).returns = true;
    EXPECT_EQ(broken(yard), std::set<std::string>{"returns"});
    yard.remove(yard.nth(translate, Lane::ev1, 2));
    Step& home = yard.add_step("valve", 200, {Role::lead}, panel);
    home.to = at(airlock);
    home.moves = {id(Thing::crate)};
    yard.add_run("valve.4", {Lane::ev1}, 1870, 200);
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckItem, WhatAStepWouldTakeOutOfItsPlaceNeedNotComeBackWhereTheStepIsNotDone) {
    Yard yard;
    yard.item(Thing::crate).at = at(panel);
    yard.item(Thing::crate).returns = true;
    EXPECT_EQ(broken(yard), std::set<std::string>{"returns"});  // it lies there, and nothing else fetches it
    yard.add_task("extra");
    yard.add_step("extra", 200, {Role::lead}, panel).takes = {id(Thing::crate)};
    EXPECT_THAT(yard, IsFine());  // built in, and the task is left out
    yard.step("extra.1").at = at(truss);
    EXPECT_EQ(broken(yard), std::set<std::string>{"returns"});  // taken elsewhere: it is not built in here
}

TEST(CheckCapacity, OneUnitTooManyInHandIsFound) {
    Yard yard;
    yard.outing.rules.large_item_pace = Fraction{1};
    yard.nth(pick_up, Lane::ev1).items = {id(Thing::wrench), id(Thing::crate)};  // 1 + 4 units
    yard.nth(pick_up, Lane::ev1).as_run = true;
    yard.outing.crew[0].carry = 5;
    EXPECT_THAT(yard, IsFine());
    yard.outing.crew[0].carry = 4;
    const Finding found = only("capacity", yard).at(0);
    EXPECT_EQ(found.at, s(630));
    EXPECT_DOUBLE_EQ(found.amount, 1);
    EXPECT_EQ(found.unit, "units");
}

TEST(CheckCapacity, AnOverfullBagIsFound) {
    Yard yard;
    yard.item(Thing::bag).holds = 1;
    EXPECT_THAT(yard, IsFine());
    yard.item(Thing::bag).holds = 0;
    EXPECT_DOUBLE_EQ(only("capacity", yard).at(0).amount, 1);
}

TEST(CheckReturns, WhatMustComeBackAndDoesNotIsFound) {
    Yard yard;
    yard.insert(put_down, Lane::ev1, 1870, 30, {panel}, {Thing::wrench});
    EXPECT_THAT(only("returns", yard).at(0).what, testing::HasSubstr("loose at panel"));
    EXPECT_TRUE(broken(yard, {.dropped = {}, .unable = {}, .unavailable = {}, .lost = {id(Thing::wrench)}}).empty());
    yard.nth(put_down, Lane::ev1).path = {at(airlock)};
    yard.nth(put_down, Lane::ev1).start = s(2070);
    yard.nth(translate, Lane::ev1, 2).start = s(1870);
    EXPECT_THAT(yard, IsFine());
}

}  // namespace
}  // namespace handrail::test
