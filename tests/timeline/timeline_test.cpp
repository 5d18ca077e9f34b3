#include "timeline/timeline.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/yard.h"

namespace handrail::test {
namespace {

using enum Spot;

TEST(Timeline, EndsWithTheLastActivityOfTheCrew) {
    Yard yard;
    EXPECT_EQ(yard.timeline.finish(), s(2970));
    yard.step("valve.2").who = {Role::ground};
    yard.add_run("valve.2", {Lane::ground}, 5000, 200);
    EXPECT_EQ(yard.timeline.finish(), s(2970));
    EXPECT_EQ(Timeline{}.finish(), s(0));
}

TEST(Timeline, KnowsWhoLeadsATask) {
    const Yard yard;
    EXPECT_EQ(yard.timeline.lead_of(TaskId{1}), Crew::ev2);
    EXPECT_EQ(yard.timeline.lead_of(TaskId{7}), std::nullopt);
}

TEST(Timeline, IsOrderedByStartThenLaneThenKind) {
    Timeline timeline;
    const auto add = [&](ActivityKind kind, Lane lane, long start) {
        Activity activity;
        activity.kind = kind;
        activity.lanes = {lane};
        activity.start = s(start);
        timeline.activities.push_back(activity);
    };
    add(ActivityKind::rest, Lane::ev2, 0);
    add(ActivityKind::rest, Lane::ev1, 5);
    add(ActivityKind::rest, Lane::ev1, 0);
    add(ActivityKind::translate, Lane::ev1, 0);
    put_in_order(timeline);
    EXPECT_EQ(timeline.activities[0].kind, ActivityKind::translate);
    EXPECT_EQ(timeline.activities[1].lanes, std::vector{Lane::ev1});
    EXPECT_EQ(timeline.activities[2].lanes, std::vector{Lane::ev2});
    EXPECT_EQ(timeline.activities[3].start, s(5));
}

TEST(Effort, FollowsTheActivityAndForATranslationTheLoad) {
    Yard yard;
    const Activity& walk = yard.nth(ActivityKind::translate, Lane::ev1);
    EXPECT_EQ(effort_of(yard.outing, walk, SizeClass::medium), Effort::translate);
    EXPECT_EQ(effort_of(yard.outing, walk, SizeClass::large), Effort::heavy);
    EXPECT_EQ(effort_of(yard.outing, yard.run("valve.1"), SizeClass::large), Effort::tools);
    EXPECT_EQ(effort_of(yard.outing, yard.run("valve.2"), SizeClass::small), Effort::light);
    const std::pair<ActivityKind, Effort> rest_of_them[] = {
        {ActivityKind::egress, Effort::airlock},    {ActivityKind::ingress, Effort::airlock},
        {ActivityKind::tether_swap, Effort::light}, {ActivityKind::pick_up, Effort::light},
        {ActivityKind::put_down, Effort::light},    {ActivityKind::glove_check, Effort::light},
        {ActivityKind::clean_up, Effort::light},    {ActivityKind::rest, Effort::rest},
        {ActivityKind::arm_move, Effort::rest},
    };
    for (const auto& [kind, effort] : rest_of_them) {
        Activity activity;
        activity.kind = kind;
        EXPECT_EQ(effort_of(yard.outing, activity, SizeClass::large), effort) << word(kind);
    }
}

TEST(Title, SaysWhatIsDoneAndWhere) {
    Yard yard;
    EXPECT_EQ(title(yard.outing, yard.run("valve.1")), "valve: step 1");
    EXPECT_EQ(title(yard.outing, yard.nth(ActivityKind::translate, Lane::ev1, 2)), "translate to airlock");
    EXPECT_EQ(title(yard.outing, yard.nth(ActivityKind::pick_up, Lane::ev2)), "pick up bag");
    Activity activity;
    activity.kind = ActivityKind::tether_swap;
    activity.path = {at(truss)};
    EXPECT_EQ(title(yard.outing, activity), "swap tether at truss");
    activity.kind = ActivityKind::glove_check;
    EXPECT_EQ(title(yard.outing, activity), "glove check");
}

}  // namespace
}  // namespace handrail::test
