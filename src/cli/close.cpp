#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <cstdio>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/documents.h"
#include "cli/terminal.h"
#include "live/close_out.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, at, as = "console", note, author, out;
    bool json = false, draft = false;
    DocumentWishes wishes;
};

void append_closed(const Options& options, OpenDay& open) {
    live::Entry entry;
    entry.happened = open.day.now;
    entry.logged = std::max(clock_now(), entry.happened);
    entry.pet = to_pet(entry.happened, open.day.pet_zero);
    entry.author = author_or_user(options.author);
    entry.body = live::Closed{options.note};
    if (!live::can_be_written(entry)) fail("--note and --author take UTF-8 text only.");
    const auto appended = open.journal->append(entry, open.seen());
    if (const auto* error = std::get_if<store::StoreError>(&appended)) fail(error->what);
    if (std::holds_alternative<store::Stale>(appended)) {
        fmt::print(stderr, "The day was not closed: the journal went on after entry {}. Close it again.\n",
                   live::number(open.seen()));
        tell_since(*open_day_or_fail(options.journal, options.at), open.seen());
        throw Exit{1};
    }
}

void run(const Options& options) {
    const live::Reader reader = reader_or_fail(options.as);
    if (reader == live::Reader::everyone)
        fail("--as: a close-out is for console or medical; the public has its own page.");
    auto open = open_day_or_fail(options.journal, options.at);
    if (!options.draft && open->day.phase != live::Phase::closed) {
        if (!live::can_close(open->day)) {
            fmt::print(
                stderr,
                "The day cannot be closed: nobody has logged \"hatch closed\" with both inside, or \"scrub\" before "
                "egress. --draft shows the close-out as it would be now.\n");
            throw Exit{1};
        }
        append_closed(options, *open);
        open = open_day_or_fail(options.journal, options.at.empty() ? "" : print_utc(open->day.now));
    }
    if (options.out.find('.') != std::string::npos && !options.json && !options.out.ends_with(".txt")) {
        const ToldDay told(std::move(open));
        brief::Options document;
        apply(options.wishes, document);
        return write_document("close-out", told.subject(), document, options.out);
    }
    const live::Status status = live::status_of(open->outing, open->entries, open->day);
    const live::CloseOut close_out = live::close_out_of(open->outing, open->entries, status);
    const std::string text = options.json ? live::close_out_json(open->outing, status, close_out, reader) + "\n"
                                          : live::print(open->outing, status, close_out, reader);
    write_or_fail(options.out.empty() ? "-" : options.out, text);
}

}  // namespace

void add_close(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("close", "Close the day: what was done, what is left, where everything is");
    command->footer("Example: handrail close day.journal --note \"camera left for the next outing\"");
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("--note", options->note, "last words for the record");
    command->add_option("--at", options->at, "the moment: PET, UTC, or a shift from PET zero (default: now)");
    command->add_option("--as", options->as, "for whom: console (default) or medical");
    command->add_option("--author", options->author, "who closes (default: whoever is logged in)");
    command->add_option("--out", options->out, "write it to this file; .html, .pdf and .md make the report");
    add_document_options(*command, options->wishes);
    command->add_flag("--json", options->json, "print JSON");
    command->add_flag("--draft", options->draft, "show it without closing anything");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
