#include "schedule/project.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "schedule/small_projects.h"

namespace handrail::schedule {
namespace {

using test::activity;

Project two_in_a_row() {
    Project project;
    project.capacity = {1};
    project.activities = {activity(2, {1}), activity(3, {1})};
    project.lags = {{0, 1, 1, Since::finish}};
    return project;
}

TEST(BrokenRules, AGoodScheduleBreaksNone) {
    EXPECT_THAT(broken_rules(two_in_a_row(), {{0, 3}, {0, 0}}), testing::IsEmpty());
}

TEST(BrokenRules, EachKindIsSeen) {
    const Project project = two_in_a_row();
    EXPECT_THAT(broken_rules(project, {{0, 2}, {0, 0}}),
                testing::ElementsAre("activity 2 starts too soon after activity 1"));
    EXPECT_THAT(broken_rules(project, {{0, 3}, {0, 1}}), testing::ElementsAre("activity 2 has no mode 1"));
    EXPECT_THAT(broken_rules(project, {{0, 3}, {0, Schedule::left_out}}),
                testing::ElementsAre("activity 2 is left out"));
    EXPECT_THAT(broken_rules(project, {{0}, {0}}), testing::ElementsAre("not every activity has a start"));
    Project free = project;
    free.lags.clear();
    EXPECT_THAT(broken_rules(free, {{1, 0}, {0, 0}}), testing::ElementsAre("resource 1 is short in period 1: 2 of 1"));
    free.activities[0].release = 4;
    free.activities[1].latest_start = 1;
    EXPECT_THAT(broken_rules(free, {{3, 9}, {0, 0}}),
                testing::ElementsAre("activity 1 starts before its release", "activity 2 starts too late"));
    free.activities[1].latest_start = unlimited;
    free.activities[1].deadline = 10;
    EXPECT_THAT(broken_rules(free, {{4, 8}, {0, 0}}), testing::ElementsAre("activity 2 ends after its deadline"));
}

TEST(BrokenRules, StockGroupsAndNeedsAreSeen) {
    Project project;
    project.stock = {3};
    for (int i = 0; i < 3; ++i) {
        Activity made;
        made.modes = {{1, {}, {2}}};
        made.optional = true;
        project.activities.push_back(made);
    }
    project.groups = {{{0, 1}, 1, 1}};
    project.needs = {{0, 2}};
    EXPECT_THAT(broken_rules(project, {{0, 0, 0}, {-1, 0, -1}}), testing::IsEmpty());
    EXPECT_THAT(broken_rules(project, {{0, 0, 0}, {0, -1, -1}}),
                testing::ElementsAre("activity 1 is done without activity 3"));
    EXPECT_THAT(broken_rules(project, {{0, 0, 0}, {-1, -1, 0}}),
                testing::ElementsAre("0 of a group are done, expected 1 to 1"));
    EXPECT_THAT(broken_rules(project, {{0, 0, 0}, {-1, 0, 0}}), testing::ElementsAre("stock 1 is short: 4 of 3"));
}

TEST(Fault, NamesWhatAProgrammerGotWrong) {
    EXPECT_EQ(fault(two_in_a_row()), "");
    Project project = two_in_a_row();
    project.lags[0].to = 2;
    EXPECT_EQ(fault(project), "a lag names an unknown activity");
    project = two_in_a_row();
    project.activities[1].modes[0].demand.clear();
    EXPECT_EQ(fault(project), "activity 2 does not name a demand for each resource");
    project.activities[1].modes.clear();
    EXPECT_EQ(fault(project), "activity 2 has no mode");
}

}  // namespace
}  // namespace handrail::schedule
