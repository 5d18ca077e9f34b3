#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "live/state.h"

/// Entries in words, for the reader who may see them. A private entry that moves the timeline appears to others with
/// its time and a neutral line; one that moves nothing does not appear.
namespace handrail::live {

struct RecordLine {
    Position position{};
    Utc happened, logged;
    Pet pet{};
    std::string kind, words, author;
    Visibility visibility = Visibility::console;
    std::optional<Position> corrects;
    bool struck = false;                 ///< taken back or replaced by a later entry
    std::optional<std::string> neutral;  ///< what others may read instead; none: nothing
    std::string neutral_kind;
};

/// Every entry. REQUIRES: `day` was folded from `entries`.
std::vector<RecordLine> record_of(const Outing& outing, std::span<const Recorded> entries, const Day& day);
/// The lines as this reader may see them, private ones replaced or left out.
std::vector<RecordLine> visible(std::span<const RecordLine> lines, Reader reader);

/// "EV1 started valve.2, unbolt the old valve".
std::string words(const Outing& outing, const Entry& entry);

}  // namespace handrail::live
