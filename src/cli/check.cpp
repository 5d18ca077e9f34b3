#include "check/check.h"

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/commands.h"
#include "cli/terminal.h"
#include "sky/windows.h"
#include "timeline/timeline.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, timeline, start;
    bool json = false, rules = false;
    std::vector<std::string> dropped, unable, unavailable, lost;
};

/// What the record of the day would say, from the command line.
CheckOptions day_of(const Options& options, const Outing& outing) {
    CheckOptions day;
    const auto unknown = [](std::string_view option, const std::string& text, std::string_view expected) {
        fail(fmt::format("{}: expected {}, found \"{}\".", option, expected, text));
    };
    for (const std::string& key : options.dropped) {
        const auto task = std::ranges::find(outing.tasks, key, &Task::key);
        if (task == outing.tasks.end()) unknown("--dropped", key, "the id of a task of the outing file");
        day.dropped.push_back(task->id);
    }
    for (const std::string& text : options.unable) {
        const auto crew = std::ranges::find(both_crew, text, [](Crew c) { return std::string(word(c)); });
        if (crew == both_crew.end()) unknown("--unable", text, "EV1 or EV2");
        day.unable.push_back(*crew);
    }
    for (const std::string& text : options.unavailable) {
        const auto lane = std::ranges::find(all_lanes, text, [](Lane l) { return std::string(word(l)); });
        if (lane == all_lanes.end()) unknown("--unavailable", text, "arm, IV or ground");
        day.unavailable.push_back(*lane);
    }
    for (const std::string& id : options.lost) {
        const auto item = std::ranges::find(outing.items, id, &Item::id);
        if (item == outing.items.end()) unknown("--lost", id, "the id of an item of the outing file");
        day.lost.push_back(static_cast<ItemId>(item - outing.items.begin()));
    }
    return day;
}

WindowTable windows_or_fail(const Outing& outing, Utc pet_zero) {
    auto windows = sky::windows_of(outing, pet_zero);
    if (!windows) fail(windows.errors());
    return std::move(windows).value();
}

struct Count {
    std::size_t tasks = 0;
    double value = 0;
};

Count count_of(const Outing& outing, TaskClass task_class) {
    Count count;
    for (const Task& task : outing.tasks) {
        if (task.task_class != task_class) continue;
        ++count.tasks;
        count.value += task.value;
    }
    return count;
}

/// "daylight 5, coverage 9 (windows)", whole-station and per worksite together.
std::map<std::string, std::size_t> window_counts(const WindowTable& windows) {
    std::map<std::string, std::size_t> counts;
    for (const auto& [key, list] : windows.all()) counts[key.first] += list.size();
    return counts;
}

Seconds likely_work(const Outing& outing) {
    Seconds sum{0};
    for (const Step& step : outing.steps) sum += step.duration.likely;
    return sum;
}

void print_summary(const Outing& outing, const WindowTable& windows) {
    fmt::print("{}: no errors in the file.\n\n", outing.name);
    fmt::print("  station    {}: {} worksites, {} routes, {}\n", outing.station.name, outing.station.worksites.size(),
               outing.station.routes.size(), outing.station.arm ? "arm " + outing.station.arm->name : "no arm");
    fmt::print("  PET zero   {}\n", print_utc(outing.pet_zero));
    for (const Crew c : both_crew)
        fmt::print("  {}        {}, suit {}\n", word(c), outing.person(c).name, outing.suit_of(c).name);
    for (const TaskClass task_class : {TaskClass::required, TaskClass::wanted, TaskClass::get_ahead}) {
        const Count count = count_of(outing, task_class);
        fmt::print("  {:<10} {} tasks, value {:g}\n", word(task_class), count.tasks, count.value);
    }
    fmt::print("  steps      {}, together {} of likely work\n", outing.steps.size(),
               print_duration(likely_work(outing)));
    fmt::print("  items      {}\n", outing.items.size());
    for (const auto& [condition, count] : window_counts(windows)) fmt::print("  windows    {}: {}\n", condition, count);
    fmt::print("  hard end   PET {}, wanted margin {}\n", print_pet(Pet{outing.rules.limit}),
               print_duration(outing.rules.margin));
    fmt::print("\n{}\n", caution);
}

void print_summary_json(const Outing& outing, const WindowTable& windows) {
    nlohmann::ordered_json tasks;
    for (const TaskClass task_class : {TaskClass::required, TaskClass::wanted, TaskClass::get_ahead}) {
        const Count count = count_of(outing, task_class);
        tasks[std::string(word(task_class))] = {{"tasks", count.tasks}, {"value", count.value}};
    }
    const nlohmann::ordered_json json{{"format", "handrail-outing-summary"},
                                      {"version", 1},
                                      {"caution", caution},
                                      {"outing", outing.name},
                                      {"fingerprint", outing.fingerprint},
                                      {"pet_zero", print_utc(outing.pet_zero)},
                                      {"station", outing.station.name},
                                      {"worksites", outing.station.worksites.size()},
                                      {"tasks", std::move(tasks)},
                                      {"steps", outing.steps.size()},
                                      {"likely_work_s", likely_work(outing).count()},
                                      {"items", outing.items.size()},
                                      {"windows", window_counts(windows)},
                                      {"limit_s", outing.rules.limit.count()}};
    fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
}

void print_rules() {
    for (const RuleEntry& rule : rule_registry())
        fmt::print("{:<17} {}\n{:<17} ({})\n", rule.id, rule.title, "", rule.source);
}

void run(const Options& options) {
    if (options.rules) return print_rules();
    if (options.file.empty()) fail("check needs an outing file; see handrail check --help.");
    Outing outing = outing_or_fail(options.file);
    const Outing as_filed = outing;  // windows move against its PET zero
    if (!options.start.empty()) outing.pet_zero = instant_or_fail(options.start, outing.pet_zero);
    if (options.timeline.empty()) {
        const WindowTable windows = windows_or_fail(as_filed, outing.pet_zero);
        return options.json ? print_summary_json(outing, windows) : print_summary(outing, windows);
    }

    const auto timeline = read_timeline(outing, text_or_fail(options.timeline), options.timeline);
    if (!timeline) fail(timeline.errors());
    if (timeline.value().fingerprint != outing.fingerprint)
        fmt::print(stderr, "{} was made from another state of {}; it is judged against the file as it is now.\n",
                   options.timeline, options.file);
    const Utc pet_zero = options.start.empty() ? timeline.value().pet_zero : outing.pet_zero;
    const auto findings = check(outing, windows_or_fail(as_filed, pet_zero), timeline.value(), day_of(options, outing));
    if (options.json)
        fmt::print("{}", findings_json(findings));
    else
        fmt::print("{}{}\n", print_findings(findings), caution);
    if (any_broken(findings)) throw Exit{1};
}

}  // namespace

void add_check(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("check", "Check an outing file, or a timeline against every rule");
    command->footer(
        "Examples: handrail check demo/larkspur/outing.toml\n"
        "          handrail check demo/larkspur/outing.toml --timeline plan.json\n"
        "Ends with 1 when a rule is broken; notes do not count.");
    command->add_option("file", options->file, "outing file (TOML)");
    command->add_option("--timeline", options->timeline, "timeline to judge (JSON, from handrail plan or by hand)");
    command->add_option("--start", options->start,
                        "PET zero whose windows count: UTC, or a slip such as \"+30 min\" (default: the timeline's)");
    command->add_option("--dropped", options->dropped, "this task was given up: only its close-ups are owed");
    command->add_option("--unable", options->unable, "EV1 or EV2: can do no more steps");
    command->add_option("--unavailable", options->unavailable, "arm, IV or ground: cannot be had any more");
    command->add_option("--lost", options->lost, "this item need not come back");
    command->add_flag("--json", options->json, "print JSON");
    command->add_flag("--rules", options->rules, "list the rules and their sources");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
