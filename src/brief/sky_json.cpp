#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "brief/sky_report.h"

namespace handrail::brief {
namespace {

using Json = nlohmann::ordered_json;

/// `per` 1000: three decimals.
double rounded(double value, double per) { return std::round(value * per) / per; }
double pet_seconds(Pet t) { return static_cast<double>(t.time_since_epoch().count()) / 1000.0; }

/// A moment on both clocks, to the millisecond.
Json moment(double seconds, Utc pet_zero) {
    const Pet t{Milliseconds{std::llround(seconds * 1000.0)}};
    return {{"pet_s", pet_seconds(t)}, {"utc", print_utc(to_utc(t, pet_zero))}};
}

Json stretches(const sky::Stretches& list, Utc pet_zero) {
    Json out = Json::array();
    for (const sky::Stretch& s : list)
        out.push_back({{"from", moment(s.from_s, pet_zero)}, {"to", moment(s.to_s, pet_zero)}});
    return out;
}

Json orbit_json(const sky::Survey& s) {
    const sky::Elements& e = s.orbit.elements;
    return {{"object", e.object},
            {"catalogue", e.catalogue},
            {"epoch", print_utc(nearest(e.epoch))},
            {"age_days", rounded(sky::age_days(e, s.pet_zero), 1e4)},
            {"inclination_deg", e.inclination.value()},
            {"perigee_km", rounded(s.orbit.model.perigee_km(), 100)},
            {"apogee_km", rounded(s.orbit.model.apogee_km(), 100)},
            {"period_min", rounded(s.orbit.model.period_min(), 1e4)},
            {"beta_start_deg", rounded(s.beta_start.value(), 1e4)},
            {"beta_end_deg", rounded(s.beta_end.value(), 1e4)}};
}

Json links_json(const sky::Survey& s) {
    Json out = Json::array();
    for (const sky::Link& link : s.links) {
        Json passes = stretches(link.in_view, s.pet_zero);
        for (std::size_t i = 0; i < link.highest.size(); ++i) {
            passes[i]["highest_deg"] = rounded(link.highest[i].value(), 100);
            passes[i]["highest_at"] = moment(link.highest_at_s[i], s.pet_zero);
        }
        out.push_back({{"name", link.name}, {"kind", link.ground ? "ground station" : "relay"}, {"in_view", passes}});
    }
    return out;
}

Json windows_json(const SkySpan& s) {
    Json out = Json::array();
    for (const auto& [key, list] : s.windows.all())
        for (const Window& w : list) {
            if (w.to() <= s.from || s.to <= w.from()) continue;
            Json one{{"condition", key.first}};
            if (!key.second.empty()) one["worksite"] = key.second;
            one["from"] = moment(pet_seconds(w.from()), s.pet_zero);
            one["to"] = moment(pet_seconds(w.to()), s.pet_zero);
            if (!w.note().empty()) one["note"] = w.note();
            out.push_back(std::move(one));
        }
    return out;
}

}  // namespace

std::string sky_json(const SkySpan& s) {
    Json out{{"format", "handrail-sky"},
             {"version", 1},
             {"outing", s.outing.name},
             {"fingerprint", s.outing.fingerprint},
             {"caution", std::string(caution)},
             {"planned_pet_zero", print_utc(s.outing.pet_zero)},
             {"pet_zero", print_utc(s.pet_zero)},
             {"from", moment(pet_seconds(s.from), s.pet_zero)},
             {"to", moment(pet_seconds(s.to), s.pet_zero)}};
    if (s.survey) {
        out["orbit"] = orbit_json(*s.survey);
        out["warnings"] = s.survey->warnings;
        out["links"] = links_json(*s.survey);
        Json gaps = Json::array();
        for (const sky::Gap& gap : s.survey->gaps)
            gaps.push_back({{"from", moment(gap.when.from_s, s.pet_zero)},
                            {"to", moment(gap.when.to_s, s.pet_zero)},
                            {"reason", gap.reason}});
        out["gaps"] = std::move(gaps);
    }
    out["windows"] = windows_json(s);
    return out.dump(2) + "\n";
}

}  // namespace handrail::brief
