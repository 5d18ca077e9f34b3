#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

#include "brief/calendar.h"
#include "brief/codes.h"
#include "brief/director_page.h"
#include "brief/facts.h"
#include "brief/public_script.h"
#include "brief/tool_list.h"
#include "check/check.h"
#include "golden.h"
#include "html_check.h"
#include "invented_outing.h"

namespace handrail::brief {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;

/// An identity whose version does not change with every release.
Origin origin(const std::string& title) {
    Origin o;
    o.title = title;
    o.stamp.version = "(test)";
    return o;
}
std::string html(const Invented& made, const std::vector<Section>& sections) {
    return html_document(made.outing, made.timeline, origin("a document"), sections_html(sections));
}
std::string markdown(const Invented& made, const std::vector<Section>& sections) {
    return markdown_document(made.outing, made.timeline, origin("a document"), sections_markdown(sections));
}
std::vector<Section> director(const Invented& made) {
    return director_page(made.outing, made.outing.windows, made.timeline,
                         check(made.outing, made.outing.windows, made.timeline));
}

TEST(Codes, CountTasksInLettersThatCannotBeReadAsDigits) {
    EXPECT_EQ(task_code(TaskId{0}), "A");
    EXPECT_EQ(task_code(TaskId{8}), "J");
    EXPECT_EQ(task_code(TaskId{23}), "Z");
    EXPECT_EQ(task_code(TaskId{24}), "AA");
    for (std::uint32_t i = 0; i < 700; ++i) EXPECT_EQ(task_code(TaskId{i}).find_first_of("IO"), std::string::npos);
}

TEST(Codes, AnotherPlanHasAnotherId) {
    Invented made = invented();
    const std::string id = plan_id(made.outing, made.timeline);
    EXPECT_EQ(id, plan_id(invented().outing, invented().timeline));
    made.timeline.activities[0].duration += Seconds{1};
    EXPECT_NE(plan_id(made.outing, made.timeline), id);
}

TEST(Facts, CountWantedAndGetAheadValueOnly) {
    const Invented made = invented();
    const Facts f = facts(made.outing, made.timeline);
    EXPECT_EQ(f.value, 40 + 25 + 12.5);
    EXPECT_EQ(f.value_of_all, f.value + 5);
    EXPECT_EQ(f.required_done, 1);
    EXPECT_EQ(f.tasks_done, 4);
    EXPECT_EQ(f.in_hand, f.limit - made.timeline.finish());
}

TEST(Facts, AStayLastsUntilTheNextWayBegins) {
    const Invented made = invented();
    const std::vector<Stay> stays = stays_of(made.outing, made.timeline, Crew::ev1);
    ASSERT_GE(stays.size(), 3u);
    EXPECT_EQ(stays[0].where, "Airlock");
    EXPECT_TRUE(stays[1].moving);
    EXPECT_EQ(stays[1].where, "Cargo shelf");
    EXPECT_EQ(stays.back().where, "Airlock");
    for (std::size_t i = 1; i < stays.size(); ++i) EXPECT_EQ(stays[i].from, stays[i - 1].to);
}

TEST(ToolList, SaysWhichBagHoldsWhatAndWhoTakesItFirst) {
    const std::string page = markdown(invented(), tool_list(invented().outing, invented().timeline));
    EXPECT_THAT(
        page,
        HasSubstr("| ☐ | Tool bag 1 | Pistol driver | at Airlock | 1 of 6 | EV1, PET 00:15: pick up Tool bag 1 |"));
    EXPECT_THAT(page, HasSubstr("with Tool bag 1"));
}

TEST(ToolList, FindsWhatMustComeBackAndDoesNot) {
    // EV1 puts Tool bag 1 down at the camera mast and never takes it back.
    const std::string page = markdown(invented(), tool_list(invented().outing, invented().timeline));
    EXPECT_THAT(page, HasSubstr("Tool bag 1 must come back and by this plan does not: it is at Camera mast."));
    EXPECT_THAT(page, Not(HasSubstr("Tool bag 2 must come back and")));
}

TEST(ToolList, ItemsThePlanNeverTouchesStandApart) {
    Invented made = invented();
    Item spare;
    spare.id = spare.name = "Spare hook";
    spare.at = made.outing.station.airlock;
    made.outing.items.push_back(spare);
    const std::vector<Section> sections = tool_list(made.outing, made.timeline);
    EXPECT_EQ(sections.back().heading, "Not used by this plan");
    EXPECT_THAT(sections.back().sentences[0].text, HasSubstr("Spare hook"));
}

TEST(DirectorPage, GivesThePlansOwnNumbers) {
    const Invented made = invented();
    const std::string page = markdown(made, director(made));
    EXPECT_THAT(
        page,
        HasSubstr(fmt::format(
            "Finish PET {}, {} before the hard end at PET 06:30; 30 min wanted.", print_pet(made.timeline.finish()),
            print_duration(std::chrono::floor<Seconds>(pet(made.outing.rules.limit) - made.timeline.finish())))));
    EXPECT_THAT(page, HasSubstr("1 of 1 required tasks; value 77.5 of 82.5"));
    EXPECT_THAT(page, HasSubstr("E Wipe the window (get-ahead, value 5): " + made.timeline.left_out[0].reason));
    EXPECT_THAT(page,
                HasSubstr("| A7 Bolt the module down and connect two power plugs | 01:16–01:40 | daylight | 02:09 | "
                          "29 min |"));
}

TEST(DirectorPage, NamesWhatTheCheckerFinds) {
    const Invented made = invented();
    Finding finding;
    finding.rule = "window";
    finding.lanes = {Lane::ev1};
    finding.at = pet(Seconds{3600});
    finding.what = "coverage is missing for 14 min";
    const auto sections = director_page(made.outing, made.outing.windows, made.timeline, {finding});
    EXPECT_THAT(
        html(made, sections),
        HasSubstr("<p class=\"finding\">EV1: finding (rule window), PET 01:00: coverage is missing for 14 min"));
}

TEST(DirectorPage, APlanThatIsTooLongIsSaidToBe) {
    Invented made = invented();
    made.outing.rules.limit = Seconds{4 * 3600};
    EXPECT_THAT(markdown(made, director(made)), HasSubstr("after the hard end at PET 04:00"));
}

TEST(PublicScript, UsesPublicFieldsOnly) {
    Invented made = invented();
    const std::string secret = "NOT-FOR-THE-PUBLIC";
    made.outing.note = "";
    for (Step& step : made.outing.steps) {
        step.name = step.crew_words = step.picture = secret;
        step.hazards = {{secret, secret}};
    }
    for (Task& task : made.outing.tasks) task.name = secret;
    for (Item& item : made.outing.items) item.name = secret;
    made.timeline.left_out[0].reason = secret;
    made.outing.rules.limit = Seconds{23 * 3600 + 17 * 60};
    ScriptOptions traced;
    traced.trace = Trace::yes;
    const std::string page = markdown(
        made, script_sections(script(made.outing, made.outing.windows, made.timeline, traced), made.timeline, traced));
    EXPECT_THAT(page, Not(HasSubstr(secret)));
    EXPECT_THAT(page, Not(HasSubstr("23:17")));
    EXPECT_THAT(page, HasSubstr("Together they bolt the pump down and plug it in."));
}

TEST(PublicScript, EveryLineNamesTheFieldItComesFrom) {
    const Invented made = invented();
    for (const Spoken& line : script(made.outing, made.outing.windows, made.timeline).lines)
        EXPECT_FALSE(line.field.empty()) << line.words;
}

TEST(PublicScript, IsNoLongerThanAskedAndKeepsItsBeginningAndEnd) {
    const Invented made = invented();
    ScriptOptions options;
    options.minutes = 0.8;
    const auto lines = script(made.outing, made.outing.windows, made.timeline, options).lines;
    std::size_t words = 0;
    for (const Spoken& line : lines) words += word_count(line.words);
    EXPECT_LE(static_cast<double>(words), 0.8 * usual_pace);
    EXPECT_EQ(lines.front().part, Spoken::Part::opening);
    EXPECT_EQ(lines.back().part, Spoken::Part::closing);
    EXPECT_LT(lines.size(), script(made.outing, made.outing.windows, made.timeline).lines.size());
}

TEST(PublicScript, ATasksReasonComesBeforeItsWork) {
    const Invented made = invented();
    const auto lines = script(made.outing, made.outing.windows, made.timeline).lines;
    const auto at = [&](const std::string& words) {
        return std::ranges::find_if(lines, [&](const Spoken& l) { return l.words.find(words) != std::string::npos; });
    };
    EXPECT_LT(at("spare cooling pump"), at("The arm carries"));
}

TEST(PublicScript, CountsWordsAsTheyAreSpoken) {
    EXPECT_EQ(word_count("  Two hooks, four bolts:\nthe panel is parked. "), 8u);
    EXPECT_EQ(word_count(""), 0u);
}

TEST(Calendar, HasUtcTimesOfThePlanAndLinesOfAtMost75Octets) {
    Invented made = invented();
    made.outing.name =
        "Larkspur; outing, \xC3\xA9t\xC3\xA9 with a name that is long enough to be folded more than once in a line";
    const std::string text = calendar(made.outing, made.timeline, origin("").stamp);
    std::istringstream in(text);
    std::string unfolded;
    for (std::string line; std::getline(in, line);) {
        ASSERT_FALSE(line.empty());
        EXPECT_EQ(line.back(), '\r');
        line.pop_back();
        EXPECT_LE(line.size(), 75u);
        EXPECT_TRUE(line.empty() || (static_cast<unsigned char>(line[0]) & 0xC0) != 0x80) << "a split letter";
        if (!line.starts_with(' ')) unfolded += '\n';
        unfolded += line.starts_with(' ') ? line.substr(1) : line;
    }
    EXPECT_THAT(unfolded, HasSubstr("SUMMARY:Larkspur\\; outing\\, \xC3\xA9t\xC3\xA9 with"));
    EXPECT_THAT(unfolded, HasSubstr("DTSTART:20310405T083000Z\nDTEND:20310405T084500Z"));  // egress
    EXPECT_THAT(unfolded, HasSubstr("DTSTART:20310405T150000Z"));                          // hard end, PET 06:30
}

TEST(Documents, StandAloneAndAreWellFormed) {
    const Invented made = invented();
    EXPECT_EQ(html_faults(html(made, tool_list(made.outing, made.timeline))), "");
    EXPECT_EQ(html_faults(html(made, director(made))), "");
    EXPECT_EQ(html_faults(
                  html(made, script_sections(script(made.outing, made.outing.windows, made.timeline), made.timeline))),
              "");
}

TEST(Documents, SayWhenTheOutingFileHasChangedSince) {
    const Invented made = invented();
    Origin changed = origin("a document");
    changed.warning = "The outing file has changed since this plan was made.";
    EXPECT_THAT(html_document(made.outing, made.timeline, changed, ""), HasSubstr(changed.warning));
    EXPECT_THAT(markdown_document(made.outing, made.timeline, changed, ""), HasSubstr(changed.warning));
}

TEST(Documents, LookAsApproved) {
    const Invented made = invented();
    expect_golden("tools.md", markdown(made, tool_list(made.outing, made.timeline)));
    // Findings of our own, so that the checker's wording is approved where it belongs.
    const Finding finding{"window",
                          Severity::finding,
                          {Lane::ev1, Lane::arm},
                          pet(Seconds{3600}),
                          960,
                          "s",
                          "coverage is missing for 16 min",
                          "the outing file"};
    const Finding note{"limit", Severity::note, {}, pet(Seconds{17940}), 0, "", "the wanted margin is kept by 61 min",
                       ""};
    expect_golden("director.html",
                  html(made, director_page(made.outing, made.outing.windows, made.timeline, {finding, note})));
    ScriptOptions traced;
    traced.trace = Trace::yes;
    expect_golden("script.md",
                  markdown(made, script_sections(script(made.outing, made.outing.windows, made.timeline, traced),
                                                 made.timeline, traced)));
    expect_golden("calendar.ics", calendar(made.outing, made.timeline, origin("").stamp));
}

}  // namespace
}  // namespace handrail::brief
