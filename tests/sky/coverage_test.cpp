#include "sky/coverage.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>

#include "sky/attitude.h"
#include "sky/shadow.h"
#include "support.h"

namespace handrail::sky {
namespace {

using ::testing::HasSubstr;

TEST(EarthRotation, TurnsAPublishedTemePositionIntoTheEarthFixedFrame) {
    // Vallado et al., AIAA 2006-6753, appendix on TEME: 2004 April 6, 07:51:28.386009 UTC, UT1 - UTC = -0.4399619 s.
    // TEME 5094.18016210, 6127.64465950, 6380.34453270 km is -1033.4750312, 7901.3055856, 6380.3445327 km in the
    // pseudo-Earth-fixed frame (from memory; the values stand in many public test suites).
    const Utc ut1 = test::utc("2004-04-06T07:51:27.946Z");  // 0.047 ms short of UT1: 3e-8 rad
    const double g = greenwich_mean_sidereal_rad(ut1) + 0.0000471 * sidereal_rate_rad_s;
    const double x = 5094.18016210, y = 6127.64465950;
    EXPECT_NEAR(std::cos(g) * x + std::sin(g) * y, -1033.4750312, 1e-4);
    EXPECT_NEAR(-std::sin(g) * x + std::cos(g) * y, 7901.3055856, 1e-4);
}

TEST(EarthRotation, TheRateCarriesSiderealTimeForward) {
    const Utc start = test::utc("2031-04-05T08:30:00Z");
    const double later = greenwich_mean_sidereal_rad(start + Seconds{12 * 3600});
    const double carried = greenwich_mean_sidereal_rad(start) + 12 * 3600 * sidereal_rate_rad_s;
    EXPECT_NEAR(std::remainder(later - carried, 2 * pi), 0, 1e-9);
}

/// Invented ground station.
GroundStation ground(double latitude, double longitude, double mask) {
    return {"Northfield", Degrees{latitude}, Degrees{longitude}, Metres{100}, Degrees{mask}};
}

TEST(Ground, ElevationIs90DegreesOverheadAndSinksAsGeometrySays) {
    // On the equator the ellipsoid's normal is the radius: elevation e at central angle c follows from
    // tan e = (cos c - R / r) / sin c.
    const GroundStation g{"g", Degrees{0}, Degrees{0}, Metres{0}, Degrees{5}};
    const double radius_km = 6378.137, r_km = 6800;
    EXPECT_NEAR(elevation_rad(g, {{r_km, 0, 0}, {0, 7.6, 0}, {1.5e8, 0, 0}, 0}), pi / 2, 1e-9);
    for (double c : {0.05, 0.1, 0.2, 0.3, 0.4}) {
        const Moment m{{r_km * std::cos(c), r_km * std::sin(c), 0}, {0, 7.6, 0}, {1.5e8, 0, 0}, 0};
        const double want = std::atan2(std::cos(c) - radius_km / r_km, std::sin(c));
        EXPECT_NEAR(elevation_rad(g, m), want, 1e-9) << c;
    }
    // Turned with the Earth by a quarter, the same place stands on the other axis.
    EXPECT_NEAR(elevation_rad(g, {{0, r_km, 0}, {-7.6, 0, 0}, {1.5e8, 0, 0}, pi / 2}), pi / 2, 1e-9);
}

TEST(Ground, PlacesFollowTheWgs84Ellipsoid) {
    // WGS-84 semi-axes: 6378.137 km and 6356.7523142 km (NIMA TR8350.2).
    EXPECT_NEAR(place_itrf_km({"pole", Degrees{90}, Degrees{0}, Metres{0}, Degrees{0}}).z, 6356.7523142, 1e-6);
    EXPECT_NEAR(place_itrf_km({"equator", Degrees{0}, Degrees{90}, Metres{1000}, Degrees{0}}).y, 6379.137, 1e-9);
}

class Passes : public ::testing::Test {
protected:
    Orbit orbit = test::low_beta();
    Ephemeris ephemeris{orbit, nearest(orbit.elements.epoch), 0, 12 * 3600};
};

bool in(const Stretches& list, double t) {
    return std::any_of(list.begin(), list.end(), [&](const Stretch& s) { return s.from_s <= t && t < s.to_s; });
}

TEST_F(Passes, OfGroundStationsAgreeWithAskingEverySecond) {
    test::Random random(5);
    for (int i = 0; i < 25; ++i) {
        const GroundStation g =
            ground(random.between(-80, 80), random.between(-180, 180), i % 3 == 0 ? 0 : random.between(0, 40));
        const auto all = links(ephemeris, {{g}, {}}, {});
        ASSERT_EQ(all.size(), 1u);
        ASSERT_EQ(all[0].highest.size(), all[0].in_view.size());
        double top = -90;
        for (int t = 0; t < 12 * 3600; ++t) {
            const double elevation = elevation_rad(g, ephemeris.at(t));
            if (std::abs(elevation - radians(g.mask)) < 2e-4) continue;
            ASSERT_EQ(in(all[0].in_view, t), elevation > radians(g.mask)) << i << " at " << t;
            top = std::max(top, degrees(elevation).value());
        }
        double claimed = -90;
        for (Degrees d : all[0].highest) claimed = std::max(claimed, d.value());
        if (!all[0].in_view.empty()) {
            EXPECT_NEAR(claimed, top, 0.5);
        }
    }
}

TEST_F(Passes, OfRelaysAgreeWithTheLineOfSightDrawnOut) {
    for (double longitude : {-41.0, 85.0, 174.0}) {
        const RelaySatellite relay{"Relay", Degrees{longitude}, std::nullopt};
        const auto all = links(ephemeris, {{}, {relay}}, {});
        for (int t = 0; t < 6 * 3600; t += 3) {
            const Moment m = ephemeris.at(t);
            const double angle = radians(Degrees{longitude}) + m.sidereal_rad;
            const Vec3 there = Vec3{std::cos(angle), std::sin(angle), 0} * geostationary_radius_km;
            // The nearest point of the line between the two to the Earth's centre.
            const Vec3 along = there - m.position_teme_km;
            const double part = std::clamp(-dot(m.position_teme_km, along) / dot(along, along), 0.0, 1.0);
            const double height = length(m.position_teme_km + along * part) - shadow_earth_radius_km;
            if (std::abs(height) < 5) continue;
            ASSERT_EQ(in(all[0].in_view, t), height > 0) << longitude << " at " << t;
        }
    }
}

TEST_F(Passes, AConeNarrowsThem) {
    const RelaySatellite open{"Relay", Degrees{20}, std::nullopt}, narrow{"Relay", Degrees{20}, Degrees{60}};
    const auto wide = links(ephemeris, {{}, {open}}, {})[0].in_view,
               cone = links(ephemeris, {{}, {narrow}}, {})[0].in_view;
    ASSERT_FALSE(cone.empty());
    for (int t = 0; t < 12 * 3600; t += 7) {
        const double off = off_zenith_rad(narrow, {}, ephemeris.at(t));
        if (std::abs(off - radians(Degrees{60})) < 1e-3) continue;
        ASSERT_EQ(in(cone, t), in(wide, t) && off < radians(Degrees{60})) << t;
    }
}

TEST_F(Passes, AGapNamesWhyEachSourceIsOut) {
    const Moment m = ephemeris.at(0);
    const double under =
        std::remainder(std::atan2(m.position_teme_km.y, m.position_teme_km.x) - m.sidereal_rad, 2 * pi);
    const double longitude = degrees(under).value();
    const double latitude = degrees(std::asin(m.position_teme_km.z / length(m.position_teme_km))).value();
    Coverage coverage;
    coverage.ground_stations = {ground(-latitude, longitude + 180, 5), ground(latitude, longitude + 14, 60)};
    coverage.ground_stations[1].name = "Southgate";
    coverage.relays = {{"Relay East", Degrees{longitude + 180}, std::nullopt},
                       {"Relay West", Degrees{longitude - 70}, Degrees{30}}};
    const std::string why = why_no_link(coverage, {}, m);
    EXPECT_THAT(why, HasSubstr("Northfield below the horizon"));
    EXPECT_THAT(why, HasSubstr("Southgate below its mask of 60 deg"));
    EXPECT_THAT(why, HasSubstr("Relay East behind the Earth"));
    EXPECT_THAT(why, HasSubstr("Relay West outside its antenna's cone of 30 deg"));
}

}  // namespace
}  // namespace handrail::sky
