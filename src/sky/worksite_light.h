#pragma once

#include <optional>
#include <vector>

#include "sky/ephemeris.h"
#include "sky/stretches.h"

namespace handrail::sky {

/// True when a ray from `origin` along the unit vector `direction` meets the solid; a solid that contains the origin
/// does not block it (worksites stand on or in the structure's rough solids). Station frame, metres.
bool blocks(const Solid& solid, Vec3 origin_station_m, Vec3 direction_station);

/// How a worksite stands to a sun that the Earth does not hide.
struct WorksiteLook {
    enum class Surface : std::uint8_t { lit, faces_away, shadowed } surface = Surface::lit;
    std::size_t solid = 0;  ///< for shadowed: the first solid of Station::solids in the way
    bool glare = false;     ///< the sun is in the worker's face
    bool operator==(const WorksiteLook&) const = default;
};

/// The work surface is lit when the sun stands before it (normal) and no solid is in the way of a ray from just above
/// it. The worker faces the surface, so the line of sight is against the normal, and the helmet is an arm's length out:
/// glare when the sun is within Station::glare_within of that line and no solid hides it from there.
WorksiteLook look(const Station& station, const Worksite& site, Vec3 sun_station);

/// One stretch of a worksite's light, all of it in daylight.
struct WorksiteStretch {
    Stretch when;
    WorksiteLook look;
};
/// For each worksite, its looks through the station's daylight, in order and without holes. Samples every
/// `sample_step_s` and finds each change between two samples to 0.05 s; a look that begins and ends between two samples
/// (shadow of something slimmer than the station turns in that time: 1.3 degrees in LVLH) can be missed.
inline constexpr double sample_step_s = 20;
std::vector<std::vector<WorksiteStretch>> worksite_light(const Ephemeris& ephemeris, const Station& station,
                                                         const Stretches& daylight);

}  // namespace handrail::sky
