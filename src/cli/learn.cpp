#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <memory>

#include "cli/commands.h"
#include "cli/terminal.h"
#include "risk/learn.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, as_run, out, source;
    bool pool = false;
};

void run(const Options& options) {
    const Outing outing = outing_or_fail(options.file);
    auto as_run = read_timeline(outing, text_or_fail(options.as_run), options.as_run);
    if (!as_run) fail(as_run.errors());
    const std::string source = options.source.empty() ? outing.name : options.source;
    const risk::Learned learned =
        risk::learn(outing, as_run.value(), options.pool ? risk::RunIn::pool : risk::RunIn::flight, source);
    if (learned.rows.empty())
        fail(fmt::format("{}: there is nothing in it that happened (no activity says \"as_run\": true).",
                         options.as_run));
    if (!options.out.empty()) write_or_fail(options.out, risk::library_toml(learned));
    if (options.out != "-") fmt::print("{}", risk::print_learned(learned));
}

}  // namespace

void add_learn(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("learn", "Let a closed outing's times inform the next plan's odds");
    command->footer(
        "Example: handrail learn demo/larkspur/outing.toml as-run.json --out durations.toml\n"
        "The next outing takes it in with include = [\"durations.toml\"]; what the outing given here knows\n"
        "already (its own durations.toml) is where learning starts.");
    command->add_option("file", options->file, "outing file (TOML) of the closed outing")->required();
    command->add_option("as_run", options->as_run, "its timeline as run (JSON)")->required();
    command->add_option("--out", options->out, "write what is now known to this file (TOML); - for stdout");
    command->add_option("--source", options->source, "how to name this outing as a source (default: its name)");
    command->add_flag("--pool", options->pool, "it was a run in a pool: times are multiplied by [risk.pool_to_flight]");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
