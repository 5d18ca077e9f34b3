#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "support/yard.h"

namespace handrail::test {
namespace {

using testing::HasSubstr;
using Json = nlohmann::ordered_json;
using enum Spot;

/// The yard with one of everything the file can hold.
Yard full_yard() {
    Yard yard;
    yard.timeline.left_out = {{TaskId{1}, "It \"would\" end\nafter the limit."}};
    yard.timeline.note = {7, 1234, 2.5, 3.5, s(2900), true, {}};
    yard.run("camera.1").as_run = true;
    yard.run("camera.1").start += Milliseconds{250};
    yard.add(ActivityKind::arm_move, {Lane::arm}, 600, 160, {airlock, truss});
    yard.insert(ActivityKind::tether_swap, Lane::ev1, 970, 60, {truss});
    yard.insert(ActivityKind::put_down, Lane::ev2, 970, 60, {truss}, {Thing::bag, Thing::camera});
    yard.add(ActivityKind::glove_check, {Lane::ev2}, 1300, 60);
    yard.add(ActivityKind::rest, {Lane::ev2}, 1400, 300);
    return yard;
}

Json full_json() {
    const Yard yard = full_yard();
    return Json::parse(to_json(yard.outing, yard.timeline));
}

Result<Timeline> read(const Json& json) { return read_timeline(Yard{}.outing, json.dump(), "plan.json"); }

std::string all_errors(const Result<Timeline>& result) {
    if (result) return "";
    std::string text;
    for (const InputError& error : result.errors()) text += print(error) + "\n";
    return text;
}

TEST(TimelineFile, WhatIsWrittenIsReadBackTheSame) {
    const Yard yard = full_yard();
    const std::string text = to_json(yard.outing, yard.timeline);
    const auto back = read_timeline(yard.outing, text, "plan.json");
    ASSERT_TRUE(back) << all_errors(back);
    EXPECT_EQ(to_json(yard.outing, back.value()), text);
    ASSERT_EQ(back.value().activities.size(), yard.timeline.activities.size());
    for (std::size_t i = 0; i < yard.timeline.activities.size(); ++i) {
        const Activity& was = yard.timeline.activities[i];
        const Activity& is = back.value().activities[i];
        EXPECT_EQ(is.kind, was.kind);
        EXPECT_EQ(is.lanes, was.lanes);
        EXPECT_EQ(is.start, was.start);
        EXPECT_EQ(is.duration, was.duration);
        EXPECT_EQ(is.step, was.step);
        EXPECT_EQ(is.path, was.path);
        EXPECT_EQ(is.items, was.items);
        EXPECT_EQ(is.as_run, was.as_run);
    }
    EXPECT_EQ(back.value().pet_zero, yard.timeline.pet_zero);
    EXPECT_EQ(back.value().note.seed, 7u);
    EXPECT_EQ(back.value().note.finish_bound, s(2900));
    EXPECT_EQ(back.value().left_out.at(0).reason, "It \"would\" end\nafter the limit.");
}

TEST(TimelineFile, HasOneActivityALineAndCarriesTheCaution) {
    const Yard yard;
    const std::string text = to_json(yard.outing, yard.timeline);
    EXPECT_THAT(text, HasSubstr("\n    {\"kind\":\"step\",\"lanes\":[\"EV1\"],\"start_s\":1070,\"duration_s\":300,"
                                "\"step\":\"valve.1\",\"title\":\"valve: step 1\"},\n"));
    EXPECT_THAT(text, HasSubstr(std::string(caution)));
}

TEST(TimelineFile, FollowsItsSchema) {
    std::ifstream in(std::string(HANDRAIL_SOURCE_DIR) + "/docs/timeline.schema.json");
    ASSERT_TRUE(in);
    const nlohmann::json schema_json = nlohmann::json::parse(in);
    valijson::Schema schema;
    valijson::SchemaParser parser;
    parser.populateSchema(valijson::adapters::NlohmannJsonAdapter(schema_json), schema);
    const auto valid = [&](const nlohmann::json& json) {
        valijson::Validator validator;
        const valijson::adapters::NlohmannJsonAdapter target(json);
        return validator.validate(schema, target, nullptr);
    };
    const nlohmann::json good = nlohmann::json::parse(full_json().dump());
    EXPECT_TRUE(valid(good));
    const Yard yard;
    EXPECT_TRUE(valid(nlohmann::json::parse(to_json(yard.outing, Timeline{}))));

    // What the schema forbids the reader refuses too.
    const std::pair<const char*, nlohmann::json> wrong[] = {
        {"/format", "handrail"},
        {"/version", 2},
        {"/pet_zero", 12},
        {"/colour", "red"},
        {"/activities", "none"},
        {"/activities/0/kind", "dance"},
        {"/activities/0/lanes", nlohmann::json::array()},
        {"/activities/0/lanes/0", "EV3"},
        {"/activities/0/start_s", "0"},
        {"/activities/0/duration_s", -1},
        {"/activities/0/duration_s", 1.5},
        {"/activities/0/start_s", 1e9},
        {"/activities/0/path", "airlock"},
        {"/activities/0/as_run", 1},
        {"/activities/0/colour", "red"},
        {"/bindings/0/lead", "EV3"},
        {"/left_out/0/reason", 3},
        {"/note/seed", -1},
        {"/note/proven", "yes"},
    };
    for (const auto& [pointer, value] : wrong) {
        nlohmann::json changed = good;
        changed[nlohmann::json::json_pointer(pointer)] = value;
        EXPECT_FALSE(valid(changed)) << pointer << " " << value;
        EXPECT_FALSE(read(Json::parse(changed.dump()))) << pointer << " " << value;
    }
}

TEST(TimelineFile, ErrorsNameTheActivityAndTheFieldAllInOneGo) {
    Json json = full_json();
    json["activities"][1]["items"][0] = "spanner";
    json["activities"][6]["path"][0] = "roof";
    json["activities"][7]["lanes"][0] = "EV7";
    const auto result = read(json);
    ASSERT_FALSE(result);
    EXPECT_EQ(result.errors().size(), 3u);
    EXPECT_THAT(
        all_errors(result),
        HasSubstr("plan.json: activity 2 (pick_up), items: expected the name of an item of outing \"Yard\", found "
                  "\"spanner\"; use a name that stands in the outing file"));
}

TEST(TimelineFile, EachKindMustHaveWhatItNeeds) {
    const auto error_after = [](const char* pointer, const Json& value) {
        Json json = full_json();
        json[Json::json_pointer(pointer)] = value;
        return all_errors(read(json));
    };
    // 0 egress, 1 and 2 pick_up, 3 arm_move, 4 and 5 translate, 6 camera.1
    EXPECT_THAT(error_after("/activities/1/items", Json::array()), HasSubstr("activity 2 (pick_up), items"));
    EXPECT_THAT(error_after("/activities/1/path", Json::array()), HasSubstr("activity 2 (pick_up), path"));
    EXPECT_THAT(error_after("/activities/1/lanes", {"arm"}), HasSubstr("exactly one of EV1 and EV2"));
    EXPECT_THAT(error_after("/activities/1/step", "valve.1"), HasSubstr("only a step has one"));
    EXPECT_THAT(error_after("/activities/3/path", {"truss"}), HasSubstr("from where to where the arm moves"));
    EXPECT_THAT(error_after("/activities/3/lanes", {"EV1"}), HasSubstr("the arm alone"));
    EXPECT_THAT(error_after("/activities/4/path", {"truss"}), HasSubstr("at least two worksites"));
    EXPECT_THAT(error_after("/activities/6/step", nullptr), HasSubstr("such as \"valve.3\""));
    EXPECT_THAT(error_after("/activities/6/step", "valve.9"), HasSubstr("activity 7 (step \"valve.9\"), step"));
    EXPECT_THAT(error_after("/bindings/1/task", "valve"), HasSubstr("binding 2, task: expected each task once"));
}

TEST(TimelineFile, ASyntaxErrorHasItsLineAndColumn) {
    const Yard yard;
    const auto result =
        read_timeline(yard.outing, "{\n  \"format\": \"handrail-timeline\"\n  \"version\": 1}", "plan.json");
    ASSERT_FALSE(result);
    EXPECT_EQ(result.errors()[0].line, 3);
    EXPECT_THAT(print(result.errors()[0]), HasSubstr("plan.json:3:"));
}

TEST(TimelineFile, NonsenseIsRefusedWithOneMessageAndNoHarm) {
    const Yard yard;
    for (const std::string& text :
         {std::string{}, std::string("   "), std::string("null"), std::string("[]"), std::string("42"),
          std::string("{}"), std::string("\x00\xff\xfe binary", 11), std::string(100000, '['),
          std::string("{\"format\":\"handrail-timeline\"}"),
          std::string("{\"format\":\"handrail-timeline\",\"version\":1e400}"),
          std::string("{\"format\":\"handrail-timeline\",\"version\":1,\"activities\":[[[[]]]],\"bindings\":{}}")}) {
        const auto result = read_timeline(yard.outing, text, "plan.json");
        ASSERT_FALSE(result) << text.substr(0, 80);
        EXPECT_FALSE(print(result.errors()[0]).empty());
    }
}

TEST(TimelineFile, ATimelineOfAnotherOutingFileIsReadAllTheSame) {
    Json json = full_json();
    json["fingerprint"] = "an older one";
    const auto result = read(json);
    ASSERT_TRUE(result);
    EXPECT_EQ(result.value().fingerprint, "an older one");
}

/// A seeded walk over the text: cut, double, swap and flip bytes. Nothing may crash, and what is accepted must be
/// written and read again.
TEST(TimelineFile, ScrambledTextsNeverCrashTheReader) {
    const Yard yard = full_yard();
    const std::string good = to_json(yard.outing, yard.timeline);
    std::uint64_t state = 42;
    const auto next = [&](std::size_t below) {
        state = state * 6364136223846793005u + 1442695040888963407u;
        return static_cast<std::size_t>((state >> 33) % below);
    };
    int accepted = 0;
    for (int i = 0; i < 2000; ++i) {
        std::string text = good;
        for (std::size_t changes = 1 + next(3); changes > 0; --changes) {
            const std::size_t at = next(text.size()), length = next(20);
            switch (next(4)) {
                case 0:
                    text.erase(at, length);
                    break;
                case 1:
                    text.insert(next(text.size()), text.substr(at, length));
                    break;
                case 2:
                    text[at] = static_cast<char>(next(256));
                    break;
                case 3:
                    std::swap(text[at], text[next(text.size())]);
                    break;
            }
        }
        const auto result = read_timeline(yard.outing, text, "plan.json");
        if (!result) continue;
        ++accepted;
        const std::string again = to_json(yard.outing, result.value());
        const auto twice = read_timeline(yard.outing, again, "plan.json");
        ASSERT_TRUE(twice) << all_errors(twice);
        EXPECT_EQ(to_json(yard.outing, twice.value()), again);
    }
    EXPECT_GT(accepted, 20);
}

}  // namespace
}  // namespace handrail::test
