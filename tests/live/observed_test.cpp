#include "live/observed.h"

#include <gtest/gtest.h>

#include "day_under_test.h"
#include "risk/learn.h"

namespace handrail::live {
namespace {

const Activity* find(const Timeline& timeline, StepId step) {
    for (const Activity& activity : timeline.activities)
        if (activity.step == step) return &activity;
    return nullptr;
}

TEST(WhatADayShowed, IsWhatWasLoggedFromStartToEnd) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:15", "EV1 started lamp.1").say("00:27", "done");
    t->say("00:30", "EV1 started lamp.2");
    const Timeline seen = observed(t->outing(), t->day("00:32"));
    const Activity* first = find(seen, *find_step(t->outing(), "lamp.1"));
    ASSERT_NE(first, nullptr);
    EXPECT_TRUE(first->as_run);
    EXPECT_EQ(first->duration, Seconds{12 * 60});
    EXPECT_EQ(find(seen, *find_step(t->outing(), "lamp.2")), nullptr) << "it is still running";
}

TEST(WhatADayShowed, LeavesHeldTimeOut) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:15", "EV1 started lamp.1").say("00:20", "hold private");
    t->say("00:29", "resume").say("00:36", "done");
    const Timeline seen = observed(t->outing(), t->day("00:40"));
    const Activity* first = find(seen, *find_step(t->outing(), "lamp.1"));
    ASSERT_NE(first, nullptr);
    EXPECT_EQ(first->duration, Seconds{12 * 60}) << "21 minutes less 9 of hold";
}

TEST(WhatADayShowed, TeachesTheDurationLibrary) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:15", "EV1 started lamp.1").say("00:35", "done");
    const auto learned = risk::learn(t->outing(), observed(t->outing(), t->day("00:40")), risk::RunIn::flight, "yard");
    const auto row = std::ranges::find_if(learned.rows, [](const auto& r) { return r.what == "tools"; });
    ASSERT_NE(row, learned.rows.end());
    EXPECT_EQ(row->seen, 1);
    EXPECT_GT(row->after.median, row->before.median) << "twice the likely time must not make it look quicker";
}

}  // namespace
}  // namespace handrail::live
