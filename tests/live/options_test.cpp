#include "live/options.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "day_under_test.h"

namespace handrail::live {
namespace {

using testing::Contains;
using testing::HasSubstr;

const Option& named(const std::vector<Option>& options, const std::string& id) {
    const auto found = std::ranges::find(options, id, &Option::id);
    if (found == options.end()) throw std::runtime_error("no option " + id);
    return *found;
}

std::vector<Option> ways_on(const DayUnderTest& t, const std::string& pet) {
    return options_of(t.outing(), t.day(pet), {1, 300, std::nullopt});
}

TEST(Options, CarryingOnComesFirstAndComingInLast) {
    const auto t = yard();
    t->follow_plan_until("00:20");
    const auto options = ways_on(*t, "00:21");
    ASSERT_GE(options.size(), 5u);
    EXPECT_EQ(options.front().id, "carry-on");
    EXPECT_EQ(options[options.size() - 2].id, "come-in");
    EXPECT_EQ(options.back().id, "abort");
}

TEST(Options, LeavingATaskOutSaysWhatIsLostAndWhatIsWon) {
    const auto t = yard();
    t->follow_plan_until("00:10");
    const auto options = ways_on(*t, "00:11");
    const Option& all = options.front();
    const Option& less = named(options, "leave-out:paint");
    EXPECT_EQ(all.value, 3);
    EXPECT_EQ(less.value, 0);
    EXPECT_EQ(less.done.size() + 1, all.done.size());
    EXPECT_LE(less.forecast.finish, all.forecast.finish);
    EXPECT_THAT(less.changes, Contains(HasSubstr("Paint the bench is left out")));
    EXPECT_THAT(less.findings, testing::IsEmpty());
    const Option& without_required = named(options, "leave-out:lamp");
    EXPECT_THAT(without_required.title, HasSubstr("required"));
    EXPECT_EQ(without_required.required_left.size(), 1u);
}

TEST(Options, ComingInClosesWhatIsOpenAndAnAbortDoesNot) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:15", "EV1 started lamp.1").say("00:25", "done");
    const auto options = ways_on(*t, "00:26");
    const auto closes = [&](const Option& option) {
        return std::ranges::any_of(option.forecast.ahead,
                                   [&](const AsRun& run) { return run.activity.step == t->step("lamp.3"); });
    };
    EXPECT_TRUE(closes(named(options, "come-in")));
    EXPECT_FALSE(closes(named(options, "abort")));
    EXPECT_THAT(named(options, "abort").findings, Contains(testing::Field(&Finding::rule, "open-site")));
    EXPECT_LT(named(options, "abort").forecast.finish, named(options, "come-in").forecast.finish);
}

std::vector<std::string> steps_of(const Option& option) {
    std::vector<std::string> steps;
    if (option.coming_in)
        for (const HomeStep& step : option.coming_in->steps) steps.push_back(step.what);
    return steps;
}

TEST(Options, ComingInNamesItsStepsAndWhatItLeaves) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:15", "EV1 started lamp.1").say("00:25", "done").say("00:25", "bag 2 at mast");
    const auto options = ways_on(*t, "00:26");
    const Option& orderly = named(options, "come-in");
    EXPECT_EQ(orderly.stand_down, StandDownKind::terminate);
    EXPECT_THAT(steps_of(orderly), Contains(HasSubstr("close the housing")));
    EXPECT_THAT(orderly.changes, Contains("closed up on the way: Mast"));
    EXPECT_THAT(orderly.changes, Contains(HasSubstr("comes in: Tool bag")));
    const Option& at_once = named(options, "abort");
    EXPECT_EQ(at_once.stand_down, StandDownKind::abort);
    EXPECT_THAT(steps_of(at_once), testing::Not(Contains(HasSubstr("close the housing"))));
    EXPECT_THAT(at_once.changes, Contains("stays open: Mast"));
    EXPECT_THAT(at_once.changes, Contains(HasSubstr("stays outside though it must come back: Tool bag")));
    for (const Option* option : {&orderly, &at_once}) EXPECT_EQ(steps_of(*option).back(), "Suit off") << option->id;
    EXPECT_EQ(named(options, "carry-on").stand_down, std::nullopt);
}

TEST(Options, BeforeEgressTheOutingCanBeScrubbed) {
    const auto t = yard();
    t->say("-01:00", "suit-up");
    const auto options = ways_on(*t, "-00:40");
    const Option& scrub = named(options, "scrub");
    EXPECT_EQ(scrub.stand_down, StandDownKind::scrub);
    EXPECT_TRUE(scrub.done.empty());
    EXPECT_EQ(scrub.left.size(), 2u);
    EXPECT_THAT(scrub.changes, Contains(HasSubstr("all 2 tasks wait for another outing")));
    EXPECT_THAT(steps_of(scrub), testing::ElementsAre("Gloves off", "Suit off"));
    EXPECT_THAT(print(t->outing(), t->day("-00:40"), options), HasSubstr("Gloves off"));
    t->follow_plan_until("00:20");
    for (const Option& option : ways_on(*t, "00:21")) EXPECT_NE(option.id, "scrub");
}

TEST(Options, ScrubbedAtVacuumTheHatchIsClosedAndTheAirlockRepressedFirst) {
    const auto t = yard();
    t->say("-00:30", "depress").say("00:00", "pet zero");
    EXPECT_THAT(steps_of(named(ways_on(*t, "00:05"), "scrub")),
                testing::ElementsAre("hatch closed", "repress to cabin pressure", "Gloves off", "Suit off"));
}

TEST(Options, ToAdoptAStandDownIsToLogIt) {
    for (const auto& [pet, id, kind] :
         {std::tuple{"-00:10", "scrub", StandDownKind::scrub}, std::tuple{"00:21", "come-in", StandDownKind::terminate},
          std::tuple{"00:21", "abort", StandDownKind::abort}}) {
        const auto t = yard();
        if (kind != StandDownKind::scrub) t->follow_plan_until("00:20");
        const Option chosen = named(ways_on(*t, pet), id);
        Entry entry;
        entry.logged = entry.happened = t->utc(pet);
        entry.author = "lead";
        entry.body = adoption(t->outing(), chosen);
        t->add(entry);
        const Status status = t->status(pet);
        EXPECT_TRUE(status.day.unapplied.empty()) << id;
        ASSERT_TRUE(status.day.stand_down) << id;
        EXPECT_EQ(status.day.stand_down->kind, kind);
        EXPECT_EQ(status.forecast.finish, chosen.forecast.finish) << id;
    }
}

TEST(Options, TheDocumentNamesTheLineThatStandsDown) {
    const auto t = yard();
    t->follow_plan_until("00:20");
    const Day day = t->day("00:21");
    const auto json = nlohmann::json::parse(options_json(t->outing(), day, ways_on(*t, "00:21"), Timelines::left_out));
    for (const auto& option : json["options"]) {
        if (option["id"] == "come-in") {
            EXPECT_EQ(option["stand_down"]["line"], "terminate");
            EXPECT_FALSE(option["stand_down"]["steps"].empty());
        } else if (option["id"] != "abort") {
            EXPECT_TRUE(option["stand_down"].is_null()) << option["id"];
        }
    }
}

TEST(Options, AreTheSameWhenAskedAgain) {
    const auto t = yard();
    t->follow_plan_until("00:20");
    const Day day = t->day("00:21");
    EXPECT_EQ(options_json(t->outing(), day, ways_on(*t, "00:21"), Timelines::included),
              options_json(t->outing(), day, ways_on(*t, "00:21"), Timelines::included));
}

TEST(Options, TouchNothingUntilOneIsAdopted) {
    const auto t = yard();
    t->follow_plan_until("00:20");
    const std::string before = to_json(t->outing(), t->day("00:21"));
    (void)ways_on(*t, "00:21");
    EXPECT_EQ(to_json(t->outing(), t->day("00:21")), before);
}

TEST(Options, AnAdoptedOneIsThePlanFromThenOn) {
    const auto t = yard();
    t->follow_plan_until("00:10");
    const Option chosen = named(ways_on(*t, "00:11"), "leave-out:paint");
    Entry entry;
    entry.logged = entry.happened = t->utc("00:11");
    entry.author = "lead";
    entry.body = adoption(t->outing(), chosen);
    t->add(entry);
    const Status status = t->status("00:11");
    EXPECT_TRUE(status.day.unapplied.empty());
    EXPECT_EQ(status.planned_finish, chosen.forecast.finish);
    EXPECT_EQ(status.forecast.finish, chosen.forecast.finish);
    EXPECT_EQ(status.tasks[1].progress, TaskProgress::left_out);
    // The past in the adopted timeline is not taken for the future.
    for (const AsRun& run : status.forecast.ahead) EXPECT_GE(run.activity.start, pet(Seconds{11 * 60}));
}

TEST(Options, FindingsNameTheRuleThatWouldBeBroken) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:12", "hold").say("02:20", "resume");
    const auto options = ways_on(*t, "02:20");
    EXPECT_THAT(options.front().findings, Contains(testing::Field(&Finding::rule, "limit")));
    EXPECT_LT(options.front().tightest->in_hand, Seconds{0});
}

TEST(Options, AfterTheHatchIsClosedThereAreNone) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("01:00", "clean-up");
    EXPECT_TRUE(ways_on(*t, "01:01").empty());
}

TEST(Options, AfterAStandDownTheyOnlyComeIn) {
    const auto t = yard();
    t->follow_plan_until("00:20").say("00:21", "terminate leak");
    std::vector<std::string> ids;
    for (const Option& option : ways_on(*t, "00:22")) ids.push_back(option.id);
    EXPECT_THAT(ids, testing::ElementsAre("carry-on", "abort"));
}

TEST(Options, BeforePetZeroALateStartIsCarriedOn) {
    const auto t = yard();
    const auto options = ways_on(*t, "00:30");
    ASSERT_FALSE(options.empty());
    EXPECT_EQ(options.front().forecast.ahead.front().activity.kind, ActivityKind::egress);
    EXPECT_GE(options.front().forecast.ahead.front().activity.start, Pet{});
}

TEST(Options, TheDocumentCarriesTimelinesOnlyWhenAsked) {
    const auto t = yard();
    t->follow_plan_until("00:20");
    const Day day = t->day("00:21");
    const auto options = ways_on(*t, "00:21");
    const auto with = nlohmann::json::parse(options_json(t->outing(), day, options, Timelines::included));
    const auto without = nlohmann::json::parse(options_json(t->outing(), day, options, Timelines::left_out));
    EXPECT_EQ(with["options"].size(), options.size());
    EXPECT_TRUE(with["options"][0].contains("timeline"));
    EXPECT_FALSE(without["options"][0].contains("timeline"));
    EXPECT_TRUE(read_timeline(t->outing(), with["options"][0]["timeline"].get<std::string>(), "x").ok());
}

}  // namespace
}  // namespace handrail::live
