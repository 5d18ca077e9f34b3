#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <limits>

#include "cli/checks.h"
#include "cli/commands.h"
#include "cli/terminal.h"
#include "edit/edit_json.h"
#include "plan/explain.h"
#include "plan/planner.h"
#include "risk/robust.h"
#include "risk/words.h"
#include "sky/windows.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, out, budget = "2s", start, from, format = "table";
    std::uint64_t seed = 1, iterations = 0;
    int threads = 0;
    bool json = false, quiet = false, robust = false;
    int candidates = 400;
    std::vector<std::string> without, must, pins, gives, before, forbid, closed;
    std::string wishes, keep;
    double keep_worth = 0;
};

Milliseconds budget_or_fail(const std::string& text) {
    // "1s", "500ms" or any duration of the outing file's kind ("1 min").
    if (text.ends_with("ms")) {
        const auto parsed = parse_duration(text.substr(0, text.size() - 2) + "s");
        if (const Seconds* value = std::get_if<Seconds>(&parsed); value && value->count() > 0)
            return Milliseconds{value->count()};
    }
    const auto parsed = parse_duration(text);
    if (const Seconds* value = std::get_if<Seconds>(&parsed); value && value->count() > 0) return *value;
    fail(fmt::format("--budget: expected a time such as \"1s\" or \"500ms\", found \"{}\".", text));
}

TaskId task_or_fail(const Outing& outing, const std::string& key, const std::string& option) {
    for (const Task& task : outing.tasks)
        if (task.key == key) return task.id;
    std::string known;
    for (const Task& task : outing.tasks) known += (known.empty() ? "" : ", ") + task.key;
    fail(fmt::format("{}: there is no task \"{}\"; the outing has {}.", option, key, known));
}

StepId step_or_fail(const Outing& outing, const std::string& label, const std::string& option) {
    for (const Step& step : outing.steps)
        if (step.label == label) return step.id;
    fail(fmt::format("{}: there is no step \"{}\"; steps are named like \"{}\".", option, label,
                     outing.steps.empty() ? "valve.open" : outing.steps.front().label));
}

Crew crew_or_fail(const std::string& text, const std::string& option) {
    for (const Crew c : both_crew)
        if (text == word(c)) return c;
    fail(fmt::format("{}: expected EV1 or EV2, found \"{}\".", option, text));
}

/// "left=right"
std::pair<std::string, std::string> halves_or_fail(const std::string& text, const std::string& option,
                                                   const std::string& example) {
    const std::size_t cut = text.find('=');
    if (cut == std::string::npos || cut == 0 || cut + 1 == text.size())
        fail(fmt::format("{}: expected something like \"{}\", found \"{}\".", option, example, text));
    return {text.substr(0, cut), text.substr(cut + 1)};
}

/// Fails when the option names the same thing twice: which of the two is meant nobody can tell.
template <class Thing>
void once_or_fail(std::vector<Thing>& named, Thing thing, const std::string& name, const std::string& option) {
    if (std::ranges::find(named, thing) != named.end())
        fail(fmt::format("{}: \"{}\" is named twice; name it once.", option, name));
    named.push_back(thing);
}

plan::Wishes wishes_or_fail(const Options& options, const Outing& outing) {
    plan::Wishes wishes;
    if (!options.wishes.empty()) {
        auto read = edit::read_wishes(outing, text_or_fail(options.wishes), options.wishes);
        if (!read) fail(read.errors());
        wishes = std::move(read).value();
    }
    std::vector<StepId> pinned;
    for (const std::string& text : options.pins) {
        const auto [step, time] = halves_or_fail(text, "--pin", "valve.open=01:20");
        const Pet at = to_pet(instant_or_fail(time, outing.pet_zero, "--pin"), outing.pet_zero);
        const StepId id = step_or_fail(outing, step, "--pin");
        once_or_fail(pinned, id, step, "--pin");
        wishes = edit::with(std::move(wishes), edit::Pin{id, at, at});
    }
    std::vector<TaskId> given;
    for (const std::string& text : options.gives) {
        const auto [task, lead] = halves_or_fail(text, "--give", "valve=EV2");
        const TaskId id = task_or_fail(outing, task, "--give");
        once_or_fail(given, id, task, "--give");
        wishes = edit::with(std::move(wishes), edit::Give{id, crew_or_fail(lead, "--give")});
    }
    for (const std::string& text : options.before) {
        const auto [first, then] = halves_or_fail(text, "--before", "camera.1=valve.open");
        wishes = edit::with(std::move(wishes), edit::PutBefore{step_or_fail(outing, first, "--before"),
                                                               step_or_fail(outing, then, "--before")});
    }
    for (const std::string& text : options.forbid) {
        const auto [step, crew] = halves_or_fail(text, "--forbid", "valve.open=EV1");
        wishes = edit::with(std::move(wishes),
                            edit::Forbid{step_or_fail(outing, step, "--forbid"), crew_or_fail(crew, "--forbid")});
    }
    for (const std::string& id : options.closed) {
        const auto site = std::ranges::find(outing.station.worksites, id, &Worksite::id);
        if (site == outing.station.worksites.end()) fail(fmt::format("--close: there is no worksite \"{}\".", id));
        wishes.closed.push_back(static_cast<WorksiteId>(site - outing.station.worksites.begin()));
    }
    for (const std::string& key : options.without) wishes.leave_out.push_back(task_or_fail(outing, key, "--without"));
    for (const std::string& key : options.must) wishes.must_do.push_back(task_or_fail(outing, key, "--must"));
    if (const auto why = plan::contradiction(outing, wishes)) fail(*why);
    for (const TaskId id : wishes.leave_out)
        if (const Task& task = outing.task(id); task.task_class == TaskClass::required && task.instead_of.empty())
            fail(fmt::format("\"{}\" is required by the outing file; make it wanted there to plan without it.",
                             task.name));
    return wishes;
}

/// Summary lines on stderr, so that stdout stays a table or a file.
void say(const plan::Progress& progress, std::chrono::steady_clock::time_point begin) {
    const auto ms = std::chrono::duration_cast<Milliseconds>(std::chrono::steady_clock::now() - begin);
    fmt::print(stderr, "{:>7} ms  value {:g} of at most {:g} (gap {:.1f} %)  home at PET {}, not before {}\n",
               ms.count(), progress.value, progress.value_bound, 100 * progress.value_gap(), print_pet(progress.finish),
               print_pet(progress.finish_bound));
}

/// The plan that does best in simulation, with what that is worth on stderr.
Timeline robust_from(const Options& options, const Outing& outing, const WindowTable& windows, const Timeline& start,
                     const plan::Freedom& freedom) {
    risk::RobustBudget budget;
    budget.seed = options.seed;
    budget.candidates = options.candidates;
    budget.threads = options.threads;
    constexpr std::size_t soon_done = 15;
    if (!options.quiet && start.bindings.size() > soon_done)
        fmt::print(stderr,
                   "Plans near it are simulated, and the decision gates of the best few solved: with {} tasks that "
                   "takes minutes.\n",
                   start.bindings.size());
    const risk::RobustPlan plan =
        risk::robust_plan(outing, windows, plan::initial(outing), start, budget, {freedom.wishes, freedom.keep});
    const auto say_worth = [](const char* whose, const risk::Worth& worth) {
        fmt::print(
            stderr,
            "{:<22} required {:.1f} %, home in time with reserves {:.1f} %, value {:.2f}; worth {:.3f} ±{:.3f}\n",
            whose, 100 * worth.required.value, 100 * worth.home.value, worth.value, worth.expected, worth.error);
    };
    if (options.quiet) return plan.timeline;
    fmt::print(stderr, "{} plans simulated; in fresh runs, each under its own gates:\n", plan.looked_at);
    say_worth("best on likely times:", plan.start);
    if (plan.gain <= 0) {
        fmt::print(stderr, "No plan did better; it is kept.\n");
    } else {
        say_worth("best in simulation:", plan.best);
        fmt::print(stderr, "gain {:.3f} ±{:.3f}, run by run with the same luck\n", plan.gain, plan.gain_error);
        if (plan.changes != 0)
            fmt::print(stderr, "{} changes {} of the plan to be kept; what that costs is off the gain.\n",
                       std::abs(plan.changes), plan.changes > 0 ? "more" : "less");
    }
    return plan.timeline;
}

/// What simulation says against counting on tasks of the plan. A glance at the odds: so few runs tell one task in a
/// hundred from one in ten; above so many tasks solving the gates would take longer than planning.
void say_unlikely(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                  const plan::Wishes& wishes, int threads) {
    constexpr std::size_t most_tasks = 60;
    if (timeline.bindings.size() > most_tasks) return;
    risk::Options glance;
    glance.runs = 4000;
    glance.threads = threads;
    glance.explain = false;
    for (const risk::Unlikely& one : risk::unlikely(outing, risk::odds_of(outing, windows, timeline, glance, wishes)))
        fmt::print(stderr, "Note: {} \"handrail risk\" tells more, --robust looks for a plan that lasts.\n", one.what);
}

void run(const Options& options) {
    Outing outing = outing_or_fail(options.file);
    // Windows first: those of the file belong to the world, and move against PET when PET zero slips.
    const Utc pet_zero =
        options.start.empty() ? outing.pet_zero : instant_or_fail(options.start, outing.pet_zero, "--start");
    const auto windows = sky::windows_of(outing, pet_zero);
    outing.pet_zero = pet_zero;
    if (!windows) fail(windows.errors());

    plan::Budget budget;
    budget.seed = options.seed;
    budget.threads = options.threads;
    if (options.iterations > 0)
        budget.iterations = options.iterations;
    else
        budget.time = budget_or_fail(options.budget);
    plan::Freedom freedom;
    if (!options.from.empty()) {
        auto old = read_timeline(outing, text_or_fail(options.from), options.from);
        if (!old) fail(old.errors());
        freedom.start_from = std::move(old).value();
    }
    freedom.wishes = wishes_or_fail(options, outing);
    if (!options.keep.empty() || options.keep_worth > 0) {
        if (!freedom.start_from) fail("--keep needs the timeline that is to be kept: name it with --from.");
        plan::Keep keep{*freedom.start_from, Seconds{300}, options.keep_worth};
        if (!options.keep.empty()) {
            const auto price = parse_duration(options.keep);
            const Seconds* seconds = std::get_if<Seconds>(&price);
            if (!seconds || *seconds < Seconds{0} || *seconds > std::chrono::hours{24})
                fail(fmt::format("--keep: expected a time such as \"5 min\", found \"{}\".", options.keep));
            keep.price = *seconds;
        }
        if (options.robust && options.keep_worth <= 0)
            fail(
                "--keep with --robust: in simulation plans are compared by what they are worth, not by when they end, "
                "so "
                "a price in time would not hold; say with --keep-worth what value one change less is worth.");
        freedom.keep = std::move(keep);
    }

    const auto begin = std::chrono::steady_clock::now();
    const auto progress = [&](const plan::Progress& p) {
        if (!options.quiet) say(p, begin);
    };
    const auto planned = plan::make_plan(outing, windows.value(), plan::initial(outing), budget, freedom, progress);
    if (const auto* none = std::get_if<plan::NoPlan>(&planned)) {
        fmt::print(stderr, "No plan was found that does every required task and keeps every rule:\n");
        for (const std::string& reason : none->reasons) fmt::print(stderr, "- {}\n", reason);
        throw Exit{1};
    }
    Timeline timeline = std::get<Timeline>(planned);
    if (const std::string good = plan::how_good(timeline); !good.empty() && !options.quiet)
        fmt::print(stderr, "{}\n", good);
    if (options.robust) timeline = robust_from(options, outing, windows.value(), timeline, freedom);
    if (!options.quiet) say_unlikely(outing, windows.value(), timeline, freedom.wishes, options.threads);
    const std::string json = to_json(outing, timeline);
    if (!options.out.empty()) write_or_fail(options.out, json);
    if (options.json)
        fmt::print("{}\n", json);
    else if (options.out != "-")
        fmt::print("{}", print_table(outing, timeline));
}

}  // namespace

void add_plan(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("plan", "Choose tasks, people, order and times for an outing");
    command->footer("Example: handrail plan demo/larkspur/outing.toml --budget 1s --seed 1 --out plan.json");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--budget", options->budget, "time to search, such as 1s or 500ms (default 2s)");
    command
        ->add_option("--iterations", options->iterations,
                     "search so many iterations instead: the same plan on any machine")
        ->check(whole_number(1, most_iterations));
    command->add_option("--seed", options->seed, "seed of the search (default 1)")
        ->check(whole_number(0, std::numeric_limits<std::uint64_t>::max()));
    command->add_option("--threads", options->threads, "threads to use (default: one per core)")
        ->check(whole_number(0, 256));
    CLI::Option* robust = command->add_flag("--robust", options->robust,
                                            "then look for the plan that does best when times scatter (docs/risk.md)");
    command->add_option("--candidates", options->candidates, "with --robust: plans to simulate (default 400)")
        ->check(whole_number(1, 1'000'000))
        ->needs(robust);
    command->add_option("--start", options->start, "PET zero: UTC, or a slip such as \"+30 min\"");
    command->add_option("--from", options->from, "start from this timeline");
    command->add_option("--without", options->without, "leave this task out (its key); may be repeated");
    command->add_option("--must", options->must, "treat this task as required; may be repeated");
    command->add_option("--keep", options->keep,
                        "with --from: keep the old plan; one change less may cost so much time, such as \"5 min\"");
    command
        ->add_option("--keep-worth", options->keep_worth,
                     "with --from: ... and so much value (default 0; with --robust this is what counts)")
        ->check(number(0, 1e6));
    command->add_option("--pin", options->pins, "STEP=PET: the step starts exactly then; may be repeated");
    command->add_option("--give", options->gives, "TASK=EV1 or EV2: who leads it; may be repeated");
    command->add_option("--before", options->before, "STEP=STEP: the first ends before the second starts");
    command->add_option("--forbid", options->forbid, "STEP=EV1 or EV2: takes no part in it; may be repeated");
    command->add_option("--close", options->closed, "worksite where nobody works or passes; may be repeated");
    command->add_option("--wishes", options->wishes, "all of these from a file (JSON), as the console keeps them");
    command->add_option("--out", options->out, "write the timeline to this file (JSON)");
    command->add_flag("--json", options->json, "print the timeline as JSON instead of a table");
    command->add_flag("--quiet", options->quiet, "no progress on stderr");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
