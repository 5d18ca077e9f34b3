#include "live/line.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "day_under_test.h"
#include "live/record.h"

namespace handrail::live {
namespace {

using testing::HasSubstr;

/// A day with lamp.1 running on EV1 and EV2 free.
std::unique_ptr<DayUnderTest> at_work() {
    auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1");
    return t;
}

std::string understood(const DayUnderTest& t, const Day& day, const std::string& line) {
    const auto read = read_line(t.outing(), t.entries(), day, line);
    if (const auto* no = std::get_if<NotUnderstood>(&read)) return "? " + no->sentence;
    const Understood& u = std::get<Understood>(read);
    const Entry entry = entry_of(u, day, "lead", t.utc("00:20"));
    std::string text = std::string(kind(u.body)) + " | " + words(t.outing(), entry);
    if (u.corrects) text += " | corrects " + std::to_string(number(*u.corrects));
    if (u.happened) text += " | " + print_pet(entry.pet);
    if (u.visibility && *u.visibility != Visibility::console) text += " | " + std::string(word(*u.visibility));
    return text;
}

std::string understood(const DayUnderTest& t, const std::string& line) { return understood(t, t.day("00:20"), line); }

struct Said {
    const char* line;
    const char* means;
};

// One row a form; what is typed, and what the record will say.
constexpr Said forms[] = {
    {"done", "step_finished | finished lamp.1, open the housing"},
    {"EV1 finished", "step_finished | finished lamp.1, open the housing"},
    {"Finished lamp.1.", "step_finished | finished lamp.1, open the housing"},
    {"lamp.1 done", "step_finished | finished lamp.1, open the housing"},
    {"ev1 lamp.1 DONE", "step_finished | finished lamp.1, open the housing"},
    {"lamp done", "step_finished | finished lamp.1, open the housing"},
    {"done at 00:18", "step_finished | finished lamp.1, open the housing | 00:18"},
    {"done @00:18:30", "step_finished | finished lamp.1, open the housing | 00:18"},
    {"done at 00:18 PET", "step_finished | finished lamp.1, open the housing | 00:18"},
    {"done at 2031-06-01T10:17:00Z", "step_finished | finished lamp.1, open the housing | 00:17"},
    {"EV2 started paint.1", "step_started | EV2 started paint.1, first coat"},
    {"paint.1 started by EV2", "step_started | EV2 started paint.1, first coat"},
    {"EV2 started paint", "step_started | EV2 started paint.1, first coat"},
    {"EV1 started", "step_started | EV1 started lamp.2, fit the lamp"},
    {"started lamp.2", "step_started | started lamp.2, fit the lamp"},
    {"skip paint.2 no time", "step_skipped | skipped paint.2, second coat: no time"},
    {"undo lamp.1", "step_undone | not done after all: lamp.1, open the housing"},
    {"lamp.1 stuck, EV1, +10 min", "step_delayed | lamp.1 takes 10 min longer than thought: stuck, EV1"},
    {"bolt 3 stuck, EV1, +10 min", "step_delayed | lamp.1 takes 10 min longer than thought: bolt 3 stuck, EV1"},
    {"paint.2 +10 min", "step_delayed | paint.2 takes 10 min longer than thought"},
    {"EV2 started 2.1", "step_started | EV2 started paint.1, first coat"},
    {"EV2 started B1", "step_started | EV2 started paint.1, first coat"},
    {"EV2 started first coat", "step_started | EV2 started paint.1, first coat"},
    {"EV2 started paint 2", "step_started | EV2 started paint.2, second coat"},
    {"EV2 started paint second", "step_started | EV2 started paint.2, second coat"},
    {"tool bag at the mast", "item_placed | Tool bag is at Mast"},
    {"bag at mast", "item_placed | Tool bag is at Mast"},
    {"EV2 inside", "crew_inside | EV2 is in the airlock and stays there"},
    {"no coverage until 01:10 relay down", "condition | no coverage until 2031-06-01T11:10:00Z: relay down"},
    {"coverage lost", "condition | no coverage"},
    {"coverage back", "condition | coverage is back"},
    {"hazard at mast sharp edge", "worksite | nobody works at Mast: sharp edge"},
    {"mast closed until 01:30", "worksite | nobody works at Mast until 2031-06-01T11:30:00Z"},
    {"mast open again", "worksite | Mast is open again"},
    {"use lamp for wrench", "item_replaced | New lamp is used for Wrench"},
    {"hatch open", "phase | egress began"},
    {"+5min", "step_delayed | lamp.1 takes 5 min longer than thought"},
    {"hold", "hold | hold"},
    {"hold waiting for light", "hold | hold: waiting for light"},
    {"hold private", "hold | hold | medical"},
    {"private", "hold | hold | medical"},
    {"hold medical pulse is high", "hold | hold: pulse is high | medical"},
    {"resume", "resume | resumed"},
    {"lamp left at bench", "item_placed | New lamp is at Bench"},
    {"new lamp at Mast", "item_placed | New lamp is at Mast"},
    {"bag 2 at shed", "item_placed | Tool bag is at Shed"},
    {"wrench in bag-2", "item_placed | Wrench is in Tool bag"},
    {"wrench with EV2", "item_placed | Wrench is carried by EV2"},
    {"lamp installed at mast", "item_placed | New lamp is installed at Mast"},
    {"lost wrench", "item_placed | Wrench is lost"},
    {"wrench lost", "item_placed | Wrench is lost"},
    {"EV2 at bench", "crew_placed | EV2 is at Bench"},
    {"EV2 at bench anchor shed", "crew_placed | EV2 is at Bench, tether anchored at Shed"},
    {"EV1 gloves ok", "gloves_checked | EV1 checked gloves"},
    {"reading EV1 oxygen 0.31 kg", "suit_reading | EV1 oxygen: 0.31 kg left"},
    {"EV2 co2 0.2 kg used", "suit_reading | EV2 CO2 removal: 0.47 kg left"},
    {"EV1 battery 50 %", "suit_reading | EV1 battery: 215 Wh left"},
    {"note a cloud, at 01:00 it may clear", "note | a cloud, at 01:00 it may clear"},
    {"decision stay until 02:00", "decision | decided: stay until 02:00"},
    {"drop paint it rains", "task_dropped | left out: Paint the bench: it rains"},
    {"leave out paint", "task_dropped | left out: Paint the bench"},
    {"EV2 unable cramp", "crew_able | EV2 does no more steps: cramp | medical"},
    {"arm lost", "arm_available | the arm is lost"},
    {"PET zero", "pet_zero | PET zero"},
    {"egress done", "phase | egress done: both outside"},
    {"hatch closed", "phase | ingress done: both inside, hatch closed"},
    {"clean up", "phase | clean-up at the airlock began"},
    {"terminate suit leak", "stand_down | terminate: suit leak"},
    {"abort", "stand_down | abort"},
    {"fix 4 undo", "struck | taken back | corrects 4 | 00:16"},
    {"fix 4 at 00:15", "step_started | EV1 started lamp.1, open the housing | corrects 4 | 00:15"},
    {"fix 4 EV2 started paint.1", "step_started | EV2 started paint.1, first coat | corrects 4 | 00:16"},
};

class Line : public testing::TestWithParam<Said> {};
TEST_P(Line, MeansWhatItSays) {
    EXPECT_EQ(understood(*at_work(), GetParam().line), GetParam().means) << GetParam().line;
}
INSTANTIATE_TEST_SUITE_P(Forms, Line, testing::ValuesIn(forms),
                         [](const auto& one) { return "Form" + std::to_string(one.index); });

// What is not understood, and what the person is told.
constexpr Said mistakes[] = {
    {"", "Write what happened"},
    {"   ", "Write what happened"},
    {"starded lamp.1", "did you mean \"started\"?"},
    {"EV1 started lump.1", "did you mean \"lamp.1\"?"},
    {"EV2 finished", "No step is running for EV2"},
    {"started", "Who, or which step?"},
    {"done at 05:00", "lies ahead"},
    {"lamp at benchh", "did you mean \"bench\"?"},
    {"wrench in lamp", "is not a bag"},
    {"reading EV1 oxygen lots", "Expected a mass"},
    {"reading EV1 gas 10 L", "carries no"},
    {"EV1 oxygen 500 %", "cannot be left"},
    {"drop painting", "There is no task"},
    {"fix 99 undo", "1 to 4"},
    {"fix 1 undo", "opens the outing"},
    {"fix 3", "Say what to change"},
    {"note", "Write the note"},
    {"lamp.1 +lots", "not a time"},
    {"hello there", "not understood"},
    {"use wrench", "use driver-2 for driver-1"},
    {"slip 30 min", "PET zero has been logged"},
    {"EV2 started coat", "Which step: paint.1 or paint.2?"},
};
class Mistake : public testing::TestWithParam<Said> {};
TEST_P(Mistake, IsAnsweredWithASentence) {
    EXPECT_THAT(understood(*at_work(), GetParam().line),
                testing::AllOf(testing::StartsWith("? "), HasSubstr(GetParam().means)));
}
INSTANTIATE_TEST_SUITE_P(Lines, Mistake, testing::ValuesIn(mistakes),
                         [](const auto& one) { return "Line" + std::to_string(one.index); });

// Before PET zero, and with worksites named by number as on a map.
TEST(LineReading, BeforePetZeroThereAreOtherLines) {
    std::string text = small_outing;
    for (std::size_t at = 0; (at = text.find("\"mast\"", at)) != std::string::npos;) text.replace(at, 6, "\"W4\"");
    OutingWithTexts source = outing_text(text);
    Timeline plan = plan_of(source.outing, 300);
    const DayUnderTest t(std::move(source), std::move(plan));
    const Day day = t.day("-00:30");
    EXPECT_EQ(understood(t, day, "slip 30 min weather"),
              "pet_zero_expected | PET zero is expected at 2031-06-01T10:30:00Z: weather");
    EXPECT_EQ(understood(t, day, "PET zero expected 2031-06-01T10:15:00Z"),
              "pet_zero_expected | PET zero is expected at 2031-06-01T10:15:00Z");
    EXPECT_EQ(understood(t, day, "EV1 off oxygen"), "oxygen | EV1 off oxygen");
    EXPECT_EQ(understood(t, day, "EV1 on oxygen"), "oxygen | EV1 on oxygen");
    EXPECT_EQ(understood(t, day, "bag 2 at W4"), "item_placed | Tool bag is at Mast");
}

TEST(LineReading, OversizeAndControlCharactersAreRefused) {
    const auto t = at_work();
    EXPECT_THAT(understood(*t, "note " + std::string(5000, 'x')), HasSubstr("at most"));
    EXPECT_THAT(understood(*t, "note a\nb"), HasSubstr("control"));
}

TEST(LineReading, RandomWordsNeverCrash) {
    const auto t = at_work();
    const std::vector<std::string> vocabulary{
        "EV1",  "ev2", "started", "finished", "done", "lamp.1", "paint", "at", "01:00", "+10",     "min",
        "hold", "fix", "4",       "undo",     "bag",  "2",      "left",  "in", "with",  "anchor",  "reading",
        "co2",  "%",   "50",      "skip",     "drop", "@",      "+",     ",",  "PET",   "private", "lost"};
    const Day day = t->day("00:20");
    std::mt19937 random(3);
    for (int i = 0; i < 20000; ++i) {
        std::string line;
        for (auto n = random() % 6; n > 0; --n) line += vocabulary[random() % vocabulary.size()] + " ";
        const std::string answer = understood(*t, day, line);
        ASSERT_FALSE(answer.empty()) << line;
    }
}

TEST(Line, WhatIsSaidForEveryoneIsANoteThatEveryoneMayRead) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:01", "public The crew are on their way.").say("00:02", "note inner");
    const std::vector<RecordLine> lines = visible(t->status("00:05").record, Reader::everyone);
    ASSERT_EQ(lines.size(), 1u);
    EXPECT_EQ(lines[0].words, "The crew are on their way.");
    EXPECT_THAT(understood(*t, "public"), HasSubstr("Write the line for everyone"));
}

}  // namespace
}  // namespace handrail::live
