#include "sky/sun_track.h"

#include "sky/attitude.h"
#include "sky/ephemeris.h"

namespace handrail::sky {

std::optional<SunTrack> sun_track(const Outing& outing, Utc pet_zero, Pet from, Pet to) {
    if (!outing.orbit) return std::nullopt;
    const Result<Orbit> orbit = orbit_of(*outing.orbit);
    if (!orbit) return std::nullopt;
    SunTrack track{from, sun_track_step, {}};
    const auto seconds = [](Pet t) { return std::chrono::duration<double>(t.time_since_epoch()).count(); };
    const double step_s = static_cast<double>(sun_track_step.count());
    try {
        const Ephemeris ephemeris(orbit.value(), pet_zero, seconds(from), seconds(to) + step_s);
        for (double t = seconds(from); t < seconds(to) + step_s; t += step_s)
            track.toward_station.push_back(sun_station(outing.station.attitude, ephemeris.at(t)));
    } catch (const NoState&) {
        return std::nullopt;
    }
    return track;
}

}  // namespace handrail::sky
