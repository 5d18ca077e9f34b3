#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <cstdio>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/status.h"
#include "serve/public_feed.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, at, as = "console";
    bool json = false;
};

void run(const Options& options) {
    const live::Reader reader = reader_or_fail(options.as);
    const auto open = open_day_or_fail(options.journal, options.at);
    live::Status status = live::status_of(open->outing, open->entries, open->day);
    // The public hears nothing of odds, so nobody waits for them.
    if (reader != live::Reader::everyone)
        status.odds = live::odds_now(open->outing, status.day, status.forecast, live::WithGates::yes);
    if (options.json && reader == live::Reader::everyone)
        fmt::print("{}\n",
                   serve::public_json(serve::public_feed(open->outing, status), open->outing, open->day.windows));
    else if (options.json)
        fmt::print("{}\n", live::status_json(open->outing, status, reader));
    else
        fmt::print("{}", live::print(open->outing, status, reader));
}

}  // namespace

void add_status(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("status", "Where everyone is, ahead or behind, margins, what comes next");
    command->footer("Example: handrail status day.journal --at 01:25");
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("--at", options->at, "for this moment: PET, UTC, or a shift from PET zero (default: now)");
    command->add_option("--as", options->as, "for whom: console (default), medical or public");
    command->add_flag("--json", options->json, "the status document (docs/status.md)");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
