#include "brief/cue_sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "brief/codes.h"
#include "brief/facts.h"
#include "golden.h"
#include "html_check.h"
#include "invented_outing.h"

namespace handrail::brief {
namespace {

using testing::Contains;
using testing::HasSubstr;

/// A version that does not change with every release.
const Stamp tested{"", {}, {}, "(test)"};

std::string html(const Invented& made, Reader reader, TypeSize type = TypeSize::normal) {
    return cue_sheet_html(made.outing, made.outing.windows, made.timeline, reader,
                          {cue_sheet_title(made.outing, reader), "", type, tested});
}
std::string markdown(const Invented& made, Reader reader) {
    return cue_sheet_markdown(made.outing, made.outing.windows, made.timeline, reader,
                              {cue_sheet_title(made.outing, reader), "", TypeSize::normal, tested});
}
Cue cue_of(const Invented& made, Reader reader, const std::string& code) {
    for (const Cue& cue : cue_sheet(made.outing, made.outing.windows, made.timeline, reader).cues)
        if (cue.code == code) {
            Cue found = cue;
            found.activity = nullptr;
            return found;
        }
    throw std::logic_error("no cue " + code);
}

class EveryReader : public testing::TestWithParam<Reader> {};
INSTANTIATE_TEST_SUITE_P(Readers, EveryReader, testing::Values(Reader::ev1, Reader::ev2, Reader::iv, Reader::arm));

TEST_P(EveryReader, TheHtmlStandsAloneAndIsWellFormed) {
    EXPECT_EQ(html_faults(html(invented(), GetParam())), "");
    EXPECT_EQ(html_faults(html(invented(), GetParam(), TypeSize::large)), "");
}

TEST_P(EveryReader, NamesFromTheFileCannotBreakThePage) {
    Invented made = invented();
    made.outing.name = "<script>\"&' outing";
    for (Step& step : made.outing.steps) step.name += " <b>&</i> \"quoted\" `code` *star*";
    for (Worksite& site : made.outing.station.worksites) site.name += " <>";
    EXPECT_EQ(html_faults(html(made, GetParam())), "");
}

TEST_P(EveryReader, EveryCueIsARowGroupThatNoPageBreakSplits) {
    const Invented made = invented();
    const std::string page = html(made, GetParam());
    EXPECT_THAT(page, HasSubstr("tbody, .keep { break-inside: avoid; }"));
    for (const Activity& activity : made.timeline.activities) {
        if (!activity.step) continue;
        const std::string mark = "<span class=\"code\">" + step_code(made.outing, *activity.step) + "</span>";
        const std::size_t at = page.find(mark);
        if (at == std::string::npos) continue;
        const std::size_t group = page.rfind("<tbody", at);
        EXPECT_LT(group, at);
        EXPECT_EQ(page.substr(group, at - group).find("</tbody>"), std::string::npos);
    }
}

TEST_P(EveryReader, CarriesPlanIdCautionAndTimeZone) {
    const Invented made = invented();
    for (const std::string& document : {html(made, GetParam()), markdown(made, GetParam())}) {
        EXPECT_THAT(document, HasSubstr(plan_id(made.outing, made.timeline)));
        EXPECT_THAT(document, HasSubstr(std::string(caution)));
        EXPECT_THAT(document, HasSubstr("clock times are UTC"));
    }
}

TEST(CueSheet, HasEveryActivityOfItsReaderOnceWithThePlansTimes) {
    const Invented made = invented();
    for (const Reader reader : {Reader::ev1, Reader::ev2}) {
        const std::string page = html(made, reader);
        std::size_t from = 0;
        const std::vector<const Activity*> lane = on_lane(made.timeline, reader == Reader::ev1 ? Lane::ev1 : Lane::ev2);
        for (const Activity* activity : lane) {
            const std::size_t at = page.find("<b>" + print_pet(activity->start) + "</b>", from);
            ASSERT_NE(at, std::string::npos) << print_pet(activity->start);
            // The spaces in a length of time do not break.
            const std::string times = "to " + print_pet(activity->end()) + " · " +
                                      std::regex_replace(print_short(activity->duration), std::regex(" "), "\xC2\xA0");
            EXPECT_TRUE(!activity->step || page.substr(at, 200).find(times) != std::string::npos) << times;
            from = at + 1;
        }
        EXPECT_EQ(page.find("class=\"when\"", from), std::string::npos) << "a row that is not in the plan";
    }
}

TEST(CueSheet, CautionsStandAtTheirStepAboveItsName) {
    const std::string page = html(invented(), Reader::ev2);
    const std::size_t hazard = page.find("A released bolt can float away"),
                      name = page.find("Release four launch bolts");
    ASSERT_NE(hazard, std::string::npos);
    EXPECT_LT(hazard, name);
    EXPECT_EQ(page.substr(hazard, name - hazard).find("<tbody"), std::string::npos);
}

TEST(CueSheet, SaysWhatIsInTheHandsBeforeAndAfter) {
    const Invented made = invented();
    const Cue bolts = cue_of(made, Reader::ev1, "A4");
    EXPECT_EQ(bolts.hands_before, "Tool bag 1 (Pistol driver)");
    EXPECT_EQ(bolts.hands_after, "Tool bag 1 (Pistol driver)");
    EXPECT_THAT(bolts.notes, Contains("use: Pistol driver, Torque wrench"));
}

TEST(CueSheet, AnEmptyPlanGivesASheetThatSaysSo) {
    Invented made = invented();
    made.timeline.activities.clear();
    EXPECT_THAT(html(made, Reader::ev1), HasSubstr("Nothing in this plan is for this reader."));
    EXPECT_THAT(markdown(made, Reader::ev1), HasSubstr("Nothing in this plan is for this reader."));
}

TEST(CueSheet, PutsThePartnersStepBeside) {
    const Cue cue = cue_of(invented(), Reader::ev1, "A2");
    ASSERT_FALSE(cue.beside.empty());
    EXPECT_EQ(cue.beside[0].lane, Lane::ev2);
    EXPECT_EQ(cue.beside[0].words, "A3 Steady the module by its handles");
}

TEST(CueSheet, SaysHowLongAWindowStillHoldsAfterTheStep) {
    // A7 runs 01:16 to 01:40; the second daylight is 01:12 to 02:09.
    EXPECT_THAT(cue_of(invented(), Reader::iv, "A7").notes,
                Contains("needs daylight: PET 01:12 to 02:09, 29 min left at the end"));
}

TEST(CueSheet, SaysWhenThePlanPutsAStepOutsideItsWindow) {
    // A5 runs 01:00 to 01:16; coverage ends at 00:58 and returns at 01:24.
    EXPECT_THAT(cue_of(invented(), Reader::arm, "A5").notes,
                Contains("needs coverage: not given at this time by the plan's windows"));
}

TEST(CueSheet, IvHearsTheWordsForTheCrew) { EXPECT_THAT(html(invented(), Reader::iv), HasSubstr(crew_marker)); }

TEST(CueSheet, MarkdownShowsTextFromTheFileAsItStands) {
    EXPECT_EQ(markdown_escape("a*b_c [d] <e> `f` #1"), "a\\*b\\_c \\[d\\] \\<e\\> \\`f\\` \\#1");
}

TEST(CueSheet, LooksAsApproved) {
    const Invented made = invented();
    expect_golden("cues-ev1.html", html(made, Reader::ev1));
    expect_golden("cues-iv.html", html(made, Reader::iv));
    expect_golden("cues-arm.html", html(made, Reader::arm));
    expect_golden("cues-ev2.md", markdown(made, Reader::ev2));
}

// Printed with the browser the tests use anyway: on no page does a step's caution or note stand without its name.
TEST(CueSheet, PrintedPagesKeepEveryStepWhole) {
    if (std::system("command -v chromium >/dev/null && command -v pdftotext >/dev/null") != 0)
        GTEST_SKIP() << "chromium or pdftotext (poppler-utils) is not installed";
    const std::filesystem::path folder = std::filesystem::temp_directory_path() / "handrail-cue-print";
    std::filesystem::create_directories(folder);
    Invented made = invented();
    for (Step& step : made.outing.steps) {
        const std::string code = step_code(made.outing, step.id);
        step.hazards = {{"first" + code, "the control"}};
        step.crew_words = "Long words. Long words. Long words. Long words. last" + code;
    }
    std::ofstream(folder / "cues.html") << html(made, Reader::ev1, TypeSize::large);
    const std::string print =
        "cd '" + folder.string() +
        "' && chromium --headless --no-sandbox --disable-gpu --no-pdf-header-footer "
        "--print-to-pdf=cues.pdf cues.html >/dev/null 2>&1 && pdftotext -layout cues.pdf cues.txt";
    ASSERT_EQ(std::system(print.c_str()), 0);
    std::ifstream in(folder / "cues.txt");
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    int pages = 0, whole = 0;
    for (std::size_t from = 0; from < text.size(); ++pages) {
        const std::size_t end = std::min(text.find('\f', from), text.size());
        const std::string page = text.substr(from, end - from);
        for (const Step& step : made.outing.steps) {
            const std::string code = step_code(made.outing, step.id);
            const bool first = page.find("First" + code) != std::string::npos;
            EXPECT_EQ(first, page.find("last" + code) != std::string::npos) << code << " is split";
            whole += first;
        }
        from = end + 1;
    }
    EXPECT_GE(pages, 3);
    EXPECT_GE(whole, 8);
    std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace handrail::brief
