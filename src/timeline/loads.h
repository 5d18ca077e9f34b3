#pragma once

#include <optional>
#include <span>
#include <vector>

#include "lifesupport/forecast.h"
#include "timeline/timeline.h"

namespace handrail {

/// One crew member's timeline as their suit feels it.
struct CrewLoads {
    std::vector<lifesupport::Load> loads;  ///< from PET zero to the end of ingress, in order, without gaps or overlaps
    /// By load: which of Timeline::activities it is; none for a wait (rest).
    std::vector<std::optional<std::size_t>> activity;
};

/// Every activity and wait of this crew member with its metabolic rate (docs/rules.md, "Drawn from a suit"): each is
/// sunlit as a whole if "daylight" holds at its middle, or if daylight is unknown. Where activities overlap, the later
/// one counts from the end of the earlier; the checker reports the overlap.
/// REQUIRES activities in order (put_in_order).
CrewLoads loads_of(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Crew crew);

}  // namespace handrail
