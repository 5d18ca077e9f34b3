#include "sky/attitude.h"

#include <cmath>
#include <cstdlib>

namespace handrail::sky {

Rotation lvlh_from_teme(const Moment& m) {
    const Vec3 z = -unit(m.position_teme_km);
    const Vec3 y = -unit(cross(m.position_teme_km, m.velocity_teme_km_s));
    return {{cross(y, z), y, z}};
}

Rotation yaw_pitch_roll(const Attitude& attitude) {
    const double a = radians(attitude.yaw), b = radians(attitude.pitch), c = radians(attitude.roll);
    const Rotation yaw{{Vec3{std::cos(a), std::sin(a), 0}, {-std::sin(a), std::cos(a), 0}, {0, 0, 1}}};
    const Rotation pitch{{Vec3{std::cos(b), 0, -std::sin(b)}, {0, 1, 0}, {std::sin(b), 0, std::cos(b)}}};
    const Rotation roll{{Vec3{1, 0, 0}, {0, std::cos(c), std::sin(c)}, {0, -std::sin(c), std::cos(c)}}};
    return roll.after(pitch.after(yaw));
}

Rotation station_from_teme(const Attitude& attitude, const Moment& moment) {
    const Rotation own = yaw_pitch_roll(attitude);
    switch (attitude.hold) {
        case Attitude::Hold::lvlh:
            return own.after(lvlh_from_teme(moment));
        case Attitude::Hold::inertial:
            return own;
    }
    std::abort();
}

Vec3 sun_station(const Attitude& attitude, const Moment& moment) {
    return station_from_teme(attitude, moment).apply(unit(moment.sun_teme_km - moment.position_teme_km));
}

}  // namespace handrail::sky
