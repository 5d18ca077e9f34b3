#include <gtest/gtest.h>

#include "expect.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;

TEST(CheckOverlap, TenSecondsOfTwoThingsAtOnceAreFound) {
    Yard yard;
    yard.nth(translate, Lane::ev1, 1).start = s(960);  // camera.1 ends at 970
    const Finding found = only("overlap", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 10);
    EXPECT_EQ(found.at, s(960));
    EXPECT_EQ(found.lanes, std::vector{Lane::ev1});
}

TEST(CheckOverlap, OneHiddenInsideALongerOneIsFoundAlthoughItsNeighbourIsShort) {
    Yard yard;
    yard.add(glove_check, {Lane::ev2}, 1100, 700);
    yard.add(glove_check, {Lane::ev2}, 1200, 60);
    yard.add(glove_check, {Lane::ev2}, 1500, 60);
    const auto found = only("overlap", yard);
    ASSERT_EQ(found.size(), 2u);
    EXPECT_DOUBLE_EQ(found[1].amount, 60);
}

TEST(CheckEgress, TooShortTooEarlyMissingTwiceOrAloneIsFound) {
    Yard too_short;
    too_short.nth(egress, Lane::ev1).duration = Seconds{590};
    EXPECT_DOUBLE_EQ(only("egress", too_short).at(0).amount, 10);

    Yard too_early;
    too_early.nth(egress, Lane::ev1).start = s(-10);
    EXPECT_DOUBLE_EQ(only("egress", too_early).at(0).amount, 10);

    Yard missing;
    missing.remove(missing.nth(egress, Lane::ev1));
    EXPECT_THAT(only("egress", missing).at(0).what, testing::HasSubstr("there is no egress"));

    Yard twice;
    twice.delay(0, 600);
    twice.add(egress, {Lane::ev1, Lane::ev2}, 0, 600);
    EXPECT_THAT(only("egress", twice).at(0).what, testing::HasSubstr("keep one"));

    Yard alone;
    alone.nth(egress, Lane::ev1).lanes = {Lane::ev1};
    EXPECT_EQ(only("egress", alone).size(), 2u);  // EV2 is not in it, and starts with something else
}

TEST(CheckEgressBy, OneSecondAfterTheLatestEgressIsFound) {
    Yard yard;
    yard.outing.rules.egress_by = s(600);
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.egress_by = s(599);
    EXPECT_DOUBLE_EQ(only("egress-by", yard).at(0).amount, 1);
}

TEST(CheckIngress, TooShortMissingOrNotLastIsFound) {
    Yard too_short;
    too_short.nth(clean_up, Lane::ev1).duration = Seconds{290};
    too_short.nth(ingress, Lane::ev1).duration = Seconds{580};
    const auto found = only("ingress", too_short);
    ASSERT_EQ(found.size(), 2u);
    EXPECT_DOUBLE_EQ(found[0].amount, 10);
    EXPECT_DOUBLE_EQ(found[1].amount, 20);

    Yard missing;
    missing.remove(missing.nth(clean_up, Lane::ev1));
    EXPECT_THAT(only("ingress", missing).at(0).what, testing::HasSubstr("no clean-up"));

    Yard between;
    between.insert(glove_check, Lane::ev2, 2370, 60);
    EXPECT_EQ(only("ingress", between).at(0).lanes, std::vector{Lane::ev2});

    Yard alone;
    alone.nth(ingress, Lane::ev1).lanes = {Lane::ev1};
    EXPECT_FALSE(only("ingress", alone).empty());
}

TEST(CheckLimit, OneSecondOverIsFoundAndAThinMarginIsNoted) {
    Yard yard;  // the hatch is closed at 2970
    yard.outing.rules.limit = Seconds{2970 + 1800};
    EXPECT_TRUE(findings(yard).empty());
    yard.outing.rules.limit = Seconds{2970 + 1799};
    const auto noted = findings(yard);
    ASSERT_EQ(noted.size(), 1u);
    EXPECT_EQ(noted[0].rule, "limit");
    EXPECT_EQ(noted[0].severity, Severity::note);
    EXPECT_DOUBLE_EQ(noted[0].amount, 1);
    yard.outing.rules.limit = Seconds{2969};
    // From the end of valve.3 nobody could be back in time either.
    EXPECT_EQ(broken(yard), (std::set<std::string>{"limit", "turn-back"}));
    for (const Finding& finding : findings(yard)) EXPECT_DOUBLE_EQ(finding.amount, 1);
}

TEST(CheckStepTime, AStepShorterThanPlannedIsFoundUnlessItHappened) {
    Yard yard;
    yard.run("valve.2").duration = Seconds{190};
    const Finding found = only("step-time", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 10);
    EXPECT_EQ(found.source, "yard.toml:11");
    yard.run("valve.2").as_run = true;
    EXPECT_THAT(yard, IsFine());
    yard.outing.crew[0].experience_factor = 1.1;  // valve.1 and valve.3 take 330 s, and camera.1 264 s
    EXPECT_EQ(only("step-time", yard).size(), 3u);
}

TEST(CheckHandlingTime, PickUpsChecksAndRestsLastAsTheRulesSay) {
    Yard yard;
    yard.nth(pick_up, Lane::ev1).duration = Seconds{20};
    EXPECT_DOUBLE_EQ(only("handling-time", yard).at(0).amount, 10);
    Yard waiting;
    waiting.add(glove_check, {Lane::ev2}, 1100, 60);
    waiting.add(rest, {Lane::ev2}, 1200, 300);
    EXPECT_THAT(waiting, IsFine());
    waiting.nth(glove_check, Lane::ev2).duration = Seconds{55};
    waiting.nth(rest, Lane::ev2).duration = Seconds{260};
    const auto found = only("handling-time", waiting);
    ASSERT_EQ(found.size(), 2u);
    EXPECT_DOUBLE_EQ(found[0].amount, 5);
    EXPECT_DOUBLE_EQ(found[1].amount, 40);
}

TEST(CheckHandlingTime, TwoItemsTakeTwiceAsLong) {
    Yard yard;
    yard.nth(pick_up, Lane::ev1).items = {id(Thing::wrench), id(Thing::crate)};
    yard.outing.rules.large_item_pace = Fraction{1};
    yard.outing.crew[0].carry = 5;
    EXPECT_DOUBLE_EQ(only("handling-time", yard).at(0).amount, 30);
}

TEST(CheckWindow, AStepMayFillItsWindowToTheSecond) {
    Yard yard;  // valve.2 is [1370, 1570)
    yard.step("valve.2").during = {"daylight"};
    yard.windows.set("daylight", "", {{s(1370), s(1570)}});
    EXPECT_THAT(yard, IsFine());
    yard.windows.set("daylight", "", {{s(0), s(1469)}, {s(1472), s(5000)}});  // 3 s of dark in the middle
    EXPECT_DOUBLE_EQ(only("window", yard).at(0).amount, 3);
    yard.windows.set("daylight", "", {{s(1371), s(1569)}});
    EXPECT_DOUBLE_EQ(only("window", yard).at(0).amount, 2);
    yard.windows.set("daylight", "", {});
    EXPECT_DOUBLE_EQ(only("window", yard).at(0).amount, 200);
}

TEST(CheckWindow, AForbiddenConditionMayEndAndStartAtTheStepsEdges) {
    Yard yard;
    yard.step("valve.2").not_during = {"glare"};
    yard.windows.set("glare", "", {{s(0), s(1370)}, {s(1570), s(2000)}});
    EXPECT_THAT(yard, IsFine());
    yard.windows.set("glare", "panel", {{s(0), s(1371)}, {s(1569), s(2000)}});  // the panel's own list counts
    EXPECT_DOUBLE_EQ(only("window", yard).at(0).amount, 2);
}

TEST(CheckVoice, MoreStepsThanCanBeTalkedThroughAreFound) {
    Yard yard;
    yard.outing.rules.voice_loops = 1;
    yard.add_task("photo");
    yard.add_step("photo", 300, {Role::lead}, truss);
    yard.bind("photo", Crew::ev2);
    yard.nth(translate, Lane::ev2, 1).start = s(1270);
    yard.add_run("photo.1", {Lane::ev2}, 970, 300);  // valve.1 starts at 1070
    const Finding found = only("voice", yard).at(0);
    EXPECT_EQ(found.at, s(1070));
    EXPECT_DOUBLE_EQ(found.amount, 1);
    yard.outing.rules.voice_loops = 2;
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.voice_loops = 1;
    yard.step("photo.1").duration = {Seconds{100}, Seconds{100}, Seconds{100}};
    yard.run("photo.1").duration = Seconds{100};  // ends as valve.1 starts
    EXPECT_THAT(yard, IsFine());
    yard.run("photo.1").start = s(1070);  // at the same moment, and bound to be: one to talk through
    yard.outing.orders.push_back({yard.step("photo.1").id, yard.step("valve.1").id, Seconds{0}, {}, true});
    EXPECT_THAT(yard, IsFine());
    yard.outing.orders.pop_back();
    EXPECT_EQ(broken(yard), std::set<std::string>{"voice"});
}

}  // namespace
}  // namespace handrail::test
