#include "timeline/loads.h"

#include <gtest/gtest.h>

#include "support/yard.h"

namespace handrail::test {
namespace {

using enum Spot;
using enum Thing;

Watts rate(const Yard& yard, Crew crew, Effort effort) {
    return lifesupport::metabolic_rate(yard.outing.rules, yard.outing.person(crew), effort);
}
CrewLoads loads(const Yard& yard, Crew crew) { return loads_of(yard.outing, yard.windows, yard.timeline, crew); }

TEST(Loads, FollowEachOtherFromPetZeroToTheEndOfIngress) {
    const Yard yard;
    for (Crew crew : both_crew) {
        Pet clock = s(0);
        for (const lifesupport::Load& load : loads(yard, crew).loads) {
            EXPECT_EQ(load.start, clock);
            EXPECT_GT(load.duration, Seconds{0});
            clock = load.end();
        }
        EXPECT_EQ(clock, s(2970));
    }
}

TEST(Loads, CountAWaitAsRest) {
    const Yard yard;  // EV2 waits at the airlock from 1070 to 2070
    const CrewLoads work = loads(yard, Crew::ev2);
    const auto wait = std::ranges::find(work.loads, s(1070), &lifesupport::Load::start);
    ASSERT_NE(wait, work.loads.end());
    EXPECT_EQ(wait->end(), s(2070));
    EXPECT_EQ(wait->metabolic, rate(yard, Crew::ev2, Effort::rest));
    EXPECT_FALSE(work.activity[static_cast<std::size_t>(wait - work.loads.begin())]);
}

TEST(Loads, CountTheWaitBetweenPetZeroAndEgress) {
    Yard yard;
    for (Activity& activity : yard.timeline.activities) activity.start += Seconds{300};
    const CrewLoads work = loads(yard, Crew::ev1);
    EXPECT_EQ(work.loads.front().start, s(0));
    EXPECT_EQ(work.loads.front().end(), s(300));
    EXPECT_EQ(work.loads.front().metabolic, rate(yard, Crew::ev1, Effort::rest));
}

TEST(Loads, OfATranslationAreHeavyWhileSomethingLargeIsInHand) {
    Yard yard;
    const auto walk = [&yard](std::size_t n) {
        const Pet start = yard.nth(ActivityKind::translate, Lane::ev1, n).start;
        const CrewLoads work = loads(yard, Crew::ev1);
        return std::ranges::find(work.loads, start, &lifesupport::Load::start)->metabolic;
    };
    EXPECT_EQ(walk(0), rate(yard, Crew::ev1, Effort::translate));
    yard.item(wrench).size = SizeClass::large;  // picked up at 600, before the first walk
    EXPECT_EQ(walk(0), rate(yard, Crew::ev1, Effort::heavy));
    EXPECT_EQ(loads(yard, Crew::ev2).loads.size(), loads(Yard{}, Crew::ev2).loads.size());
}

TEST(Loads, AreSunlitWhenDaylightHoldsAtTheirMiddle) {
    Yard yard;
    yard.windows.set("daylight", "", {Window(s(0), s(301))});  // egress lasts from 0 to 600
    EXPECT_TRUE(loads(yard, Crew::ev1).loads.front().sunlit);
    EXPECT_FALSE(loads(yard, Crew::ev1).loads.back().sunlit);
    yard.windows.set("daylight", "", {Window(s(0), s(300))});
    EXPECT_FALSE(loads(yard, Crew::ev1).loads.front().sunlit);
}

TEST(Loads, AreSunlitThroughoutWhereDaylightIsUnknown) {
    Yard yard;
    yard.windows = {};
    for (const lifesupport::Load& load : loads(yard, Crew::ev1).loads) EXPECT_TRUE(load.sunlit);
}

TEST(Loads, OfOverlappingActivitiesNeverOverlap) {
    Yard yard;
    yard.run("valve.1").duration = Seconds{5000};
    Pet clock = s(0);
    for (const lifesupport::Load& load : loads(yard, Crew::ev1).loads) {
        EXPECT_EQ(load.start, clock);
        clock = load.end();
    }
}

}  // namespace
}  // namespace handrail::test
