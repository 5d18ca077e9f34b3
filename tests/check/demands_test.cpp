#include <gtest/gtest.h>

#include "expect.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;
using testing::HasSubstr;

Arm yard_arm() {
    Arm arm{};
    arm.name = "arm";
    arm.base_station_m = {20, 0, 5};
    arm.reach = Metres{40};
    arm.speed = MetresPerSecond{0.1};
    arm.parked = at(airlock);
    return arm;
}

TEST(CheckArmClear, SomebodyWhereTheArmSweepsIsFound) {
    Yard yard;
    yard.outing.station.arm = yard_arm();
    // The empty arm goes from the airlock to the boom, 40 m: 400 s from 1100 on, while EV1 is at the panel from 1070
    // on.
    yard.add(arm_move, {Lane::arm}, 1100, 400, {airlock, boom});
    EXPECT_THAT(yard, IsFine());
    yard.outing.station.arm->clears = {at(panel)};
    const Finding found = only("arm-clear", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 400);
    EXPECT_EQ(found.at, s(1100));
    // Before EV1 has arrived it does not matter: presence begins when the translation has ended.
    Yard early;
    early.outing.station.arm = yard_arm();
    early.outing.station.arm->clears = {at(panel)};
    early.add(arm_move, {Lane::arm}, 670, 400, {airlock, boom});
    EXPECT_THAT(early, IsFine());
}

TEST(CheckByHand, ARideMayBeDoneWithoutTheArmInItsOwnTime) {
    Yard yard;
    yard.outing.station.arm = yard_arm();
    Step& step = yard.step("valve.2");
    step.arm = ArmUse::ride;
    EXPECT_FALSE(broken(yard).empty());  // the arm is not on its lanes
    step.by_hand = Seconds{200};
    EXPECT_THAT(yard, IsFine());
    step.by_hand = Seconds{230};
    EXPECT_DOUBLE_EQ(only("step-time", yard).at(0).amount, 30);
}

TEST(CheckWatch, WhatIsNotWatchedToTheEndIsFound) {
    Yard yard;
    Step& watch = yard.add_step("valve", 300, {Role::helper}, airlock);
    watch.watches = yard.step("valve.1").id;
    yard.outing.orders.pop_back();
    yard.outing.orders.push_back({yard.step("valve.1").id, yard.step("valve.4").id, Seconds{0}, {}, true});
    yard.add_run("valve.4", {Lane::ev2}, 1070, 300);
    EXPECT_THAT(yard, IsFine());
    yard.run("valve.4").duration = Seconds{250};
    const std::set<std::string> rules = broken(yard);
    EXPECT_TRUE(rules.contains("watch"));
    EXPECT_TRUE(rules.contains("step-time"));  // it must last as long as what it watches
}

TEST(CheckInhibit, ConfirmedBeforeAndReleasedAfter) {
    Yard yard;
    yard.outing.inhibits.push_back({"heater", "Heater bus", Seconds{100}, Seconds{60}, Seconds{100}, {}});
    const InhibitId heater{0};
    yard.step("valve.2").inhibits = {heater};
    yard.add_step("valve", 100, {Role::ground}, airlock).commands = heater;
    yard.add_step("valve", 60, {Role::iv}, airlock).confirms = heater;
    yard.add_step("valve", 100, {Role::ground}, airlock).releases = heater;
    for (const char* label : {"valve.4", "valve.5", "valve.6"}) yard.step(label).at.reset();
    yard.outing.orders.resize(2);  // those of the first three steps
    yard.add_run("valve.4", {Lane::ground}, 1000, 100);
    yard.add_run("valve.5", {Lane::iv}, 1310, 60);
    yard.add_run("valve.6", {Lane::ground}, 1570, 100);
    EXPECT_THAT(yard, IsFine());  // confirmed at 1370, when valve.2 starts; released at 1570, when it ends
    yard.run("valve.5").start = s(1311);
    EXPECT_DOUBLE_EQ(only("inhibit", yard).at(0).amount, 1);
    yard.run("valve.5").start = s(1310);
    yard.run("valve.6").start = s(1567);
    EXPECT_DOUBLE_EQ(only("inhibit", yard).at(0).amount, 3);
    yard.remove(yard.run("valve.6"));
    EXPECT_TRUE(broken(yard).contains("inhibit"));  // commanded and never released
}

TEST(CheckQuiet, AStepInAQuietPeriodIsFound) {
    Yard yard;
    yard.windows.set("docking", "", {Window(s(1300), s(1400))});
    yard.outing.rules.quiet.push_back({"docking", {Lane::ev1}});
    EXPECT_EQ(only("quiet", yard).size(), 2u);  // valve.1 until 1370 and valve.2 from 1370 on
    EXPECT_DOUBLE_EQ(only("quiet", yard).at(0).amount, 70);
    yard.outing.rules.quiet[0].lanes = {Lane::ev2};
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckInterruption, OnlyWhatIsLetInMayComeBetweenTheParts) {
    Yard yard;
    yard.step("valve.2").continues = yard.step("valve.1").id;
    EXPECT_THAT(yard, IsFine());
    yard.delay(1370, 160);
    yard.add(glove_check, {Lane::ev1}, 1370, 60);
    EXPECT_THAT(yard, IsFine());
    yard.add_task("photo");
    yard.add_step("photo", 100, {Role::lead}, panel);
    yard.bind("photo", Crew::ev1);
    yard.add_run("photo.1", {Lane::ev1}, 1430, 100);
    EXPECT_THAT(only("interruption", yard).at(0).what, HasSubstr("may not"));
    yard.step("valve.2").lets_in = {yard.task("photo").id};
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckPersonLimit, TooMuchWorkAndTooMuchHeavyWorkAreFound) {
    Yard yard;  // EV1: camera 240, valve 800; of that 600 hand-heavy
    yard.outing.crew[0].work_limit = Seconds{1040};
    yard.outing.crew[0].heavy_total = Seconds{600};
    EXPECT_THAT(yard, IsFine());
    yard.outing.crew[0].work_limit = Seconds{1000};
    EXPECT_DOUBLE_EQ(only("person-limit", yard).at(0).amount, 40);
    yard.outing.crew[0].work_limit.reset();
    yard.outing.crew[0].heavy_total = Seconds{590};
    EXPECT_DOUBLE_EQ(only("person-limit", yard).at(0).amount, 10);
}

TEST(CheckResource, MoreThanThereIsIsFoundAndBackToBackIsFine) {
    Yard yard;
    yard.outing.resources.push_back({"power", "Power bus", "W", 300});
    const ResourceId power{0};
    yard.step("valve.1").uses = {{power, 300}};
    yard.step("valve.2").uses = {{power, 200}};  // starts when valve.1 ends
    EXPECT_THAT(yard, IsFine());
    yard.add_task("photo");
    yard.add_step("photo", 100, {Role::lead}, airlock).uses = {{power, 150}};
    yard.bind("photo", Crew::ev2);
    yard.add_run("photo.1", {Lane::ev2}, 1400, 100);
    const Finding found = only("resource", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 50);
    EXPECT_EQ(found.at, s(1400));
    yard.outing.resources[0].capacity = 350;
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckPreference, AWishNotKeptIsANoteAndNoFinding) {
    Yard yard;
    Preference wish;
    wish.task = yard.task("camera").id;
    wish.lead = Crew::ev1;
    wish.worth = Seconds{300};
    yard.outing.preferences.push_back(wish);
    EXPECT_THAT(yard, IsFine());
    const std::vector<Finding> notes = only("preference", yard);
    EXPECT_EQ(notes.at(0).severity, Severity::note);
    yard.outing.preferences[0].lead = Crew::ev2;
    EXPECT_TRUE(findings(yard).empty()) << print_findings(findings(yard));
    yard.outing.preferences[0] = {wish.task, {}, {}, s(969), {}, Seconds{60}, {}};
    EXPECT_THAT(only("preference", yard).at(0).what, HasSubstr("1 s after"));
    yard.outing.preferences[0] = {wish.task, {}, {}, {}, s(731), Seconds{60}, {}};
    EXPECT_THAT(only("preference", yard).at(0).what, HasSubstr("1 s before"));
    yard.windows.set("sunny", "", {Window(s(730), s(969))});
    yard.outing.preferences[0] = {wish.task, {}, "sunny", {}, {}, Seconds{60}, {}};
    EXPECT_EQ(only("preference", yard).size(), 1u);
}

TEST(CheckAlternatives, ARequiredTaskMayBeDoneInItsOtherWay) {
    Yard yard;
    yard.add_task("spare-valve", TaskClass::required);
    EXPECT_EQ(only("required", yard).size(), 1u);
    yard.task("spare-valve").instead_of = {yard.task("valve").id};
    yard.task("valve").instead_of = {yard.task("spare-valve").id};
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckHandOver, WhatIsHandedOverChangesHands) {
    Yard yard;
    yard.step("camera.1").hands_over = {id(Thing::wrench)};  // EV1 has it, EV2 has it afterwards
    EXPECT_EQ(broken(yard), std::set<std::string>{"item"});  // valve.1 then lacks it
    Yard none;
    none.step("camera.1").hands_over = {id(Thing::crate)};
    EXPECT_THAT(only("item", none).at(0).what, HasSubstr("hands over crate"));
}

TEST(CheckStow, ABagHoldsNoMoreThanItCan) {
    Yard yard;
    yard.step("camera.1").stows = {id(Thing::wrench)};
    yard.step("camera.1").into = id(Thing::bag);
    // The wrench goes back to the airlock in EV2's bag, so valve.1 lacks it; without that need all is well.
    EXPECT_EQ(broken(yard), std::set<std::string>{"item"});
    yard.step("valve.1").needs.clear();
    EXPECT_THAT(yard, IsFine());
    yard.item(Thing::bag).holds = 1;
    EXPECT_THAT(yard, IsFine());  // the camera has left the bag before the wrench goes into it
    yard.step("camera.1").installs.clear();
    EXPECT_DOUBLE_EQ(only("capacity", yard).at(0).amount, 1);
}

TEST(CheckTwoPeople, WhatIsTooLargeForOneIsHandledByBoth) {
    Yard yard;
    yard.item(Thing::camera).two_people = true;
    EXPECT_THAT(yard, IsFine());  // both install it, out of a bag
    yard.item(Thing::wrench).two_people = true;
    EXPECT_THAT(only("item", yard).at(0).what, HasSubstr("too large for one"));
}

}  // namespace
}  // namespace handrail::test
