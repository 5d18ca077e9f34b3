#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "outing/import_tasks.h"
#include "outing/outing.h"
#include "outing/schema.h"

/// docs/outing-file.md and the reader say the same.
namespace handrail {
namespace {

std::string guide() {
    std::ifstream file(std::string(HANDRAIL_SOURCE_DIR) + "/docs/outing-file.md");
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

std::vector<std::string> blocks(const std::string& text, const std::string& language) {
    const std::string fence = "```" + language + "\n";
    std::vector<std::string> found;
    for (std::size_t at = text.find(fence); at != std::string::npos; at = text.find(fence, at)) {
        at += fence.size();
        const std::size_t end = text.find("```", at);
        found.push_back(text.substr(at, end - at));
        at = end;
    }
    return found;
}

TEST(Guide, ItsExamplesUseOnlyFieldsThatExist) {
    const std::vector<std::string> examples = blocks(guide(), "toml");
    ASSERT_GE(examples.size(), 6U);
    for (const std::string& example : examples) {
        // Everything but the head block leaves things out on purpose; only what is written is judged. Includes of the
        // head are files of the demo.
        const Result<Outing> outing =
            read_outing_text(example, "guide.toml", std::string(HANDRAIL_SOURCE_DIR) + "/demo/larkspur");
        if (outing.ok()) continue;
        for (const InputError& error : outing.errors()) {
            EXPECT_NE(error.expected, "a field that exists here") << print(error) << "\nin\n" << example;
            EXPECT_NE(error.expected, "valid TOML") << print(error) << "\nin\n" << example;
            EXPECT_EQ(error.remedy.find("unit"), std::string::npos) << print(error);
            EXPECT_EQ(error.expected.find("one of \""), std::string::npos) << print(error);
        }
    }
}

TEST(Guide, ItsTaskTableCanBeImported) {
    const std::vector<std::string> tables = blocks(guide(), "csv");
    ASSERT_EQ(tables.size(), 1U);
    const Result<std::string> tasks = import_tasks(tables[0], "guide.csv");
    EXPECT_TRUE(tasks.ok()) << print(tasks.errors().front());
}

TEST(Guide, NamesEveryFieldOfTheSchema) {
    const std::string text = guide();
    const nlohmann::json schema = nlohmann::json::parse(json_schema());
    for (const auto& [section, definition] : schema["$defs"].items())
        for (const auto& [key, value] : definition["properties"].items())
            EXPECT_NE(text.find(key), std::string::npos) << section << "." << key << " is not in docs/outing-file.md";
}

}  // namespace
}  // namespace handrail
