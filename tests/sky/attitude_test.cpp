#include "sky/attitude.h"

#include "support.h"

namespace handrail::sky {
namespace {

/// A made-up moment: over the x axis, moving along y, sun on the zenith side.
Moment over_x() { return {{6800, 0, 0}, {0, 7.6, 0}, {1.5e8, 0, 0}, 0}; }

void expect_near(Vec3 a, Vec3 b) { EXPECT_LT(length(a - b), 1e-12) << a.x << " " << a.y << " " << a.z; }

TEST(Attitude, LvlhPointsForwardRightAndDown) {
    const Rotation lvlh = lvlh_from_teme(over_x());
    expect_near(lvlh.apply({0, 1, 0}), {1, 0, 0});   // velocity: forward
    expect_near(lvlh.apply({-1, 0, 0}), {0, 0, 1});  // towards the Earth: down
    expect_near(lvlh.apply({0, 0, -1}), {0, 1, 0});  // south, on an eastward equatorial orbit: right
}

TEST(Attitude, TheSunOverheadIsAlongMinusZ) { expect_near(sun_station({}, over_x()), {0, 0, -1}); }

TEST(Attitude, RotationsTurnTheStationNotTheSun) {
    // Yawed 90 degrees the nose points right; what was ahead is now on the left (-y).
    expect_near(yaw_pitch_roll({Attitude::Hold::lvlh, Degrees{90}, Degrees{0}, Degrees{0}}).apply({1, 0, 0}),
                {0, -1, 0});
    // Pitched up 90 degrees the nose points up; what was overhead is ahead.
    expect_near(yaw_pitch_roll({Attitude::Hold::lvlh, Degrees{0}, Degrees{90}, Degrees{0}}).apply({0, 0, -1}),
                {1, 0, 0});
    // Rolled right 90 degrees, the right side points down; what was below is on the right.
    expect_near(yaw_pitch_roll({Attitude::Hold::lvlh, Degrees{0}, Degrees{0}, Degrees{90}}).apply({0, 0, 1}),
                {0, 1, 0});
}

TEST(Attitude, YawComesBeforePitchAndPitchBeforeRoll) {
    // Yaw 90, then pitch 90 about the new y: the nose ends up overhead, and the old nose direction is on the left.
    const Rotation both = yaw_pitch_roll({Attitude::Hold::lvlh, Degrees{90}, Degrees{90}, Degrees{0}});
    expect_near(both.apply({0, 0, -1}), {1, 0, 0});
    expect_near(both.apply({1, 0, 0}), {0, -1, 0});
}

TEST(Attitude, AnInertialHoldKeepsTheSunStill) {
    const Orbit orbit = test::low_beta();
    const Ephemeris ephemeris(orbit, nearest(orbit.elements.epoch), 0, 6000);
    Attitude attitude{Attitude::Hold::inertial, Degrees{30}, Degrees{-20}, Degrees{10}};
    const Vec3 first = sun_station(attitude, ephemeris.at(0));
    EXPECT_LT(angle_between(first, sun_station(attitude, ephemeris.at(2700))), 0.001);
    attitude.hold = Attitude::Hold::lvlh;
    EXPECT_GT(angle_between(first, sun_station(attitude, ephemeris.at(2700))), 0.5);
}

}  // namespace
}  // namespace handrail::sky
