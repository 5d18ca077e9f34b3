// The documents through the command line: what is written where, and one clear sentence for whatever cannot be.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "run_program.h"

namespace handrail::cli {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

class Briefing : public testing::Test {
protected:
    static void SetUpTestSuite() {
        shared = new Program;
        ASSERT_EQ((*shared)("plan", Program::demo("pool"), "--iterations", "300", "--seed", "1", "--quiet", "--out",
                            shared->path("plan.json"))
                      .code,
                  0);
        ASSERT_EQ((*shared)("open", Program::demo("pool"), "--timeline", shared->path("plan.json"), "--journal",
                            shared->path("day.journal"), "--at=-00:30")
                      .code,
                  0);
        (*shared)("log", shared->path("day.journal"), "pet zero", "--at=00:00");
        (*shared)("log", shared->path("day.journal"), "hold private PLANTED-6612", "--at=00:20");
    }
    static void TearDownTestSuite() { delete shared; }
    template <class... Words>
    Ran brief(const Words&... words) const {
        return (*shared)("brief", words...);
    }
    std::string plan() const { return shared->path("plan.json"); }
    std::string journal() const { return shared->path("day.journal"); }
    static Program* shared;
};
Program* Briefing::shared = nullptr;

TEST_F(Briefing, EveryKindOfNonsenseGetsOneSentenceAndCodeTwo) {
    const std::string demo = Program::demo("pool"), out = shared->path("x.html");
    const auto wrong = [&](const std::string& sentence, const auto&... words) {
        const Ran ran = brief(words...);
        EXPECT_EQ(ran.code, 2) << sentence;
        EXPECT_THAT(ran.error + ran.out, HasSubstr(sentence));
    };
    wrong("--what: say which document", demo);
    wrong("--out: say which file to write", demo, "--what", "tools");
    wrong("--what: expected timeline, cue-sheet, ", demo, "--what", "poem", "--out", out);
    wrong("found \"poem\".", demo, "--what", "poem", "--out", out);
    wrong("--for: expected ev1, ev2, iv or arm, found \"ev3\".", demo, "--what", "cue-sheet", "--for", "ev3", "--out",
          out);
    wrong("--sheet: expected a3, a4 or screen", demo, "--what", "timeline", "--sheet", "a9", "--out", out);
    wrong("--units: expected metric or us", demo, "--what", "tools", "--units", "furlong", "--out", out);
    wrong("the document \"calendar\" is written as .ics; end the file name with one of them.", demo, "--timeline",
          plan(), "--what", "calendar", "--out", out);
    wrong("the document \"timeline\" is written as .pdf, .svg, .png, .csv or .json", demo, "--timeline", plan(),
          "--what", "timeline", "--out", shared->path("x"));
    wrong("give the day's journal instead of an outing file", demo, "--timeline", plan(), "--what", "hand-over",
          "--out", out);
    wrong("--at: is for the journal of a day", demo, "--what", "tools", "--at", "01:00", "--out", out);
    wrong("--timeline: a journal has its plan in it", journal(), "--timeline", plan(), "--what", "tools", "--out", out);
    wrong("--made: a document of a journal is made at the moment of --at", journal(), "--made", "now", "--what",
          "tools", "--out", out);
    for (const char* minutes : {"0", "1000", "-3", "nan", "soon"})
        wrong("expected a number from 0.5 to 600", demo, "--timeline", plan(), "--what", "script", "--minutes", minutes,
              "--out", out);
    for (const char* pace : {"0", "nan", "1e9"})
        wrong("expected a number from 60 to 250", demo, "--timeline", plan(), "--what", "script", "--pace", pace,
              "--out", out);
    wrong("this outing has no arm", demo, "--timeline", plan(), "--what", "cue-sheet", "--for", "arm", "--out", out);
    wrong("--now: expected a UTC instant", demo, "--timeline", plan(), "--what", "timeline", "--now", "soon", "--out",
          shared->path("x.svg"));
    wrong("--at: expected a UTC instant", journal(), "--at", "soon", "--what", "hand-over", "--out", out);
    wrong("--made: expected", demo, "--timeline", plan(), "--made", "yesterday", "--what", "tools", "--out", out);
    wrong("--verify takes the journal of a day", demo, "--verify", "AAAA-AAAA");
    wrong("--language: expected en or de, found \"xx\".", demo, "--what", "tools", "--language", "xx", "--out", out);
    const std::string nowhere = shared->path("no such folder") + "/x.html";
    wrong("cannot be written (No such file or directory).", demo, "--timeline", plan(), "--what", "tools", "--out",
          nowhere);
    wrong("found no such file", shared->path("Zeitplan \xE6\xBC\xA2.journal"), "--what", "tools", "--out", out);
    wrong("No document of this journal has this code", journal(), "--verify", "");
    EXPECT_FALSE(std::filesystem::exists(out));
    EXPECT_FALSE(std::filesystem::exists(nowhere));
    wrong("--minutes: is for --what script, not for tools", demo, "--what", "tools", "--minutes", "3", "--out", out);
    wrong("nothing-here.toml", "nothing-here.toml", "--what", "tools", "--out", out);
    wrong("", journal(), "--what", "tools", "--at", "soon", "--out", out);
    EXPECT_FALSE(std::filesystem::exists(out)) << "nothing is written";
}

TEST_F(Briefing, AFileMayHaveAnyName) {
    const std::string out = shared->path("Werkzeug \xE6\xBC\xA2\xE5\xAD\x97 \xC3\xA4.txt");
    EXPECT_EQ(brief(Program::demo("pool"), "--timeline", plan(), "--what", "tools", "--for", "EV1", "--out", out).code,
              2);
    EXPECT_EQ(brief(Program::demo("pool"), "--timeline", plan(), "--what", "tools", "--out", out).code, 0);
    EXPECT_THAT(Program::text(out), HasSubstr("Tool bag"));
}

TEST_F(Briefing, WritesEveryDocumentIntoAFolder) {
    const std::string folder = shared->path("all");
    const Ran ran = brief(Program::demo("pool"), "--timeline", plan(), "--what", "all", "--made",
                          "2031-04-05T07:00:00Z", "--out", folder);
    EXPECT_EQ(ran.code, 0) << ran.error;
    for (const char* name : {"timeline.svg", "cue-sheet-iv.html", "cue-sheet-ev1.csv", "storyboard.pdf", "script.txt",
                             "director.md", "tools.json", "calendar.ics"})
        EXPECT_GT(Program::text(folder + "/" + name).size(), 300u) << name;
    EXPECT_THAT(Program::text(folder + "/director.md"), HasSubstr("made 2031-04-05T07:00:00Z"));
    EXPECT_FALSE(std::filesystem::exists(folder + "/hand-over.html"));
}

TEST_F(Briefing, TheHandOverSheetIsPrintedAndKeepsPrivateMattersToThemselves) {
    const Ran ran = (*shared)("hand-over", journal(), "--at", "00:30");
    EXPECT_EQ(ran.code, 0) << ran.error;
    EXPECT_THAT(ran.out, HasSubstr("Where things stand"));
    EXPECT_THAT(ran.out, HasSubstr("Hold since PET 00:20."));
    EXPECT_THAT(ran.out, HasSubstr("1 entry is private and is not shown here"));
    EXPECT_THAT(ran.out, Not(HasSubstr("PLANTED-6612")));
    const Ran german = (*shared)("hand-over", journal(), "--at", "00:30", "--language", "de");
    EXPECT_THAT(german.out, HasSubstr("Wie es steht"));
    EXPECT_EQ((*shared)("hand-over", "nothing.journal").code, 2);
}

TEST_F(Briefing, APrintedCodeTellsWhetherADocumentIsInForce) {
    const Ran sheet = (*shared)("hand-over", journal(), "--at", "00:30");
    const std::size_t at = sheet.out.find("check code ");
    ASSERT_NE(at, std::string::npos);
    const std::string code = sheet.out.substr(at + 11, 9);
    const Ran now = brief(journal(), "--verify", code);
    EXPECT_EQ(now.code, 0) << now.out << now.error;
    EXPECT_THAT(now.out, StartsWith("In force: "));
    const Ran unknown = brief(journal(), "--verify", "AAAA-AAAA");
    EXPECT_EQ(unknown.code, 2);
    EXPECT_THAT(unknown.out, HasSubstr("No document of this journal has this code"));
}

TEST_F(Briefing, ACloseOutIsWrittenAsAReport) {
    const Ran ran = (*shared)("close", journal(), "--draft", "--at", "00:40", "--out", shared->path("report.md"));
    EXPECT_EQ(ran.code, 0) << ran.error;
    EXPECT_THAT(Program::text(shared->path("report.md")), HasSubstr("# Pool"));
    EXPECT_THAT(Program::text(shared->path("report.md")), HasSubstr("## How it ended"));
}

}  // namespace
}  // namespace handrail::cli
