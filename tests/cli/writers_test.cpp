// Several writers at the command line: a stale write says what changed, queued lines are merged by their times, and no
// private word is told to whoever was too late.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "run_program.h"

namespace handrail::cli {
namespace {

using nlohmann::json;
using testing::AllOf;
using testing::HasSubstr;
using testing::Not;

class Writers : public testing::Test {
protected:
    static void SetUpTestSuite() {
        planned_ = new Program;
        const Ran ran = (*planned_)("plan", Program::demo("pool"), "--iterations", "300", "--quiet", "--out",
                                    planned_->path("plan.json"));
        ASSERT_EQ(ran.code, 0) << ran.error;
    }
    static void TearDownTestSuite() { delete planned_; }
    void SetUp() override { open(journal()); }

    std::string journal() const { return run.path("day.journal"); }
    void open(const std::string& file) const {
        const Ran opened = run("open", Program::demo("pool"), "--timeline", planned_->path("plan.json"), "--journal",
                               file, "--at=-01:00");
        ASSERT_EQ(opened.code, 0) << opened.error;
    }
    template <class... More>
    Ran log(const std::string& line, const std::string& at, const More&... more) const {
        return run("log", journal(), line, "--at=" + at, "--author", "lead", more...);
    }
    /// The state that the journal gives, positions and writing times aside.
    static json state_of(const Program& program, const std::string& file, const std::string& at) {
        const Ran shown = program("status", file, "--json", "--at=" + at);
        EXPECT_EQ(shown.code, 0) << shown.error;
        json state = json::parse(shown.out);
        for (const char* key : {"position", "record", "odds"}) state.erase(key);
        return state;
    }
    Program run;
    static Program* planned_;
};
Program* Writers::planned_ = nullptr;

TEST_F(Writers, AStaleLineIsRefusedWithWhatWasWrittenSince) {
    EXPECT_EQ(log("suit-up", "-00:50").code, 0);
    EXPECT_EQ(log("pet zero", "00:00", "--seen", "2").code, 0);
    EXPECT_EQ(log("note one", "00:01").code, 0);
    const std::string before = run("export", journal()).out;
    const Ran late = log("egress done", "00:10", "--seen", "2");
    EXPECT_EQ(late.code, 1);
    EXPECT_THAT(late.error, AllOf(HasSubstr("went on after entry 2"), HasSubstr("3  00:00:00 PET zero"),
                                  HasSubstr("4  00:01:00 one [lead]"), Not(HasSubstr("suit-up"))));
    EXPECT_EQ(run("export", journal()).out, before);
    EXPECT_EQ(log("egress done", "00:10", "--seen", "4").code, 0);
}

TEST_F(Writers, APositionThatTheJournalDoesNotHaveIsBadInput) {
    const Ran ran = log("suit-up", "-00:50", "--seen", "9");
    EXPECT_EQ(ran.code, 2);
    EXPECT_THAT(ran.error, AllOf(HasSubstr("at most 1"), HasSubstr("found 9"), HasSubstr("nothing was written")));
}

TEST_F(Writers, WhoeverIsTooLateReadsNoPrivateWord) {
    EXPECT_EQ(log("pet zero", "00:00").code, 0);
    EXPECT_EQ(log("hold private PLANTED-31", "00:05").code, 0);
    EXPECT_EQ(log("note PLANTED-32", "00:06", "--visibility", "medical").code, 0);
    const Ran late = log("egress done", "00:10", "--seen", "2");
    EXPECT_EQ(late.code, 1);
    EXPECT_THAT(late.error,
                AllOf(HasSubstr("hold"), HasSubstr("and 1 that is not for this view"), Not(HasSubstr("PLANTED"))));
}

TEST_F(Writers, AStaleChoiceIsRefusedWithWhatWasWrittenSince) {
    EXPECT_EQ(log("pet zero", "00:00").code, 0);
    EXPECT_EQ(run("options", journal(), "--at=00:01", "--out", run.path("options.json")).code, 0);
    EXPECT_EQ(log("note a moment please", "00:02").code, 0);
    const std::string before = run("export", journal()).out;
    for (const Ran& ran : {run("adopt", journal(), "come-in", "--at=00:03", "--seen", "2"),
                           run("adopt", journal(), "come-in", "--at=00:03", "--from", run.path("options.json"))}) {
        EXPECT_EQ(ran.code, 1);
        EXPECT_THAT(ran.error, HasSubstr("3  00:02:00 a moment please"));
    }
    EXPECT_EQ(run("adopt", journal(), "come-in", "--seen", "7").code, 2);
    EXPECT_EQ(run("export", journal()).out, before);
}

TEST_F(Writers, AStandDownIsAdoptedAsTheLeadsOwnEntry) {
    EXPECT_EQ(run("options", journal(), "--at=-00:30", "--out", run.path("options.json")).code, 0);
    const Ran adopted = run("adopt", journal(), "scrub", "--from", run.path("options.json"), "--at=-00:30");
    EXPECT_EQ(adopted.code, 0) << adopted.error;
    EXPECT_THAT(adopted.out, HasSubstr("scrub"));
    EXPECT_EQ(json::parse(run("status", journal(), "--json", "--at=-00:29").out)["stand_down"]["kind"], "scrub");
}

/// What one person noted while the journal could not be reached, out of order as notes are.
constexpr const char* queue =
    "# notes of IV\n"
    "00:12 EV1 started\n"
    "00:10 egress done\n"
    "\n"
    "00:00 pet zero\n"
    "00:22\tdone\r\n";

TEST_F(Writers, QueuedLinesAreMergedByTheirTimesWhoeverCameFirst) {
    std::ofstream(run.path("queue.txt")) << queue;
    // Here the journal holds nothing yet; there somebody else has already written a hold between the queued lines.
    EXPECT_EQ(run("log", journal(), "--from", run.path("queue.txt")).code, 0);
    EXPECT_EQ(log("hold", "00:14").code, 0);
    EXPECT_EQ(log("resume", "00:16").code, 0);

    const std::string other = run.path("other.journal");
    open(other);
    EXPECT_EQ(run("log", other, "pet zero", "--at=00:00").code, 0);
    EXPECT_EQ(run("log", other, "hold", "--at=00:14").code, 0);
    EXPECT_EQ(run("log", other, "resume", "--at=00:16").code, 0);
    std::string rest = queue;
    rest.erase(rest.find("00:00 pet zero\n"), 15);
    std::ofstream(run.path("rest.txt")) << rest;
    const Ran merged = run("log", other, "--from", run.path("rest.txt"));
    EXPECT_EQ(merged.code, 0) << merged.error;
    EXPECT_EQ(state_of(run, journal(), "00:30"), state_of(run, other, "00:30"));
    int egress = 0;
    const json status = json::parse(run("status", other, "--json", "--at=00:30").out);
    for (const json& entry : status["record"])
        if (entry["kind"] == "phase" && entry["pet_s"] == 600) ++egress;
    EXPECT_EQ(egress, 1);
}

TEST_F(Writers, OneQueuedLineThatCannotBeReadDoesNotKeepTheOthersOut) {
    std::ofstream(run.path("queue.txt")) << "00:00 pet zero\n00:05 gibberish\n00:10 egress done\n";
    const Ran ran = run("log", journal(), "--from", run.path("queue.txt"));
    EXPECT_EQ(ran.code, 1);
    EXPECT_THAT(ran.error, AllOf(HasSubstr("not written:"), HasSubstr("gibberish")));
    EXPECT_THAT(run("log", journal()).out, AllOf(HasSubstr("PET zero"), HasSubstr("both outside")));
}

TEST_F(Writers, AQueueWithALineThatHasNoTimeIsRefusedWhole) {
    const std::string before = run("export", journal()).out;
    for (const char* text : {"00:00 pet zero\nsoon done\n", "00:00 pet zero\n00:10\n"}) {
        std::ofstream(run.path("queue.txt")) << text;
        const Ran ran = run("log", journal(), "--from", run.path("queue.txt"));
        EXPECT_EQ(ran.code, 2);
        EXPECT_THAT(ran.error, AllOf(HasSubstr("queue.txt, line 2"), HasSubstr("nothing was written")));
    }
    EXPECT_EQ(run("log", journal(), "--from", run.path("none.txt")).code, 2);
    EXPECT_EQ(run("export", journal()).out, before);
}

}  // namespace
}  // namespace handrail::cli
