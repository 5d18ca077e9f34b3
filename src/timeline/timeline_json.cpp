#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "timeline/timeline.h"
#include "units/parse.h"

namespace handrail {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::string_view format_name = "handrail-timeline";
constexpr int format_version = 1;
// An outing lasts hours; a month either way is surely a slip of the pen, and keeps every sum of times far from
// overflow.
constexpr double longest_s = 31.0 * 86400.0;
constexpr std::size_t most_activities = 100'000;

constexpr std::array all_kinds{ActivityKind::egress,      ActivityKind::step,    ActivityKind::translate,
                               ActivityKind::tether_swap, ActivityKind::pick_up, ActivityKind::put_down,
                               ActivityKind::glove_check, ActivityKind::rest,    ActivityKind::arm_move,
                               ActivityKind::clean_up,    ActivityKind::ingress};

// ---- writing

std::string dumped(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

/// Whole seconds as an integer; a recorded instant between two seconds keeps its milliseconds.
Json seconds_json(Pet t) {
    const auto ms = t.time_since_epoch().count();
    if (ms % 1000 == 0) return ms / 1000;
    return static_cast<double>(ms) / 1000.0;
}

Json activity_json(const Outing& outing, const Activity& activity) {
    Json json{{"kind", word(activity.kind)}, {"lanes", Json::array()}};
    for (const Lane lane : activity.lanes) json["lanes"].push_back(word(lane));
    json["start_s"] = seconds_json(activity.start);
    json["duration_s"] = activity.duration.count();
    if (activity.step) json["step"] = outing.step(*activity.step).label;
    for (const WorksiteId site : activity.path) json["path"].push_back(outing.worksite(site).id);
    for (const ItemId item : activity.items) json["items"].push_back(outing.item(item).id);
    if (activity.as_run) json["as_run"] = true;
    json["title"] = title(outing, activity);
    return json;
}

Json note_json(const Outing& outing, const PlanNote& note) {
    Json json{{"seed", note.seed}, {"iterations", note.iterations}, {"value", note.value}};
    if (note.value_bound) json["value_bound"] = *note.value_bound;
    if (note.finish_bound) json["finish_bound_s"] = seconds_json(*note.finish_bound);
    json["proven"] = note.proven;
    for (const StepId step : note.order) json["order"].push_back(outing.step(step).label);
    return json;
}

/// One element a line, so that a person can move a line and a difference between two plans can be read.
std::string lines(const std::vector<Json>& elements) {
    if (elements.empty()) return "[]";
    std::string text = "[";
    for (std::size_t i = 0; i < elements.size(); ++i) text += (i == 0 ? "\n    " : ",\n    ") + dumped(elements[i]);
    return text + "\n  ]";
}

// ---- reading

/// Collects what is wrong; every reader below returns nothing after having said why.
class Reader {
public:
    Reader(const Outing& outing, const std::string& file) : outing_(outing), file_(file) {
        for (std::size_t i = 0; i < outing.station.worksites.size(); ++i)
            worksites_.emplace(outing.station.worksites[i].id, static_cast<WorksiteId>(i));
        for (std::size_t i = 0; i < outing.items.size(); ++i)
            items_.emplace(outing.items[i].id, static_cast<ItemId>(i));
        for (const Task& task : outing.tasks) tasks_.emplace(task.key, task.id);
        for (const Step& step : outing.steps) steps_.emplace(step.label, step.id);
    }

    Result<Timeline> read(const Json& json);
    void error(std::string field, std::string expected, std::string found, std::string remedy) {
        if (errors_.size() < most_errors)
            errors_.push_back({.file = file_,
                               .field = std::move(field),
                               .expected = std::move(expected),
                               .found = std::move(found),
                               .remedy = std::move(remedy)});
    }

private:
    static constexpr std::size_t most_errors = 100;

    void error(const std::string& where, std::string_view field, std::string expected, const Json* found,
               std::string remedy) {
        error(where.empty() ? std::string(field) : where + ", " + std::string(field), std::move(expected),
              found ? shortened(*found) : "nothing", std::move(remedy));
    }
    /// What stood there, short enough for one line.
    static std::string shortened(const Json& json) {
        if (json.is_array()) return fmt::format("a list of {}", json.size());
        if (json.is_object()) return "an object";
        std::string text = dumped(json);
        if (text.size() > 60) text = text.substr(0, 57) + "...";
        return text;
    }
    static const Json* member(const Json& object, std::string_view key) {
        const auto found = object.find(key);
        return found == object.end() || found->is_null() ? nullptr : &*found;
    }

    bool is_object(const Json& json, const std::string& where, std::initializer_list<std::string_view> known);
    std::optional<std::string> text(const Json& object, const std::string& where, std::string_view key);
    std::optional<Milliseconds> time(const Json& object, const std::string& where, std::string_view key);
    template <class Id>
    std::optional<Id> name(const Json& json, const std::string& where, std::string_view field, std::string_view what,
                           const std::map<std::string, Id, std::less<>>& known);
    template <class Id>
    std::vector<Id> names(const Json& object, const std::string& where, std::string_view field, std::string_view what,
                          const std::map<std::string, Id, std::less<>>& known);
    std::vector<Lane> lanes(const Json& object, const std::string& where);
    const Json* list(const Json& object, std::string_view key, bool needed);

    void read_head(const Json& json, Timeline& timeline);
    void read_bindings(const Json& json, Timeline& timeline);
    void read_left_out(const Json& json, Timeline& timeline);
    void read_note(const Json& json, Timeline& timeline);
    void read_activity(const Json& json, std::size_t number, Timeline& timeline);
    void check_shape(const Activity& activity, const std::string& where);

    const Outing& outing_;
    const std::string& file_;
    std::map<std::string, WorksiteId, std::less<>> worksites_;
    std::map<std::string, ItemId, std::less<>> items_;
    std::map<std::string, TaskId, std::less<>> tasks_;
    std::map<std::string, StepId, std::less<>> steps_;
    std::vector<InputError> errors_;
    std::size_t unknown_names_ = 0;
};

bool Reader::is_object(const Json& json, const std::string& where, std::initializer_list<std::string_view> known) {
    if (!json.is_object()) {
        error(where, "an object { ... }", shortened(json), "see docs/timeline.schema.json");
        return false;
    }
    for (const auto& [key, value] : json.items()) {
        if (std::ranges::find(known, key) != known.end()) continue;
        std::string choice;
        for (const std::string_view word : known) choice += (choice.empty() ? "" : ", ") + std::string(word);
        error(where, "one of " + choice, "the unknown key \"" + key.substr(0, 60) + "\"",
              "correct its spelling or remove it");
    }
    return true;
}

std::optional<std::string> Reader::text(const Json& object, const std::string& where, std::string_view key) {
    const Json* value = member(object, key);
    if (value && value->is_string()) return value->get<std::string>();
    error(where, key, "a text in quotes", value, "write it as a text in quotes");
    return std::nullopt;
}

std::optional<Milliseconds> Reader::time(const Json& object, const std::string& where, std::string_view key) {
    const Json* value = member(object, key);
    if (value && value->is_number()) {
        const double seconds = value->get<double>();
        if (std::isfinite(seconds) && std::abs(seconds) <= longest_s)
            return Milliseconds{static_cast<Milliseconds::rep>(std::llround(seconds * 1000.0))};
    }
    error(where, key, "a number of seconds of at most 31 days", value, "write it as a number, such as 2100");
    return std::nullopt;
}

template <class Id>
std::optional<Id> Reader::name(const Json& json, const std::string& where, std::string_view field,
                               std::string_view what, const std::map<std::string, Id, std::less<>>& known) {
    if (json.is_string())
        if (const auto found = known.find(json.get_ref<const std::string&>()); found != known.end())
            return found->second;
    ++unknown_names_;
    error(where, field, fmt::format("the name of {} of outing \"{}\"", what, outing_.name), &json,
          "use a name that stands in the outing file");
    return std::nullopt;
}

template <class Id>
std::vector<Id> Reader::names(const Json& object, const std::string& where, std::string_view field,
                              std::string_view what, const std::map<std::string, Id, std::less<>>& known) {
    std::vector<Id> ids;
    const Json* value = member(object, field);
    if (!value) return ids;
    if (!value->is_array()) {
        error(where, field, fmt::format("a list with the name of {} each", what), value, "write it as [\"...\"]");
        return ids;
    }
    for (const Json& element : *value)
        if (const auto id = name(element, where, field, what, known)) ids.push_back(*id);
    return ids;
}

std::vector<Lane> Reader::lanes(const Json& object, const std::string& where) {
    static const auto known = [] {
        std::map<std::string, Lane, std::less<>> map;
        for (const Lane lane : all_lanes) map.emplace(word(lane), lane);
        return map;
    }();
    std::vector<Lane> lanes;
    const Json* value = member(object, "lanes");
    if (!value || !value->is_array() || value->empty()) {
        error(where, "lanes", "a list of EV1, EV2, arm, IV, ground", value, "name the lanes, such as [\"EV1\"]");
        return lanes;
    }
    for (const Json& element : *value) {
        const auto found = element.is_string() ? known.find(element.get_ref<const std::string&>()) : known.end();
        if (found == known.end())
            error(where, "lanes", "EV1, EV2, arm, IV or ground", &element, "use one of these words");
        else if (std::ranges::find(lanes, found->second) != lanes.end())
            error(where, "lanes", "each lane once", &element, "remove the second mention");
        else
            lanes.push_back(found->second);
    }
    std::ranges::sort(lanes);
    return lanes;
}

const Json* Reader::list(const Json& object, std::string_view key, bool needed) {
    const Json* value = member(object, key);
    if (value ? value->is_array() : !needed) return value;
    error("", key, "a list [ ... ]", value, "see docs/timeline.schema.json");
    return nullptr;
}

void Reader::read_head(const Json& json, Timeline& timeline) {
    timeline.outing = text(json, "", "outing").value_or("");
    if (member(json, "fingerprint")) timeline.fingerprint = text(json, "", "fingerprint").value_or("");
    const auto zero = text(json, "", "pet_zero");
    if (!zero) return;
    const auto parsed = parse_utc(*zero);
    if (const Utc* instant = std::get_if<Utc>(&parsed)) {
        timeline.pet_zero = *instant;
    } else {
        const auto& wrong = std::get<ParseError>(parsed);
        error("pet_zero", wrong.expected, wrong.found, wrong.remedy);
    }
}

void Reader::read_bindings(const Json& json, Timeline& timeline) {
    const Json* bindings = list(json, "bindings", true);
    if (!bindings) return;
    std::map<TaskId, Crew> leads;
    for (std::size_t i = 0; i < bindings->size(); ++i) {
        const Json& binding = (*bindings)[i];
        const std::string where = fmt::format("binding {}", i + 1);
        if (!is_object(binding, where, {"task", "lead"})) continue;
        const Json* task_name = member(binding, "task");
        const Json* lead = member(binding, "lead");
        const auto task = name(task_name ? *task_name : Json{}, where, "task", "a task", tasks_);
        const bool ev1 = lead && *lead == word(Crew::ev1);
        if (!ev1 && !(lead && *lead == word(Crew::ev2))) {
            error(where, "lead", "EV1 or EV2", lead, "name who leads the task");
        } else if (task && !leads.emplace(*task, ev1 ? Crew::ev1 : Crew::ev2).second) {
            error(where, "task", "each task once", task_name, "remove one of the two bindings");
        }
    }
    for (const auto& [task, lead] : leads) timeline.bindings.push_back({task, lead});
}

void Reader::read_left_out(const Json& json, Timeline& timeline) {
    const Json* left_out = list(json, "left_out", false);
    if (!left_out) return;
    std::map<TaskId, std::string> reasons;
    for (std::size_t i = 0; i < left_out->size(); ++i) {
        const Json& element = (*left_out)[i];
        const std::string where = fmt::format("left_out {}", i + 1);
        if (!is_object(element, where, {"task", "reason"})) continue;
        const Json* task_name = member(element, "task");
        const auto task = name(task_name ? *task_name : Json{}, where, "task", "a task", tasks_);
        const auto reason = text(element, where, "reason");
        if (task && reason && !reasons.emplace(*task, *reason).second)
            error(where, "task", "each task once", task_name, "remove one of the two");
    }
    for (const auto& [task, reason] : reasons) timeline.left_out.push_back({task, reason});
}

void Reader::read_note(const Json& json, Timeline& timeline) {
    const Json* note = member(json, "note");
    if (!note ||
        !is_object(*note, "note", {"seed", "iterations", "value", "value_bound", "finish_bound_s", "proven", "order"}))
        return;
    const auto count = [&](std::string_view key, std::uint64_t& into) {
        const Json* value = member(*note, key);
        if (value && value->is_number_unsigned())
            into = value->get<std::uint64_t>();
        else if (value)
            error("note", key, "a whole number from 0", value, "write a whole number or remove it");
    };
    const auto number = [&](std::string_view key) -> std::optional<double> {
        const Json* value = member(*note, key);
        if (!value) return std::nullopt;
        if (value->is_number() && std::isfinite(value->get<double>())) return value->get<double>();
        error("note", key, "a number", value, "write a number or remove it");
        return std::nullopt;
    };
    count("seed", timeline.note.seed);
    count("iterations", timeline.note.iterations);
    timeline.note.value = number("value").value_or(0.0);
    timeline.note.value_bound = number("value_bound");
    if (member(*note, "finish_bound_s"))
        if (const auto bound = time(*note, "note", "finish_bound_s")) timeline.note.finish_bound = Pet{*bound};
    if (const Json* proven = member(*note, "proven")) {
        if (proven->is_boolean())
            timeline.note.proven = proven->get<bool>();
        else
            error("note", "proven", "true or false", proven, "write true or false");
    }
    if (member(*note, "order")) timeline.note.order = names(*note, "note", "order", "a step", steps_);
}

/// What each kind must name, so that every reader of a timeline may rely on it.
void Reader::check_shape(const Activity& activity, const std::string& where) {
    const auto says = [&](std::string_view field, std::string expected, std::string found) {
        error(where + ", " + std::string(field), std::move(expected), std::move(found), "complete the activity");
    };
    const std::size_t sites = activity.path.size();
    const std::string found_sites = fmt::format("{} worksites", sites);
    const bool one_crew =
        activity.lanes.size() == 1 && (activity.lanes[0] == Lane::ev1 || activity.lanes[0] == Lane::ev2);
    switch (activity.kind) {
        case ActivityKind::step:
            if (!activity.step) says("step", "the step's label, such as \"valve.3\"", "nothing");
            return;
        case ActivityKind::egress:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            if (sites > 1) says("path", "one worksite, or none", found_sites);
            return;
        case ActivityKind::arm_move:
            if (sites != 2) says("path", "from where to where the arm moves", found_sites);
            if (activity.lanes != std::vector{Lane::arm}) says("lanes", "the arm alone", "other lanes");
            return;
        case ActivityKind::translate:
            if (sites < 2) says("path", "at least two worksites", found_sites);
            break;
        case ActivityKind::tether_swap:
            if (sites != 1) says("path", "the one worksite of the swap", found_sites);
            break;
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
            if (sites != 1) says("path", "the one worksite where it happens", found_sites);
            if (activity.items.empty()) says("items", "at least one item", "none");
            break;
        case ActivityKind::glove_check:
        case ActivityKind::rest:
            if (sites > 1) says("path", "one worksite, or none", found_sites);
            break;
    }
    if (!one_crew && !activity.lanes.empty()) says("lanes", "exactly one of EV1 and EV2", "other lanes");
}

void Reader::read_activity(const Json& json, std::size_t number, Timeline& timeline) {
    std::string where = fmt::format("activity {}", number);
    if (!is_object(json, where, {"kind", "lanes", "start_s", "duration_s", "step", "path", "items", "as_run", "title"}))
        return;
    const std::size_t errors_before = errors_.size();
    Activity activity;
    const Json* kind = member(json, "kind");
    const auto named = std::ranges::find_if(all_kinds, [&](ActivityKind k) { return kind && *kind == Json(word(k)); });
    if (named == all_kinds.end()) {
        std::string choice;
        for (const ActivityKind k : all_kinds) choice += (choice.empty() ? "" : ", ") + std::string(word(k));
        error(where, "kind", "one of " + choice, kind, "use one of these words");
        return;
    }
    activity.kind = *named;
    const Json* step = member(json, "step");
    if (activity.kind == ActivityKind::step)
        where += step && step->is_string() ? fmt::format(" (step {})", shortened(*step)) : " (step)";
    else
        where += fmt::format(" ({})", word(activity.kind));

    activity.lanes = lanes(json, where);
    if (const auto start = time(json, where, "start_s")) activity.start = Pet{*start};
    if (const auto duration = time(json, where, "duration_s")) {
        if (duration->count() < 0 || duration->count() % 1000 != 0)
            error(where, "duration_s", "whole seconds, not negative", member(json, "duration_s"), "correct it");
        activity.duration = std::chrono::duration_cast<Seconds>(*duration);
    }
    if (step && activity.kind == ActivityKind::step)
        activity.step = name(*step, where, "step", "a step", steps_);
    else if (step)
        error(where, "step", "nothing, as only a step has one", step, "remove it or set kind to \"step\"");
    activity.path = names(json, where, "path", "a worksite", worksites_);
    activity.items = names(json, where, "items", "an item", items_);
    if (const Json* as_run = member(json, "as_run")) {
        if (as_run->is_boolean())
            activity.as_run = as_run->get<bool>();
        else
            error(where, "as_run", "true or false", as_run, "write true or false");
    }
    if (errors_.size() == errors_before) check_shape(activity, where);
    timeline.activities.push_back(std::move(activity));
}

Result<Timeline> Reader::read(const Json& json) {
    Timeline timeline;
    if (!json.is_object() || !member(json, "format") || *member(json, "format") != Json(format_name)) {
        error("", "format", fmt::format("\"{}\"", format_name), json.is_object() ? member(json, "format") : &json,
              "name a timeline written by handrail");
        return std::move(errors_);
    }
    if (!member(json, "version") || *member(json, "version") != Json(format_version)) {
        error("", "version", fmt::format("{}", format_version), member(json, "version"),
              "use the handrail that wrote it, or plan again");
        return std::move(errors_);
    }
    is_object(json, "",
              {"format", "version", "caution", "outing", "fingerprint", "pet_zero", "bindings", "activities",
               "left_out", "note"});
    read_head(json, timeline);
    read_bindings(json, timeline);
    if (const Json* activities = list(json, "activities", true)) {
        if (activities->size() > most_activities)
            error("", "activities", fmt::format("at most {}", most_activities), activities, "split the outing");
        else
            for (std::size_t i = 0; i < activities->size(); ++i) read_activity((*activities)[i], i + 1, timeline);
    }
    read_left_out(json, timeline);
    read_note(json, timeline);
    if (unknown_names_ > 0 && !timeline.outing.empty() && timeline.outing != outing_.name)
        return InputError{
            .file = file_,
            .field = "outing",
            .expected = fmt::format("a timeline of outing \"{}\"", outing_.name),
            .found = fmt::format("one of \"{}\", with {} names unknown here", timeline.outing, unknown_names_),
            .remedy = "name the outing file it was made from, or plan again"};
    if (!errors_.empty()) return std::move(errors_);
    put_in_order(timeline);
    return timeline;
}

/// nlohmann tells the byte at which it stumbled; people count lines.
InputError syntax_error(const std::string& text, const std::string& file, std::size_t byte, std::string_view what) {
    const std::size_t at = std::min(byte > 0 ? byte - 1 : 0, text.size());
    InputError error;
    error.file = file;
    error.line = 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
    const std::size_t line_start = at == 0 ? std::string::npos : text.rfind('\n', at - 1);
    error.column = static_cast<int>(line_start == std::string::npos ? at + 1 : at - line_start);
    error.expected = "JSON";
    error.found = what;
    error.remedy = "correct the file there; a comma, quote or bracket is often what is missing";
    return error;
}

}  // namespace

std::string to_json(const Outing& outing, const Timeline& timeline) {
    std::vector<Json> bindings, activities, left_out;
    for (const Binding& binding : timeline.bindings)
        bindings.push_back(Json{{"task", outing.task(binding.task).key}, {"lead", word(binding.lead)}});
    for (const Activity& activity : timeline.activities) activities.push_back(activity_json(outing, activity));
    for (const LeftOut& out : timeline.left_out)
        left_out.push_back(Json{{"task", outing.task(out.task).key}, {"reason", out.reason}});
    return fmt::format(
        "{{\n  \"format\": \"{}\",\n  \"version\": {},\n  \"caution\": {},\n  \"outing\": {},\n  \"fingerprint\": {},\n"
        "  \"pet_zero\": \"{}\",\n  \"bindings\": {},\n  \"activities\": {},\n  \"left_out\": {},\n  \"note\": "
        "{}\n}}\n",
        format_name, format_version, dumped(Json(caution)), dumped(Json(timeline.outing)),
        dumped(Json(timeline.fingerprint)), print_utc(timeline.pet_zero), lines(bindings), lines(activities),
        lines(left_out), dumped(note_json(outing, timeline.note)));
}

Result<Timeline> read_timeline(const Outing& outing, const std::string& text, const std::string& file) {
    Json json;
    try {
        json = Json::parse(text);
    } catch (const Json::parse_error& error) {
        const bool empty = text.find_first_not_of(" \t\r\n") == std::string::npos;
        return syntax_error(text, file, error.byte, empty ? "an empty file" : "something else");
    } catch (const Json::exception&) {
        return syntax_error(text, file, 0, "a number too large for any file");
    }
    return Reader(outing, file).read(json);
}

}  // namespace handrail
