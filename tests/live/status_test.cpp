#include "live/status.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "day_under_test.h"

namespace handrail::live {
namespace {

using nlohmann::json;
using testing::HasSubstr;

json document(const DayUnderTest& t, const std::string& pet, Reader reader = Reader::console) {
    return json::parse(status_json(t.outing(), t.status(pet), reader));
}

const Activity& planned_step(const DayUnderTest& t, const std::string& label) {
    for (const Activity& activity : t.planned().activities)
        if (activity.step == t.step(label)) return activity;
    throw std::runtime_error("not planned: " + label);
}

TEST(Status, OnTimeIsSaidWithoutACause) {
    const auto t = yard();
    const Pet start = planned_step(*t, "lamp.1").start;
    const std::string then = print_pet_seconds(start + Seconds{60});
    t->follow_plan_until(then);
    const Status status = t->status(then);
    for (const Crew crew : both_crew) {
        EXPECT_EQ(status.people[index(crew)].behind, Seconds{0});
        EXPECT_EQ(status.people[index(crew)].cause, "");
    }
    EXPECT_EQ(status.finish_shift, Seconds{0});
}

TEST(Status, AStepThatRunsOverIsNamedAsTheCause) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const Pet start = planned_step(*t, "lamp.1").start;
    t->say(print_pet_seconds(start), "EV1 started lamp.1");
    const Status status = t->status(print_pet_seconds(start + Seconds{25 * 60}));
    EXPECT_EQ(status.people[0].behind, Seconds{15 * 60});
    EXPECT_EQ(status.people[0].cause, "lamp.1 takes 15 min more than planned");
}

TEST(Status, AHoldIsCalledAHoldWhateverItWasFor) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const Pet start = planned_step(*t, "lamp.1").start;
    t->say("00:11", "hold private PLANTED").say("00:31", "resume");
    t->say(print_pet_seconds(start + Seconds{1200}), "EV1 started lamp.1");
    const Status status = t->status(print_pet_seconds(start + Seconds{1260}));
    EXPECT_EQ(status.people[0].behind, Seconds{1200});
    EXPECT_EQ(status.people[0].cause, "hold of 20 min");
}

TEST(Status, WhoIsQuickIsAhead) {
    const auto t = yard();
    const Activity paint = planned_step(*t, "paint.2");
    t->follow_plan_until(print_pet_seconds(paint.start));
    const std::string then = print_pet_seconds(paint.start + Seconds{240});
    t->say(then, "finished paint.2");
    const Crew painter = paint.on(Lane::ev1) ? Crew::ev1 : Crew::ev2;
    const Status status = t->status(then);
    EXPECT_LT(status.people[index(painter)].behind, Seconds{-60});
    EXPECT_EQ(status.people[index(painter)].cause, "paint.2 took 6 min less than planned");
}

TEST(Status, TheForecastKeepsThePastAndPutsTheRestAfterNow) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:40", "EV1 started lamp.1");
    const Status status = t->status("00:45");
    ASSERT_TRUE(status.forecast.possible);
    for (const AsRun& run : status.forecast.ahead) EXPECT_GE(run.activity.start, pet(Seconds{45 * 60}));
    ASSERT_TRUE(status.forecast.timeline.has_value());
    std::size_t facts = 0;
    for (const Activity& activity : status.forecast.timeline->activities) facts += activity.as_run ? 1 : 0;
    EXPECT_EQ(facts, status.day.as_run.size());
    EXPECT_GT(status.finish_shift, Seconds{15 * 60});
}

TEST(Status, TurnBackIsTheMomentAfterWhichComingHomeNoLongerFits) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:20", "EV1 started lamp.1");
    const Status status = t->status("00:22");
    const lifesupport::TurnBack& back = status.people[0].suit.terminate;
    ASSERT_TRUE(back.at.has_value());
    // EV1 holds the housing open: its close-up is part of the way home.
    const Seconds close_up = planned_duration(t->outing(), t->outing().step(t->step("lamp.3")), Crew::ev1);
    EXPECT_GE(back.home, close_up + t->outing().rules.clean_up + t->outing().rules.ingress);
    EXPECT_LE(*back.at + back.home, pet(t->outing().rules.limit));
    ASSERT_TRUE(status.people[0].suit.abort.at.has_value());
    EXPECT_GT(*status.people[0].suit.abort.at, *back.at);
    // EV2 holds nothing open.
    EXPECT_LT(status.people[1].suit.terminate.home, back.home);
    EXPECT_EQ(status.terminate_by, std::min(back.at, status.people[1].suit.terminate.at));
}

TEST(Status, MarginsShrinkAsTimeIsLost) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const Status early = t->status("00:15");
    const Status late = t->status("01:15");
    ASSERT_TRUE(early.tightest && late.tightest);
    EXPECT_LT(late.tightest->in_hand, early.tightest->in_hand - Seconds{30 * 60});
}

TEST(Status, LightAndCoverageTellWhenTheyChange) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const Status status = t->status("00:15");
    EXPECT_FALSE(status.light.now);
    EXPECT_EQ(status.light.next, pet(Seconds{20 * 60}));
    EXPECT_TRUE(status.coverage.now);
    EXPECT_EQ(status.coverage.next, pet(Seconds{60 * 60}));
}

TEST(Status, TasksAreDonePartlyOrLeft) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:15", "EV2 started paint.1").say("00:25", "done");
    EXPECT_EQ(t->status("00:25").tasks[1].progress, TaskProgress::partly);
    t->say("00:25", "started paint.2");
    EXPECT_EQ(t->status("00:26").tasks[1].progress, TaskProgress::running);
    t->say("00:35", "done");
    EXPECT_EQ(t->status("00:35").tasks[1].progress, TaskProgress::done);
    t->say("00:36", "drop lamp too windy");
    const Status status = t->status("00:36");
    EXPECT_EQ(status.tasks[0].progress, TaskProgress::left_out);
    EXPECT_EQ(status.tasks[0].reason->text, "too windy");
}

TEST(Status, AfterAStandDownTheForecastComesHome) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("00:20", "EV1 started lamp.1")
        .say("00:30", "done")
        .say("00:31", "terminate leak");
    const Status orderly = t->status("00:31");
    const auto ahead = [](const Status& status, auto wanted) {
        return std::ranges::any_of(status.forecast.ahead, wanted);
    };
    // The housing that is open is closed; nothing else is begun.
    for (const AsRun& run : orderly.forecast.ahead)
        EXPECT_TRUE(!run.activity.step || run.activity.step == t->step("lamp.3"));
    EXPECT_TRUE(ahead(orderly, [&](const AsRun& run) { return run.activity.step == t->step("lamp.3"); }));
    t->say("00:32", "abort smoke");
    const Status at_once = t->status("00:32");
    EXPECT_FALSE(ahead(at_once, [](const AsRun& run) { return run.activity.step.has_value(); }));
    EXPECT_FALSE(ahead(at_once, [](const AsRun& run) { return run.activity.kind == ActivityKind::clean_up; }));
    EXPECT_LT(at_once.forecast.finish, orderly.forecast.finish);
}

TEST(Status, NobodyFetchesAnOldPartThatIsStillBuiltIn) {
    const auto t = demo("larkspur");
    t->follow_plan_until("00:10");
    t->say("00:11", "terminate a suit is too warm");
    const Status early = t->status("00:12");
    const ItemId valve = t->item("old-valve");
    const auto picked_up = [&](const Status& status) {
        return std::ranges::any_of(status.forecast.ahead, [&](const AsRun& run) {
            return run.activity.kind == ActivityKind::pick_up &&
                   std::ranges::find(run.activity.items, valve) != run.activity.items.end();
        });
    };
    const auto listed = [&](const Status& status) {
        return std::ranges::any_of(status.coming_down->outside,
                                   [&](const ItemOutside& one) { return one.item == valve; });
    };
    ASSERT_TRUE(early.coming_down);
    EXPECT_FALSE(picked_up(early));
    EXPECT_FALSE(listed(early));

    // Taken out, it has to come.
    const auto later = demo("larkspur");
    const StepId remove = later->step("valve.remove");
    const std::vector<Activity> planned = later->day("00:11").plan->activities;
    const auto out = std::ranges::find(planned, std::optional(remove), &Activity::step);
    ASSERT_NE(out, planned.end());
    const std::string then = print_pet(out->end() + Seconds{60});
    later->follow_plan_until(then);
    later->say(then, "terminate a suit is too warm");
    const Status late = later->status(print_pet(out->end() + Seconds{120}));
    ASSERT_TRUE(late.coming_down);
    EXPECT_TRUE(listed(late));
}

TEST(Status, AScrubLeavesNothingToCome) {
    const auto t = yard();
    t->say("-00:20", "prebreathe").say("-00:10", "scrub leak in the shed");
    const Status status = t->status("-00:05");
    EXPECT_TRUE(status.forecast.ahead.empty());
    EXPECT_EQ(document(*t, "-00:05")["stand_down"]["kind"], "scrub");
}

TEST(Status, InsideAgainNothingIsToCome) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("01:00", "clean-up");
    EXPECT_EQ(t->status("01:02").forecast.finish, pet(Seconds{75 * 60}));
    t->say("01:06", "ingress");
    EXPECT_EQ(t->status("01:07").forecast.finish, pet(Seconds{76 * 60}));
    t->say("01:17", "hatch closed");
    const Status status = t->status("01:20");
    EXPECT_EQ(status.forecast.finish, pet(Seconds{77 * 60}));
    EXPECT_FALSE(status.terminate_by.has_value());
}

/// Every key of `shape` is in `found`, and the other way round; values may differ.
void expect_same_keys(const json& shape, const json& found, const std::string& where) {
    if (shape.is_null() || found.is_null()) return;
    ASSERT_EQ(shape.is_object(), found.is_object()) << where;
    if (shape.is_object()) {
        for (const auto& [key, value] : shape.items()) {
            EXPECT_TRUE(found.contains(key)) << where << "." << key << " is missing";
            if (found.contains(key)) expect_same_keys(value, found[key], where + "." + key);
        }
        for (const auto& [key, value] : found.items())
            EXPECT_TRUE(shape.contains(key)) << where << "." << key << " is not in the example";
    }
    if (shape.is_array() && found.is_array() && !shape.empty() && !found.empty() && shape[0].is_object())
        for (const json& one : found) expect_same_keys(shape[0], one, where + "[]");
}

TEST(StatusDocument, HasTheShapeOfTheExample) {
    std::ifstream file(std::string(HANDRAIL_SOURCE_DIR) + "/docs/examples/status.json");
    const json example = json::parse(file);
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("00:20", "EV1 started lamp.1")
        .say("00:21", "hold wind");
    expect_same_keys(example, document(*t, "00:22"), "status");
    expect_same_keys(example, document(*t, "00:22", Reader::medical), "status");
    const auto pool = demo("pool");
    pool->say("00:00", "pet zero").say("00:10", "egress done");
    expect_same_keys(example, document(*pool, "00:22"), "status");
}

TEST(StatusDocument, EveryDocumentCarriesTheCaution) {
    const auto t = yard();
    for (const Reader reader : {Reader::console, Reader::medical})
        EXPECT_EQ(document(*t, "-00:10", reader)["caution"], caution);
    for (const Reader reader : {Reader::everyone, Reader::console, Reader::medical})
        EXPECT_THAT(print(t->outing(), t->status("-00:10"), reader), HasSubstr(std::string(caution)));
}

}  // namespace
}  // namespace handrail::live
