#pragma once

#include <stdexcept>

#include "sky/sgp4.h"
#include "sky/sun.h"
#include "sky/vector.h"

namespace handrail::sky {

/// Where everything is at one moment.
struct Moment {
    Vec3 position_teme_km, velocity_teme_km_s, sun_teme_km;
    double sidereal_rad = 0;  ///< Greenwich mean sidereal time: turns TEME into the Earth-fixed frame
};

struct Orbit {
    Elements elements;
    Sgp4 model;
};
/// Reads the element set and makes it ready; deep-space and decayed elements are errors placed at the set's first line.
Result<Orbit> orbit_of(const OrbitSource& source);

/// Thrown by Ephemeris::at where the orbit has no state; caught where windows are made and turned into an InputError.
struct NoState : std::runtime_error {
    NoState(double at, OrbitError why);
    double at_s;
    OrbitError error;
};

/// Station, sun and Earth's rotation over a span. Times are seconds after `start`; one step of 400 s beyond each end
/// is covered too.
class Ephemeris {
public:
    Ephemeris(const Orbit& orbit, Utc start, double from_s, double to_s);
    Moment at(double seconds) const;
    double from_s() const { return from_s_; }
    double to_s() const { return to_s_; }
    Utc start() const { return start_; }
    /// A step within which directions seen from this orbit have at most one extremum: a 24th of the period, less for
    /// an eccentric orbit, which hurries at perigee.
    double step_s() const { return step_s_; }

private:
    Sgp4 model_;
    Utc start_;
    double from_s_, to_s_, step_s_, epoch_min_, sidereal_start_rad_;
    SunPath sun_;
};

}  // namespace handrail::sky
