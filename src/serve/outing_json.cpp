#include "serve/outing_json.h"

#include <nlohmann/json.hpp>

#include "brief/scene.h"

namespace handrail::serve {
namespace {

using nlohmann::json;

json worksites(const Outing& outing) {
    json list = json::array();
    for (const Worksite& site : outing.station.worksites)
        list.push_back({{"id", site.id},
                        {"name", site.name},
                        {"x_m", site.position_station_m.x},
                        {"y_m", site.position_station_m.y},
                        {"z_m", site.position_station_m.z},
                        {"anchor", site.anchor}});
    return list;
}

json routes(const Outing& outing) {
    json list = json::array();
    for (const Route& route : outing.station.routes)
        list.push_back({{"a", outing.worksite(route.a).id},
                        {"b", outing.worksite(route.b).id},
                        {"length_m", route.length.value()}});
    return list;
}

json steps(const Outing& outing) {
    json list = json::array();
    for (const Step& step : outing.steps) {
        json who = json::array(), hazards = json::array();
        for (const Role role : step.who) who.push_back(std::string(word(role)));
        for (const Hazard& hazard : step.hazards)
            hazards.push_back({{"what", hazard.what}, {"control", hazard.control}});
        list.push_back({{"label", step.label},
                        {"task", outing.task(step.task).key},
                        {"task_name", outing.task(step.task).name},
                        {"name", step.name},
                        {"who", std::move(who)},
                        {"at", step.at ? json(outing.worksite(*step.at).id) : json(nullptr)},
                        {"crew_words", step.crew_words},
                        {"hazards", std::move(hazards)}});
    }
    return list;
}

}  // namespace

std::string outing_json(const Outing& outing) {
    json crew = json::array();
    for (const Crew one : both_crew)
        crew.push_back({{"id", std::string(word(one))}, {"name", outing.person(one).name}});
    return json{{"name", outing.name},
                {"note", outing.note},
                {"about", outing.about},
                {"airlock", outing.worksite(outing.station.airlock).id},
                {"worksites", worksites(outing)},
                {"routes", routes(outing)},
                {"crew", std::move(crew)},
                {"steps", steps(outing)},
                {"station", json::parse(brief::scene_json(outing, brief::SiteKeys::ids))},
                {"caution", std::string(caution)}}
        .dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace handrail::serve
