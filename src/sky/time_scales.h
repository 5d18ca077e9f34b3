#pragma once

#include "units/time.h"

namespace handrail::sky {

/// A Julian date in two parts, as ERFA takes them; which scale, says the name of what returns it.
struct JulianDate {
    double day = 0, fraction = 0;
};
JulianDate utc_date(Utc t);
/// Terrestrial time: UTC + leap seconds (ERFA's table; its last value is kept for the future) + 32.184 s.
/// TDB differs from it by at most 2 ms and is taken as the same.
JulianDate terrestrial_date(Utc t);
/// Greenwich mean sidereal time (IAU 1982, as TEME is defined with it), radians. UT1 is taken as UTC: at most 0.9 s,
/// 0.004 degrees.
double greenwich_mean_sidereal_rad(Utc t);
/// Rate of the above, rad/s: 1.002737909350795 turns a day of UT1 (Aoki et al. 1982).
inline constexpr double sidereal_rate_rad_s = 1.002737909350795 * 6.283185307179586477 / 86400.0;

}  // namespace handrail::sky
