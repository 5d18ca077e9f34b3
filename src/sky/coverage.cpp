#include "sky/coverage.h"

#include <erfa.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sky/attitude.h"
#include "sky/shadow.h"

namespace handrail::sky {
namespace {

constexpr int wgs84 = 1;  // ERFA_WGS84

/// From the Earth-fixed frame to TEME: back by the sidereal angle about the common z axis.
Vec3 teme_from_itrf(Vec3 v, double sidereal_rad) {
    const double s = std::sin(sidereal_rad), c = std::cos(sidereal_rad);
    return {c * v.x - s * v.y, s * v.x + c * v.y, v.z};
}

Vec3 relay_teme_km(const RelaySatellite& relay, const Moment& moment) {
    const double longitude = radians(relay.longitude) + moment.sidereal_rad;
    return Vec3{std::cos(longitude), std::sin(longitude), 0} * geostationary_radius_km;
}

/// A ground station with what does not change computed once.
struct Horizon {
    explicit Horizon(const GroundStation& station) : itrf_km(place_itrf_km(station)) {
        const double lat = radians(station.latitude), lon = radians(station.longitude);
        up_itrf = {std::cos(lat) * std::cos(lon), std::cos(lat) * std::sin(lon), std::sin(lat)};
    }
    double elevation_rad(const Moment& m) const {
        const Vec3 to_station = m.position_teme_km - teme_from_itrf(itrf_km, m.sidereal_rad);
        return pi / 2 - angle_between(to_station, teme_from_itrf(up_itrf, m.sidereal_rad));
    }
    Vec3 itrf_km, up_itrf;
};

Link ground_link(const Ephemeris& ephemeris, const GroundStation& station) {
    const Horizon horizon(station);
    const double mask = radians(station.mask);
    const auto above_mask = [&](double t) { return horizon.elevation_rad(ephemeris.at(t)) - mask; };
    Link link{station.name, true, {}, {}, {}};
    link.in_view = where_positive(above_mask, {ephemeris.from_s(), ephemeris.to_s(), ephemeris.step_s(), 1e-3});
    for (const Stretch& pass : link.in_view) {
        // Elevation rises once and falls once in a pass: ternary search for the top, to 0.5 s.
        double low = pass.from_s, high = pass.to_s;
        while (high - low > 0.5) {
            const double a = low + (high - low) / 3, b = high - (high - low) / 3;
            (above_mask(a) < above_mask(b) ? low : high) = above_mask(a) < above_mask(b) ? a : b;
        }
        const double top = 0.5 * (low + high);
        link.highest.push_back(degrees(above_mask(top) + mask));
        link.highest_at_s.push_back(top);
    }
    return link;
}

Link relay_link(const Ephemeris& ephemeris, const RelaySatellite& relay, const Attitude& attitude) {
    const Search search{ephemeris.from_s(), ephemeris.to_s(), ephemeris.step_s(), 1e-3};
    Link link{relay.name, false, {}, {}, {}};
    link.in_view = where_positive([&](double t) { return clear_of_earth_rad(relay, ephemeris.at(t)); }, search);
    if (!relay.cone) return link;
    const double cone = radians(*relay.cone);
    const Stretches seen =
        where_positive([&](double t) { return cone - off_zenith_rad(relay, attitude, ephemeris.at(t)); }, search);
    link.in_view = intersection(link.in_view, seen);
    return link;
}

/// "A", "A and B", "A, B and C".
std::string listed(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t i = 0; i < names.size(); ++i)
        out += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    return out;
}

}  // namespace

Vec3 place_itrf_km(const GroundStation& station) {
    double metres[3] = {0, 0, 0};
    // Fails only for an unknown ellipsoid or an absurd latitude; latitudes are checked before.
    eraGd2gc(wgs84, radians(station.longitude), radians(station.latitude), station.height.value(), metres);
    return Vec3{metres[0], metres[1], metres[2]} * 1e-3;
}

double elevation_rad(const GroundStation& ground, const Moment& moment) {
    return Horizon(ground).elevation_rad(moment);
}

double clear_of_earth_rad(const RelaySatellite& relay, const Moment& moment) {
    const Vec3 there = relay_teme_km(relay, moment);
    const double near = std::acos(std::min(1.0, shadow_earth_radius_km / length(moment.position_teme_km)));
    const double far = std::acos(shadow_earth_radius_km / geostationary_radius_km);
    return near + far - angle_between(moment.position_teme_km, there);
}

double off_zenith_rad(const RelaySatellite& relay, const Attitude& attitude, const Moment& moment) {
    const Vec3 direction_teme = unit(relay_teme_km(relay, moment) - moment.position_teme_km);
    return angle_between(station_from_teme(attitude, moment).apply(direction_teme), {0, 0, -1});
}

std::vector<Link> links(const Ephemeris& ephemeris, const Coverage& coverage, const Attitude& attitude) {
    std::vector<Link> all;
    for (const GroundStation& station : coverage.ground_stations) all.push_back(ground_link(ephemeris, station));
    for (const RelaySatellite& relay : coverage.relays) all.push_back(relay_link(ephemeris, relay, attitude));
    return all;
}

std::string why_no_link(const Coverage& coverage, const Attitude& attitude, const Moment& moment) {
    std::vector<std::string> below_horizon, behind_earth, single;
    for (const GroundStation& ground : coverage.ground_stations) {
        const double elevation = elevation_rad(ground, moment);
        if (elevation < 0)
            below_horizon.push_back(ground.name);
        else if (elevation < radians(ground.mask))
            single.push_back(fmt::format("{} below its mask of {:g} deg", ground.name, ground.mask.value()));
    }
    for (const RelaySatellite& relay : coverage.relays) {
        if (clear_of_earth_rad(relay, moment) <= 0)
            behind_earth.push_back(relay.name);
        else if (relay.cone && off_zenith_rad(relay, attitude, moment) > radians(*relay.cone))
            single.push_back(fmt::format("{} outside its antenna's cone of {:g} deg", relay.name, relay.cone->value()));
    }
    if (!below_horizon.empty()) single.push_back(listed(below_horizon) + " below the horizon");
    if (!behind_earth.empty()) single.push_back(listed(behind_earth) + " behind the Earth");
    return fmt::format("{}", fmt::join(single, "; "));
}

}  // namespace handrail::sky
