#include "outing/schema.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <set>

#include "outing/fields.h"

namespace handrail {
namespace detail {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* duration_pattern = R"(^\s*([0-9]+(\.[0-9]+)?\s*(h|hours?|min|minutes?|s|sec|seconds)\s*)+$)";
constexpr const char* pet_pattern = R"(^\s*(PET)?\s*[-+]?[0-9]{1,3}:[0-5][0-9](:[0-5][0-9])?\s*(PET)?\s*$)";
constexpr const char* utc_pattern =
    R"(^\s*[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?Z\s*$)";

/// A number and a unit; which units fit is the reader's business, the description shows one.
std::string quantity_pattern(const Field& field) {
    const std::string_view sign = field.sign == Sign::any ? "[-+]?" : "\\+?";
    const std::string_view unit = field.kind == Kind::share ? "%?\\s*" : "[^0-9\\s].*";
    return fmt::format("^\\s*{}([0-9]+(\\.[0-9]*)?|\\.[0-9]+)([eE][-+]?[0-9]+)?\\s*{}$", sign, unit);
}

Json text(std::string_view pattern) { return {{"type", "string"}, {"pattern", pattern}}; }
Json one_or_more(const Json& of) { return {{"anyOf", {of, {{"type", "array"}, {"items", of}}}}}; }
Json three(const Json& of) { return {{"type", "array"}, {"items", of}, {"minItems", 3}, {"maxItems", 3}}; }
Json reference(const Section& section) { return {{"$ref", fmt::format("#/$defs/{}", section.word)}}; }

Json number(const Field& field) {
    Json schema{{"type", field.kind == Kind::whole ? "integer" : "number"}};
    if (field.sign == Sign::positive) schema["exclusiveMinimum"] = 0;
    if (field.sign == Sign::not_negative) schema["minimum"] = 0;
    return schema;
}

Json value_schema(const Field& field) {
    switch (field.kind) {
        case Kind::text:
            return {{"type", "string"}};
        case Kind::text_list:
            return one_or_more({{"type", "string"}});
        case Kind::flag:
            return {{"type", "boolean"}};
        case Kind::whole:
        case Kind::number:
            return number(field);
        case Kind::choice:
            return {{"enum", field.words}};
        case Kind::choice_list:
            return one_or_more({{"enum", field.words}});
        case Kind::duration:
            return text(duration_pattern);
        case Kind::duration3:
            return {{"anyOf", {text(duration_pattern), reference(duration_section())}}};
        case Kind::moment:
            return {{"anyOf", {text(pet_pattern), text(utc_pattern)}}};
        case Kind::instant:
            return text(utc_pattern);
        case Kind::length:
        case Kind::speed:
        case Kind::pressure:
        case Kind::mass:
        case Kind::mass_flow:
        case Kind::power:
        case Kind::energy:
        case Kind::angle:
        case Kind::volume:
        case Kind::volume_flow:
        case Kind::temperature:
        case Kind::share:
            return text(quantity_pattern(field));
        case Kind::point:
            return three(text(quantity_pattern(field)));
        case Kind::direction:
            return three({{"type", "number"}});
        case Kind::within:
            return {{"anyOf", {{{"type", "string"}}, reference(within_section())}}};
        case Kind::section:
            return reference(*field.section);
        case Kind::section_list:
            return {{"type", "array"}, {"items", reference(*field.section)}};
    }
    return {};
}

Json field_schema(const Field& field) {
    Json schema = value_schema(field);
    schema["description"] = field.example.empty() ? std::string(field.about)
                                                  : fmt::format("{}; for example {}", field.about, field.example);
    return schema;
}

Json required_keys(const Section& section) {
    Json keys = Json::array();
    for (const Field& field : section.fields)
        if (field.required) keys.push_back(field.key);
    return keys;
}

Json properties(const Section& section) {
    Json schema{{"type", "object"}, {"description", section.about}, {"additionalProperties", false}};
    for (const Field& field : section.fields) schema["properties"][std::string(field.key)] = field_schema(field);
    return schema;
}

/// Adds a section and all below it. Sections that stand once may be shared out over included files, so what they need
/// is asked for at the top, and only where nothing is included.
void define(const Section& section, Json& definitions, bool stands_once) {
    const std::string name(section.word);
    if (definitions.contains(name)) return;
    Json schema = properties(section);
    if (!stands_once) schema["required"] = required_keys(section);
    definitions[name] = std::move(schema);
    for (const Field& field : section.fields)
        if (field.section) define(*field.section, definitions, stands_once && field.kind == Kind::section);
}

Json needed_without_includes(const Section& section) {
    Json schema{{"required", required_keys(section)}};
    for (const Field& field : section.fields)
        if (field.kind == Kind::section)
            schema["properties"][std::string(field.key)] = needed_without_includes(*field.section);
    return schema;
}

}  // namespace
}  // namespace detail

std::string json_schema() {
    using namespace detail;
    const Section& file = file_section();
    Json schema{{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"title", "Handrail outing file"}};
    schema.update(properties(file));
    schema["required"] = {"handrail"};
    schema["if"] = {{"not", {{"required", {"include"}}}}};
    schema["then"] = needed_without_includes(file);
    Json definitions = Json::object();
    for (const Field& field : file.fields)
        if (field.section) define(*field.section, definitions, field.kind == Kind::section);
    define(duration_section(), definitions, false);
    define(within_section(), definitions, false);
    schema["$defs"] = std::move(definitions);
    return schema.dump(2) + "\n";
}

}  // namespace handrail
