#pragma once

#include "sky/ephemeris.h"

namespace handrail::sky {

/// From TEME to LVLH: x along the velocity (exactly so on a circular orbit), y against the orbit's angular momentum (to
/// the right of travel), z towards the Earth's centre.
Rotation lvlh_from_teme(const Moment& moment);
/// Yaw about z, then pitch about the new y, then roll about the new x: from the reference axes to the station's.
Rotation yaw_pitch_roll(const Attitude& attitude);
/// From TEME to the station frame: the attitude's rotation after LVLH, or after TEME itself for an inertial hold.
Rotation station_from_teme(const Attitude& attitude, const Moment& moment);
/// Unit vector to the sun, station frame. The sun is far: every worksite sees it in the same direction.
Vec3 sun_station(const Attitude& attitude, const Moment& moment);

}  // namespace handrail::sky
