// A marker planted in every private text must never come out of anything made for others.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "day_under_test.h"
#include "live/close_out.h"
#include "live/what_if.h"

namespace handrail::live {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr const char* marker = "PLANTED-7319";

void add_private(DayUnderTest& t, const std::string& pet, Body body) {
    Entry entry;
    entry.happened = entry.logged = t.utc(pet);
    entry.pet = to_pet(entry.happened, t.outing().pet_zero);
    entry.author = std::string(marker) + "-author";
    entry.visibility = Visibility::medical;
    entry.body = std::move(body);
    t.add(std::move(entry));
}

/// A day in which everything that can carry words does so privately.
std::unique_ptr<DayUnderTest> a_private_day() {
    const std::string why = std::string(marker) + "-reason";
    auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:20", "EV1 started lamp.1");
    add_private(*t, "00:21", HoldBegan{why});
    add_private(*t, "00:22", Note{why});
    add_private(*t, "00:22", Decision{why});
    add_private(*t, "00:23", StepDelayed{"lamp.1", Seconds{60}, why});
    add_private(*t, "00:23", StepSkipped{"paint.2", why});
    add_private(*t, "00:24", TaskDropped{"paint", why});
    add_private(*t, "00:24", CrewAble{Crew::ev2, false, why});
    add_private(*t, "00:24", ArmAvailable{false, why});
    add_private(*t, "00:25", StepStarted{why, std::nullopt});  // names no step: cannot be applied
    add_private(*t, "00:25", ItemPlaced{ItemPlaced::Where::loose, why, why});
    add_private(*t, "00:25", ConditionChanged{"coverage", false, std::nullopt, why});
    add_private(*t, "00:25", ConditionChanged{why, false, std::nullopt, why});
    add_private(*t, "00:25", WorksiteClosed{"bench", true, std::nullopt, why});
    add_private(*t, "00:25", WorksiteClosed{why, true, std::nullopt, why});
    add_private(*t, "00:25", ItemReplaced{why, why});
    add_private(*t, "00:25", OxygenBreathed{Crew::ev1, false, why});
    add_private(*t, "00:25", PetZeroExpected{t->utc("00:00"), why});
    add_private(*t, "00:25", CrewInside{Crew::ev2});
    add_private(*t, "00:26", PlanAdopted{"x", why, "not a timeline", {why}, {{why, why}}});
    add_private(*t, "00:26", StandDown{StandDownKind::terminate, why});
    return t;
}

void expect_clean(const std::string& text, const std::string& what) {
    EXPECT_THAT(text, Not(HasSubstr(marker))) << what;
}

TEST(Privacy, NothingMadeForOthersHoldsAPrivateWord) {
    const auto t = a_private_day();
    for (const char* moment : {"00:21", "00:24", "00:26", "01:30"}) {
        const Day day = t->day(moment);
        const Status status = status_of(t->outing(), t->entries(), day);
        const auto options = options_of(t->outing(), day, {1, 200, std::nullopt});
        const CloseOut close_out = close_out_of(t->outing(), t->entries(), status);
        for (const Reader reader : {Reader::console, Reader::everyone}) {
            const std::string who(word(reader));
            expect_clean(print(t->outing(), status, reader), "status text for " + who);
            expect_clean(print(t->outing(), status, close_out, reader), "close-out text for " + who);
            expect_clean(close_out_json(t->outing(), status, close_out, reader), "close-out document for " + who);
            expect_clean(export_json_lines(t->entries(), status, reader), "JSON Lines for " + who);
            expect_clean(export_csv(status, reader), "CSV for " + who);
        }
        expect_clean(status_json(t->outing(), status, Reader::console), "status document");
        expect_clean(options_json(t->outing(), day, options, Timelines::included), "options");
        expect_clean(print(t->outing(), day, options), "options text");
        const auto what_ifs = what_ifs_of(t->outing(), t->windows(), t->entries(), day);
        expect_clean(what_ifs_json(t->outing(), day, what_ifs), "what-if");
        expect_clean(print(t->outing(), day, what_ifs), "what-if text");
    }
}

TEST(Privacy, TheMedicalReaderSeesThemAll) {
    const auto t = a_private_day();
    const Status status = t->status("00:26");
    const std::string text = export_json_lines(t->entries(), status, Reader::medical);
    for (const RecordLine& line : status.record) {
        if (line.visibility == Visibility::medical) {
            EXPECT_THAT(text, HasSubstr(line.kind));
        }
    }
    EXPECT_THAT(text, HasSubstr(marker));
    EXPECT_THAT(status_json(t->outing(), status, Reader::medical), HasSubstr(marker));
}

TEST(Privacy, OthersSeeThatWorkStoppedAndForHowLong) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:21", "hold private why").say("00:41", "resume");
    const auto lines = visible(t->status("00:45").record, Reader::console);
    ASSERT_EQ(lines.size(), 5u);
    EXPECT_EQ(lines[3].words, "hold");
    EXPECT_EQ(lines[3].author, "");
    EXPECT_EQ(lines[3].pet, pet(Seconds{21 * 60}));
    EXPECT_EQ(lines[4].words, "resumed");
    // The public hears of nothing else of that day.
    const auto open = visible(t->status("00:45").record, Reader::everyone);
    ASSERT_EQ(open.size(), 2u);
    EXPECT_EQ(open[0].words, "hold");
}

TEST(Privacy, AHoldLooksTheSameWhetherPrivateOrWithoutAReason) {
    const auto open = yard();
    open->say("00:00", "pet zero").say("00:10", "egress done").say("00:21", "hold");
    const auto hidden = yard();
    hidden->say("00:00", "pet zero").say("00:10", "egress done").say("00:21", "hold private why");
    const auto part = [](const std::string& text) { return text.substr(text.find("\"hold\":"), 120); };
    EXPECT_EQ(part(status_json(open->outing(), open->status("00:30"), Reader::console)),
              part(status_json(hidden->outing(), hidden->status("00:30"), Reader::console)));
}

TEST(Privacy, ACorrectionDoesNotUncoverWhatItCorrects) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:21", std::string("hold private ") + marker);
    t->say("00:22", std::string("fix 4 hold ") + marker, Visibility::everyone);
    const Status status = t->status("00:23");
    expect_clean(status_json(t->outing(), status, Reader::console), "status");
    expect_clean(print(t->outing(), status, Reader::everyone), "status text for everyone");
}

TEST(Privacy, NobodyElseGetsHashesFromWhichAShortTextCouldBeGuessed) {
    const auto t = yard();
    t->say("00:00", "pet zero");
    EXPECT_THAT(export_json_lines(t->entries(), t->status("00:01"), Reader::console), Not(HasSubstr("\"hash\"")));
    EXPECT_THAT(export_json_lines(t->entries(), t->status("00:01"), Reader::medical), HasSubstr("\"hash\""));
}

}  // namespace
}  // namespace handrail::live
