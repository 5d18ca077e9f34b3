#include "schedule/solve.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "schedule/small_projects.h"

namespace handrail::schedule {
namespace {

using test::activity;

Effort rounds(std::uint64_t count) {
    Effort effort;
    effort.rounds = count;
    return effort;
}

/// The answer is what trying everything gives, and its schedule keeps the rules.
void expect_best(const Project& project, Time horizon, const char* what, int number) {
    SCOPED_TRACE(testing::Message() << what << " " << number);
    ASSERT_EQ(fault(project), "");
    const Answer answer = solve(project, rounds(200));
    const auto best = test::try_everything(project, horizon);
    if (!best) {
        EXPECT_EQ(answer.verdict, Verdict::infeasible);
        return;
    }
    ASSERT_EQ(answer.verdict, Verdict::optimal);
    EXPECT_THAT(broken_rules(project, answer.schedule), testing::IsEmpty());
    EXPECT_EQ(answer.value, best->value);
    EXPECT_EQ(answer.makespan, best->makespan);
    EXPECT_EQ(answer.value_bound, best->value);
    EXPECT_EQ(answer.makespan_bound, best->makespan);
    EXPECT_EQ(makespan(project, answer.schedule), answer.makespan);
}

void expect_best_of_many(const test::Shape& shape, int count, Time horizon, const char* what) {
    Random random(20260);
    for (int number = 0; number < count; ++number)
        expect_best(test::random_project(random, shape), horizon, what, number);
}

TEST(Solve, ASharedResourceMakesTwoWaitForEachOther) {
    Project project;
    project.capacity = {2};
    project.activities = {activity(3, {2}), activity(2, {1}), activity(2, {1})};
    const Answer answer = solve(project, rounds(10));
    EXPECT_EQ(answer.verdict, Verdict::optimal);
    EXPECT_EQ(answer.makespan, 5);
}

TEST(Solve, ALargestGapThatTheResourceForbidsIsProvedInfeasible) {
    Project project;
    project.capacity = {1};
    project.activities = {activity(4, {1}), activity(2, {1})};
    // Each at most one period after the start of the other, and both need the only unit.
    project.lags = {{0, 1, -1, Since::start}, {1, 0, -1, Since::start}};
    EXPECT_EQ(solve(project, rounds(10)).verdict, Verdict::infeasible);
}

TEST(Solve, ACycleOfLeastGapsIsInfeasible) {
    Project project;
    project.activities = {activity(1, {}), activity(1, {})};
    project.lags = {{0, 1}, {1, 0}};
    EXPECT_EQ(solve(project, rounds(10)).verdict, Verdict::infeasible);
}

TEST(Solve, ADemandAboveCapacityIsInfeasible) {
    Project project;
    project.capacity = {1};
    project.activities = {activity(1, {2})};
    EXPECT_EQ(solve(project, rounds(10)).verdict, Verdict::infeasible);
}

TEST(Solve, NothingToDoEndsAtZero) {
    const Answer answer = solve(Project{}, rounds(10));
    EXPECT_EQ(answer.verdict, Verdict::optimal);
    EXPECT_EQ(answer.makespan, 0);
}

TEST(Solve, TheSlowerModeIsTakenWhereTheStockRunsOut) {
    Project project;
    project.stock = {3};
    for (int i = 0; i < 2; ++i) {
        Activity made;
        made.modes = {{2, {}, {2}}, {5, {}, {1}}};
        project.activities.push_back(made);
    }
    const Answer answer = solve(project, rounds(10));
    EXPECT_EQ(answer.verdict, Verdict::optimal);
    EXPECT_EQ(answer.makespan, 5);
    EXPECT_NE(answer.schedule.mode[0], answer.schedule.mode[1]);
}

TEST(Solve, ValueComesBeforeAnEarlyEnd) {
    Project project;
    project.capacity = {1};
    project.activities = {activity(2, {1}), activity(3, {1}), activity(4, {1})};
    for (Activity& each : project.activities) each.deadline = 7;
    project.activities[1].optional = project.activities[2].optional = true;
    project.activities[1].value = 4;
    project.activities[2].value = 5;
    const Answer answer = solve(project, rounds(10));
    EXPECT_EQ(answer.verdict, Verdict::optimal);
    EXPECT_EQ(answer.value, 5);
    EXPECT_EQ(answer.makespan, 6);
    EXPECT_FALSE(answer.schedule.done(1));
}

TEST(Solve, TheSameSeedAndRoundsGiveTheSameAnswer) {
    Random random(7);
    const Project project = test::random_project(random, {30, 1, 0});
    const Answer one = solve(project, rounds(3)), other = solve(project, rounds(3));
    EXPECT_EQ(one.schedule.start, other.schedule.start);
    EXPECT_EQ(one.conflicts, other.conflicts);
    EXPECT_EQ(one.schedules, other.schedules);
}

TEST(Solve, StopsWhenTold) {
    Random random(7);
    const Project project = test::random_project(random, {60, 1, 0});
    Effort effort;
    effort.stop = [] { return true; };
    EXPECT_LE(solve(project, effort).rounds, 1u);
}

TEST(Solve, PlainProjectsAreSolvedAsByTryingEverything) { expect_best_of_many({4, 1, 0}, 60, 12, "plain"); }

TEST(Solve, LargestGapsAndWindowsAreSolvedAsByTryingEverything) {
    expect_best_of_many({4, 1, 0, true, true, false}, 250, 14, "gaps");
}

TEST(Solve, ModesAndStocksAreSolvedAsByTryingEverything) {
    expect_best_of_many({3, 3, 2, false, false, false}, 200, 10, "modes");
}

TEST(Solve, ModesWithLargestGapsAndWindowsAreSolvedAsByTryingEverything) {
    expect_best_of_many({3, 2, 1, true, true, false}, 300, 13, "modes and gaps");
}

TEST(Solve, OptionalActivitiesAreChosenAsByTryingEverything) {
    expect_best_of_many({4, 1, 1, true, true, true}, 200, 11, "optional");
    expect_best_of_many({3, 2, 1, true, true, true}, 200, 13, "optional modes");
}

}  // namespace
}  // namespace handrail::schedule
