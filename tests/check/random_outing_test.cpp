#include "support/random_outing.h"

#include <gtest/gtest.h>

#include <set>

namespace handrail::test {
namespace {

TEST(RandomOuting, EverySeedGivesAnOutingThatCanBeRead) {
    for (std::uint64_t seed = 1; seed <= 500; ++seed) ASSERT_NO_THROW(random_outing(seed)) << "seed " << seed;
}

TEST(RandomOuting, TheSameSeedGivesTheSameTextAndOthersDiffer) {
    EXPECT_EQ(random_outing_text(7), random_outing_text(7));
    std::set<std::string> texts;
    for (std::uint64_t seed = 1; seed <= 100; ++seed) texts.insert(random_outing_text(seed));
    EXPECT_EQ(texts.size(), 100u);
}

/// Without each of these in the mix the property tests would prove less than they say.
TEST(RandomOuting, TheMixHoldsEveryShapeOfTask) {
    std::set<std::string> seen;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        const Outing outing = random_outing(seed);
        EXPECT_GE(outing.tasks.size(), 2u);
        EXPECT_LE(outing.tasks.size(), 15u);
        for (const Step& step : outing.steps) {
            if (step.opens) seen.insert("open site");
            if (step.arm == ArmUse::ride) seen.insert("ride");
            if (!step.moves.empty()) seen.insert("lift");
            if (!step.takes.empty()) seen.insert("take");
            if (!step.leaves.empty()) seen.insert("leave");
            if (!step.installs.empty()) seen.insert("install");
            if (!step.during.empty()) seen.insert("during");
            if (!step.not_during.empty()) seen.insert("not during");
            if (step.who.size() > 1) seen.insert("two crew");
            if (!step.at) seen.insert("anywhere");
        }
        for (const Order& order : outing.orders) {
            if (order.starts_together) seen.insert("together");
            if (order.within) seen.insert("within");
            if (order.gap > Seconds{0}) seen.insert("gap");
        }
        for (const Task& task : outing.tasks) {
            if (!task.after.empty()) seen.insert("task after");
            if (!task.needs.empty()) seen.insert("task needs");
            if (!task.not_with.empty()) seen.insert("task not with");
            if (task.lead) seen.insert("lead");
            if (task.starts_by) seen.insert("starts by");
            if (task.ends_by) seen.insert("ends by");
        }
        for (const Item& item : outing.items)
            if (item.size == SizeClass::large) seen.insert("large item");
    }
    EXPECT_EQ(seen.size(), 20u);
}

}  // namespace
}  // namespace handrail::test
