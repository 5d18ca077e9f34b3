#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <cstdio>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/line.h"
#include "live/record.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, line, at, author, visibility, as = "console";
    bool list = false, json = false;
};

void list_record(const Options& options) {
    const auto open = open_day_or_fail(options.journal, options.at);
    const auto lines = live::record_of(open->outing, open->entries, open->day);
    for (const live::RecordLine& line : live::visible(lines, reader_or_fail(options.as)))
        fmt::print("{:>4} {:>9} {}{}{}\n", live::number(line.position), print_pet_seconds(line.pet), line.words,
                   line.author.empty() ? "" : " [" + line.author + "]", line.struck ? " (taken back)" : "");
}

void run(const Options& options) {
    if (options.line.empty()) return list_record(options);
    const auto visibility = visibility_or_fail(options.visibility);
    // Somebody else may write between our reading and our writing; then the line is read again in the newer state.
    constexpr int attempts = 5;
    for (int attempt = 0; attempt < attempts; ++attempt) {
        const auto open = open_day_or_fail(options.journal, options.at);
        auto read = live::read_line(open->outing, open->entries, open->day, options.line);
        if (const auto* not_understood = std::get_if<live::NotUnderstood>(&read)) fail(not_understood->sentence);
        auto& understood = std::get<live::Understood>(read);
        if (visibility) understood.visibility = visibility;
        const Utc happened = understood.happened.value_or(open->day.now);
        const Utc clock = clock_now();
        const bool on_the_day = std::chrono::abs(clock - open->day.planned_pet_zero) <= std::chrono::hours{48};
        if (on_the_day && happened > clock)
            fail(fmt::format("{} lies ahead; a line tells what has happened.", print_utc(happened)));
        const live::Entry entry =
            live::entry_of(understood, open->day, author_or_user(options.author), std::max(clock, happened), happened);
        const auto appended = open->journal->append(entry, open->seen());
        if (const auto* error = std::get_if<store::StoreError>(&appended)) fail(error->what);
        if (std::holds_alternative<store::Stale>(appended)) continue;
        const auto position = std::get<live::Position>(appended);

        std::vector<live::Recorded> entries = open->entries;
        entries.push_back({position, entry, {}});
        const live::Day after = live::fold(open->outing, open->windows, entries, std::max(open->day.now, happened));
        for (const live::Unapplied& one : after.unapplied)
            if (one.position == position) {
                fmt::print("entry {} at PET {}: {}\n", live::number(position), print_pet(entry.pet),
                           words(open->outing, entry));
                fmt::print(stderr, "It is in the record but changes nothing: {}. Take it back with \"fix {} undo\".\n",
                           one.why, live::number(position));
                throw Exit{1};
            }
        fmt::print("entry {} at PET {}: {}\n", live::number(position), print_pet(entry.pet),
                   words(open->outing, entry));
        return;
    }
    fail("others are writing to this journal faster than this line can be read; try again.");
}

}  // namespace

void add_log(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("log", "Write one line into the journal, or show the record");
    command->footer("Example: handrail log day.journal \"EV1 started valve.3\" --at 01:10\n\nLines:\n" +
                    std::string(live::line_help()));
    command->add_option("journal", options->journal, "the day's journal")->required();
    command->add_option("line", options->line, "what happened; without it the record is shown");
    command->add_option("--at", options->at, "when it happened: PET, UTC, or a shift from PET zero (default: now)");
    command->add_option("--author", options->author, "who writes (default: whoever is logged in)");
    command->add_option("--visibility", options->visibility, "public, console (default) or medical");
    command->add_option("--as", options->as, "whose view of the record: console (default), medical or public");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
