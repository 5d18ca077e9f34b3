#pragma once

#include <span>
#include <string>
#include <variant>
#include <vector>

#include "live/line.h"
#include "live/options.h"

/// Branches that touch nothing: the day as it would be if this happened now.
namespace handrail::live {

/// The journal with these lines added as if they had been logged at `day.now`, in order. The journal itself is not
/// touched. A line that cannot be read, or that would change nothing, is refused with a sentence.
std::variant<std::vector<Recorded>, NotUnderstood> suppose(const Outing& outing, const WindowSource& windows,
                                                           std::span<const Recorded> entries, const Day& day,
                                                           std::span<const std::string> lines);

/// One thing that may go wrong from here, and what carrying on would then look like.
struct WhatIf {
    std::string line;  ///< as it would be logged: "arm lost"
    std::string title;
    Option then;
};
/// What is worth asking now: arm lost, each tool that steps to come need lost, coverage lost, one of the crew unable,
/// the next worksites closed; before PET zero slips of 15, 30 and 60 minutes. The branch that costs most first. Tens of
/// milliseconds each at most.
std::vector<WhatIf> what_ifs_of(const Outing& outing, const WindowSource& windows, std::span<const Recorded> entries,
                                const Day& day);

/// A table for people.
std::string print(const Outing& outing, const Day& day, const std::vector<WhatIf>& what_ifs);
/// {"format": "handrail-what-if", ...}: see docs/status.md.
std::string what_ifs_json(const Outing& outing, const Day& day, const std::vector<WhatIf>& what_ifs);

}  // namespace handrail::live
