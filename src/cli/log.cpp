#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <algorithm>
#include <cstdio>
#include <sstream>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/line.h"
#include "live/record.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string journal, line, at, author, visibility, as = "console", queue;
    std::optional<std::uint64_t> seen;
};

void list_record(const Options& options) {
    const auto open = open_day_or_fail(options.journal, options.at);
    const auto lines = live::record_of(open->outing, open->entries, open->day);
    for (const live::RecordLine& line : live::visible(lines, reader_or_fail(options.as)))
        fmt::print("{:>4} {:>9} {}{}{}\n", live::number(line.position), print_pet_seconds(line.pet), line.words,
                   line.author.empty() ? "" : " [" + line.author + "]", line.struck ? " (taken back)" : "");
}

/// What others wrote after the position the writer had seen.
[[noreturn]] void refuse_stale(const OpenDay& open, std::uint64_t seen) {
    if (seen > live::number(open.seen()))
        fail(fmt::format("--seen: expected at most {}, the last entry of this journal, found {}; nothing was written.",
                         live::number(open.seen()), seen));
    fmt::print(stderr, "Nothing was written: the journal went on after entry {}.\n", seen);
    tell_since(open, live::Position{seen});
    throw Exit{1};
}

struct Line {
    std::string text, at;
};

/// Refuses a time that lies ahead, and one that nobody named on a day that is not the clock's.
void check_time(const OpenDay& open, const live::Understood& understood, const Line& line, Utc happened) {
    const Utc clock = clock_now();
    const bool on_the_day = clock_is_of_the_day(open.day.planned_pet_zero);
    if (on_the_day && happened > clock)
        fail(fmt::format("{} lies ahead; a line tells what has happened.", print_utc(happened)));
    if (!on_the_day && line.at.empty() && !understood.happened)
        fail(
            fmt::format("the clock says {}, which is not the day of this journal ({}); say when it happened with --at, "
                        "or end the line with a time.",
                        print_utc(clock), print_utc(open.day.planned_pet_zero)));
}

/// Whether the entry did something; says so on the terminal.
bool write_line(const Options& options, const Line& line) {
    const auto visibility = visibility_or_fail(options.visibility);
    // Somebody else may write between our reading and our writing; then the line is read again in the newer state,
    // unless the writer named the state it was meant for.
    constexpr int attempts = 5;
    for (int attempt = 0; attempt < attempts; ++attempt) {
        const auto open = open_day_or_fail(options.journal, line.at);
        if (options.seen && *options.seen != live::number(open->seen())) refuse_stale(*open, *options.seen);
        auto read = live::read_line(open->outing, open->entries, open->day, line.text);
        if (const auto* not_understood = std::get_if<live::NotUnderstood>(&read)) fail(not_understood->sentence);
        auto& understood = std::get<live::Understood>(read);
        if (visibility) understood.visibility = visibility;
        const Utc happened = understood.happened.value_or(open->day.now);
        check_time(*open, understood, line, happened);
        const live::Entry entry = live::entry_of(understood, open->day, author_or_user(options.author),
                                                 std::max(clock_now(), happened), happened);
        const auto appended = open->journal->append(entry, open->seen());
        if (const auto* error = std::get_if<store::StoreError>(&appended)) fail(error->what);
        if (std::holds_alternative<store::Stale>(appended)) continue;
        const auto position = std::get<live::Position>(appended);

        std::vector<live::Recorded> entries = open->entries;
        entries.push_back({position, entry, {}});
        const live::Day after = live::fold(open->outing, open->windows, entries, std::max(open->day.now, happened));
        fmt::print("entry {} at PET {}: {}\n", live::number(position), print_pet(entry.pet),
                   words(open->outing, entry));
        for (const live::Unapplied& one : after.unapplied)
            if (one.position == position) {
                fmt::print(stderr, "It is in the record but changes nothing: {}. Take it back with \"fix {} undo\".\n",
                           one.why, live::number(position));
                return false;
            }
        return true;
    }
    fail("others are writing to this journal faster than this line can be read; try again.");
}

/// "01:10 EV1 finished": a time, a space, the line. Sorted by time, so that what several people noted while they could
/// not reach the journal becomes one record.
std::vector<Line> queue_or_fail(const Options& options) {
    const auto open = open_day_or_fail(options.journal, options.at);
    const Utc pet_zero = open->day.pet_zero;
    std::vector<std::pair<Utc, Line>> rows;
    std::istringstream text(text_or_fail(options.queue));
    int number = 0;
    for (std::string row; std::getline(text, row);) {
        ++number;
        if (row.ends_with('\r')) row.pop_back();
        if (row.empty() || row.front() == '#') continue;
        const auto space = row.find_first_of(" \t");
        const std::string at = row.substr(0, space);
        const auto utc = parse_utc(at);
        const auto clock = parse_pet(at);
        const bool timed = std::holds_alternative<Utc>(utc) || std::holds_alternative<Pet>(clock);
        if (!timed || space == std::string::npos)
            fail(
                fmt::format("{}, line {}: expected a time and then what happened, such as \"01:10 EV1 finished\", "
                            "found \"{}\"; nothing was written.",
                            options.queue, number, row));
        const Utc when = std::holds_alternative<Utc>(utc) ? std::get<Utc>(utc) : to_utc(std::get<Pet>(clock), pet_zero);
        rows.push_back({when, {row.substr(space + 1), print_utc(when)}});
    }
    std::ranges::stable_sort(rows, {}, [](const auto& row) { return row.first; });
    std::vector<Line> lines;
    for (auto& [when, line] : rows) lines.push_back(std::move(line));
    return lines;
}

/// Writes what can be written; one line that cannot does not keep the others out.
void write_queue(const Options& options) {
    int refused = 0;
    for (const Line& line : queue_or_fail(options)) {
        try {
            if (!write_line(options, line)) ++refused;
        } catch (const Exit&) {
            fmt::print(stderr, "  not written: {} {}\n", line.at, line.text);
            ++refused;
        }
    }
    if (refused > 0) throw Exit{1};
}

void run(const Options& options) {
    if (!options.queue.empty()) return write_queue(options);
    if (options.line.empty()) return list_record(options);
    if (!write_line(options, {options.line, options.at})) throw Exit{1};
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
    command->add_option("--seen", options->seen,
                        "the last entry you had read; if others have written since, nothing is written and their "
                        "entries are shown");
    command->add_option("--from", options->queue,
                        "write the lines of this file, each with its time before it (\"01:10 EV1 finished\"), in the "
                        "order of their times");
    command->add_option("--as", options->as, "whose view of the record: console (default), medical or public");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
