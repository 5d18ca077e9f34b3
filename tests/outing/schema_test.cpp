#include "outing/schema.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

namespace handrail {
namespace {

const std::string checked_in = std::string(HANDRAIL_SOURCE_DIR) + "/docs/outing.schema.json";

TEST(Schema, TheOneInDocsIsCurrent) {
    if (std::getenv("HANDRAIL_WRITE_SCHEMA") != nullptr) std::ofstream(checked_in) << json_schema();
    std::ifstream file(checked_in);
    std::ostringstream text;
    text << file.rdbuf();
    EXPECT_TRUE(text.str() == json_schema()) << "run this test with HANDRAIL_WRITE_SCHEMA=1 and look at the difference";
}

TEST(Schema, EveryReferenceHasItsDefinition) {
    const nlohmann::json schema = nlohmann::json::parse(json_schema());
    std::size_t references = 0;
    const auto visit = [&](auto&& self, const nlohmann::json& node) -> void {
        if (node.is_object() && node.contains("$ref")) {
            ++references;
            const std::string name = node["$ref"].get<std::string>().substr(std::string("#/$defs/").size());
            EXPECT_TRUE(schema["$defs"].contains(name)) << name;
        }
        if (node.is_structured())
            for (const auto& child : node) self(self, child);
    };
    visit(visit, schema);
    EXPECT_GT(references, 20U);
}

TEST(Schema, RefusesUnknownKeysAndAsksForTheNeededOnes) {
    const nlohmann::json schema = nlohmann::json::parse(json_schema());
    EXPECT_EQ(schema["additionalProperties"], false);
    for (const auto& [name, definition] : schema["$defs"].items())
        EXPECT_EQ(definition["additionalProperties"], false) << name;
    EXPECT_EQ(schema["$defs"]["step"]["required"], (nlohmann::json{"name", "duration"}));
    EXPECT_EQ(schema["then"]["properties"]["outing"]["required"], (nlohmann::json{"name", "pet_zero"}));
}

}  // namespace
}  // namespace handrail
