#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>

#include "live/state.h"

/// The short typed lines of the day: "done", "EV2 started valve.2", "bag 2 at W4", "hold private". Forgiving about
/// order, case and separators, completed from the state where only one thing can be meant.
namespace handrail::live {

/// What a line says; time, author and the rest come from whoever typed it.
struct Understood {
    Body body;
    std::optional<Position> corrects;
    std::optional<Utc> happened;           ///< named in the line ("at 01:10")
    std::optional<Visibility> visibility;  ///< named in the line, or private by its nature
};
/// A whole sentence that says what was expected and what would do.
struct NotUnderstood {
    std::string sentence;
};
/// REQUIRES: `day` was folded from `entries`.
std::variant<Understood, NotUnderstood> read_line(const Outing& outing, std::span<const Recorded> entries,
                                                  const Day& day, std::string_view line);

/// The entry that a line understood at `now` makes: it happened `now` unless the line or `happened` says otherwise.
Entry entry_of(const Understood& understood, const Day& day, const std::string& author, Utc now,
               std::optional<Utc> happened = std::nullopt);

/// Every form a line can take, one example a row, for --help and the console.
std::string_view line_help();

}  // namespace handrail::live
