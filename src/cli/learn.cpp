#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <memory>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/observed.h"
#include "risk/learn.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, as_run, out, source;
    bool pool = false;
};

struct ClosedOuting {
    Outing outing;
    Timeline as_run;
};

ClosedOuting from_journal(const std::string& file) {
    const auto open = open_day_or_fail(file, "");
    if (open->day.phase != live::Phase::closed)
        fail(fmt::format("{}: this day is not closed yet; close it first (handrail close).", file));
    return {open->outing, live::observed(open->outing, open->day)};
}

ClosedOuting from_timeline(const std::string& outing_file, const std::string& as_run_file) {
    Outing outing = outing_or_fail(outing_file);
    auto as_run = read_timeline(outing, text_or_fail(as_run_file), as_run_file);
    if (!as_run) fail(as_run.errors());
    return {std::move(outing), std::move(as_run).value()};
}

void run(const Options& options) {
    const bool journal = options.as_run.empty();
    const auto [outing, as_run] = journal ? from_journal(options.file) : from_timeline(options.file, options.as_run);
    const std::string source = options.source.empty() ? outing.name : options.source;
    const risk::Learned learned =
        risk::learn(outing, as_run, options.pool ? risk::RunIn::pool : risk::RunIn::flight, source);
    if (learned.rows.empty())
        fail(journal ? fmt::format("{}: nothing in it was logged from its start to its end.", options.file)
                     : fmt::format("{}: there is nothing in it that happened (no activity says \"as_run\": true).",
                                   options.as_run));
    if (!options.out.empty()) write_or_fail(options.out, risk::library_toml(learned));
    if (options.out != "-") fmt::print("{}", risk::print_learned(learned));
}

}  // namespace

void add_learn(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("learn", "Let a closed outing's times inform the next plan's odds");
    command->footer(
        "Example: handrail learn day.journal --out durations.toml\n"
        "Without a journal: handrail learn outing.toml as-run.json --out durations.toml\n"
        "The next outing takes it in with include = [\"durations.toml\"]; what the outing given here knows\n"
        "already (its own durations.toml) is where learning starts.");
    command
        ->add_option("file", options->file,
                     "the closed day's journal; or the outing file (TOML), with its as-run timeline")
        ->required();
    command->add_option("as_run", options->as_run, "the timeline as run (JSON), when the first file is an outing file");
    command->add_option("--out", options->out, "write what is now known to this file (TOML); - for stdout");
    command->add_option("--source", options->source, "how to name this outing as a source (default: its name)");
    command->add_flag("--pool", options->pool, "it was a run in a pool: times are multiplied by [risk.pool_to_flight]");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
