#pragma once

#include <optional>
#include <vector>

#include "timeline/timeline.h"

namespace handrail::live {

/// One stretch of the quickest way from one worksite to another: a walk or a tether swap.
struct WayPart {
    ActivityKind kind = ActivityKind::translate;
    Seconds duration{};
    std::vector<WorksiteId> path;
};
struct WayThere {
    std::vector<WayPart> parts;
    WorksiteId anchor{};  ///< at the end
};
/// None when there is no way with this load; `anchor` is where the tether is anchored before.
std::optional<WayThere> way_there(const Outing& outing, Crew crew, WorksiteId from, WorksiteId anchor, WorksiteId to,
                                  SizeClass load);

}  // namespace handrail::live
