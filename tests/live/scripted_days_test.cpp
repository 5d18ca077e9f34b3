// Days of trouble told line by line: what the state is, what the documents say, and that everybody comes in.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "day_under_test.h"
#include "live/close_out.h"
#include "live/findings.h"
#include "live/what_if.h"

namespace handrail::live {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;

/// The yard with a morning: an hour of oxygen, then twenty minutes down to suit pressure. Invented.
std::unique_ptr<DayUnderTest> yard_with_prebreathe() {
    OutingWithTexts outing = outing_text(std::string(small_outing) + R"toml(
[prebreathe]
protocol = "an hour in the suit"
cabin = "101.35 kPa"
nitrogen_in_air = "79 %"
[[prebreathe.stage]]
name = "Oxygen in the suit"
duration = "60 min"
pressure = "101.35 kPa"
oxygen = "100 %"
[[prebreathe.stage]]
name = "Airlock to vacuum"
duration = "20 min"
pressure_start = "101.35 kPa"
pressure = "30 kPa"
oxygen = "100 %"
[[prebreathe.break]]
up_to = "10 min"
payback = 2
)toml");
    Timeline plan = plan_of(outing.outing, 300);
    return std::make_unique<DayUnderTest>(std::move(outing), std::move(plan));
}

/// A second wrench lies at the shed; the first can be lost.
std::unique_ptr<DayUnderTest> yard_with_two_wrenches() {
    std::string text = small_outing;
    const std::string first = "name = \"Wrench\"";
    text.replace(text.find(first), first.size(), "name = \"Wrench 1\"");
    text += "\n[[item]]\nid = \"wrench-2\"\nname = \"Wrench 2\"\nsize = \"small\"\nat = \"shed\"\nreturns = true\n";
    OutingWithTexts outing = outing_text(text);
    Timeline plan = plan_of(outing.outing, 300);
    return std::make_unique<DayUnderTest>(std::move(outing), std::move(plan));
}

std::vector<Option> ways_on(const DayUnderTest& t, const std::string& pet) {
    return options_of(t.outing(), t.day(pet), {1, 300, std::nullopt});
}
const Option& named(const std::vector<Option>& options, const std::string& id) {
    const auto found = std::ranges::find(options, id, &Option::id);
    if (found == options.end()) throw std::runtime_error("no option " + id);
    return *found;
}
std::vector<std::string> rules(const std::vector<Finding>& findings) {
    std::vector<std::string> all;
    for (const Finding& finding : findings) all.push_back(finding.rule);
    return all;
}
std::string text_of(const DayUnderTest& t, const Status& status, Reader reader = Reader::console) {
    return print(t.outing(), status, reader);
}
std::string closed_text(const DayUnderTest& t, const Status& status) {
    return print(t.outing(), status, close_out_of(t.outing(), t.entries(), status), Reader::console);
}
void adopt(DayUnderTest& t, const std::string& pet, const Option& option) {
    Entry entry;
    entry.logged = entry.happened = t.utc(pet);
    entry.author = "lead";
    entry.body = adoption(t.outing(), option);
    ASSERT_TRUE(std::holds_alternative<Entry>(read_entry(to_json(entry))));
    t.add(entry);
}
bool will_be_in(const Status& status) {
    return !status.forecast.ahead.empty() && status.forecast.ahead.back().activity.kind == ActivityKind::ingress;
}

// ---- 1 smooth: whole_day_test.cpp, SmoothDay -----------------------------------------------------------------------

// ---- 2 late start
TEST(LateStart, APrebreatheBegunLateMovesPetZeroAndItsCauseIsNamed) {
    const auto t = yard_with_prebreathe();
    t->say("-02:00", "suit-up").say("-01:00", "prebreathe");  // 20 min late: 1 h 20 min of it are needed
    const Status status = t->status("-00:50");
    EXPECT_EQ(status.day.pet_zero - t->outing().pet_zero, Seconds{20 * 60});
    EXPECT_EQ(status.behind, Seconds{20 * 60});
    EXPECT_THAT(status.cause, HasSubstr("prebreathe began 20 min late"));
    EXPECT_THAT(text_of(*t, status), HasSubstr("PET zero is late by 20 min"));
    // Light keeps its UTC: what was to begin at PET 00:20 begins at PET zero.
    EXPECT_EQ(status.day.windows.of("daylight", "").front().from(), pet(Seconds{0}));
}

TEST(LateStart, ABreakInPrebreatheIsPaidBack) {
    const auto t = yard_with_prebreathe();
    t->say("-01:20", "prebreathe").say("-01:00", "EV2 off oxygen").say("-00:55", "EV2 on oxygen");
    const Status status = t->status("-00:54");
    // Five minutes off, and twice that back.
    EXPECT_EQ(status.day.morning.payback, Seconds{10 * 60});
    EXPECT_EQ(status.day.pet_zero - t->outing().pet_zero, Seconds{15 * 60});
    EXPECT_THAT(status.cause, HasSubstr("break in prebreathe"));
}

TEST(LateStart, AHoldDuringPrebreatheOnlyCostsItsTime) {
    const auto t = yard_with_prebreathe();
    t->say("-01:20", "prebreathe").say("-01:00", "hold pump").say("-00:48", "resume");
    EXPECT_EQ(t->day("-00:47").pet_zero - t->outing().pet_zero, Seconds{12 * 60});
    // While it lasts the slip grows with it.
    EXPECT_EQ(t->day("-00:50").pet_zero - t->outing().pet_zero, Seconds{10 * 60});
}

TEST(LateStart, ADepressBegunTooEarlyIsAFinding) {
    const auto t = yard_with_prebreathe();
    t->say("-01:20", "prebreathe").say("-00:30", "depress");
    const Status status = t->status("-00:29");
    EXPECT_THAT(rules(status.findings), Contains("prebreathe"));
    EXPECT_EQ(status.day.morning.early_depress, Seconds{10 * 60});
}

TEST(LateStart, ASlipThatIsOnlyExpectedMovesTheForecastToo) {
    const auto t = yard();
    t->say("-01:00", "slip 30 min weather");
    const Status status = t->status("-00:50");
    EXPECT_EQ(status.day.pet_zero - t->outing().pet_zero, Seconds{1800});
    const auto json = nlohmann::json::parse(status_json(t->outing(), status, Reader::console));
    EXPECT_EQ(json["slip_s"], 1800);
    EXPECT_EQ(json["morning"]["pet_zero_expected"], "2031-06-01T10:30:00Z");
}

// ---- 3 stuck bolt
TEST(StuckBolt, TenMinutesMoreAreTenMinutesBehindAndTheBoltIsNamed) {
    const auto t = yard();
    t->follow_plan_until("00:12");
    t->say("00:16", "EV1 started lamp.1");
    const Seconds before = t->status("00:20").forecast.finish - pet(Seconds{0}) > Milliseconds{0}
                               ? std::chrono::floor<Seconds>(t->status("00:20").forecast.finish - Pet{})
                               : Seconds{0};
    t->say("00:20", "bolt 3 stuck, EV1, +10 min");
    const Status status = t->status("00:21");
    EXPECT_EQ(status.day.delay[index(t->step("lamp.1"))], Seconds{600});
    EXPECT_EQ(std::chrono::floor<Seconds>(status.forecast.finish - Pet{}) - before, Seconds{600});
    EXPECT_THAT(status.cause, HasSubstr("lamp.1"));
    EXPECT_TRUE(will_be_in(status));
}

TEST(StuckBolt, MoreTimeForAStepStillToComeCountsToo) {
    const auto t = yard();
    t->follow_plan_until("00:12");
    const Pet before = t->status("00:13").forecast.finish;
    t->say("00:13", "lamp.2 +10 min");
    const Status status = t->status("00:13");
    EXPECT_GE(status.forecast.finish - before, Seconds{540});
    EXPECT_THAT(rules(status.findings), Not(Contains("step-time")));
    // Once it runs, its expected end has them as well.
    t->say("00:16", "EV1 started lamp.1").say("00:26", "EV1 finished").say("00:27", "started lamp.2");
    EXPECT_EQ(t->day("00:28").expected_end[index(t->step("lamp.2"))], pet(Seconds{27 * 60 + 25 * 60}));
}

// ---- 4 lost tool
TEST(LostTool, WithoutASubstituteWhatNeedsItIsLeftOutAndSaysWhy) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("00:13", "wrench lost");
    const Status status = t->status("00:14");
    EXPECT_EQ(status.tasks[0].progress, TaskProgress::left_out);
    ASSERT_TRUE(status.tasks[0].reason);
    EXPECT_EQ(status.tasks[0].reason->text, "Wrench is lost");
    EXPECT_THAT(rules(status.findings), Contains("required"));
    EXPECT_THAT(rules(status.findings), Not(Contains("item")));
    EXPECT_TRUE(will_be_in(status));
}

TEST(LostTool, WithASubstituteTheTaskIsDoneAfterAllOnceAdopted) {
    const auto t = yard_with_two_wrenches();
    t->follow_plan_until("00:12").say("00:13", "wrench lost");
    const auto options = ways_on(*t, "00:14");
    EXPECT_EQ(options.front().required_left.size(), 1u);
    const Option& other = named(options, "use:wrench-2:wrench");
    EXPECT_TRUE(other.required_left.empty());
    EXPECT_TRUE(other.findings.empty()) << other.findings.front().what;
    EXPECT_THAT(other.changes, Contains(HasSubstr("Mend the lamp is done after all")));
    adopt(*t, "00:14", other);
    const Status status = t->status("00:15");
    EXPECT_EQ(status.tasks[0].progress, TaskProgress::to_do);
    EXPECT_TRUE(status.findings.empty()) << status.findings.front().what;
    EXPECT_EQ(status.forecast.finish, other.forecast.finish);
}

// ---- 5 unable crew member
TEST(UnableCrewMember, BothComeInTogetherAndNobodyElseLearnsWhy) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("00:16", "EV1 started lamp.1").say("00:20", "EV2 unable planted-secret");
    const Status status = t->status("00:21");
    ASSERT_TRUE(will_be_in(status));
    EXPECT_THAT(rules(status.findings), Not(Contains("alone")));
    // EV1 is with EV2 from the end of their own close-up on: both reach the airlock at one time.
    Pet home[2]{};
    for (const AsRun& run : status.forecast.ahead)
        for (const Crew crew : both_crew)
            if (run.activity.kind == ActivityKind::translate && run.activity.on(lane_of(crew)))
                home[index(crew)] = run.activity.end();
    EXPECT_GT(home[0], Pet{});
    const auto options = ways_on(*t, "00:21");
    std::vector<std::string> ids;
    for (const Option& option : options) ids.push_back(option.id);
    EXPECT_THAT(ids, testing::ElementsAre("carry-on", "abort", "alone"));
    EXPECT_EQ(options.front().forecast.ahead.back().activity.kind, ActivityKind::ingress);
    EXPECT_THAT(status_json(t->outing(), status, Reader::console), Not(HasSubstr("planted-secret")));
    EXPECT_THAT(text_of(*t, status), Not(HasSubstr("planted-secret")));
}

TEST(UnableCrewMember, ToGoOnAloneIsOfferedLastAndIsAFinding) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:11", "EV2 unable");
    const auto options = ways_on(*t, "00:12");
    EXPECT_EQ(options.back().id, "alone");
    EXPECT_THAT(rules(options.back().findings), Contains("alone"));
    EXPECT_EQ(options.back().findings.front().rule, "alone");
    EXPECT_LT(options.front().forecast.finish, options.back().forecast.finish);
}

TEST(UnableCrewMember, OneInTheAirlockKeepsTheOtherFromWorkingOnAlone) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("00:20", "EV2 inside");
    const Status status = t->status("00:21");
    EXPECT_EQ(status.day.at[1], t->outing().station.airlock);
    ASSERT_TRUE(will_be_in(status));
    for (const AsRun& run : status.forecast.ahead)
        if (run.activity.step) {
            EXPECT_TRUE(t->outing().step(*run.activity.step).close_up);
        }
}

// ---- 6 arm lost
TEST(ArmLost, WhatNeedsItIsLeftOutTheRestGoesOnAndItCanComeBack) {
    const auto t = demo("larkspur");
    t->follow_plan_until("00:20").say("00:20", "arm lost brakes");
    const Status status = t->status("00:21");
    for (const AsRun& run : status.forecast.ahead) EXPECT_FALSE(run.activity.on(Lane::arm));
    ASSERT_FALSE(status.forecast.cannot.empty());
    for (const Cannot& cannot : status.forecast.cannot) EXPECT_EQ(cannot.why, "the arm is lost");
    EXPECT_TRUE(will_be_in(status));
    t->say("00:25", "arm back");
    EXPECT_TRUE(t->status("00:26").forecast.cannot.empty());
}

// ---- 7 scrub in the airlock
TEST(Scrub, NamesTheStepsBackInOrder) {
    const auto t = yard_with_prebreathe();
    t->say("-01:20", "prebreathe").say("-00:20", "depress").say("-00:10", "scrub pump");
    const Status status = t->status("-00:05");
    ASSERT_TRUE(status.coming_down);
    std::vector<std::string> steps;
    for (const HomeStep& step : status.coming_down->steps) steps.push_back(step.what);
    EXPECT_THAT(steps, testing::ElementsAre("repress to cabin pressure", "Gloves off", "Suit off"));
    EXPECT_FALSE(status.coming_down->steps.front().done);
    EXPECT_TRUE(can_close(status.day));
    EXPECT_THAT(text_of(*t, status), HasSubstr("Gloves off"));
    EXPECT_THAT(closed_text(*t, status), HasSubstr("scrub"));
    t->say("00:05", "repress done");
    EXPECT_TRUE(t->status("00:06").coming_down->steps.front().done);
}

TEST(Scrub, WithTheHatchOpenItIsClosedFirst) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:04", "hatch open").say("00:05", "scrub valve");
    const Status status = t->status("00:06");
    ASSERT_TRUE(status.coming_down);
    EXPECT_EQ(status.coming_down->steps.front().what, "hatch closed");
    EXPECT_FALSE(status.coming_down->steps.front().done);
    t->say("00:08", "hatch closed");
    EXPECT_TRUE(t->status("00:09").coming_down->steps.front().done);
}

// ---- 8 terminate
TEST(Terminate, ClosesUpCollectsAndComesInOrderly) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("00:16", "EV1 started lamp.1").say("00:26", "EV1 finished");
    t->say("00:27", "terminate weather");
    const Status status = t->status("00:28");
    ASSERT_TRUE(status.coming_down);
    ASSERT_EQ(status.coming_down->open.size(), 1u);
    EXPECT_EQ(status.coming_down->open.front().site, t->site("mast"));
    EXPECT_TRUE(status.coming_down->open.front().closed_on_the_way);
    std::vector<std::string> what;
    for (const HomeStep& step : status.coming_down->steps) what.push_back(step.what);
    EXPECT_THAT(what, Contains(HasSubstr("close the housing")));
    EXPECT_EQ(what.back(), "Suit off");
    EXPECT_TRUE(status.findings.empty()) << status.findings.front().what;
    for (const ItemOutside& one : status.coming_down->outside)
        if (one.must_return) {
            EXPECT_TRUE(one.comes_in) << t->outing().item(one.item).name;
        }
    // As the forecast says, until the hatch is closed.
    const Pet in = status.forecast.finish;
    t->say(print_pet_seconds(in), "hatch closed");
    const Status end = t->status(print_pet_seconds(in + Seconds{60}));
    EXPECT_TRUE(can_close(end.day));
    EXPECT_THAT(closed_text(*t, end), HasSubstr("terminate"));
    EXPECT_THAT(closed_text(*t, end), HasSubstr("weather"));
}

// ---- 9 abort
TEST(Abort, SaysWhatStaysOpenAndOutside) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("00:16", "EV1 started lamp.1").say("00:26", "EV1 finished");
    t->say("00:27", "abort leak");
    const Status status = t->status("00:28");
    ASSERT_TRUE(status.coming_down);
    ASSERT_EQ(status.coming_down->open.size(), 1u);
    EXPECT_FALSE(status.coming_down->open.front().closed_on_the_way);
    EXPECT_THAT(text_of(*t, status), HasSubstr("stays open on this way in"));
    EXPECT_THAT(rules(status.findings), Contains("open-site"));
    EXPECT_LT(status.forecast.finish, pet(Seconds{60 * 60}));
    const auto json = nlohmann::json::parse(status_json(t->outing(), status, Reader::console));
    EXPECT_EQ(json["stand_down"]["open"][0]["worksite"]["id"], "mast");
    EXPECT_FALSE(json["stand_down"]["steps"].empty());
}

// ---- coverage and worksites, which plans wait for
TEST(LostCoverage, StepsThatWaitForItAreLeftOutOrWaitUntilItIsBack) {
    const auto t = demo("larkspur");
    t->follow_plan_until("00:20").say("00:20", "no coverage relay");
    const Status lost = t->status("00:21");
    EXPECT_FALSE(lost.coverage.now);
    EXPECT_THAT(lost.forecast.cannot, Contains(testing::Field(&Cannot::why, HasSubstr("coverage"))));
    EXPECT_THAT(rules(lost.findings), Not(Contains("window")));
    t->say("00:30", "coverage back");
    EXPECT_TRUE(t->status("00:31").forecast.cannot.empty());
    t->say("00:32", "no coverage until 02:00");
    const Status waiting = t->status("00:33");
    EXPECT_TRUE(waiting.forecast.cannot.empty());
    for (const AsRun& run : waiting.forecast.ahead)
        if (run.activity.step) {
            const auto& during = t->outing().step(*run.activity.step).during;
            if (std::ranges::find(during, "coverage") != during.end()) {
                EXPECT_GE(run.activity.start, pet(Seconds{7200})) << title(t->outing(), run.activity);
            }
        }
}

TEST(WorksiteHazard, NobodyIsSentThereAndWhoeverIsThereLeaves) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:10", "hazard at mast sharp edge");
    const Status status = t->status("00:10");
    for (const AsRun& run : status.forecast.ahead)
        EXPECT_THAT(run.activity.path, Not(Contains(t->site("mast")))) << title(t->outing(), run.activity);
    EXPECT_THAT(rules(status.findings), Not(Contains("closed-site")));
    EXPECT_EQ(status.tasks[0].reason->text, "Mast is closed");
    t->say("00:20", "mast open");
    EXPECT_EQ(t->status("00:21").tasks[0].progress, TaskProgress::to_do);
}

TEST(WorksiteHazard, ForAWhileOnlyTheWorkThereWaits) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("00:13", "mast closed until 00:50");
    const Status status = t->status("00:14");
    for (const AsRun& run : status.forecast.ahead)
        if (run.activity.step && t->outing().step(*run.activity.step).at == t->site("mast")) {
            EXPECT_GE(run.activity.start, pet(Seconds{50 * 60}));
        }
    EXPECT_EQ(status.tasks[0].progress, TaskProgress::to_do);
}

// ---- holds
TEST(Hold, LiftingItPlansOnFromThere) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("00:13", "hold private planted-secret");
    const Status held = t->status("00:30");
    EXPECT_THAT(text_of(*t, held), HasSubstr("hold since 00:13"));
    EXPECT_THAT(text_of(*t, held), Not(HasSubstr("planted-secret")));
    EXPECT_THAT(print(t->outing(), held, Reader::medical), HasSubstr("planted-secret"));
    t->say("00:31", "resume");
    const Status after = t->status("00:31");
    EXPECT_GE(after.behind, Seconds{15 * 60});
    EXPECT_THAT(after.cause, HasSubstr("hold of 18 min"));
    ASSERT_FALSE(after.forecast.ahead.empty());
    EXPECT_GE(after.forecast.ahead.front().activity.start, pet(Seconds{31 * 60}));
}

// ---- pace
TEST(Pace, StepsThatTookLongerMakeTheExpectedEndLater) {
    const auto t = yard();
    t->follow_plan_until("00:12");
    t->say("00:16", "EV1 started lamp.1").say("00:32", "EV1 finished");  // 16 min instead of 10
    t->say("00:12", "EV2 started paint.1").say("00:30", "EV2 finished paint.1");
    const Status status = t->status("00:33");
    EXPECT_GT(status.pace[0].factor, 1.0);
    // The yard's spread is wide and days differ little, so most of it is put down to the steps.
    EXPECT_LT(status.pace[0].factor, 1.2);
    ASSERT_TRUE(status.finish_at_pace);
    EXPECT_GE(*status.finish_at_pace, status.forecast.finish);
}

TEST(Pace, AStuckBoltIsNoPace) {
    const auto t = yard();
    t->follow_plan_until("00:12");
    t->say("00:16", "EV1 started lamp.1").say("00:20", "EV1 +10 min bolt").say("00:36", "EV1 finished");
    EXPECT_EQ(t->status("00:37").pace[0].steps, 0);
    EXPECT_EQ(t->status("00:37").pace[0].factor, 1.0);
}

// ---- what if
TEST(WhatIf, ABranchTouchesNothing) {
    const auto t = yard();
    t->follow_plan_until("00:12");
    const Day day = t->day("00:13");
    const std::string before = to_json(t->outing(), day);
    const auto branches = what_ifs_of(t->outing(), t->windows(), t->entries(), day);
    std::vector<std::string> lines;
    for (const WhatIf& one : branches) lines.push_back(one.line);
    EXPECT_THAT(lines, testing::IsSupersetOf({"EV1 unable", "EV2 unable", "wrench lost", "mast closed"}));
    EXPECT_EQ(to_json(t->outing(), t->day("00:13")), before);
    EXPECT_TRUE(nlohmann::json::accept(what_ifs_json(t->outing(), day, branches)));
}

TEST(WhatIf, LinesAreReadAsIfLoggedAndNonsenseIsRefused) {
    const auto t = yard();
    t->follow_plan_until("00:12");
    const Day day = t->day("00:13");
    const std::vector<std::string> lines{"wrench lost", "EV2 unable"};
    const auto supposed = suppose(t->outing(), t->windows(), t->entries(), day, lines);
    ASSERT_TRUE(std::holds_alternative<std::vector<Recorded>>(supposed));
    EXPECT_EQ(std::get<std::vector<Recorded>>(supposed).size(), t->entries().size() + 2);
    for (const char* bad : {"hello there", "arm lost", "resume"}) {
        const std::vector<std::string> one{bad};
        EXPECT_TRUE(std::holds_alternative<NotUnderstood>(suppose(t->outing(), t->windows(), t->entries(), day, one)))
            << bad;
    }
}

// ---- clocks
TEST(Clock, AnEntryMadeWhileAClockRanAheadHoldsTheDayOnlyUntilItIsPutRight) {
    const auto t = yard();
    t->follow_plan_until("00:12").say("02:00", "note written three hours ahead");
    EXPECT_EQ(moment(t->entries(), t->utc("00:20")), t->utc("02:00"));
    Entry fix;
    fix.logged = t->utc("00:21");
    fix.happened = t->utc("00:14");
    fix.author = "lead";
    fix.corrects = t->entries().back().position;
    fix.body = Note{"written three hours ahead"};
    t->add(fix);
    EXPECT_EQ(moment(t->entries(), t->utc("00:21")), t->utc("00:21"));
}

TEST(Clock, AJournalOpenedLaterThanItsFirstEntriesStillHasItsPlan) {
    const auto t = yard();  // opened an hour before PET zero
    t->say("-03:00", "suit-up");
    const Day day = t->day("-02:00");
    EXPECT_TRUE(day.plan.has_value());
    EXPECT_EQ(day.phase, Phase::suit_up);
}

}  // namespace
}  // namespace handrail::live
