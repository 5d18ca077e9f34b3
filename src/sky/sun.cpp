#include "sky/sun.h"

#include <erfa.h>
#include <erfam.h>

#include <algorithm>
#include <cmath>

namespace handrail::sky {
namespace {
constexpr double kilometres_per_au = ERFA_DAU / 1000.0;
constexpr double node_spacing_s = 4.0 * 3600.0;

/// Geocentric place of the sun where light seen now left it, GCRS, au.
Vec3 sun_gcrs_au(JulianDate terrestrial, double light_days) {
    double heliocentric[2][3], barycentric[2][3];
    // The status only says that the date is outside 1900-2100, where the model loses accuracy slowly.
    eraEpv00(terrestrial.day, terrestrial.fraction - light_days, heliocentric, barycentric);
    return {-heliocentric[0][0], -heliocentric[0][1], -heliocentric[0][2]};
}
}  // namespace

Vec3 sun_true_of_date_km(JulianDate terrestrial) {
    const Vec3 now = sun_gcrs_au(terrestrial, 0.0);
    const double light_days = length(now) * ERFA_AULT / ERFA_DAYSEC;
    Vec3 sun = sun_gcrs_au(terrestrial, light_days) * kilometres_per_au;
    double of_date[3][3];
    eraPnm06a(terrestrial.day, terrestrial.fraction, of_date);
    double in[3] = {sun.x, sun.y, sun.z}, out[3];
    eraRxp(of_date, in, out);
    return {out[0], out[1], out[2]};
}

Vec3 sun_teme_km(JulianDate terrestrial) {
    const Vec3 sun = sun_true_of_date_km(terrestrial);
    const double equinoxes = eraEe06a(terrestrial.day, terrestrial.fraction);
    const double s = std::sin(equinoxes), c = std::cos(equinoxes);
    return {c * sun.x + s * sun.y, -s * sun.x + c * sun.y, sun.z};
}

SunPath::SunPath(Utc start, double from_s, double to_s) : first_s_(from_s - node_spacing_s) {
    const auto count = static_cast<std::size_t>(std::ceil((to_s - from_s) / node_spacing_s)) + 3;
    nodes_teme_km_.reserve(count);
    for (std::size_t i = 0; i < count; ++i) {
        const double at_s = first_s_ + static_cast<double>(i) * node_spacing_s;
        nodes_teme_km_.push_back(sun_teme_km(terrestrial_date(start + Milliseconds{std::llround(at_s * 1000.0)})));
    }
}

Vec3 SunPath::teme_km(double seconds) const {
    const double place = (seconds - first_s_) / node_spacing_s;
    const double last = static_cast<double>(nodes_teme_km_.size()) - 3.0;
    const double base = std::clamp(std::floor(place), 1.0, last);
    const double x = place - base;
    const Vec3* p = &nodes_teme_km_[static_cast<std::size_t>(base) - 1];
    // Lagrange through the nodes at -1, 0, 1, 2.
    return p[0] * (-x * (x - 1) * (x - 2) / 6) + p[1] * ((x + 1) * (x - 1) * (x - 2) / 2) +
           p[2] * (-(x + 1) * x * (x - 2) / 2) + p[3] * ((x + 1) * x * (x - 1) / 6);
}

}  // namespace handrail::sky
