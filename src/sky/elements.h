#pragma once

#include <chrono>
#include <string>

#include "outing/input_error.h"
#include "outing/model.h"

namespace handrail::sky {

/// A UTC instant finer than Utc's milliseconds: element sets give their epoch to about 1e-8 day.
struct Epoch {
    std::chrono::sys_days day;
    double seconds_of_day = 0;
};
/// Seconds from the epoch to `t`. Leap seconds in between are not counted, as element sets are fitted without them.
double seconds_since(const Epoch& epoch, Utc t);
/// The epoch to the nearest millisecond.
Utc nearest(const Epoch& epoch);

/// SGP4 mean elements, in TEME of date. Every value is finite and in range.
struct Elements {
    std::string object;     ///< its name, if the element set carries one
    std::string catalogue;  ///< catalogue number in digits, if the element set carries one
    Epoch epoch;
    double mean_motion_rev_per_day = 0;  ///< as published (Kozai)
    double eccentricity = 0;             ///< 0 <= e < 1
    Degrees inclination;                 ///< 0 to 180
    Degrees node, perigee, anomaly;      ///< right ascension of ascending node, argument of perigee, mean anomaly
    double bstar_per_earth_radius = 0;   ///< drag term, 1 / Earth radius
};

/// Reads the one element set in `source`. All its errors at once, each with line, column and field.
/// TLE: two lines of 69 columns with or without a name line above, any line ending, alpha-5 catalogue numbers.
/// CCSDS OMM (502.0-B) as KVN or XML, mean element theory SGP4. XML with a DOCTYPE is refused.
Result<Elements> read_elements(const OrbitSource& source);

}  // namespace handrail::sky
