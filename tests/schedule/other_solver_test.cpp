#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "schedule/small_projects.h"
#include "schedule/solve.h"

/// The same random projects put to MiniZinc with Gecode, by a model that shares nothing with ours.
/// HANDRAIL_ORACLE_CASES says how many (a start of that program costs more than the solving).
namespace handrail::schedule {
namespace {

constexpr int horizon = 60;

template <class Get>
std::string list(std::size_t count, const Get& get) {
    std::string text = "[";
    for (std::size_t i = 0; i < count; ++i) text += (i ? "," : "") + fmt::to_string(get(i));
    return text + "]";
}

std::string lag_rule(const Lag& lag) {
    return fmt::format("constraint done[{0}] /\\ done[{1}] -> start[{1}] >= start[{0}] + {2} + ({3});\n", lag.from + 1,
                       lag.to + 1, lag.since == Since::finish ? fmt::format("length[{}]", lag.from + 1) : "0", lag.gap);
}

std::string model_of(const Project& project) {
    const std::size_t count = project.activities.size();
    std::string text = "include \"cumulative.mzn\";\n";
    text += fmt::format("array[1..{0}] of var 0..{1}: start;\narray[1..{0}] of var bool: done;\n", count, horizon);
    text +=
        fmt::format("array[1..{0}] of var 0..{1}: length;\nvar 0..{1}: finish;\nvar 0..1000: worth;\n", count, horizon);
    for (std::size_t i = 0; i < count; ++i) {
        const Activity& activity = project.activities[i];
        const auto per_mode = [&](const auto& get) {
            return list(activity.modes.size(), [&](std::size_t m) { return get(activity.modes[m]); });
        };
        text += fmt::format("var 1..{}: mode{};\n", activity.modes.size(), i);
        text += fmt::format("constraint length[{0}] = if done[{0}] then {2}[mode{1}] else 0 endif;\n", i + 1, i,
                            per_mode([](const Mode& mode) { return mode.duration; }));
        for (std::size_t r = 0; r < project.capacity.size(); ++r)
            // What lasts no time holds nothing; that program would count it.
            text +=
                fmt::format("var int: demand{0}_{1} = if done[{3}] then {2}[mode{1}] else 0 endif;\n", r, i,
                            per_mode([r](const Mode& mode) { return mode.duration > 0 ? mode.demand[r] : 0; }), i + 1);
        for (std::size_t s = 0; s < project.stock.size(); ++s)
            text += fmt::format("var int: use{0}_{1} = if done[{3}] then {2}[mode{1}] else 0 endif;\n", s, i,
                                per_mode([s](const Mode& mode) { return mode.uses[s]; }), i + 1);
        if (!activity.optional) text += fmt::format("constraint done[{}];\n", i + 1);
        text += fmt::format(
            "constraint done[{0}] -> start[{0}] >= {1} /\\ start[{0}] <= {2} /\\ start[{0}] + length[{0}] <= {3};\n",
            i + 1, activity.release, std::min(activity.latest_start, horizon), std::min(activity.deadline, horizon));
        text += fmt::format("constraint done[{0}] -> finish >= start[{0}] + length[{0}];\n", i + 1);
        text += fmt::format("constraint not done[{0}] -> start[{0}] = 0 /\\ mode{1} = 1;\n", i + 1, i);
    }
    for (std::size_t r = 0; r < project.capacity.size(); ++r)
        text += fmt::format("constraint cumulative(start, length, {}, {});\n",
                            list(count, [r](std::size_t i) { return fmt::format("demand{}_{}", r, i); }),
                            project.capacity[r]);
    for (std::size_t s = 0; s < project.stock.size(); ++s)
        text +=
            fmt::format("constraint sum({}) <= {};\n",
                        list(count, [s](std::size_t i) { return fmt::format("use{}_{}", s, i); }), project.stock[s]);
    for (const Lag& lag : project.lags) text += lag_rule(lag);
    for (const Group& group : project.groups) {
        const std::string members = list(group.members.size(), [&](std::size_t k) {
            return fmt::format("bool2int(done[{}])", group.members[k] + 1);
        });
        text +=
            fmt::format("constraint sum({0}) >= {1} /\\ sum({0}) <= {2};\n", members, group.at_least, group.at_most);
    }
    for (const Needs& need : project.needs)
        text += fmt::format("constraint done[{}] -> done[{}];\n", need.activity + 1, need.other + 1);
    text += fmt::format("constraint worth = sum({});\n", list(count, [&](std::size_t i) {
                            return fmt::format("{}*bool2int(done[{}])",
                                               project.activities[i].optional ? project.activities[i].value : 0, i + 1);
                        }));
    for (std::size_t i = 0; i < count; ++i)
        text += fmt::format("{}mode{}", i ? "," : "array[int] of var int: modes = [", i);
    text += "];\n";
    return text +
           "solve :: seq_search([bool_search(done, input_order, indomain_max), int_search(modes, input_order, "
           "indomain_min), int_search(start, smallest, indomain_min)]) maximize 1000 * worth - finish;\noutput [\"best "
           "\\(worth) \\(finish)\\n\"];\n";
}

struct Other {
    bool finished = false;
    std::optional<test::Best> best;  ///< nothing: proved that there is no schedule
};
Other ask(const Project& project) {
    const std::string file = testing::TempDir() + "handrail_project.mzn";
    std::ofstream(file) << model_of(project);
    FILE* const pipe = ::popen(("minizinc --solver gecode --time-limit 10000 " + file + " 2>&1").c_str(), "r");
    std::string output;
    std::array<char, 256> line{};
    while (std::fgets(line.data(), line.size(), pipe)) output += line.data();
    EXPECT_EQ(::pclose(pipe), 0) << output;
    std::filesystem::remove(file);
    if (output.find("=====UNSATISFIABLE=====") != std::string::npos) return {true, std::nullopt};
    test::Best best;
    long long worth = 0;
    const std::size_t at = output.find("best ");
    if (at == std::string::npos || output.find("==========") == std::string::npos) return {};
    EXPECT_EQ(std::sscanf(output.c_str() + at, "best %lld %d", &worth, &best.makespan), 2) << output;
    best.value = worth;
    return {true, best};
}

TEST(OtherSolver, AgreesOnRandomProjectsOfEveryKind) {
    if (std::system("command -v minizinc > /dev/null 2>&1") != 0) GTEST_SKIP() << "minizinc is not installed";
    const char* const wanted = std::getenv("HANDRAIL_ORACLE_CASES");
    const int cases = wanted ? std::atoi(wanted) : 8;
    Random random(41);
    const std::array<test::Shape, 4> shapes{
        {{8, 1, 0}, {7, 1, 0, true, true}, {6, 3, 2, true, true}, {8, 2, 1, true, true, true}}};
    for (int number = 0; number < cases; ++number) {
        const Project project = test::random_project(random, shapes[number % shapes.size()]);
        SCOPED_TRACE(number);
        Effort effort;
        effort.rounds = 400;
        const Answer answer = solve(project, effort);
        const auto [finished, other] = ask(project);
        if (!finished) continue;  // a busy machine: it ran out of time
        if (!other) {
            EXPECT_EQ(answer.verdict, Verdict::infeasible);
            continue;
        }
        ASSERT_EQ(answer.verdict, Verdict::optimal);
        EXPECT_THAT(broken_rules(project, answer.schedule), testing::IsEmpty());
        EXPECT_EQ(answer.value, other->value);
        EXPECT_EQ(answer.makespan, other->makespan);
    }
}

}  // namespace
}  // namespace handrail::schedule
