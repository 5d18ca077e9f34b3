#include "brief/scene.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "brief/public_words.h"
#include "sky/sun_track.h"

namespace handrail::brief {
namespace {

using Json = nlohmann::ordered_json;

/// To four decimals: a tenth of a millimetre, a hundredth of a degree; more would only make texts longer.
double rounded(double x) { return std::round(x * 1e4) / 1e4 + 0.0; }
Json vector_json(Vec3 v) { return Json::array({rounded(v.x), rounded(v.y), rounded(v.z)}); }
std::string dumped(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

Json solid_json(const Solid& solid) {
    if (solid.shape == Solid::Shape::box)
        return {{"shape", "box"},
                {"at_m", vector_json(solid.centre_station_m)},
                {"size_m", vector_json(solid.size_station_m)}};
    return {{"shape", "cylinder"},
            {"at_m", vector_json(solid.centre_station_m)},
            {"axis", vector_json(solid.axis_station)},
            {"radius_m", rounded(solid.radius.value())},
            {"length_m", rounded(solid.length.value())}};
}

Json arm_json(const Outing& outing, SiteKeys keys) {
    if (!outing.station.arm) return nullptr;
    const Arm& arm = *outing.station.arm;
    return {{"name", PublicFields::name(arm).text()},
            {"base_m", vector_json(arm.base_station_m)},
            {"reach_m", rounded(arm.reach.value())},
            {"parked", site_key(outing, arm.parked, keys)}};
}

Json spans_json(std::span<const Window> windows, Pet from, Pet to) {
    Json list = Json::array();
    for (const Window& window : windows)
        if (window.touches(from, since_zero(to) - since_zero(from)))
            list.push_back(Json::array(
                {since_zero(std::max(window.from(), from)).count(), since_zero(std::min(window.to(), to)).count()}));
    return list;
}

Json sun_json(const Outing& outing, Utc pet_zero, Pet from, Pet to) {
    const std::optional<sky::SunTrack> track = sky::sun_track(outing, pet_zero, from, to);
    if (!track) return nullptr;
    Json toward = Json::array();
    for (const Vec3 sun : track->toward_station)
        for (const double part : {sun.x, sun.y, sun.z}) toward.push_back(rounded(part));
    return {
        {"from_s", since_zero(track->from).count()}, {"step_s", track->step.count()}, {"toward", std::move(toward)}};
}

}  // namespace

std::string site_key(const Outing& outing, WorksiteId site, SiteKeys keys) {
    return keys == SiteKeys::ids ? outing.worksite(site).id : "w" + std::to_string(index(site));
}

std::string scene_json(const Outing& outing, SiteKeys keys) {
    Json sites = Json::array(), routes = Json::array(), solids = Json::array();
    for (std::size_t i = 0; i < outing.station.worksites.size(); ++i) {
        const Worksite& site = outing.station.worksites[i];
        sites.push_back({{"id", site_key(outing, WorksiteId(i), keys)},
                         {"name", PublicFields::name(site).text()},
                         {"about", PublicFields::about(site).text()},
                         {"at_m", vector_json(site.position_station_m)},
                         {"outward", vector_json(site.normal_station)},
                         {"anchor", site.anchor}});
    }
    for (const Route& route : outing.station.routes)
        routes.push_back({{"a", site_key(outing, route.a, keys)},
                          {"b", site_key(outing, route.b, keys)},
                          {"length_m", rounded(route.length.value())}});
    for (const Solid& solid : outing.station.solids) solids.push_back(solid_json(solid));
    return dumped({{"name", PublicFields::name(outing.station).text()},
                   {"airlock", site_key(outing, outing.station.airlock, keys)},
                   {"worksites", std::move(sites)},
                   {"routes", std::move(routes)},
                   {"solids", std::move(solids)},
                   {"arm", arm_json(outing, keys)}});
}

std::string light_json(const Outing& outing, const WindowTable& windows, Utc pet_zero, Pet from, Pet to,
                       SiteKeys keys) {
    Json sites = Json::object();
    for (std::size_t i = 0; i < outing.station.worksites.size(); ++i) {
        const std::string& id = outing.station.worksites[i].id;
        const auto& lists = windows.all();
        if (!lists.contains({"lit", id})) continue;
        Json site{{"lit", spans_json(windows.of("lit", id), from, to)}};
        if (keys == SiteKeys::ids) site["glare"] = spans_json(windows.of("glare", id), from, to);
        sites[site_key(outing, WorksiteId(i), keys)] = std::move(site);
    }
    return dumped({{"pet_zero", print_utc(pet_zero)},
                   {"daylight", windows.knows("daylight") ? spans_json(windows.of("daylight", ""), from, to) : Json()},
                   {"sites", std::move(sites)},
                   {"sun", sun_json(outing, pet_zero, from, to)}});
}

}  // namespace handrail::brief
