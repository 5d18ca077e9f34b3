#include "sky/ephemeris.h"

#include <fmt/format.h>

namespace handrail::sky {

NoState::NoState(double at, OrbitError why) : std::runtime_error(std::string(words(why))), at_s(at), error(why) {}

Result<Orbit> orbit_of(const OrbitSource& source) {
    Result<Elements> elements = read_elements(source);
    if (!elements) return elements.errors();
    const auto model = Sgp4::from(elements.value());
    if (const Sgp4* ready = std::get_if<Sgp4>(&model)) return Orbit{std::move(elements).value(), *ready};
    const OrbitError error = std::get<OrbitError>(model);
    InputError input{source.place.file, "orbit", source.place.line, source.place.column, {}, {}, {}};
    if (error == OrbitError::deep_space) {
        input.expected = "a near-Earth orbit, with a period below 225 min";
        input.found =
            fmt::format("{:.1f} revolutions a day: {}", elements.value().mean_motion_rev_per_day, words(error));
        input.remedy = "give windows in a CSV file for such a place instead of an orbit";
    } else {
        input.expected = "elements that give a state at their own epoch";
        input.found = words(error);
        input.remedy = "check the elements against their source";
    }
    return input;
}

Ephemeris::Ephemeris(const Orbit& orbit, Utc start, double from_s, double to_s)
    : model_(orbit.model),
      start_(start),
      from_s_(from_s),
      to_s_(to_s),
      step_s_(orbit.model.period_min() * 60.0 / 24.0 / (1.0 + 2.0 * orbit.elements.eccentricity)),
      epoch_min_(seconds_since(orbit.elements.epoch, start) / 60.0),
      sidereal_start_rad_(greenwich_mean_sidereal_rad(start)),
      sun_(start, from_s, to_s) {}

Moment Ephemeris::at(double seconds) const {
    const auto state = model_.at(epoch_min_ + seconds / 60.0);
    if (const OrbitError* error = std::get_if<OrbitError>(&state)) throw NoState(seconds, *error);
    const State& s = std::get<State>(state);
    return {s.position_teme_km, s.velocity_teme_km_s, sun_.teme_km(seconds),
            sidereal_start_rad_ + sidereal_rate_rad_s * seconds};
}

}  // namespace handrail::sky
