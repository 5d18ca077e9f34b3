#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "live/state.h"
#include "outing/outing.h"
#include "store/journal.h"

/// A journal opened by a command, read, checked and folded.
namespace handrail::cli {

/// The only place where a command looks at the real clock.
Utc clock_now();

/// The moment a command works at: `at` (UTC, PET or a shift from PET zero) if given; else the clock, but never before
/// the last entry. More than two days away from the planned day the clock says nothing about it (a rehearsal, a
/// replay): then it is the last entry's moment, and a line on stderr says so.
Utc moment_or_fail(const std::string& at, std::span<const live::Recorded> entries, Utc planned_pet_zero, Utc pet_zero);

/// False when the clock is more than two days away from the planned day: it then says nothing about that day.
bool clock_is_of_the_day(Utc planned_pet_zero);

struct OpenDay {
    std::string file;  ///< the journal, as messages name it
    std::unique_ptr<store::Journal> journal;
    std::vector<live::Recorded> entries;
    Outing outing;
    live::WindowSource windows;
    live::Day day;

    live::Position seen() const { return entries.empty() ? live::Position{0} : entries.back().position; }
};
/// `journal`: a file, or postgresql://user@host/database#name. Fails with a sentence when it
/// cannot be opened, was changed afterwards, or holds no outing.
std::unique_ptr<OpenDay> open_day_or_fail(const std::string& journal, const std::string& at);

/// Says on stderr what was written after `seen`, as the console may read it; the rest is only counted.
void tell_since(const OpenDay& open, live::Position seen);

/// "console", "medical" or "public"; or fails.
live::Reader reader_or_fail(const std::string& word);
/// "public", "console" or "medical"; nothing for "".
std::optional<live::Visibility> visibility_or_fail(const std::string& word);
/// Whoever is logged in, when no author is named.
std::string author_or_user(const std::string& author);

}  // namespace handrail::cli
