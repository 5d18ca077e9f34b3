#include "plan/explain.h"

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <limits>
#include <memory>

#include "cli/checks.h"
#include "cli/commands.h"
#include "cli/terminal.h"
#include "sky/windows.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, timeline, out;
    std::uint64_t iterations = 3000, plan_iterations = 20000, seed = 1;
    int threads = 0, most = 8;
    bool json = false, all = false;
};

Timeline timeline_or_fail(const Options& options, const Outing& outing, const WindowTable& windows) {
    if (!options.timeline.empty()) {
        auto read = read_timeline(outing, text_or_fail(options.timeline), options.timeline);
        if (!read) fail(read.errors());
        if (read.value().fingerprint != outing.fingerprint)
            fmt::print(stderr, "{} was made from another state of {}; it is explained against the file as it is now.\n",
                       options.timeline, options.file);
        return std::move(read).value();
    }
    plan::Budget budget;
    budget.iterations = options.plan_iterations;
    budget.seed = options.seed;
    budget.threads = options.threads;
    auto planned = plan::make_plan(outing, windows, plan::initial(outing), budget);
    if (const auto* none = std::get_if<plan::NoPlan>(&planned)) {
        fmt::print(stderr, "No plan was found that does every required task and keeps every rule:\n");
        for (const std::string& reason : none->reasons) fmt::print(stderr, "- {}\n", reason);
        throw Exit{1};
    }
    return std::get<Timeline>(std::move(planned));
}

void run(const Options& options) {
    const Outing outing = outing_or_fail(options.file);
    const auto windows = sky::windows_of(outing, outing.pet_zero);
    if (!windows) fail(windows.errors());
    const Timeline timeline = timeline_or_fail(options, outing, windows.value());
    plan::ExplainBudget budget;
    budget.iterations = options.iterations;
    budget.seed = options.seed;
    budget.threads = options.threads;
    budget.most_left_out = options.most;
    const plan::Explanation explanation =
        plan::explain(outing, windows.value(), plan::initial(outing), timeline, budget);
    const std::string text =
        options.json ? plan::to_json(outing, explanation)
                     : plan::print_explanation(outing, explanation,
                                               options.all ? plan::ChainDetail::whole : plan::ChainDetail::folded);
    if (options.out.empty())
        fmt::print("{}", text);
    else
        write_or_fail(options.out, text);
}

}  // namespace

void add_explain(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command =
        app.add_subcommand("explain", "Say why a plan is as it is: what is left out, the waits, the finish, the rules");
    command->footer(
        "Example: handrail explain demo/larkspur/outing.toml --timeline plan.json\n"
        "Every \"what if\" is a search of its own; longer ones (--iterations) find smaller changes.");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--timeline", options->timeline,
                        "timeline to explain (JSON, from handrail plan or by hand); left out: it is planned first");
    command->add_option("--iterations", options->iterations, "iterations of each search (default 3000)")
        ->check(whole_number(1, 100'000'000));
    command->add_option("--most", options->most, "at most so many left-out tasks are looked at, by value (default 8)")
        ->check(whole_number(0, 10'000));
    command->add_option("--seed", options->seed, "seed of the searches (default 1)")
        ->check(whole_number(0, std::numeric_limits<std::uint64_t>::max()));
    command->add_option("--threads", options->threads, "threads to use (default: one per core)")
        ->check(whole_number(0, 256));
    command->add_flag("--all", options->all, "every link of the chain that sets the finish, not one line a task");
    command->add_flag("--json", options->json, "print JSON");
    command->add_option("--out", options->out, "write to this file instead");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
