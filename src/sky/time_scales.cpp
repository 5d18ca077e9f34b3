#include "sky/time_scales.h"

#include <erfa.h>

namespace handrail::sky {

JulianDate utc_date(Utc t) {
    const auto day = std::chrono::floor<std::chrono::days>(t);
    // JD 2440587.5 is 1970 January 1, 0 h.
    return {2440587.5 + static_cast<double>(day.time_since_epoch().count()),
            static_cast<double>((t - day).count()) / 86400000.0};
}

JulianDate terrestrial_date(Utc t) {
    const std::chrono::year_month_day date{std::chrono::floor<std::chrono::days>(t)};
    const JulianDate utc = utc_date(t);
    double tai_minus_utc_s = 0;
    // The status only says that the table may not know later leap seconds; its last value is returned then.
    eraDat(static_cast<int>(date.year()), static_cast<int>(static_cast<unsigned>(date.month())),
           static_cast<int>(static_cast<unsigned>(date.day())), utc.fraction, &tai_minus_utc_s);
    return {utc.day, utc.fraction + (tai_minus_utc_s + 32.184) / 86400.0};
}

double greenwich_mean_sidereal_rad(Utc t) {
    const JulianDate ut1 = utc_date(t);
    return eraGmst82(ut1.day, ut1.fraction);
}

}  // namespace handrail::sky
