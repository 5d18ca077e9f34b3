#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/close_out.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, as = "console", format = "jsonl", out = "-";
};

void run(const Options& options) {
    const live::Reader reader = reader_or_fail(options.as);
    const auto open = open_day_or_fail(options.journal, "");
    const live::Status status = live::status_of(open->outing, open->entries, open->day);
    write_or_fail(options.out, options.format == "csv" ? live::export_csv(status, reader)
                                                       : live::export_json_lines(open->entries, status, reader));
}

}  // namespace

void add_export(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("export", "The record as JSON Lines or CSV, for one kind of reader");
    command->footer("Example: handrail export day.journal --format csv --as console --out day.csv");
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("--format", options->format, "jsonl (default) or csv")->check(CLI::IsMember({"jsonl", "csv"}));
    command->add_option("--as", options->as, "for whom: console (default), medical or public");
    command->add_option("--out", options->out, "write it to this file (default: stdout)");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
