#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <cstdio>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/what_if.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, at, out;
    std::vector<std::string> suppose;
    bool json = false, what_if = false;
    std::uint64_t seed = 1;
};

/// The day as if the lines of --if had been logged.
live::Day supposed_or_fail(const Options& options, const OpenDay& open) {
    const auto supposed = live::suppose(open.outing, open.windows, open.entries, open.day, options.suppose);
    if (const auto* no = std::get_if<live::NotUnderstood>(&supposed)) fail("--if: " + no->sentence);
    return live::fold(open.outing, open.windows, std::get<std::vector<live::Recorded>>(supposed), open.day.now);
}

void print_what_ifs(const Options& options, const OpenDay& open) {
    const auto branches = live::what_ifs_of(open.outing, open.windows, open.entries, open.day);
    if (options.json)
        fmt::print("{}\n", live::what_ifs_json(open.outing, open.day, branches));
    else
        fmt::print("{}", live::print(open.outing, open.day, branches));
}

void run(const Options& options) {
    const auto open = open_day_or_fail(options.journal, options.at);
    if (options.what_if) return print_what_ifs(options, *open);
    const bool supposing = !options.suppose.empty();
    // Whoever adopts must have seen what is, not what might be.
    if (supposing && !options.out.empty())
        fail("--out goes with the day as it is; leave out --if, or use --json to keep a supposed day.");
    const live::Day day = supposing ? supposed_or_fail(options, *open) : open->day;
    live::OptionBudget budget;
    budget.seed = options.seed;
    auto ways = live::options_of(open->outing, day, budget);
    live::add_odds(open->outing, day, ways);
    if (!options.out.empty())
        write_or_fail(options.out, live::options_json(open->outing, day, ways, live::Timelines::included) + "\n");
    if (options.json) {
        fmt::print("{}\n", live::options_json(open->outing, day, ways, live::Timelines::left_out));
    } else if (options.out != "-") {
        for (const std::string& line : options.suppose) fmt::print("Supposing: {}\n", line);
        fmt::print("{}", live::print(open->outing, day, ways));
    }
}

}  // namespace

void add_options(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("options", "The ways on from here; nothing is adopted");
    command->footer("Example: handrail options day.journal --at 01:25 --if \"arm lost\"");
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("--at", options->at, "from this moment: PET, UTC, or a shift from PET zero (default: now)");
    command->add_option("--out", options->out, "write them with their timelines to this file, for adopt --from");
    command->add_option("--seed", options->seed, "seed of the free re-plan (default 1)");
    command->add_option("--if", options->suppose,
                        "suppose this line had been logged now, such as \"arm lost\"; may be given several times; "
                        "nothing is written and nothing supposed can be adopted");
    command->add_flag("--what-if", options->what_if, "what would happen if the likeliest troubles came now");
    command->add_flag("--json", options->json, "print JSON");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
