#pragma once

#include "sky/ephemeris.h"
#include "sky/stretches.h"

/// The Earth's shadow: right circular cones from a spherical Earth and a spherical sun. Neglected: refraction (which
/// lets some reddened light into the umbra), the atmosphere's opacity, and oblateness (the polar radius is 21 km less:
/// up to 8 s at an edge over a pole, 5 s over latitude 52 degrees, at beta 0).
namespace handrail::sky {

inline constexpr double shadow_earth_radius_km = 6378.137;  // WGS-84 equatorial radius
inline constexpr double sun_radius_km = 696000.0;           // IAU nominal 695,700 to 696,000; the customary value

enum class Light : std::uint8_t { sun, penumbra, umbra };

/// Angle from the edge of the penumbra, radians: positive when the whole disc of the sun is in view.
/// The sun's and the Earth's discs are compared as seen from the station: no cone needs a case of its own.
double clear_of_penumbra_rad(const Moment& moment);
/// Positive when any of the sun's disc is in view.
double clear_of_umbra_rad(const Moment& moment);
Light light_at(const Moment& moment);

/// Angle between the sun and the orbit plane; positive towards the orbit's angular momentum.
Degrees beta(const Moment& moment);

/// The span of an ephemeris, every instant in exactly one of the three.
struct ShadowTimes {
    Stretches sun, penumbra, umbra;
};
ShadowTimes shadow_times(const Ephemeris& ephemeris);

}  // namespace handrail::sky
