#include "sky/survey.h"

#include <fmt/format.h>

#include <cmath>

namespace handrail::sky {
namespace {

/// What the outing reader promises, checked once more here because a NaN in a mask would end up in windows that
/// people go by.
std::vector<InputError> station_errors(const Outing& outing) {
    std::vector<InputError> errors;
    const auto add = [&](std::string field, std::string expected, std::string found, std::string remedy) {
        const std::string file = outing.orbit ? outing.orbit->place.file : std::string{};
        errors.push_back({file, std::move(field), 0, 0, std::move(expected), std::move(found), std::move(remedy)});
    };
    const auto within = [](double value, double low, double high) { return value >= low && value <= high; };
    for (const GroundStation& g : outing.coverage.ground_stations) {
        const std::string field = fmt::format("ground station \"{}\", ", g.name);
        if (!within(g.mask.value(), 0, 90))
            add(field + "mask", "an angle from 0 to 90 deg", fmt::format("{:g} deg", g.mask.value()),
                "give the lowest elevation at which it is heard");
        if (!within(g.latitude.value(), -90, 90))
            add(field + "latitude", "an angle from -90 to 90 deg", fmt::format("{:g} deg", g.latitude.value()),
                "north is positive");
        if (!within(g.longitude.value(), -360, 360))
            add(field + "longitude", "an angle from -180 to 360 deg", fmt::format("{:g} deg", g.longitude.value()),
                "east is positive");
    }
    for (const RelaySatellite& r : outing.coverage.relays) {
        const std::string field = fmt::format("relay \"{}\", ", r.name);
        if (!within(r.longitude.value(), -360, 360))
            add(field + "longitude", "an angle from -180 to 360 deg", fmt::format("{:g} deg", r.longitude.value()),
                "east is positive");
        if (r.cone && !within(r.cone->value(), 0, 180))
            add(field + "cone", "a half-angle from 0 to 180 deg", fmt::format("{:g} deg", r.cone->value()),
                "leave it out for an antenna that sees all round");
    }
    for (const Solid& s : outing.station.solids) {
        const bool box = s.shape == Solid::Shape::box;
        const Vec3 size = s.size_station_m;
        const bool whole = box ? size.x > 0 && size.y > 0 && size.z > 0
                               : s.radius.value() > 0 && s.length.value() > 0 && length(s.axis_station) > 0;
        if (!whole)
            add(fmt::format("solid \"{}\"", s.name), box ? "three edges longer than 0" : "radius, length and axis",
                "a solid without size", "give its size or leave it out");
    }
    return errors;
}

std::vector<InputError> age_errors(const Orbit& orbit, const OrbitSource& source, Utc pet_zero) {
    const double age = age_days(orbit.elements, pet_zero);
    if (std::abs(age) <= refuse_age_days) return {};
    return {{source.place.file, "orbit, epoch", source.place.line, source.place.column,
             fmt::format("elements within {:.0f} days of PET zero ({})", refuse_age_days, print_utc(pet_zero)),
             fmt::format("an epoch {:.0f} days {}", std::abs(age), age > 0 ? "before" : "after"),
             "take elements of the outing's own days, or correct PET zero"}};
}

std::vector<std::string> age_warnings(const Orbit& orbit, Utc pet_zero) {
    const double age = age_days(orbit.elements, pet_zero), size = std::abs(age);
    if (size <= warn_age_days) return {};
    // 1 km + 3 km a day along the track, at some 7.7 km/s in a low orbit; see warn_age_days.
    const double error_s = (1.0 + 3.0 * size) / 7.7;
    return {fmt::format(
        "The elements are {:.1f} days {} than PET zero. Expect light and coverage to be off by up to {:.0f} s (1 km at "
        "the epoch and 1 to 3 km a day, common practice); a reboost or drag can make it more. Take elements whose "
        "epoch is closer to PET zero.",
        size, age > 0 ? "older" : "younger", std::ceil(error_s))};
}

std::vector<Gap> gaps_of(const Survey& s, const Outing& outing, const Ephemeris& ephemeris) {
    std::vector<Gap> gaps;
    for (const Stretch& gap : complement(s.covered, s.from_s, s.to_s)) {
        const Moment middle = ephemeris.at(0.5 * (gap.from_s + gap.to_s));
        gaps.push_back({gap, why_no_link(outing.coverage, outing.station.attitude, middle)});
    }
    return gaps;
}

}  // namespace

double age_days(const Elements& elements, Utc t) { return seconds_since(elements.epoch, t) / 86400.0; }

Result<Survey> survey(const Outing& outing, Utc pet_zero, Seconds from, Seconds to) {
    Result<Orbit> orbit = orbit_of(*outing.orbit);
    std::vector<InputError> errors = station_errors(outing);
    if (!orbit)
        errors.insert(errors.end(), orbit.errors().begin(), orbit.errors().end());
    else if (const auto age = age_errors(orbit.value(), *outing.orbit, pet_zero); !age.empty())
        errors.insert(errors.end(), age.begin(), age.end());
    if (!errors.empty()) return errors;

    Survey s{pet_zero,
             static_cast<double>(from.count()),
             static_cast<double>(to.count()),
             std::move(orbit).value(),
             {},
             {},
             {},
             {},
             {},
             {},
             {},
             {}};
    s.warnings = age_warnings(s.orbit, pet_zero);
    try {
        const Ephemeris ephemeris(s.orbit, pet_zero, s.from_s, s.to_s);
        s.beta_start = beta(ephemeris.at(s.from_s));
        s.beta_end = beta(ephemeris.at(s.to_s));
        s.shadow = shadow_times(ephemeris);
        s.worksites = worksite_light(ephemeris, outing.station, s.shadow.sun);
        s.links = links(ephemeris, outing.coverage, outing.station.attitude);
        for (const Link& link : s.links) s.covered.insert(s.covered.end(), link.in_view.begin(), link.in_view.end());
        s.covered = joined(std::move(s.covered));
        if (!s.links.empty()) s.gaps = gaps_of(s, outing, ephemeris);
    } catch (const NoState& failure) {
        const OrbitSource& source = *outing.orbit;
        const Utc when = pet_zero + Milliseconds{std::llround(failure.at_s * 1000.0)};
        return InputError{
            source.place.file,
            "orbit",
            source.place.line,
            source.place.column,
            fmt::format("an orbit that lasts through the outing (to {})", print_utc(pet_zero + Seconds{to})),
            fmt::format("{} at {}", words(failure.error), print_utc(when)),
            "take newer elements"};
    }
    return s;
}

}  // namespace handrail::sky
