#include <gtest/gtest.h>

#include "expect.h"

namespace handrail::test {
namespace {

using enum ActivityKind;
using enum Spot;

TEST(CheckGloves, OneSecondTooLateIsFoundForEach) {
    Yard yard;  // egress ends at 600, clean-up starts at 2070
    yard.outing.rules.glove_check_every = Seconds{1470};
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.glove_check_every = Seconds{1469};
    const auto found = only("glove-check", yard);
    ASSERT_EQ(found.size(), 2u);
    EXPECT_DOUBLE_EQ(found[0].amount, 1);
    EXPECT_EQ(found[0].at, s(2069));
    yard.add(glove_check, {Lane::ev2}, 1100, 60);
    EXPECT_EQ(only("glove-check", yard).at(0).lanes, std::vector{Lane::ev1});
}

TEST(CheckGloves, OneLongActivityRightAfterACheckMayTakeItsTime) {
    Yard yard;
    yard.outing.rules.glove_check_every = Seconds{1000};
    yard.timeline.activities.clear();
    yard.timeline.bindings.clear();
    yard.outing.tasks[0].task_class = TaskClass::wanted;
    yard.add_task("inventory");
    yard.add_step("inventory", 5000, {Role::lead, Role::helper}, airlock);
    yard.bind("inventory", Crew::ev1);
    const std::vector both{Lane::ev1, Lane::ev2};
    yard.add(egress, both, 0, 600);
    yard.add_run("inventory.1", both, 600, 5000);
    yard.add(clean_up, both, 5600, 300);
    yard.add(ingress, both, 5900, 600);
    EXPECT_THAT(yard, IsFine());
    yard.delay(600, 1);  // no longer right after egress
    for (const Finding& finding : only("glove-check", yard)) EXPECT_DOUBLE_EQ(finding.amount, 4001);
    yard.delay(600, -1);
    yard.insert(glove_check, Lane::ev1, 5600, 60);  // EV2 still has one activity between, EV1 one, too
    EXPECT_THAT(yard, IsFine());
}

TEST(CheckRest, AStretchOfHandHeavyWorkThatIsTooLongIsFound) {
    Yard yard;  // valve.1 and valve.3 are tool work, 300 s each, with 200 s of other work between
    yard.outing.rules.heavy_limit = Seconds{600};
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.heavy_limit = Seconds{599};
    const Finding found = only("rest", yard).at(0);
    EXPECT_DOUBLE_EQ(found.amount, 1);
    EXPECT_EQ(found.at, s(1869));
    yard.outing.rules.rest = Seconds{200};  // the other work is rest enough
    EXPECT_THAT(yard, IsFine());
    yard.outing.rules.heavy_limit = Seconds{200};  // a single step may be longer
    EXPECT_THAT(yard, IsFine());
}

}  // namespace
}  // namespace handrail::test
