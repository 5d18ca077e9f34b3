#pragma once

#include <span>
#include <vector>

#include "live/entry.h"

namespace handrail::live {

/// Which entries still count, and who may read them (docs/journal-format.md, "Reading a journal as a day").
struct Standing {
    std::vector<bool> in_force;          ///< by entry
    std::vector<Visibility> visibility;  ///< by entry: never wider than that of what it corrects
};
/// REQUIRES: entries[i] is at position i + 1.
Standing standing(std::span<const Recorded> entries);

}  // namespace handrail::live
