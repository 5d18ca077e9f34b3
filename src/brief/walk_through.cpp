#include "brief/walk_through.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "brief/carrying.h"
#include "brief/codes.h"
#include "brief/markup.h"
#include "brief/public_words.h"
#include "brief/scene.h"

namespace handrail::brief {
namespace {

using Json = nlohmann::ordered_json;

// The light is shown from egress to ingress, and a little beyond at both ends.
constexpr Seconds around{600};

Json frame(const Outing& outing, const Activity& activity, SiteKeys keys) {
    Json lanes = Json::array(), path = Json::array();
    for (const Lane lane : activity.lanes) lanes.push_back(word(lane));
    for (const WorksiteId site : activity.path) path.push_back(site_key(outing, site, keys));
    return {{"kind", word(activity.kind)},
            {"lanes", std::move(lanes)},
            {"start_s", since_zero(activity.start).count()},
            {"duration_s", activity.duration.count()},
            {"path", std::move(path)}};
}

/// What everyone may have; takes PublicWords so that nothing else fits.
Json captioned(Json activity, const PublicWords& title, const PublicWords& words) {
    activity["title"] = title.text();
    activity["words"] = words.text();
    return activity;
}

Json public_activities(const Outing& outing, const Timeline& timeline) {
    Json list = Json::array();
    for (const Activity& activity : timeline.activities)
        list.push_back(captioned(frame(outing, activity, SiteKeys::numbers), public_title(outing, activity),
                                 public_words(outing, activity)));
    return list;
}

Json crew_activities(const Outing& outing, const Timeline& timeline) {
    const Carrying carrying(outing, timeline);
    Json list = Json::array();
    for (const Activity& activity : timeline.activities) {
        Json json = frame(outing, activity, SiteKeys::ids);
        json["title"] = title(outing, activity);
        json["words"] = activity.step ? outing.step(*activity.step).crew_words : "";
        Json hazards = Json::array(), hands = Json::object();
        if (activity.step)
            for (const Hazard& hazard : outing.step(*activity.step).hazards)
                hazards.push_back({{"what", hazard.what}, {"control", hazard.control}});
        for (const Crew crew : both_crew)
            if (activity.on(lane_of(crew))) hands[std::string(word(crew))] = carrying.hands(crew, activity.start);
        json["hazards"] = std::move(hazards);
        json["hands"] = std::move(hands);
        list.push_back(std::move(json));
    }
    return list;
}

/// A text put inside an element of raw text: nothing in it may end that element. In JSON and in scripts "<\/" and
/// "<\!" mean the same as without the backslash wherever they can occur (strings, patterns, templates).
std::string raw(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        out += text[i];
        const std::string_view rest = text.substr(i + 1);
        if (text[i] == '<' && (rest.starts_with("/s") || rest.starts_with("!--"))) out += '\\';
    }
    return out;
}

/// JSON for a script element: "<" never stands in it as such.
std::string raw_json(std::string_view json) {
    std::string out;
    out.reserve(json.size());
    for (const char c : json)
        if (c == '<')
            out += "\\u003c";
        else
            out += c;
    return out;
}

}  // namespace

std::string walk_through_json(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                              CaptionWords words) {
    const bool everyone = words == CaptionWords::everyone;
    const SiteKeys keys = everyone ? SiteKeys::numbers : SiteKeys::ids;
    Json crew = Json::array();
    for (const Crew one : both_crew)
        crew.push_back({{"id", word(one)},
                        {"name", PublicFields::name(outing.person(one)).text()},
                        {"about", PublicFields::about(outing.person(one)).text()}});
    return Json{{"format", "handrail-walk-through"},
                {"version", 1},
                {"words", everyone ? "public" : "crew"},
                {"outing", PublicFields::name(outing).text()},
                {"note", PublicFields::note(outing).text()},
                {"about", PublicFields::about(outing).text()},
                {"plan", plan_id(outing, timeline)},
                {"pet_zero", print_utc(timeline.pet_zero)},
                {"finish_s", since_zero(timeline.finish()).count()},
                {"crew", std::move(crew)},
                {"activities", everyone ? public_activities(outing, timeline) : crew_activities(outing, timeline)},
                {"station", Json::parse(scene_json(outing, keys))},
                {"light", Json::parse(light_json(outing, windows, timeline.pet_zero, pet(-around),
                                                 timeline.finish() + around, keys))},
                {"caution", caution}}
        .dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::string walk_through_page(const Outing& outing, std::string_view walk, std::string_view script,
                              std::string_view style) {
    return fmt::format(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src 'unsafe-inline'; "
        "style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<link rel=\"icon\" href=\"data:,\">\n"
        "<meta name=\"color-scheme\" content=\"light dark\">\n"
        "<title>{0} · walk-through</title>\n<style>{1}</style>\n</head>\n<body>\n<div id=\"page\"></div>\n"
        "<noscript><h1>{0}</h1><p>This page plays a plan on a map and needs scripts; all of them are inside this file. "
        "{2}</p></noscript>\n<script type=\"application/json\" id=\"walk\">{3}</script>\n"
        "<script>{4}</script>\n</body>\n</html>\n",
        escape(outing.name), raw(style), escape(caution), raw_json(walk), raw(script));
}

}  // namespace handrail::brief
