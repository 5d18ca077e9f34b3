#include "serve/outing_json.h"

#include <gmock/gmock.h>

#include <fstream>
#include <nlohmann/json.hpp>

namespace handrail::serve {
namespace {

using nlohmann::json;

Outing small_outing() {
    Outing outing;
    outing.name = "Rehearsal";
    outing.station.worksites = {Worksite{"airlock", "Airlock", {0, 0, 0}, {0, 0, -1}, true, ""},
                                Worksite{"W1", "Node ring", {4, -2, 1}, {0, 0, -1}, false, ""}};
    outing.station.airlock = WorksiteId{0};
    outing.station.routes = {Route{WorksiteId{0}, WorksiteId{1}, Metres{5}}};
    outing.suits.resize(1);
    outing.crew[0].name = "Asa Lindqvist";
    outing.crew[1].name = "Tomas Okoro";
    Task task;
    task.key = "valve";
    task.name = "Swap the valve";
    outing.tasks.push_back(task);
    Step step;
    step.label = "valve.1";
    step.name = "open the panel";
    step.who = {Role::lead, Role::helper};
    step.at = WorksiteId{1};
    step.hazards = {Hazard{"sharp edge", "keep gloves clear"}};
    outing.steps.push_back(step);
    return outing;
}

TEST(OutingJson, NamesPlacesRoutesAndStepsAsTheOutingFileDoes) {
    const json document = json::parse(outing_json(small_outing()));
    EXPECT_EQ(document["airlock"], "airlock");
    EXPECT_EQ(document["worksites"][1],
              json({{"id", "W1"}, {"name", "Node ring"}, {"x_m", 4}, {"y_m", -2}, {"z_m", 1}, {"anchor", false}}));
    EXPECT_EQ(document["routes"][0], json({{"a", "airlock"}, {"b", "W1"}, {"length_m", 5}}));
    EXPECT_EQ(document["steps"][0]["at"], "W1");
    EXPECT_EQ(document["steps"][0]["who"], json({"lead", "helper"}));
    EXPECT_EQ(document["steps"][0]["hazards"][0]["control"], "keep gloves clear");
    EXPECT_EQ(document["station"]["worksites"][1]["at_m"], json({4, -2, 1}));
    EXPECT_EQ(document["caution"], std::string(caution));
}

TEST(OutingJson, HasExactlyTheKeysOfItsDescription) {
    std::ifstream file(HANDRAIL_SOURCE_DIR "/docs/openapi.json");
    const json described = json::parse(file)["components"]["schemas"]["Outing"];
    const json document = json::parse(outing_json(small_outing()));
    const auto keys = [](const json& object) {
        std::vector<std::string> names;
        for (const auto& [key, value] : object.items()) names.push_back(key);
        return names;
    };
    EXPECT_EQ(keys(document), keys(described["properties"]));
    for (const char* list : {"worksites", "routes", "crew", "steps"})
        EXPECT_EQ(keys(document[list][0]), keys(described["properties"][list]["items"]["properties"])) << list;
}

}  // namespace
}  // namespace handrail::serve
