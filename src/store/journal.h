#pragma once

#include <filesystem>
#include <memory>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "live/entry.h"

namespace handrail::store {

using live::Position;

/// Somebody wrote since; nothing was appended.
struct Stale {
    Position newest;
};
/// The journal could not be written or read; nothing was appended. `what` is a whole sentence that says what to do.
struct StoreError {
    std::string what;
};
/// The journal is not as it was written. `at` is the first entry that does not fit; those before it do.
struct Tampered {
    Position at;
    std::string what;  ///< a whole sentence
};

/// An append-only journal of entries tied together by hashes (docs/journal-format.md). Entries are at positions 1, 2,
/// 3, ... without gaps. Every function may be called from any thread; several programs may have the same journal open.
class Journal {
public:
    virtual ~Journal() = default;

    /// Returns the entry's position once it is on disk; it then survives a killed process and power loss.
    /// `seen` is the last position the writer had read. REQUIRES: live::can_be_written(entry).
    [[nodiscard]] virtual std::variant<Position, Stale, StoreError> append(const live::Entry& entry, Position seen) = 0;
    /// Entries after `after`, in order, each checked against the hash chain while it is read.
    [[nodiscard]] virtual std::variant<std::vector<live::Recorded>, Tampered, StoreError> read(Position after) = 0;
    /// Position of the last entry; 0 when there is none.
    [[nodiscard]] virtual std::variant<Position, StoreError> newest() = 0;
};

}  // namespace handrail::store
