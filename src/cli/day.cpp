#include "cli/day.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "cli/commands.h"
#include "cli/terminal.h"
#include "live/record.h"
#include "live/session.h"
#include "store/journals.h"

namespace handrail::cli {
namespace {

/// Further from the planned day than any slip: the clock is not that day's clock.
constexpr std::chrono::hours same_day{48};

}  // namespace

Utc clock_now() { return std::chrono::floor<Milliseconds>(std::chrono::system_clock::now()); }

bool clock_is_of_the_day(Utc planned_pet_zero) { return std::chrono::abs(clock_now() - planned_pet_zero) <= same_day; }

Utc moment_or_fail(const std::string& at, std::span<const live::Recorded> entries, Utc planned_pet_zero, Utc pet_zero) {
    if (!at.empty()) return instant_or_fail(at, pet_zero, "--at");
    const Utc clock = clock_now();
    if (clock_is_of_the_day(planned_pet_zero)) return live::moment(entries, clock);
    if (entries.empty()) return planned_pet_zero;
    const Utc last = live::moment(entries, entries.front().entry.happened);
    fmt::print(
        stderr,
        "The clock says {}, not the day of this journal: shown as of its last entry, {}. --at names another moment.\n",
        print_utc(clock), print_utc(last));
    return last;
}

std::unique_ptr<OpenDay> open_day_or_fail(const std::string& file, const std::string& at) {
    auto day = std::make_unique<OpenDay>();
    day->file = store::shown(file);
    auto opened = store::open_journal(file);
    if (const auto* error = std::get_if<store::StoreError>(&opened)) fail(error->what);
    day->journal = std::get<0>(std::move(opened));
    auto read = day->journal->read(live::Position{0});
    if (const auto* error = std::get_if<store::StoreError>(&read)) fail(error->what);
    if (const auto* tampered = std::get_if<store::Tampered>(&read)) fail(tampered->what);
    day->entries = std::get<0>(std::move(read));
    auto outing = live::outing_of(day->entries);
    if (const auto* error = std::get_if<std::string>(&outing)) fail(fmt::format("{}: {}", day->file, *error));
    day->outing = std::get<Outing>(std::move(outing));
    day->windows = live::windows_for(day->outing);
    // A PET on the command line counts from the PET zero of the whole record, so that is looked up first.
    const Utc all = live::moment(day->entries, day->entries.front().entry.happened);
    const live::Day whole = live::fold(day->outing, day->windows, day->entries, all);
    const Utc pet_zero = whole.pet_running ? whole.pet_zero : whole.planned_pet_zero;
    const Utc now = moment_or_fail(at, day->entries, whole.planned_pet_zero, pet_zero);
    day->day = live::fold(day->outing, day->windows, day->entries, now);
    return day;
}

void tell_since(const OpenDay& open, live::Position seen) {
    const auto lines = live::record_of(open.outing, open.entries, open.day);
    std::uint64_t told = 0;
    for (const live::RecordLine& line : live::visible(lines, live::Reader::console))
        if (line.position > seen) {
            fmt::print(stderr, "{:>4} {:>9} {}{}\n", live::number(line.position), print_pet_seconds(line.pet),
                       line.words, line.author.empty() ? "" : " [" + line.author + "]");
            ++told;
        }
    const std::uint64_t written = live::number(open.seen()) - std::min(live::number(open.seen()), live::number(seen));
    if (written > told)
        fmt::print(stderr, "     and {} that {} not for this view\n", written - told,
                   written - told == 1 ? "is" : "are");
}

live::Reader reader_or_fail(const std::string& text) {
    for (const live::Reader reader : {live::Reader::everyone, live::Reader::console, live::Reader::medical})
        if (text == word(reader)) return reader;
    fail(fmt::format("--as: expected console, medical or public, found \"{}\".", text));
}

std::optional<live::Visibility> visibility_or_fail(const std::string& text) {
    if (text.empty()) return std::nullopt;
    for (const live::Visibility v : {live::Visibility::everyone, live::Visibility::console, live::Visibility::medical})
        if (text == word(v)) return v;
    fail(fmt::format("--visibility: expected public, console or medical, found \"{}\".", text));
}

std::string author_or_user(const std::string& author) {
    if (!author.empty()) return author;
    const char* user = std::getenv("USER");  // NOLINT(concurrency-mt-unsafe): before any thread is started
    return user != nullptr && *user != '\0' ? user : "lead";
}

}  // namespace handrail::cli
