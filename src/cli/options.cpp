#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <cstdio>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/options.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, at, out;
    bool json = false;
    std::uint64_t seed = 1;
};

void run(const Options& options) {
    const auto open = open_day_or_fail(options.journal, options.at);
    live::OptionBudget budget;
    budget.seed = options.seed;
    auto ways = live::options_of(open->outing, open->day, budget);
    live::add_odds(open->outing, open->day, ways);
    if (!options.out.empty())
        write_or_fail(options.out, live::options_json(open->outing, open->day, ways, live::Timelines::included) + "\n");
    if (options.json)
        fmt::print("{}\n", live::options_json(open->outing, open->day, ways, live::Timelines::left_out));
    else if (options.out != "-")
        fmt::print("{}", live::print(open->outing, open->day, ways));
}

}  // namespace

void add_options(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("options", "The ways on from here; nothing is adopted");
    command->footer("Example: handrail options day.journal --at 01:25 --out options.json");
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("--at", options->at, "from this moment: PET, UTC, or a shift from PET zero (default: now)");
    command->add_option("--out", options->out, "write them with their timelines to this file, for adopt --from");
    command->add_option("--seed", options->seed, "seed of the free re-plan (default 1)");
    command->add_flag("--json", options->json, "print JSON");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
