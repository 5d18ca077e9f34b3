#include "sky/sun_track.h"

#include "outing/outing.h"
#include "sky/attitude.h"
#include "sky/ephemeris.h"
#include "sky/vector.h"
#include "support.h"

namespace handrail::sky {
namespace {

Outing demo() {
    auto read = read_outing(HANDRAIL_SOURCE_DIR "/demo/larkspur/outing.toml");
    EXPECT_TRUE(read.ok());
    return std::move(read).value();
}

TEST(SunTrack, HasASampleEveryTwoMinutesFromBeforeToAfterItsSpan) {
    const Outing outing = demo();
    const auto track = sun_track(outing, outing.pet_zero, pet(Seconds{-600}), pet(Seconds{3700}));
    ASSERT_TRUE(track.has_value());
    EXPECT_EQ(track->from, pet(Seconds{-600}));
    const auto last = track->from + track->step * static_cast<int>(track->toward_station.size() - 1);
    EXPECT_GE(last, pet(Seconds{3700}));
    for (const Vec3 sun : track->toward_station) EXPECT_NEAR(length(sun), 1, 1e-12);
}

TEST(SunTrack, TurnedEvenlyBetweenSamplesItIsTheSunToAHundredthOfADegree) {
    const Outing outing = demo();
    const auto track = sun_track(outing, outing.pet_zero, Pet{}, pet(Seconds{6000}));
    ASSERT_TRUE(track.has_value());
    const auto orbit = orbit_of(*outing.orbit);
    const Ephemeris ephemeris(orbit.value(), outing.pet_zero, 0, 6200);
    double worst = 0;
    for (std::size_t i = 0; i + 1 < track->toward_station.size(); ++i) {
        // Half-way the evenly turned direction is the sum of both.
        const Vec3 half = unit(track->toward_station[i] + track->toward_station[i + 1]);
        const double t = (static_cast<double>(i) + 0.5) * static_cast<double>(track->step.count());
        worst = std::max(worst, angle_between(half, sun_station(outing.station.attitude, ephemeris.at(t))));
    }
    EXPECT_LT(degrees(worst).value(), 0.01);
}

TEST(SunTrack, IsNothingWithoutAnOrbitOrWithElementsThatGiveNone) {
    Outing outing = demo();
    outing.orbit->text = "no elements at all";
    EXPECT_FALSE(sun_track(outing, outing.pet_zero, Pet{}, pet(Seconds{600})).has_value());
    outing.orbit.reset();
    EXPECT_FALSE(sun_track(outing, outing.pet_zero, Pet{}, pet(Seconds{600})).has_value());
}

}  // namespace
}  // namespace handrail::sky
