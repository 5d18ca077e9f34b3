#pragma once

#include <vector>

#include "sky/time_scales.h"
#include "sky/vector.h"

namespace handrail::sky {

/// Apparent geocentric sun (ERFA epv00, light time, which for the sun is the annual aberration too), km.
/// Frame: true equator and equinox of date (IAU 2006/2000A precession-nutation).
Vec3 sun_true_of_date_km(JulianDate terrestrial);
/// The same in TEME of date: right ascension less by the equation of the equinoxes.
Vec3 sun_teme_km(JulianDate terrestrial);

/// The sun over a span of hours: ERFA every four hours, four-point interpolation between. Against ERFA itself it is
/// good to 1e-10 rad, and costs some nanoseconds instead of a tenth of a millisecond.
class SunPath {
public:
    /// Covers [start + from_s, start + to_s].
    SunPath(Utc start, double from_s, double to_s);
    Vec3 teme_km(double seconds_after_start) const;

private:
    double first_s_;
    std::vector<Vec3> nodes_teme_km_;
};

}  // namespace handrail::sky
