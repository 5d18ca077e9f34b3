#include <gtest/gtest.h>

#include "expect.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;

TEST(CheckWho, StepsOnOtherLanesThanTheirLeadGivesAreFound) {
    Yard yard;
    yard.timeline.bindings[0].lead = Crew::ev2;
    EXPECT_EQ(only("who", yard).size(), 3u);
}

TEST(CheckWho, AMissingOrDoubleOrForbiddenLeadIsFound) {
    Yard missing;
    missing.timeline.bindings.erase(missing.timeline.bindings.begin());
    EXPECT_THAT(only("who", missing).at(0).what, testing::HasSubstr("no leads"));
    Yard twice;
    twice.bind("valve", Crew::ev1);
    EXPECT_EQ(only("who", twice).size(), 1u);
    Yard fixed;
    fixed.task("valve").lead = Crew::ev2;
    EXPECT_THAT(only("who", fixed).at(0).what, testing::HasSubstr("must be led by EV2"));
}

TEST(CheckWho, OnePersonsActivityOnTwoLanesIsFound) {
    Yard yard;
    yard.delay(970, 60);
    yard.add(glove_check, {Lane::ev1, Lane::ev2}, 970, 60);
    EXPECT_EQ(only("who", yard).size(), 1u);
}

TEST(CheckWho, WhoCanDoNoMoreStepsOnlyComesHome) {
    Yard yard;
    const CheckOptions options{.dropped = {}, .unable = {Crew::ev2}, .unavailable = {}, .lost = {}};
    EXPECT_EQ(only("who", yard, options).size(), 1u);
    yard.run("camera.1").as_run = true;
    EXPECT_TRUE(broken(yard, options).empty());
}

TEST(CheckWho, AStepOnALaneThatIsGoneIsFound) {
    Yard yard;
    yard.step("valve.2").who = {Role::lead, Role::ground};
    yard.run("valve.2").lanes = {Lane::ev1, Lane::ground};
    EXPECT_THAT(yard, IsFine());
    const CheckOptions options{.dropped = {}, .unable = {}, .unavailable = {Lane::ground}, .lost = {}};
    EXPECT_EQ(only("who", yard, options).at(0).lanes, std::vector{Lane::ground});
}

TEST(CheckOrder, GapsAreKeptToTheSecond) {
    Yard yard;
    Order& order = yard.outing.orders[0];  // valve.1 ends as valve.2 starts
    order.within = Seconds{0};
    EXPECT_THAT(yard, IsFine());
    order = {yard.step("valve.1").id, yard.step("valve.3").id, Seconds{201}, {}, false};  // 200 s lie between
    const Finding found = only("order", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 1);
    EXPECT_EQ(found.at, s(1570));
    order.gap = Seconds{200};
    order.within = Seconds{199};
    EXPECT_DOUBLE_EQ(only("order", yard).at(0).amount, 1);
}

TEST(CheckOrder, WhatStartsTogetherMustNotStartApart) {
    Yard yard;
    yard.outing.orders.push_back({yard.step("camera.1").id, yard.step("valve.2").id, Seconds{0}, {}, true});
    EXPECT_DOUBLE_EQ(only("order", yard).at(0).amount, 1370 - 730);
}

TEST(CheckWholeTask, AMissingStepIsFound) {
    Yard yard;
    yard.remove(yard.run("valve.2"));
    const Finding found = only("whole-task", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 1);
    EXPECT_THAT(found.what, testing::HasSubstr("valve.2"));
}

TEST(CheckWholeTask, AStepDoneTwiceIsFound) {
    Yard yard;
    yard.delay(1870, 200);
    yard.add_run("valve.2", {Lane::ev1}, 1870, 200);
    EXPECT_EQ(only("whole-task", yard).at(0).at, s(1870));
}

TEST(CheckWholeTask, ADroppedTaskKeepsOnlyItsCloseUps) {
    Yard yard;
    for (Activity& activity : yard.timeline.activities) activity.as_run = activity.end() <= s(1370);
    const CheckOptions options{.dropped = {yard.task("valve").id}, .unable = {}, .unavailable = {}, .lost = {}};
    EXPECT_EQ(only("whole-task", yard, options).size(), 1u);  // valve.2 is still planned
    yard.remove(yard.run("valve.2"));
    EXPECT_TRUE(broken(yard, options).empty());
    EXPECT_EQ(broken(yard), std::set<std::string>{"whole-task"});
    yard.remove(yard.run("valve.3"));
    EXPECT_EQ(broken(yard, options), std::set<std::string>{"open-site"});
}

TEST(CheckRequired, ARequiredTaskLeftOutIsFound) {
    Yard yard;
    for (const char* label : {"valve.1", "valve.2", "valve.3"}) yard.remove(yard.run(label));
    EXPECT_THAT(only("required", yard).at(0).what, testing::HasSubstr("\"valve\" is required"));
    EXPECT_TRUE(
        broken(yard, {.dropped = {yard.task("valve").id}, .unable = {}, .unavailable = {}, .lost = {}}).empty());
}

TEST(CheckTaskOrder, ATaskThatStartsBeforeItsPredecessorHasEndedIsFound) {
    Yard yard;
    yard.task("valve").after = {yard.task("camera").id};
    EXPECT_THAT(yard, IsFine());
    yard.task("valve").after = {};
    yard.task("camera").after = {yard.task("valve").id};
    EXPECT_DOUBLE_EQ(only("task-order", yard).at(0).amount, 1870 - 730);
}

TEST(CheckTaskNeeds, ATaskWithoutTheOneItNeedsIsFound) {
    Yard yard;
    yard.add_task("photo");
    yard.task("camera").needs = {yard.task("valve").id};
    EXPECT_THAT(yard, IsFine());
    yard.task("camera").needs = {yard.task("photo").id};
    EXPECT_EQ(only("task-needs", yard).size(), 1u);
}

TEST(CheckTaskNotWith, TasksThatExcludeEachOtherAreFound) {
    Yard yard;
    yard.add_task("photo");
    yard.task("camera").not_with = {yard.task("photo").id};
    EXPECT_THAT(yard, IsFine());
    yard.task("camera").not_with = {yard.task("valve").id};
    EXPECT_EQ(only("task-not-with", yard).size(), 1u);
}

TEST(CheckTaskBy, LatestStartAndEndAreKeptToTheSecond) {
    Yard yard;
    yard.task("valve").starts_by = s(1070);
    yard.task("valve").ends_by = s(1870);
    EXPECT_THAT(yard, IsFine());
    yard.task("valve").starts_by = s(1068);
    EXPECT_DOUBLE_EQ(only("task-by", yard).at(0).amount, 2);
    yard.task("valve").starts_by.reset();
    yard.task("valve").ends_by = s(1867);
    EXPECT_DOUBLE_EQ(only("task-by", yard).at(0).amount, 3);
}

}  // namespace
}  // namespace handrail::test
