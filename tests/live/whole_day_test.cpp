// Scripted days on both demonstration outings.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "day_under_test.h"
#include "live/close_out.h"

namespace handrail::live {
namespace {

class SmoothDay : public testing::TestWithParam<const char*> {};

// A day on which everything goes as planned stays as planned to the second, and its record passes the checker.
TEST_P(SmoothDay, EndsAsPlanned) {
    const auto t = demo(GetParam());
    t->follow_plan_until("09:00");
    const Status status = t->status("09:00");
    EXPECT_TRUE(status.day.unapplied.empty()) << status.day.unapplied.front().why;
    EXPECT_TRUE(status.day.situation.crew[0].inside_again);
    EXPECT_EQ(status.forecast.finish, t->planned().finish());
    for (const Task& task : t->outing().tasks)
        EXPECT_EQ(status.tasks[index(task.id)].progress,
                  t->planned().lead_of(task.id) ? TaskProgress::done : TaskProgress::left_out)
            << task.key;
    const auto findings = check(t->outing(), status.day.windows, *status.forecast.timeline);
    EXPECT_FALSE(any_broken(findings)) << print_findings(findings);
}

TEST_P(SmoothDay, IsNeverBehind) {
    const auto t = demo(GetParam());
    t->follow_plan_until("09:00");
    for (Seconds at{0}; at < since_zero(t->planned().finish()); at += Seconds{600}) {
        const Day day = t->day(print_pet_seconds(pet(at)));
        const Status status = status_of(t->outing(), t->entries(), day);
        // Ahead it may be: the decoder settles anew where things are fetched, and may find a shorter way.
        for (const Crew crew : both_crew)
            EXPECT_LE(status.people[index(crew)].behind, Seconds{0})
                << word(crew) << " at " << print_pet_seconds(pet(at)) << ": " << status.people[index(crew)].cause;
        EXPECT_LE(status.finish_shift, Seconds{0}) << "at " << print_pet_seconds(pet(at));
    }
}

TEST_P(SmoothDay, HasAForecastThatPassesTheCheckerAllTheWay) {
    const auto t = demo(GetParam());
    t->follow_plan_until("09:00");
    for (Seconds at{0}; at < since_zero(t->planned().finish()); at += Seconds{900}) {
        const Day day = t->day(print_pet_seconds(pet(at)));
        const auto options = options_of(t->outing(), day, {1, 100, std::nullopt});
        if (options.empty()) continue;
        for (const Finding& finding : options.front().findings)
            ADD_FAILURE() << "at " << print_pet_seconds(pet(at)) << ": " << finding.rule << ": " << finding.what;
    }
}

// Whatever happens, coming in is always offered and ends with both inside.
TEST_P(SmoothDay, CanBeEndedAtAnyMoment) {
    const auto t = demo(GetParam());
    t->follow_plan_until("09:00");
    for (Seconds at{1800}; at < since_zero(t->planned().finish()) - Seconds{3600}; at += Seconds{1500}) {
        const std::string now = print_pet_seconds(pet(at));
        const Day day = t->day(now);
        const auto options = options_of(t->outing(), day, {1, 100, std::nullopt});
        for (const char* id : {"come-in", "abort"}) {
            const auto option = std::ranges::find(options, id, &Option::id);
            ASSERT_NE(option, options.end()) << id << " at " << now;
            EXPECT_EQ(option->forecast.ahead.back().activity.kind, ActivityKind::ingress);
            EXPECT_LE(option->forecast.finish, options.front().forecast.finish + Seconds{60}) << id << " at " << now;
        }
        const auto orderly = std::ranges::find(options, "come-in", &Option::id);
        for (const Finding& finding : orderly->findings)
            ADD_FAILURE() << "come-in at " << now << ": " << finding.rule << ": " << finding.what;
    }
}

INSTANTIATE_TEST_SUITE_P(Demos, SmoothDay, testing::Values("pool", "larkspur"),
                         [](const auto& one) { return std::string(one.param); });

// Half an hour late, a private stop, one option adopted, home early, closed.
TEST(TroubledDay, ALateStartAPrivateHoldAnAdoptedOptionAndComingInEarly) {
    const auto t = demo("larkspur");
    t->say("-01:00", "suit-up").say("-00:30", "prebreathe").say("00:30", "pet zero").say("00:16", "egress done");
    const Day late = t->day("00:17");
    EXPECT_EQ(late.pet_zero - t->outing().pet_zero, Seconds{1800});

    const auto first = options_of(t->outing(), late, {1, 2000, std::nullopt});
    ASSERT_GE(first.size(), 4u);
    EXPECT_EQ(first.front().id, "carry-on");
    for (const Option& option : first) EXPECT_TRUE(option.forecast.timeline.has_value()) << option.id;

    t->say("00:20", "EV1 started").say("00:30", "done").say("00:31", "hold private planted").say("00:46", "resume");
    const auto options = options_of(t->outing(), t->day("00:47"), {1, 2000, std::nullopt});
    const auto chosen = std::ranges::find(options, "replan", &Option::id);
    ASSERT_NE(chosen, options.end());
    EXPECT_TRUE(chosen->findings.empty()) << chosen->findings.front().what;
    Entry entry;
    entry.logged = entry.happened = t->utc("00:47");
    entry.author = "lead";
    entry.body = adoption(t->outing(), *chosen);
    t->add(entry);
    const Status after = t->status("00:48");
    EXPECT_TRUE(after.day.unapplied.empty()) << after.day.unapplied.front().why;
    EXPECT_EQ(after.day.plan_position, Position{t->entries().size()});
    // A minute without an entry costs a minute, and what a check of gloves or a window makes of it. Ahead it may be:
    // where things are fetched is settled anew.
    EXPECT_LE(after.finish_shift, Seconds{240});
    EXPECT_GE(after.finish_shift, Seconds{-600});

    t->say("01:30", "terminate weather").say("01:31", "decision leave the rest for another day");
    const Status coming = t->status("01:32");
    EXPECT_LT(coming.forecast.finish, after.forecast.finish);
    t->say("01:50", "clean-up").say("02:00", "ingress").say("02:16", "hatch closed");
    const Status end = t->status("02:20");
    ASSERT_TRUE(can_close(end.day));
    const CloseOut close_out = close_out_of(t->outing(), t->entries(), end);
    EXPECT_EQ(close_out.ended, "terminate");
    EXPECT_EQ(close_out.held, Seconds{900});
    EXPECT_EQ(close_out.private_entries, 1u);
    const std::string text = print(t->outing(), end, close_out, Reader::console);
    EXPECT_THAT(text, testing::HasSubstr("weather"));
    EXPECT_THAT(text, testing::HasSubstr("leave the rest for another day"));
    EXPECT_THAT(text, testing::Not(testing::HasSubstr("planted")));
}

TEST(TroubledDay, AScrubInTheAirlockLeavesEverythingToDo) {
    const auto t = demo("pool");
    t->say("-00:40", "suit-up").say("-00:05", "scrub pump does not start");
    const Status status = t->status("00:00");
    EXPECT_TRUE(can_close(status.day));
    for (const TaskStatus& task : status.tasks) EXPECT_EQ(task.progress, TaskProgress::left_out);
    const std::string text =
        print(t->outing(), status, close_out_of(t->outing(), t->entries(), status), Reader::console);
    EXPECT_THAT(text, testing::HasSubstr("Steps back"));
    EXPECT_THAT(text, testing::HasSubstr(t->outing().doffing.front()));
}

TEST(TroubledDay, WhoIsUnableDoesNoMoreSteps) {
    const auto t = demo("pool");
    t->follow_plan_until("00:20").say("00:20", "EV2 unable cramp");
    const Status status = t->status("00:21");
    ASSERT_TRUE(status.forecast.possible);
    for (const AsRun& run : status.forecast.ahead)
        if (run.activity.step) {
            EXPECT_FALSE(run.activity.on(Lane::ev2)) << title(t->outing(), run.activity);
        }
}

TEST(TroubledDay, ALostArmLeavesTheTasksThatNeedIt) {
    const auto t = demo("larkspur");
    t->follow_plan_until("00:20").say("00:20", "arm lost");
    const Status status = t->status("00:21");
    for (const AsRun& run : status.forecast.ahead)
        EXPECT_FALSE(run.activity.on(Lane::arm)) << title(t->outing(), run.activity);
}

}  // namespace
}  // namespace handrail::live
