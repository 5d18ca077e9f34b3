#include <gtest/gtest.h>

#include "expect.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;

/// EV1 rides from the truss to the mast, works there and rides back, before the valve. The arm stands at the airlock,
/// reaches 35 m, moves 0.1 m/s after 60 s of calls, and waits at the truss.
struct ArmYard : Yard {
    ArmYard() {
        outing.station.arm = Arm{"the arm", {0, 0, 0}, Metres{35}, MetresPerSecond{0.1}, Seconds{60}, at(truss), "Cy"};
        outing.rules.tether = Metres{40};
        add_task("survey");
        bind("survey", Crew::ev1);
        for (const auto& [from, to, use] : {std::tuple(truss, mast, ArmUse::ride), std::tuple(mast, mast, ArmUse::hold),
                                            std::tuple(mast, truss, ArmUse::ride)}) {
            Step& ride = add_step("survey", 100, {Role::lead}, from);
            ride.to = at(to);
            ride.arm = use;
        }
        delay(970, 300);
        for (int i = 0; i < 3; ++i)
            add_run("survey." + std::to_string(i + 1), {Lane::ev1, Lane::arm}, 970 + 100 * i, 100);
    }
};

TEST(CheckArm, ARideThereAndBackBreaksNoRule) { EXPECT_THAT(ArmYard{}, IsFine()); }

TEST(CheckArm, ATipThatIsElsewhereIsFound) {
    ArmYard yard;
    yard.outing.station.arm->parked = at(mast);
    const auto found = only("arm", yard);
    ASSERT_EQ(found.size(), 1u);
    EXPECT_EQ(found[0].at, s(970));
    EXPECT_DOUBLE_EQ(found[0].amount, 20);  // mast to truss
}

TEST(CheckArm, OneMetreBeyondItsReachIsFound) {
    ArmYard yard;
    yard.outing.station.arm->reach = Metres{30};
    EXPECT_THAT(yard, IsFine());
    yard.outing.station.arm->reach = Metres{29};
    const auto found = only("arm", yard);
    EXPECT_EQ(found.size(), 3u);
    for (const Finding& finding : found) EXPECT_DOUBLE_EQ(finding.amount, 1);
}

TEST(CheckArm, AMoveTakesItsCallsAndItsWay) {
    ArmYard yard;
    yard.outing.station.arm->parked = at(airlock);
    yard.add(arm_move, {Lane::arm}, 600, 160, {airlock, truss});  // 60 s of calls, 10 m at 0.1 m/s
    EXPECT_THAT(yard, IsFine());
    Activity& move = yard.nth(arm_move, Lane::arm);
    move.duration = Seconds{150};
    EXPECT_DOUBLE_EQ(only("arm", yard).at(0).amount, 10);
    move.as_run = true;
    EXPECT_THAT(yard, IsFine());
    move.path = {at(mast), at(truss)};
    EXPECT_DOUBLE_EQ(only("arm", yard).at(0).amount, 30);  // it is at the airlock
}

TEST(CheckArmSpan, AnotherTasksStepBetweenGettingOnAndOffIsFound) {
    ArmYard yard;
    yard.add_task("photo");
    yard.bind("photo", Crew::ev1);
    yard.add_step("photo", 100, {Role::lead}, mast);
    yard.delay(1170, 100);
    yard.add_run("photo.1", {Lane::ev1}, 1170, 100);  // between survey.2 and survey.3
    const Finding found = only("arm-span", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 100);
    EXPECT_EQ(found.at, s(1170));
    EXPECT_EQ(found.lanes, std::vector{Lane::ev1});
    // The partner, who waits at the truss, is free to do it.
    yard.timeline.bindings.back().lead = Crew::ev2;
    yard.step("photo.1").at = at(truss);
    yard.run("photo.1").lanes = {Lane::ev2};
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckArm, AStationWithoutOneIsFound) {
    ArmYard yard;
    yard.outing.station.arm.reset();
    EXPECT_THAT(only("arm", yard).at(0).what, testing::HasSubstr("the station has none"));
}

TEST(CheckArm, GettingOffBeyondTheTetherAnchorsThereOrIsFound) {
    ArmYard yard;
    yard.outing.rules.tether = Metres{30};  // the mast is just in reach of the airlock: no new anchor
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.tether = Metres{25};
    // Anchored at the mast from the first ride on: 30 m from the airlock, to which EV1 returns.
    for (const Finding& finding : only("tether", yard)) EXPECT_GE(finding.at, s(2170));
    yard.outing.station.worksites[index(at(mast))].anchor = false;
    const auto found = only("tether", yard);
    ASSERT_EQ(found.size(), 1u);  // survey.2 at the mast, still anchored at the airlock
    EXPECT_EQ(found[0].at, s(1070));
    EXPECT_DOUBLE_EQ(found[0].amount, 5);
}

}  // namespace
}  // namespace handrail::test
