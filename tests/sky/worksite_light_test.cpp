#include "sky/worksite_light.h"

#include <algorithm>
#include <cmath>

#include "sky/attitude.h"
#include "sky/shadow.h"
#include "support.h"

namespace handrail::sky {
namespace {

Solid box(std::string name, Vec3 centre, Vec3 size) {
    return {Solid::Shape::box, std::move(name), centre, size, {}, Metres{}, Metres{}};
}
Solid cylinder(std::string name, Vec3 centre, Vec3 axis, double radius, double length) {
    return {Solid::Shape::cylinder, std::move(name), centre, {}, axis, Metres{radius}, Metres{length}};
}
Worksite site(Vec3 position, Vec3 normal) {
    Worksite w;
    w.id = w.name = "panel";
    w.position_station_m = position;
    w.normal_station = normal;
    return w;
}

TEST(Solids, ABoxStopsRaysThatMeetIt) {
    const Solid b = box("b", {10, 0, 0}, {2, 4, 6});
    EXPECT_TRUE(blocks(b, {0, 0, 0}, {1, 0, 0}));
    EXPECT_FALSE(blocks(b, {0, 0, 0}, {-1, 0, 0})) << "behind the ray";
    EXPECT_TRUE(blocks(b, {0, 1.9, 2.9}, {1, 0, 0}));
    EXPECT_FALSE(blocks(b, {0, 2.1, 0}, {1, 0, 0}));
    EXPECT_FALSE(blocks(b, {0, 0, 3.1}, {1, 0, 0}));
    EXPECT_TRUE(blocks(b, {0, 0, 0}, unit({9, 1.9, 0})));
    EXPECT_FALSE(blocks(b, {0, 0, 0}, unit({9, 2.6, 0})));
    EXPECT_FALSE(blocks(b, {10, 0, 0}, {1, 0, 0})) << "the origin stands in it";
}

TEST(Solids, ACylinderStopsRaysThroughItsSideAndItsEnds) {
    const Solid c = cylinder("c", {10, 0, 0}, {0, 0, 1}, 2, 6);
    EXPECT_TRUE(blocks(c, {0, 0, 0}, {1, 0, 0}));
    EXPECT_TRUE(blocks(c, {0, 1.9, 0}, {1, 0, 0}));
    EXPECT_FALSE(blocks(c, {0, 2.1, 0}, {1, 0, 0}));
    EXPECT_FALSE(blocks(c, {0, 0, 3.1}, {1, 0, 0}));
    EXPECT_TRUE(blocks(c, {11, 1, -10}, {0, 0, 1})) << "along the axis, through both ends";
    EXPECT_FALSE(blocks(c, {11, 2, -10}, {0, 0, 1}));
    EXPECT_FALSE(blocks(c, {11, 1, -10}, {0, 0, -1}));
    EXPECT_TRUE(blocks(c, {10, 0, -10}, unit({0.5, 0, 10})));
}

TEST(Solids, RandomRaysAgreeWithWalkingAlongThem) {
    // Law: a ray is blocked exactly when some point of it lies in the solid.
    test::Random random(11);
    for (int i = 0; i < 2000; ++i) {
        const Vec3 axis = unit({random.between(-1, 1), random.between(-1, 1), random.between(-1, 1)});
        const Solid solid = i % 2 ? box("s", {0, 0, 0}, {random.between(1, 6), random.between(1, 6), 3})
                                  : cylinder("s", {0, 0, 0}, axis, random.between(0.5, 3), random.between(1, 8));
        const auto inside = [&](Vec3 p, double grow) {
            if (solid.shape == Solid::Shape::box)
                return std::abs(p.x) <= solid.size_station_m.x / 2 + grow &&
                       std::abs(p.y) <= solid.size_station_m.y / 2 + grow &&
                       std::abs(p.z) <= solid.size_station_m.z / 2 + grow;
            const double along = dot(p, axis);
            return std::abs(along) <= solid.length.value() / 2 + grow &&
                   length(p - axis * along) <= solid.radius.value() + grow;
        };
        const Vec3 origin{random.between(-12, 12), random.between(-12, 12), random.between(5, 12)};
        if (inside(origin, 0.1)) continue;
        const Vec3 aim{random.between(-4, 4), random.between(-4, 4), random.between(-4, 4)};
        const Vec3 direction = unit(aim - origin);
        bool deep = false, near = false;
        for (double t = 0; t < 60; t += 0.02) {
            deep |= inside(origin + direction * t, -0.05);
            near |= inside(origin + direction * t, 0.05);
        }
        if (deep != near) continue;  // a graze: the walk cannot tell
        EXPECT_EQ(blocks(solid, origin, direction), deep) << i;
    }
}

TEST(Look, TellsLitFacingAwayShadowedAndGlare) {
    Station station;
    station.glare_within = Degrees{20};
    const Worksite top = site({0, 0, -2}, {0, 0, -1});
    EXPECT_EQ(look(station, top, {0, 0, -1}).surface, WorksiteLook::Surface::lit);
    EXPECT_EQ(look(station, top, {0, 0, 1}).surface, WorksiteLook::Surface::faces_away);
    EXPECT_TRUE(look(station, top, {0, 0, 1}).glare) << "the worker looks along +z, at the sun";
    EXPECT_TRUE(look(station, top, unit({0, std::tan(0.34), 1})).glare);
    EXPECT_FALSE(look(station, top, unit({0, std::tan(0.36), 1})).glare) << "20 degrees are 0.349 rad";
    EXPECT_FALSE(look(station, top, {0, 0, -1}).glare);

    station.solids = {box("module", {0, 0, 0}, {4, 4, 4}), box("truss", {0, 0, -10}, {2, 2, 2})};
    const WorksiteLook shadowed = look(station, top, {0, 0, -1});
    EXPECT_EQ(shadowed.surface, WorksiteLook::Surface::shadowed);
    EXPECT_EQ(shadowed.solid, 1u);
    EXPECT_EQ(look(station, top, unit({1, 0, -1})).surface, WorksiteLook::Surface::lit);
    EXPECT_FALSE(look(station, top, {0, 0, 1}).glare) << "the module hides the sun";
}

TEST(WorksiteLight, FillsTheDaylightWithoutHolesAndChangesWhereTheLookChanges) {
    const Orbit orbit = test::low_beta();
    const Ephemeris ephemeris(orbit, nearest(orbit.elements.epoch), 0, 4 * 3600);
    Station station;
    station.glare_within = Degrees{25};
    // Invented: a module along x, a mast, a panel; worksites on several faces.
    station.solids = {cylinder("module", {0, 0, 0}, {1, 0, 0}, 2, 12), box("mast", {4, 0, -8}, {1, 1, 12}),
                      box("panel", {-4, 6, -2}, {6, 1, 8})};
    station.worksites = {site({0, 0, -2}, {0, 0, -1}), site({0, 2, 0}, {0, 1, 0}), site({6, 0, 0}, {1, 0, 0}),
                         site({-4, 5.5, -2}, {0, -1, 0})};
    const Stretches daylight = shadow_times(ephemeris).sun;
    const auto light = worksite_light(ephemeris, station, daylight);
    ASSERT_EQ(light.size(), 4u);
    int changes = 0, shadows = 0;
    for (std::size_t w = 0; w < light.size(); ++w) {
        std::size_t day = 0;
        double at = daylight[0].from_s;
        for (const WorksiteStretch& s : light[w]) {
            EXPECT_EQ(s.when.from_s, at);
            EXPECT_LT(s.when.from_s, s.when.to_s);
            at = s.when.to_s;
            if (at == daylight[day].to_s && ++day < daylight.size()) at = daylight[day].from_s;
            shadows += s.look.surface == WorksiteLook::Surface::shadowed;
            ++changes;
            const auto now = [&](double t) {
                return look(station, station.worksites[w], sun_station(station.attitude, ephemeris.at(t)));
            };
            for (double t = s.when.from_s + 0.1; t < s.when.to_s - 0.1; t += 1.7) ASSERT_EQ(now(t), s.look) << t;
        }
        EXPECT_EQ(day, daylight.size());
    }
    EXPECT_GT(changes, 12);
    EXPECT_GE(shadows, 2);
}

}  // namespace
}  // namespace handrail::sky
