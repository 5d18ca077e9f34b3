#include "brief/carrying.h"

#include <gtest/gtest.h>

#include "invented_outing.h"

namespace handrail::brief {
namespace {

const Activity& activity_of(const Invented& made, ActivityKind kind, Lane lane) {
    for (const Activity& activity : made.timeline.activities)
        if (activity.kind == kind && activity.on(lane)) return activity;
    throw std::logic_error("no such activity");
}

TEST(Carrying, APickedUpBagIsInTheHandsFromTheEndOfThePickUp) {
    const Invented made = invented();
    const Carrying carrying(made.outing, made.timeline);
    const Activity& pick_up = activity_of(made, ActivityKind::pick_up, Lane::ev1);
    EXPECT_EQ(carrying.hands(Crew::ev1, pick_up.start), "nothing");
    EXPECT_EQ(carrying.hands(Crew::ev1, pick_up.end()), "Tool bag 1 (Pistol driver)");
}

TEST(Carrying, WhatIsInABagGoesWhereTheBagGoes) {
    const Invented made = invented();
    const Carrying carrying(made.outing, made.timeline);
    EXPECT_EQ(carrying.whereabouts(ItemId{2}, pet(Seconds{0})), "in Tool bag 1, at Airlock");
    EXPECT_EQ(carrying.whereabouts(ItemId{2}, pet(Seconds{3600})), "in Tool bag 1, carried by EV1");
}

TEST(Carrying, APutDownBagLiesWhereItWasPutDown) {
    const Invented made = invented();
    const Carrying carrying(made.outing, made.timeline);
    const Activity& put_down = activity_of(made, ActivityKind::put_down, Lane::ev1);
    EXPECT_EQ(carrying.whereabouts(ItemId{0}, put_down.end()), "at Camera mast");
    EXPECT_EQ(carrying.hands(Crew::ev1, put_down.end()), "nothing");
}

TEST(Carrying, StepsTakeLeaveMoveAndInstall) {
    Invented made = invented();
    const StepId remove{8}, fit{9};  // "Unplug and remove the old camera", "Fit the new camera"
    made.outing.steps[index(remove)].takes = {ItemId{5}};
    made.outing.steps[index(fit)].leaves = {ItemId{5}};
    const Carrying carrying(made.outing, made.timeline);
    const auto end_of = [&](StepId step) {
        for (const Activity& activity : made.timeline.activities)
            if (activity.step == step) return activity.end();
        throw std::logic_error("not planned");
    };
    EXPECT_EQ(carrying.whereabouts(ItemId{5}, end_of(remove)), "carried by EV1");
    EXPECT_EQ(carrying.whereabouts(ItemId{5}, end_of(fit)), "at Camera mast");
    EXPECT_EQ(carrying.whereabouts(ItemId{4}, end_of(fit)), "fitted at Camera mast");
    EXPECT_EQ(carrying.whereabouts(ItemId{6}, end_of(StepId{4})), "at Cargo shelf");  // its path ends there
}

TEST(Carrying, ABagInABagIsFollowedToItsCarrier) {
    Invented made = invented();
    made.outing.items[1].at.reset();
    made.outing.items[1].in = ItemId{0};
    const Carrying carrying(made.outing, made.timeline);
    EXPECT_EQ(carrying.whereabouts(ItemId{3}, pet(Seconds{0})), "in Tool bag 2, in Tool bag 1, at Airlock");
}

}  // namespace
}  // namespace handrail::brief
