#include <CLI/CLI.hpp>

#include "cli/commands.h"
#include "cli/documents.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, at, out = "-";
    DocumentWishes wishes;
};

void run(const Options& options) {
    const ToldDay told(options.journal, options.at);
    brief::Options document;
    apply(options.wishes, document);
    write_document("hand-over", told.subject(), document, options.out);
}

}  // namespace

void add_hand_over(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand(
        "hand-over", "The sheet for the next shift: state, last hour, open troubles, decisions and why, next gates");
    command->footer(
        "Example: handrail hand-over day.journal --at 02:40 --out hand-over.pdf\n"
        "The end of the file name picks the format: .txt .html .pdf .md .json; without --out it is printed.\n"
        "Private entries are counted and not shown.");
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("--at", options->at, "the moment: PET, UTC, or a shift from PET zero (default: now)");
    command->add_option("--out", options->out, "write it to this file");
    add_document_options(*command, options->wishes);
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
