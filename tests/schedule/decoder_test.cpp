#include "schedule/decoder.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "schedule/bounds.h"
#include "schedule/genetic.h"
#include "schedule/small_projects.h"

namespace handrail::schedule {
namespace {

using detail::Decoder;
using detail::Flat;

/// The same scheme without packed resources: each activity in turn at the first period where everything fits.
std::vector<Time> place_slowly(const Project& project, const std::vector<int>& order) {
    Schedule schedule{std::vector<Time>(order.size()), std::vector<int>(order.size(), Schedule::left_out)};
    Project open = project;
    for (Activity& each : open.activities) each.optional = true;
    for (const int i : order) {
        schedule.mode[i] = 0;
        while (!broken_rules(open, schedule).empty()) ++schedule.start[i];
    }
    return schedule.start;
}

Project wide_project(Random& random, int resources) {
    Project project = test::random_project(random, {12, 1, 0});
    std::erase_if(project.lags, [](const Lag& lag) { return lag.since == Since::start; });
    project.capacity.assign(resources, 3);
    for (Activity& each : project.activities) {
        each.modes.front().demand.clear();
        for (int r = 0; r < resources; ++r) each.modes.front().demand.push_back(random.below(4));
    }
    return project;
}

TEST(Decoder, PacksResourcesWithoutChangingTheSchedule) {
    Random random(3);
    for (const int resources : {1, 4, 5, 9}) {
        for (int number = 0; number < 10; ++number) {
            const Project project = wide_project(random, resources);
            const auto flat = detail::flatten(project);
            ASSERT_TRUE(flat);
            Decoder decoder(*flat);
            std::vector<Time> start(flat->count);
            decoder.forward(flat->order, start);
            EXPECT_EQ(start, place_slowly(project, flat->order)) << resources << " resources, " << number;
        }
    }
}

// Small amounts and short activities are packed more tightly than large or long ones: all give the same schedule.
TEST(Decoder, AmountsAndDurationsDoNotChangeHowItPlaces) {
    Random random(6);
    for (const int scale : {1, 40, 60, 9000}) {
        for (const int longest : {10, 13, 14, 40}) {
            Project project = wide_project(random, 4);
            for (int& capacity : project.capacity) capacity *= scale;
            for (Activity& each : project.activities) {
                each.modes.front().duration = random.below(longest + 1);
                for (int& demand : each.modes.front().demand) demand *= scale;
            }
            project.activities.front().modes.front().duration = longest;
            const auto flat = detail::flatten(project);
            ASSERT_TRUE(flat);
            Decoder decoder(*flat);
            std::vector<Time> start(flat->count);
            for (int again = 0; again < 2; ++again) {
                decoder.forward(flat->order, start);
                EXPECT_EQ(start, place_slowly(project, flat->order)) << scale << " times, up to " << longest;
                decoder.improve(start);
            }
        }
    }
}

TEST(Decoder, ShiftingRightAndLeftNeverMakesAScheduleLonger) {
    Random random(4);
    for (int number = 0; number < 100; ++number) {
        const Project project = wide_project(random, 3);
        const auto flat = detail::flatten(project);
        ASSERT_TRUE(flat);
        Decoder decoder(*flat);
        Schedule schedule{std::vector<Time>(flat->count), std::vector<int>(flat->count, 0)};
        const Time before = decoder.forward(flat->order, schedule.start);
        const Time after = decoder.improve(schedule.start);
        EXPECT_LE(after, before);
        EXPECT_TRUE(broken_rules(project, schedule).empty());
    }
}

TEST(Flat, RefusesWhatTheDecoderCannotKeep) {
    Project project;
    project.capacity = {2};
    project.activities = {test::activity(2, {1}), test::activity(2, {1})};
    EXPECT_TRUE(detail::flatten(project));
    Project gap = project;
    gap.lags = {{1, 0, -3, Since::start}};
    EXPECT_FALSE(detail::flatten(gap));
    Project window = project;
    window.activities[0].deadline = 5;
    EXPECT_FALSE(detail::flatten(window));
    Project cycle = project;
    cycle.lags = {{0, 1}, {1, 0}};
    EXPECT_FALSE(detail::flatten(cycle));
    Project large = project;
    large.capacity = {40000};
    EXPECT_FALSE(detail::flatten(large));
}

TEST(Bounds, WorkOnOneResourceIsSharedByItsCapacity) {
    Project project;
    project.capacity = {2};
    // A head of 1, five units of work for two at a time, a tail of 2 (invented): 1 + 3 + 2.
    project.activities = {test::activity(1, {0}), test::activity(2, {1}), test::activity(2, {1}),
                          test::activity(1, {1}), test::activity(2, {0})};
    for (const int i : {1, 2, 3}) {
        project.lags.push_back({0, i});
        project.lags.push_back({i, 4});
    }
    const auto flat = detail::flatten(project);
    ASSERT_TRUE(flat);
    EXPECT_EQ(detail::critical_path(*flat), 5);
    EXPECT_EQ(detail::quick_bound(*flat), 6);
}

TEST(Genetic, KeepsTheRulesAndTheSameSeedGivesTheSameSchedule) {
    Random random(5);
    const Project project = wide_project(random, 4);
    const auto flat = detail::flatten(project);
    ASSERT_TRUE(flat);
    detail::Genetic one(*flat, 9), other(*flat, 9);
    for (detail::Genetic* search : {&one, &other}) search->run(3000, 0, [] { return false; });
    EXPECT_TRUE(std::ranges::equal(one.best(), other.best()));
    const Schedule schedule{{one.best().begin(), one.best().end()}, std::vector<int>(flat->count, 0)};
    EXPECT_TRUE(broken_rules(project, schedule).empty());
    EXPECT_EQ(makespan(project, schedule), one.best_makespan());
    EXPECT_GE(one.best_makespan(), detail::quick_bound(*flat));
}

}  // namespace
}  // namespace handrail::schedule
