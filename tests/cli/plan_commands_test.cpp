// check, plan and explain through the command line: exit codes, options, one clear sentence for what cannot be.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "run_program.h"

namespace handrail::cli {
namespace {

using nlohmann::json;
using testing::HasSubstr;

class PlanCommands : public testing::Test {
protected:
    const std::string pool = Program::demo("pool");
    std::string planned() const {
        const std::string file = run.path("plan.json");
        const Ran plan = run("plan", pool, "--iterations", "1500", "--threads", "1", "--quiet", "--out", file);
        EXPECT_EQ(plan.code, 0) << plan.error;
        return file;
    }
    static std::string step_in(const std::string& file) {
        std::ifstream stream(file);
        const json timeline = json::parse(stream);
        for (const json& activity : timeline["activities"])
            if (activity["kind"] == "step") return activity["step"];
        return {};
    }
    Program run;
};

TEST_F(PlanCommands, CheckEndsWithZeroOneOrTwo) {
    const std::string file = planned();
    EXPECT_EQ(run("check", pool).code, 0);
    EXPECT_EQ(run("check", pool, "--timeline", file).code, 0);
    // Shifted by hand: the first activity starts before PET zero.
    std::ifstream stream(file);
    json timeline = json::parse(stream);
    timeline["activities"][0]["start_s"] = -60;
    std::ofstream(run.path("moved.json")) << timeline.dump();
    const Ran moved = run("check", pool, "--timeline", run.path("moved.json"), "--json");
    EXPECT_EQ(moved.code, 1);
    EXPECT_FALSE(json::parse(moved.out)["findings"].empty());
    std::ofstream(run.path("nonsense.json")) << "{";
    EXPECT_EQ(run("check", pool, "--timeline", run.path("nonsense.json")).code, 2);
    EXPECT_EQ(run("check", run.path("none.toml")).code, 2);
}

TEST_F(PlanCommands, WhatIsNotKnownIsNamedInOneSentence) {
    const Ran option = run("check", pool, "--wat", "3");
    EXPECT_EQ(option.code, 2);
    EXPECT_THAT(option.error, HasSubstr("handrail check: there is no option \"--wat\"."));
    const Ran argument = run("check", pool, "one", "two");
    EXPECT_EQ(argument.code, 2);
    EXPECT_THAT(argument.error, HasSubstr("handrail check: \"one\" is one argument too many."));
    const Ran command = run("chekc", pool);
    EXPECT_EQ(command.code, 2);
    EXPECT_THAT(command.error, HasSubstr("handrail: there is no command \"chekc\"."));
    for (const Ran& ran : {option, argument, command}) EXPECT_EQ(std::ranges::count(ran.error, '\n'), 1) << ran.error;
}

TEST_F(PlanCommands, CheckTakesWhatTheDayHasChanged) {
    const std::string file = planned();
    const std::string step = step_in(file);
    const std::string task = step.substr(0, step.find('.'));
    const Ran dropped = run("check", pool, "--timeline", file, "--dropped", task);
    EXPECT_EQ(dropped.code, 1);
    EXPECT_THAT(dropped.out, HasSubstr("dropped"));
    EXPECT_EQ(run("check", pool, "--timeline", file, "--unable", "EV1").code, 1);
    for (const auto& [option, value] : {std::pair{"--dropped", "nothing"}, std::pair{"--unable", "EV3"},
                                        std::pair{"--unavailable", "radio"}, std::pair{"--lost", "nothing"}}) {
        const Ran wrong = run("check", pool, "--timeline", file, option, value);
        EXPECT_EQ(wrong.code, 2) << option;
        EXPECT_THAT(wrong.error, HasSubstr(option));
    }
}

TEST_F(PlanCommands, ATimelineOfAnotherOutingIsOneSentence) {
    const Ran other = run("check", Program::demo("larkspur"), "--timeline", planned());
    EXPECT_EQ(other.code, 2);
    EXPECT_EQ(std::count(other.error.begin(), other.error.end(), '\n'), 1) << other.error;
    EXPECT_THAT(other.error, HasSubstr("a timeline of outing"));
}

TEST_F(PlanCommands, PlanKeepsWhatIsPinnedAndTheOldPlanAtItsPrice) {
    const std::string file = planned();
    const std::string step = step_in(file);
    const Ran pinned = run("plan", pool, "--iterations", "800", "--threads", "1", "--quiet", "--json", "--from", file,
                           "--keep", "10 min", "--pin", step + "=00:40");
    ASSERT_EQ(pinned.code, 0) << pinned.error;
    const json kept = json::parse(pinned.out);
    for (const json& activity : kept["activities"])
        EXPECT_TRUE(activity.value("step", "") != step || activity["start_s"] == 2400);
    EXPECT_EQ(run("plan", pool, "--pin", step).code, 2);
    EXPECT_EQ(run("plan", pool, "--pin", "nothing.1=00:40").code, 2);
    EXPECT_EQ(run("plan", pool, "--keep", "5 min").code, 2);
    EXPECT_EQ(run("plan", pool, "--close", "airlock").code, 2);
    EXPECT_EQ(run("plan", pool, "--give", step.substr(0, step.find('.')) + "=EV3").code, 2);
    std::ofstream(run.path("wishes.json")) << R"({"format":"handrail-wishes","version":1,"leave_out":["no-such"]})";
    EXPECT_EQ(run("plan", pool, "--wishes", run.path("wishes.json")).code, 2);
}

// The law: whatever an option cannot mean is one sentence that names it, exit code 2, and nothing is written.
TEST_F(PlanCommands, NonsenseInAnOptionIsOneSentence) {
    const std::string file = planned();
    const std::string step = step_in(file);
    const std::string task = step.substr(0, step.find('.'));
    using Words = std::vector<std::string>;
    const std::vector<std::pair<Words, std::string>> all{
        {{"--pin", step + "=soon"}, "--pin: expected"},
        {{"--pin", step + "=-00:20"}, "the outing begins at PET 00:00"},
        {{"--pin", step + "=00:40", "--pin", step + "=00:50"}, "named twice"},
        {{"--give", task + "=EV1", "--give", task + "=EV2"}, "named twice"},
        {{"--before", step + "=" + step}, "circle"},
        {{"--before", "nothing.1=" + step}, "--before: there is no step"},
        {{"--forbid", step + "=EV1", "--forbid", step + "=EV2"}, "nobody is left"},
        {{"--close", "nowhere"}, "--close: there is no worksite"},
        {{"--must", task, "--without", task}, "cannot be demanded and left out"},
        {{"--must", "nothing"}, "--must: there is no task"},
        {{"--from", file, "--keep", "5"}, "--keep: expected a time"},
        {{"--from", file, "--keep-worth", "nan"}, "--keep-worth: expected a number"},
        {{"--budget", "0ms"}, "--budget: expected a time"},
        {{"--iterations", "-5"}, "--iterations: expected a whole number"},
        {{"--seed", "-1"}, "--seed: expected a whole number"},
        {{"--threads", "1000"}, "--threads: expected a whole number"},
        {{"--candidates", "5"}, "--candidates requires --robust"},
        {{"--from", file, "--keep", "5 min", "--robust"}, "say with --keep-worth what value"},
    };
    for (const auto& [words, what] : all) {
        const Ran ran =
            std::apply([&](const auto&... word) { return run("plan", pool, "--out", run.path("no.json"), word...); },
                       std::tuple(words[0], words[1], words.size() > 2 ? words[2] : "--quiet",
                                  words.size() > 3 ? words[3] : "--json", words.size() > 4 ? words[4] : "--quiet"));
        EXPECT_EQ(ran.code, 2) << words[1];
        EXPECT_THAT(ran.error, HasSubstr(what));
        EXPECT_EQ(std::ranges::count(ran.error, '\n'), 1) << ran.error;
        EXPECT_FALSE(std::filesystem::exists(run.path("no.json")));
    }
}

TEST_F(PlanCommands, WhatTheLeadHasSettledIsNamedWhereItLeavesNoPlan) {
    const std::string step = step_in(planned());
    const Ran ran = run("plan", pool, "--iterations", "300", "--quiet", "--pin", step + "=00:01");
    EXPECT_EQ(ran.code, 1);
    EXPECT_THAT(ran.error, HasSubstr("The required tasks fit if " + step + " were not pinned to PET 00:01."));
}

// The law: what is settled holds in the plan that does best in simulation too.
TEST_F(PlanCommands, ARobustPlanKeepsWhatTheLeadHasSettled) {
    const std::string step = step_in(planned());
    const std::string out = run.path("robust.json");
    const Ran ran = run("plan", pool, "--iterations", "2000", "--robust", "--candidates", "30", "--pin",
                        step + "=01:07", "--out", out);
    ASSERT_EQ(ran.code, 0) << ran.error;
    std::ifstream file(out);
    const json timeline = json::parse(file);
    const auto pinned = std::ranges::find_if(timeline.at("activities"),
                                             [&](const json& activity) { return activity.value("step", "") == step; });
    ASSERT_NE(pinned, timeline.at("activities").end());
    EXPECT_EQ(pinned->at("start_s"), 67 * 60);
}

// A get-ahead task that fills a wait before required work is planned after its own gate: nobody should count on it.
TEST_F(PlanCommands, ATaskOfThePlanThatIsHardlyEverDoneIsNamed) {
    const std::string demo = Program::demo("larkspur");
    const std::string file = run.path("larkspur.json");
    const Ran plan = run("plan", demo, "--iterations", "20000", "--out", file);
    ASSERT_EQ(plan.code, 0) << plan.error;
    const Ran risk = run("risk", demo, "--timeline", file, "--runs", "4000");
    ASSERT_EQ(risk.code, 0) << risk.error;
    const json odds = json::parse(run("risk", demo, "--timeline", file, "--runs", "4000", "--json").out);
    std::vector<std::string> expected;
    for (const json& task : odds["tasks"])
        if (task["planned"] && task["class"] != "required" && task["done"]["value"] < 0.1)
            expected.push_back(task["task"]);
    std::vector<std::string> named;
    for (const json& one : odds["unlikely"]) {
        named.push_back(one["task"]);
        EXPECT_THAT(risk.out, HasSubstr(one["sentence"].get<std::string>()));
        EXPECT_THAT(plan.error, HasSubstr(one["sentence"].get<std::string>()));
    }
    EXPECT_EQ(named, expected);
    EXPECT_FALSE(named.empty()) << "the demo has such a task (the insulation blanket)";
}

TEST_F(PlanCommands, ExplainSaysWhyInWordsAndInJson) {
    const std::string file = planned();
    const Ran words = run("explain", pool, "--timeline", file, "--iterations", "100", "--threads", "1");
    EXPECT_EQ(words.code, 0) << words.error;
    EXPECT_THAT(words.out, HasSubstr("The chain that sets the finish"));
    const Ran data = run("explain", pool, "--timeline", file, "--iterations", "100", "--threads", "1", "--json");
    ASSERT_EQ(data.code, 0) << data.error;
    EXPECT_EQ(json::parse(data.out)["format"], "handrail-explanation");
    EXPECT_EQ(run("explain", pool, "--timeline", run.path("none.json")).code, 2);
}

}  // namespace
}  // namespace handrail::cli
