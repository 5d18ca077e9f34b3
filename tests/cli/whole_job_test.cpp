// The whole job through the command line, on both demonstration outings: plan, check, open, a start half an hour late,
// a private hold, the options, one adopted, home early, closed, exported.
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

constexpr const char* marker = "PLANTED-5521";

class WholeJob : public testing::TestWithParam<const char*> {
protected:
    void SetUp() override {
        const Ran planned =
            run("plan", Program::demo(GetParam()), "--iterations", "1500", "--seed", "1", "--quiet", "--out", plan());
        ASSERT_EQ(planned.code, 0) << planned.error;
    }
    std::string plan() const { return run.path("plan.json"); }
    std::string journal() const { return run.path("day.journal"); }
    void open() const {
        const Ran opened = run("open", Program::demo(GetParam()), "--timeline", plan(), "--journal", journal(),
                               "--author", "lead", "--at=-01:00");
        ASSERT_EQ(opened.code, 0) << opened.error;
    }
    void log(const std::string& line, const std::string& at) const {
        const Ran logged = run("log", journal(), line, "--at=" + at, "--author", "lead");
        EXPECT_EQ(logged.code, 0) << line << ": " << logged.error;
    }
    json status(const std::string& at) const {
        const Ran shown = run("status", journal(), "--json", "--at=" + at);
        EXPECT_EQ(shown.code, 0) << shown.error;
        return json::parse(shown.out);
    }
    Program run;
};

TEST_P(WholeJob, FromThePlanToTheCloseOut) {
    EXPECT_EQ(run("check", Program::demo(GetParam())).code, 0);
    open();
    log("suit-up", "-00:50");
    // Half an hour late: the PET on the command line still counts from the planned PET zero until there is one.
    log("pet zero", "00:30");
    EXPECT_EQ(status("00:00")["slip_s"], 1800);
    log("egress done", "00:16");

    const json working = status("00:17");
    EXPECT_EQ(working["phase"], "work");
    EXPECT_TRUE(working["forecast"]["possible"].get<bool>());
    log("EV1 started", "00:20");
    const std::string label = status("00:21")["crew"][0]["now"]["label"];
    log("done", "00:31");
    log(std::string("hold private ") + marker, "00:32");
    const json held = status("00:40");
    EXPECT_EQ(held["hold"]["since_pet_s"], 32 * 60);
    EXPECT_TRUE(held["hold"]["reason"].is_null());
    log("resume", "00:47");

    const Ran options = run("options", journal(), "--json", "--at", "00:48", "--out", run.path("options.json"));
    ASSERT_EQ(options.code, 0) << options.error;
    const json offered = json::parse(options.out);
    ASSERT_GE(offered["options"].size(), 4u);
    EXPECT_EQ(offered["options"][0]["id"], "carry-on");
    const std::string chosen = offered["options"][1]["id"];
    const Ran adopted =
        run("adopt", journal(), chosen, "--from", run.path("options.json"), "--at", "00:48", "--author", "lead");
    ASSERT_EQ(adopted.code, 0) << adopted.error;
    EXPECT_THAT(adopted.out, HasSubstr("plan adopted"));
    EXPECT_EQ(status("00:49")["plan"]["finish_pet_s"], offered["options"][1]["finish_pet_s"]);
    // The same options, once more: the journal has gone on.
    EXPECT_EQ(run("adopt", journal(), chosen, "--from", run.path("options.json"), "--at", "00:49").code, 1);

    EXPECT_EQ(run("close", journal(), "--at", "00:50").code, 1);
    const Ran early = run("learn", journal());
    EXPECT_EQ(early.code, 2);
    EXPECT_THAT(early.error, HasSubstr("close it first"));
    log("terminate storm", "00:55");
    log("clean-up", "01:10");
    log("ingress", "01:20");
    log("hatch closed", "01:36");
    const Ran closed = run("close", journal(), "--at", "01:40", "--note", "rest carried over", "--author", "lead");
    ASSERT_EQ(closed.code, 0) << closed.error;
    EXPECT_THAT(closed.out, AllOf(HasSubstr("ended: terminate"), HasSubstr("storm"), HasSubstr("Items"),
                                  HasSubstr(label), HasSubstr("plan adopted")));
    EXPECT_EQ(status("01:45")["phase"], "closed");
    // Closing twice writes nothing new.
    const auto entries = status("01:45")["position"];
    EXPECT_EQ(run("close", journal(), "--at", "01:46", "--json").code, 0);
    EXPECT_EQ(status("01:46")["position"], entries);

    for (const char* format : {"jsonl", "csv"}) EXPECT_EQ(run("export", journal(), "--format", format).code, 0);

    const Ran learned = run("learn", journal(), "--out", run.path("durations.toml"));
    EXPECT_EQ(learned.code, 0) << learned.error;
    EXPECT_THAT(learned.out, AllOf(HasSubstr("airlock"), HasSubstr("own pace")));
}

// A marker planted in private entries is in no command's output for the console or the public.
TEST_P(WholeJob, NoCommandTellsOthersAPrivateWord) {
    open();
    log("pet zero", "00:00");
    log("egress done", "00:12");
    for (const std::string line : {"hold private ", "note ", "decision ", "EV2 unable ", "terminate "}) {
        const Ran logged =
            run("log", journal(), line + marker, "--visibility", "medical", "--author", marker, "--at", "00:20");
        EXPECT_EQ(logged.code, 0) << logged.error;
    }
    log("hatch closed", "00:50");
    for (const std::string as : {"console", "public"}) {
        EXPECT_THAT(run("log", journal(), "--as", as).out, AllOf(HasSubstr("hold"), Not(HasSubstr(marker))));
        for (const std::string at : {"00:21", "00:55"}) {
            EXPECT_THAT(run("status", journal(), "--as", as, "--at", at).out, Not(HasSubstr(marker)));
            EXPECT_THAT(run("status", journal(), "--as", as, "--at", at, "--json").out, Not(HasSubstr(marker)));
        }
        for (const std::string format : {"jsonl", "csv"})
            EXPECT_THAT(run("export", journal(), "--as", as, "--format", format).out, Not(HasSubstr(marker)));
    }
    EXPECT_THAT(run("options", journal(), "--at", "00:21", "--json").out, Not(HasSubstr(marker)));
    EXPECT_THAT(run("options", journal(), "--at", "00:21").out, Not(HasSubstr(marker)));
    EXPECT_THAT(run("close", journal(), "--draft").out, AllOf(HasSubstr("private entries: 5"), Not(HasSubstr(marker))));
    EXPECT_THAT(run("close", journal(), "--draft", "--json").out, Not(HasSubstr(marker)));
    EXPECT_THAT(run("export", journal(), "--as", "medical").out, HasSubstr(marker));
}

TEST_P(WholeJob, AScrubbedOutingIsClosedToo) {
    open();
    log("scrub leak at the hatch", "-00:10");
    const Ran closed = run("close", journal(), "--at=-00:05", "--json");
    ASSERT_EQ(closed.code, 0) << closed.error;
    const json found = json::parse(closed.out);
    EXPECT_EQ(found["ended"], "scrub");
    for (const json& task : found["tasks"]) EXPECT_EQ(task["outcome"], "left");
}

INSTANTIATE_TEST_SUITE_P(Demos, WholeJob, testing::Values("pool", "larkspur"),
                         [](const auto& one) { return std::string(one.param); });

// ---- what goes wrong is said in one sentence, with the exit code for it

class DayCommands : public testing::Test {
protected:
    static void SetUpTestSuite() {
        run_ = new Program;
        const Ran planned =
            (*run_)("plan", Program::demo("pool"), "--iterations", "300", "--quiet", "--out", run_->path("plan.json"));
        ASSERT_EQ(planned.code, 0) << planned.error;
        const Ran opened = (*run_)("open", Program::demo("pool"), "--timeline", run_->path("plan.json"), "--journal",
                                   run_->path("day.journal"), "--at=-01:00");
        ASSERT_EQ(opened.code, 0) << opened.error;
    }
    static void TearDownTestSuite() { delete run_; }
    static Program* run_;
    Program& run = *run_;
};
Program* DayCommands::run_ = nullptr;

TEST_F(DayCommands, AMissingJournalIsNamed) {
    for (const char* command : {"status", "options", "export", "close"}) {
        const Ran ran = run(command, run.path("none.journal"));
        EXPECT_EQ(ran.code, 2) << command;
        EXPECT_THAT(ran.error, HasSubstr("no such journal")) << command;
    }
}

TEST_F(DayCommands, AJournalIsNotOpenedTwice) {
    const Ran again =
        run("open", Program::demo("pool"), "--timeline", run.path("plan.json"), "--journal", run.path("day.journal"));
    EXPECT_EQ(again.code, 2);
    EXPECT_THAT(again.error, HasSubstr("never overwritten"));
}

TEST_F(DayCommands, ATimelineOfAnotherOutingIsNotOpened) {
    const Ran other = run("open", Program::demo("larkspur"), "--timeline", run.path("plan.json"), "--journal",
                          run.path("other.journal"));
    EXPECT_EQ(other.code, 2);
    EXPECT_FALSE(std::filesystem::exists(run.path("other.journal")));
}

TEST_F(DayCommands, ALineThatIsNotUnderstoodWritesNothing) {
    const Ran before = run("export", run.path("day.journal"));
    const Ran ran = run("log", run.path("day.journal"), "EV1 startde pump.open", "--at=-00:30");
    EXPECT_EQ(ran.code, 2);
    EXPECT_THAT(ran.error, testing::StartsWith("\"EV1 startde"));
    EXPECT_EQ(run("export", run.path("day.journal")).out, before.out);
}

TEST_F(DayCommands, WordsThatAreNoReaderAndNoTimeAreRefused) {
    EXPECT_EQ(run("status", run.path("day.journal"), "--as", "everybody").code, 2);
    EXPECT_EQ(run("status", run.path("day.journal"), "--at", "soon").code, 2);
    EXPECT_EQ(run("log", run.path("day.journal"), "note x", "--visibility", "secret").code, 2);
    EXPECT_EQ(run("adopt", run.path("day.journal"), "fly").code, 2);
    EXPECT_EQ(run("close", run.path("day.journal"), "--as", "public").code, 2);
}

TEST_F(DayCommands, AJournalOutlivesItsOutingFile) {
    // The day is read from what the journal keeps: the outing file may have changed or gone.
    Program other;
    std::filesystem::copy(std::filesystem::path(Program::demo("pool")).parent_path().parent_path(), other.path("demo"),
                          std::filesystem::copy_options::recursive);
    const std::string outing = other.path("demo/pool/outing.toml");
    const Ran opened = other("open", outing, "--timeline", run.path("plan.json"), "--journal",
                             other.path("day.journal"), "--at=-01:00");
    ASSERT_EQ(opened.code, 0) << opened.error;
    const std::string before = other("status", other.path("day.journal"), "--json").out;
    std::filesystem::remove_all(other.path("demo"));
    EXPECT_EQ(other("status", other.path("day.journal"), "--json").out, before);
}

TEST_F(DayCommands, EveryOneExplainsItselfWithAnExample) {
    for (const char* command : {"open", "log", "status", "options", "adopt", "close", "export"}) {
        const Ran help = run(command, "--help");
        EXPECT_EQ(help.code, 0) << command;
        EXPECT_THAT(help.out, HasSubstr(std::string("Example: handrail ") + command));
    }
}

}  // namespace
}  // namespace handrail::cli
