#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <atomic>
#include <ctime>
#include <map>
#include <memory>
#include <thread>

#include "cli/commands.h"
#include "cli/terminal.h"
#include "schedule/published.h"
#include "schedule/solve.h"

namespace handrail::cli {
namespace {

using schedule::Answer;
using schedule::PublishedCase;
using schedule::Verdict;

struct Options {
    std::string folder, json;
    std::vector<std::string> sets;
    int every = 1, first = 0, threads = 1;
    double seconds = 5;
    std::uint64_t seed = 1, rounds = std::numeric_limits<std::uint64_t>::max();
    bool subset = false, list = false;
};

/// Every so many of a set, from a first one.
struct Sample {
    std::string set;
    int every, first;
};

// Thirty instances, most of them hard for somebody; about two minutes at five seconds each.
const std::vector<Sample> quick_subset{
    {"j60", 48, 24}, {"j120", 60, 31}, {"mm-j20", 111, 50}, {"max-sm_j30", 90, 7}, {"max-ubo50", 45, 3}};

struct Outcome {
    Answer answer;
    double seconds = 0;
    std::vector<std::string> wrong;
};

/// What contradicts the rules or what is published; such an answer is an error of ours.
std::vector<std::string> contradictions(const PublishedCase& known, const Answer& answer) {
    std::vector<std::string> wrong;
    const bool solved = answer.verdict == Verdict::optimal || answer.verdict == Verdict::feasible;
    if (solved) {
        wrong = schedule::broken_rules(known.project, answer.schedule);
        if (schedule::makespan(known.project, answer.schedule) != answer.makespan)
            wrong.push_back("the makespan is not the schedule's");
        if (known.infeasible) wrong.push_back("published as infeasible");
        if (known.lower_bound && answer.makespan < *known.lower_bound)
            wrong.push_back(fmt::format("below the published bound {}", *known.lower_bound));
        if (known.upper_bound && answer.makespan_bound > *known.upper_bound)
            wrong.push_back(fmt::format("its bound is above the published makespan {}", *known.upper_bound));
    }
    if (answer.verdict == Verdict::infeasible && !known.infeasible && known.upper_bound)
        wrong.push_back("called infeasible, but a schedule is published");
    return wrong;
}

double thread_seconds() {
    std::timespec now{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

Outcome run_case(const PublishedCase& known, const Options& options) {
    schedule::Effort effort;
    effort.seed = options.seed;
    effort.rounds = options.rounds;
    effort.cpu_seconds = options.seconds;
    const double began = thread_seconds();
    Outcome outcome{schedule::solve(known.project, effort), 0, {}};
    outcome.seconds = thread_seconds() - began;
    outcome.wrong = contradictions(known, outcome.answer);
    return outcome;
}

const char* word(Verdict verdict) {
    switch (verdict) {
        case Verdict::optimal:
            return "optimal";
        case Verdict::feasible:
            return "feasible";
        case Verdict::infeasible:
            return "infeasible";
        case Verdict::unknown:
            return "unknown";
    }
    return "";
}

/// Means over a set; a mean of nothing is not shown.
struct Tally {
    int cases = 0, solved = 0, optimal = 0, infeasible = 0, known_infeasible = 0, closed = 0, closed_reached = 0;
    int best_reached = 0, wrong = 0;
    struct Mean {
        double sum = 0;
        int count = 0;
        void add(double value) {
            sum += value;
            ++count;
        }
        std::string text() const { return count == 0 ? "-" : fmt::format("{:.3f}", sum / count); }
    };
    Mean above_path, best_above_path, above_best, above_own_bound, seconds;

    void add(const PublishedCase& known, const Outcome& outcome) {
        const Answer& answer = outcome.answer;
        ++cases;
        seconds.add(outcome.seconds);
        wrong += outcome.wrong.empty() ? 0 : 1;
        known_infeasible += known.infeasible ? 1 : 0;
        infeasible += answer.verdict == Verdict::infeasible ? 1 : 0;
        optimal += answer.verdict == Verdict::optimal ? 1 : 0;
        const bool open = !known.closed() || known.infeasible;
        closed += open ? 0 : 1;
        if (answer.verdict != Verdict::optimal && answer.verdict != Verdict::feasible) return;
        ++solved;
        const auto percent = [&](Time to) { return to > 0 ? 100.0 * (answer.makespan - to) / to : 0.0; };
        above_own_bound.add(percent(answer.makespan_bound));
        if (known.critical_path) {
            above_path.add(percent(*known.critical_path));
            if (known.upper_bound)
                best_above_path.add(100.0 * (*known.upper_bound - *known.critical_path) / *known.critical_path);
        }
        if (!known.upper_bound) return;
        above_best.add(percent(*known.upper_bound));
        best_reached += answer.makespan <= *known.upper_bound ? 1 : 0;
        closed_reached += !open && answer.makespan == *known.upper_bound ? 1 : 0;
    }
    using Time = schedule::Time;
};

constexpr const char* row_format = "{:<12}{:>6}{:>8}{:>12}{:>12}{:>12}{:>9}{:>10}{:>14}{:>14}{:>11}{:>7}{:>8}\n";

void print_tally(const std::string& set, const Tally& tally) {
    fmt::print(row_format, set, tally.cases, tally.solved, tally.above_path.text(), tally.best_above_path.text(),
               tally.above_best.text(), tally.best_reached, tally.optimal,
               fmt::format("{}/{}", tally.closed_reached, tally.closed),
               fmt::format("{}/{}", tally.infeasible, tally.known_infeasible), tally.above_own_bound.text(),
               tally.seconds.text(), tally.wrong);
}

nlohmann::json to_json(const std::string& set, const Tally& tally) {
    const auto mean = [](const Tally::Mean& m) { return m.count ? nlohmann::json(m.sum / m.count) : nullptr; };
    return {{"set", set},
            {"cases", tally.cases},
            {"solved", tally.solved},
            {"above_critical_path_percent", mean(tally.above_path)},
            {"best_known_above_critical_path_percent", mean(tally.best_above_path)},
            {"above_best_known_percent", mean(tally.above_best)},
            {"best_known_reached", tally.best_reached},
            {"proved_optimal", tally.optimal},
            {"closed", tally.closed},
            {"closed_reached", tally.closed_reached},
            {"proved_infeasible", tally.infeasible},
            {"known_infeasible", tally.known_infeasible},
            {"above_own_bound_percent", mean(tally.above_own_bound)},
            {"cpu_seconds", mean(tally.seconds)},
            {"wrong", tally.wrong}};
}

nlohmann::json to_json(const PublishedCase& known, const Outcome& outcome) {
    nlohmann::json json{{"instance", known.name},
                        {"verdict", word(outcome.answer.verdict)},
                        {"schedules", outcome.answer.schedules},
                        {"conflicts", outcome.answer.conflicts},
                        {"cpu_seconds", outcome.seconds},
                        {"wrong", outcome.wrong}};
    if (outcome.answer.verdict == Verdict::optimal || outcome.answer.verdict == Verdict::feasible) {
        json["makespan"] = outcome.answer.makespan;
        json["makespan_bound"] = outcome.answer.makespan_bound;
    }
    if (known.upper_bound) json["best_known"] = *known.upper_bound;
    return json;
}

std::vector<Outcome> run_set(const std::vector<PublishedCase>& cases, const Options& options) {
    std::vector<Outcome> outcomes(cases.size());
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
        for (std::size_t c = next++; c < cases.size(); c = next++) outcomes[c] = run_case(cases[c], options);
    };
    std::vector<std::jthread> helpers;
    for (int t = 1; t < options.threads; ++t) helpers.emplace_back(work);
    work();
    helpers.clear();
    return outcomes;
}

std::vector<Sample> samples(const Options& options) {
    if (options.subset) return quick_subset;
    const std::vector<std::string> there = schedule::published_sets(options.folder);
    if (there.empty())
        fail(fmt::format("{}: no set found: expected NAME.tar.xz or NAME/ beside NAME-bounds.csv or NAME-best.csv.",
                         options.folder));
    std::vector<Sample> chosen;
    for (const std::string& wanted : options.sets.empty() ? there : options.sets) {
        std::string set = wanted;
        for (const char* const prefix : {"", "max-", "mm-"})
            if (std::ranges::count(there, prefix + wanted)) set = prefix + wanted;
        if (!std::ranges::count(there, set))
            fail(fmt::format("--set: expected one of {}, found \"{}\".", fmt::join(there, ", "), wanted));
        chosen.push_back({set, options.every, options.first});
    }
    return chosen;
}

void print_cases(const std::vector<PublishedCase>& cases, const std::vector<Outcome>& outcomes, bool all) {
    for (std::size_t c = 0; c < cases.size(); ++c) {
        const Answer& answer = outcomes[c].answer;
        if (all)
            fmt::print("  {:<14}{:<11}{:>5} bound {:>5} best known {:>5} {:>7.2f} s {:>9} schedules {:>8} conflicts\n",
                       cases[c].name, word(answer.verdict), answer.makespan, answer.makespan_bound,
                       cases[c].upper_bound ? fmt::to_string(*cases[c].upper_bound) : "-", outcomes[c].seconds,
                       answer.schedules, answer.conflicts);
        for (const std::string& wrong : outcomes[c].wrong) fmt::print("  {}: WRONG: {}\n", cases[c].name, wrong);
    }
}

void run(const Options& options) {
    nlohmann::json json{{"seconds", options.seconds}, {"seed", options.seed}, {"sets", nlohmann::json::array()}};
    int wrong = 0;
    if (options.json != "-")
        fmt::print(row_format, "set", "cases", "solved", "% > path", "best known", "% > best", "reached", "optimal",
                   "closed reached", "infeasible", "% > bound", "s", "wrong");
    for (const Sample& sample : samples(options)) {
        auto read = schedule::read_published(options.folder, sample.set, sample.every, sample.first);
        if (const auto* bad = std::get_if<schedule::PublishedError>(&read))
            fail({{bad->file, "", bad->error.line, 0, bad->error.expected, bad->error.found, bad->error.remedy}});
        const auto& cases = std::get<std::vector<PublishedCase>>(read);
        const std::vector<Outcome> outcomes = run_set(cases, options);
        Tally tally;
        nlohmann::json rows = nlohmann::json::array();
        for (std::size_t c = 0; c < cases.size(); ++c) {
            tally.add(cases[c], outcomes[c]);
            rows.push_back(to_json(cases[c], outcomes[c]));
        }
        wrong += tally.wrong;
        json["sets"].push_back(to_json(sample.set, tally));
        json["sets"].back()["instances"] = rows;
        if (options.json == "-") continue;
        print_tally(sample.set, tally);
        print_cases(cases, outcomes, options.list);
        std::fflush(stdout);
    }
    if (!options.json.empty()) write_or_fail(options.json, json.dump(1) + "\n");
    if (wrong > 0) throw Exit{1};
}

}  // namespace

void add_bench(CLI::App& app) {
    CLI::App* bench = app.add_subcommand("bench", "Measure the scheduling engine on published instances");
    bench->require_subcommand(1);
    auto options = std::make_shared<Options>();
    CLI::App* command = bench->add_subcommand("psplib", "Project scheduling: PSPLIB (.sm, .mm) and ProGen/max (.sch)");
    command->footer(
        "Example: handrail bench psplib psplib --set j60 --every 24 --seconds 5 --list\n"
        "DIR holds NAME.tar.xz (or a folder NAME) beside NAME-bounds.csv or NAME-best.csv. Every schedule is checked "
        "by\n"
        "code of its own. Columns: mean % above the critical path, what the best known has there, mean % above the "
        "best\n"
        "known, how often it is reached, how many proved optimal, best known reached of the closed cases, proved\n"
        "infeasible of those known to be, mean % above the bound proved here, CPU seconds a case, wrong answers.\n"
        "Ends with exit code 1 where an answer breaks a rule or contradicts what is published.");
    command->add_option("dir", options->folder, "folder of the sets")->required()->check(CLI::ExistingDirectory);
    command->add_option("--set", options->sets, "sets, e.g. j30,sm_j10 (default: all)")->delimiter(',');
    command->add_option("--every", options->every, "every so many of a set")->check(CLI::Range(1, 100000));
    command->add_option("--first", options->first, "from this one (0: the first)")->check(CLI::Range(0, 100000));
    command->add_option("--seconds", options->seconds, "CPU seconds an instance")->check(CLI::Range(0.01, 86400.0));
    command->add_option("--rounds", options->rounds, "at most so many rounds of search (then the same on any machine)");
    command->add_option("--threads", options->threads, "instances at a time")->check(CLI::Range(1, 256));
    command->add_option("--seed", options->seed, "seed of the search");
    command->add_flag("--subset", options->subset, "thirty mixed instances, about two minutes");
    command->add_flag("--list", options->list, "a line for each instance");
    command->add_option("--json", options->json, "write everything as JSON (- is stdout)");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
