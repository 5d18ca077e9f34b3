#include "sky/shadow.h"

#include <algorithm>
#include <cmath>

namespace handrail::sky {
namespace {
struct Discs {
    double separation, earth, sun;  // rad, the last two half-angles
};
Discs discs_at(const Moment& m) {
    const Vec3 to_sun_km = m.sun_teme_km - m.position_teme_km;
    const double earth = std::asin(std::min(1.0, shadow_earth_radius_km / length(m.position_teme_km)));
    return {angle_between(to_sun_km, -m.position_teme_km), earth, std::asin(sun_radius_km / length(to_sun_km))};
}
}  // namespace

double clear_of_penumbra_rad(const Moment& moment) {
    const Discs d = discs_at(moment);
    return d.separation - (d.earth + d.sun);
}

double clear_of_umbra_rad(const Moment& moment) {
    const Discs d = discs_at(moment);
    return d.separation - (d.earth - d.sun);
}

Light light_at(const Moment& moment) {
    const Discs d = discs_at(moment);
    if (d.separation > d.earth + d.sun) return Light::sun;
    return d.separation > d.earth - d.sun ? Light::penumbra : Light::umbra;
}

Degrees beta(const Moment& m) {
    const Vec3 momentum = cross(m.position_teme_km, m.velocity_teme_km_s);
    return degrees(pi / 2 - angle_between(momentum, m.sun_teme_km));
}

ShadowTimes shadow_times(const Ephemeris& ephemeris) {
    const Search search{ephemeris.from_s(), ephemeris.to_s(), ephemeris.step_s(), 1.0e-3};
    ShadowTimes times;
    times.sun = where_positive([&](double t) { return clear_of_penumbra_rad(ephemeris.at(t)); }, search);
    const Stretches some_sun = where_positive([&](double t) { return clear_of_umbra_rad(ephemeris.at(t)); }, search);
    times.umbra = complement(some_sun, search.from_s, search.to_s);
    times.penumbra = intersection(some_sun, complement(times.sun, search.from_s, search.to_s));
    return times;
}

}  // namespace handrail::sky
