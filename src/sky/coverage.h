#pragma once

#include <string>
#include <vector>

#include "sky/ephemeris.h"
#include "sky/stretches.h"

/// When the station can talk to the ground. Earth-fixed places turn with Greenwich mean sidereal time; neglected: UT1
/// less UTC (0.9 s), polar motion (0.3 arcseconds, 10 m), refraction, and the station's own solids before its antennas.
namespace handrail::sky {

/// WGS-84 geodetic place in the Earth-fixed frame, km.
Vec3 place_itrf_km(const GroundStation& station);
/// Radius of the geostationary orbit, km: (mu T^2 / 4 pi^2)^(1/3) with mu = 398600.4418 km3/s2 and T one sidereal day.
inline constexpr double geostationary_radius_km = 42164.17;

/// Elevation of the station above the ground station's horizon (normal to the ellipsoid), radians.
double elevation_rad(const GroundStation& ground, const Moment& moment);
/// Positive when the Earth does not hide the relay: the angle by which the line of sight clears the spherical Earth,
/// counted at its centre, radians.
double clear_of_earth_rad(const RelaySatellite& relay, const Moment& moment);
/// Angle between the station's own zenith (its -z axis) and the direction to the relay, radians.
double off_zenith_rad(const RelaySatellite& relay, const Attitude& attitude, const Moment& moment);

/// One source of coverage over the span of an ephemeris.
struct Link {
    std::string name;
    bool ground = false;
    Stretches in_view;
    std::vector<Degrees> highest;  ///< ground stations: highest elevation of each stretch
    std::vector<double> highest_at_s;
};
/// Ground stations first, in the outing's order, then relays.
std::vector<Link> links(const Ephemeris& ephemeris, const Coverage& coverage, const Attitude& attitude);

/// Why each source is not in view at a moment without coverage, in words:
/// "Northfield below its mask of 5 deg; Relay East behind the Earth".
std::string why_no_link(const Coverage& coverage, const Attitude& attitude, const Moment& moment);

}  // namespace handrail::sky
