#pragma once

#include <optional>
#include <vector>

#include "outing/model.h"

namespace handrail::sky {

/// Where the sun stands over a span, for pictures: unit vectors in the station frame, `step` apart from `from` on.
struct SunTrack {
    Pet from{};
    Seconds step{};
    std::vector<Vec3> toward_station;
};
/// In LVLH the sun goes once round in an orbit: under 8 degrees between samples, so that turning evenly from one to the
/// next is good to a hundredth of a degree.
inline constexpr Seconds sun_track_step{120};

/// Nothing without an orbit, or with one that has no state there: a picture without a sun is still a picture. Whoever
/// needs the reason asks survey(). The last sample lies at `to` or after it. REQUIRES: from < to.
std::optional<SunTrack> sun_track(const Outing& outing, Utc pet_zero, Pet from, Pet to);

}  // namespace handrail::sky
