#include "edit/edit_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

namespace handrail::edit {
namespace {

using Json = nlohmann::ordered_json;

// As for timelines: a month either way is surely a slip, and keeps every sum of times far from overflow.
constexpr double longest_s = 31.0 * 86400.0;

std::string dumped(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

std::string_view word(Difference::Kind kind) {
    switch (kind) {
        case Difference::Kind::task_in:
            return "task in";
        case Difference::Kind::task_out:
            return "task out";
        case Difference::Kind::lead:
            return "lead";
        case Difference::Kind::start:
            return "start";
    }
    return {};
}

/// Looks names up and collects what is wrong.
class Reader {
public:
    Reader(const Outing& outing, std::string file) : outing_(outing), file_(std::move(file)) {}

    std::optional<Json> parse(const std::string& text) {
        Json json = Json::parse(text, nullptr, false);
        if (json.is_object()) return json;
        error("", "a JSON object { ... }", json.is_discarded() ? "something that is not JSON" : "another value",
              "see docs/editing.md");
        return std::nullopt;
    }
    void error(std::string field, std::string expected, std::string found, std::string remedy) {
        errors_.push_back({.file = file_,
                           .field = std::move(field),
                           .expected = std::move(expected),
                           .found = std::move(found),
                           .remedy = std::move(remedy)});
    }
    StepId step(const Json& object, const std::string& where, std::string_view key) {
        return named<StepId>(object, where, key, "a step's label, such as \"valve.open\"", outing_.steps, &Step::label);
    }
    TaskId task(const Json& object, const std::string& where, std::string_view key) {
        return named<TaskId>(object, where, key, "a task's id", outing_.tasks, &Task::key);
    }
    WorksiteId site(const Json& object, const std::string& where, std::string_view key) {
        return named<WorksiteId>(object, where, key, "a worksite's id", outing_.station.worksites, &Worksite::id);
    }
    Crew crew(const Json& object, const std::string& where, std::string_view key) {
        const auto found = object.find(key);
        for (const Crew c : both_crew)
            if (found != object.end() && found->is_string() &&
                found->get_ref<const std::string&>() == handrail::word(c))
                return c;
        wrong(object, where, key, "EV1 or EV2", "name one of the two");
        return Crew::ev1;
    }
    Pet time(const Json& object, const std::string& where, std::string_view key) {
        const auto found = object.find(key);
        if (found != object.end() && found->is_number()) {
            const double seconds = found->get<double>();
            if (std::isfinite(seconds) && std::abs(seconds) <= longest_s)
                return pet(Seconds{static_cast<Seconds::rep>(std::llround(seconds))});
        }
        wrong(object, where, key, "PET seconds, at most 31 days", "write a number such as 4800");
        return {};
    }
    /// The objects of a list that may be missing.
    template <class Read>
    void each(const Json& object, std::string_view key, Read&& read) {
        const auto list = object.find(key);
        if (list == object.end() || list->is_null()) return;
        if (!list->is_array()) {
            wrong(object, "", key, "a list [ ... ]", "write a list");
            return;
        }
        for (std::size_t i = 0; i < list->size(); ++i) read((*list)[i], fmt::format("{} {}", key, i + 1));
    }
    bool is_object(const Json& json, const std::string& where) {
        if (json.is_object()) return true;
        error(where, "an object { ... }", dumped(json).substr(0, 60), "see docs/editing.md");
        return false;
    }
    void known_keys(const Json& object, const std::string& where, std::initializer_list<std::string_view> known) {
        for (const auto& [key, value] : object.items())
            if (std::ranges::find(known, key) == known.end())
                error(where, fmt::format("one of {}", fmt::join(known, ", ")),
                      fmt::format("the unknown key \"{}\"", key.substr(0, 60)), "correct its spelling or remove it");
    }
    bool ok() const { return errors_.empty(); }
    std::vector<InputError> errors() { return std::move(errors_); }
    const std::string& file() const { return file_; }

private:
    void wrong(const Json& object, const std::string& where, std::string_view key, std::string expected,
               std::string remedy) {
        const auto found = object.find(key);
        error(where.empty() ? std::string(key) : fmt::format("{}, {}", where, key), std::move(expected),
              found == object.end() ? "nothing" : dumped(*found).substr(0, 60), std::move(remedy));
    }
    template <class Id, class Things, class Name>
    Id named(const Json& object, const std::string& where, std::string_view key, std::string_view what,
             const Things& things, Name name) {
        const auto found = object.find(key);
        if (found != object.end() && found->is_string())
            for (std::size_t i = 0; i < things.size(); ++i)
                if (things[i].*name == found->template get_ref<const std::string&>()) return static_cast<Id>(i);
        wrong(object, where, key, fmt::format("{} of outing \"{}\"", what, outing_.name),
              "use a name that stands in the outing file");
        return Id{};
    }

    const Outing& outing_;
    std::string file_;
    std::vector<InputError> errors_;
};

/// Lists of names stand in the file as texts; the reader looks names up in objects.
Json boxed(const Json& element) { return Json{{"name", element}}; }

plan::Wishes wishes_from(Reader& reader, const Json& json) {
    plan::Wishes wishes;
    reader.known_keys(json, "wishes",
                      {"format", "version", "starts", "before", "not_by", "lead", "leave_out", "must_do", "closed"});
    if (json.value("format", Json{}) != Json("handrail-wishes") || json.value("version", Json{}) != Json(1))
        reader.error("format", "\"handrail-wishes\", version 1", "another format", "name wishes written by handrail");
    reader.each(json, "starts", [&](const Json& one, const std::string& where) {
        if (!reader.is_object(one, where)) return;
        reader.known_keys(one, where, {"step", "from_s", "to_s"});
        const StepId step = reader.step(one, where, "step");
        const Pet from = reader.time(one, where, "from_s");
        wishes.starts.push_back({step, from, one.contains("to_s") ? reader.time(one, where, "to_s") : from});
    });
    reader.each(json, "before", [&](const Json& one, const std::string& where) {
        if (!reader.is_object(one, where)) return;
        reader.known_keys(one, where, {"first", "then"});
        wishes.before.push_back({reader.step(one, where, "first"), reader.step(one, where, "then")});
    });
    reader.each(json, "not_by", [&](const Json& one, const std::string& where) {
        if (!reader.is_object(one, where)) return;
        reader.known_keys(one, where, {"step", "crew"});
        wishes.not_by.push_back({reader.step(one, where, "step"), reader.crew(one, where, "crew")});
    });
    reader.each(json, "lead", [&](const Json& one, const std::string& where) {
        if (!reader.is_object(one, where)) return;
        reader.known_keys(one, where, {"task", "lead"});
        wishes.lead.emplace_back(reader.task(one, where, "task"), reader.crew(one, where, "lead"));
    });
    reader.each(json, "leave_out", [&](const Json& one, const std::string& where) {
        wishes.leave_out.push_back(reader.task(boxed(one), where, "name"));
    });
    reader.each(json, "must_do", [&](const Json& one, const std::string& where) {
        wishes.must_do.push_back(reader.task(boxed(one), where, "name"));
    });
    reader.each(json, "closed", [&](const Json& one, const std::string& where) {
        wishes.closed.push_back(reader.site(boxed(one), where, "name"));
    });
    return wishes;
}

Edit edit_from(Reader& reader, const Json& json) {
    const auto found = json.find("kind");
    const std::string kind = found != json.end() && found->is_string() ? found->get<std::string>() : std::string{};
    const std::string where = "edit";
    if (kind == "nothing") return Nothing{};
    if (kind == "pin") {
        reader.known_keys(json, where, {"kind", "step", "from_s", "to_s"});
        const StepId step = reader.step(json, where, "step");
        const Pet from = reader.time(json, where, "from_s");
        return Pin{step, from, json.contains("to_s") ? reader.time(json, where, "to_s") : from};
    }
    if (kind == "free step") return FreeStep{reader.step(json, where, "step")};
    if (kind == "give") return Give{reader.task(json, where, "task"), reader.crew(json, where, "lead")};
    if (kind == "put in") return PutIn{reader.task(json, where, "task")};
    if (kind == "leave out") return LeaveOut{reader.task(json, where, "task")};
    if (kind == "free task") return FreeTask{reader.task(json, where, "task")};
    if (kind == "put before") return PutBefore{reader.step(json, where, "first"), reader.step(json, where, "then")};
    if (kind == "forbid") return Forbid{reader.step(json, where, "step"), reader.crew(json, where, "crew")};
    if (kind == "close site") return CloseSite{reader.site(json, where, "site")};
    if (kind == "open site") return OpenSite{reader.site(json, where, "site")};
    reader.error("edit, kind",
                 "pin, free step, give, put in, leave out, free task, put before, forbid, close site, open site or "
                 "nothing",
                 found == json.end() ? "nothing" : dumped(*found).substr(0, 60), "use one of these");
    return Nothing{};
}

Json wishes_json(const Outing& outing, const plan::Wishes& wishes) {
    Json json{{"format", "handrail-wishes"}, {"version", 1}};
    for (const auto& wish : wishes.starts)
        json["starts"].push_back({{"step", outing.step(wish.step).label},
                                  {"from_s", since_zero(wish.from).count()},
                                  {"to_s", since_zero(wish.to).count()}});
    for (const auto& wish : wishes.before)
        json["before"].push_back({{"first", outing.step(wish.first).label}, {"then", outing.step(wish.then).label}});
    for (const auto& wish : wishes.not_by)
        json["not_by"].push_back({{"step", outing.step(wish.step).label}, {"crew", handrail::word(wish.crew)}});
    for (const auto& [task, lead] : wishes.lead)
        json["lead"].push_back({{"task", outing.task(task).key}, {"lead", handrail::word(lead)}});
    for (const TaskId task : wishes.leave_out) json["leave_out"].push_back(outing.task(task).key);
    for (const TaskId task : wishes.must_do) json["must_do"].push_back(outing.task(task).key);
    for (const WorksiteId site : wishes.closed) json["closed"].push_back(outing.worksite(site).id);
    return json;
}

Json edited_json(const Outing& outing, const Edited& edited) {
    Json json;
    json["timeline"] = Json::parse(handrail::to_json(outing, edited.timeline));
    json["wishes"] = wishes_json(outing, edited.wishes);
    json["findings"] = Json::parse(findings_json(edited.findings));
    json["unkept"] = edited.unkept;
    json["differences"] = Json::array();
    for (const Difference& difference : edited.differences) {
        Json one{{"kind", word(difference.kind)}, {"task", outing.task(difference.task).key}};
        if (difference.step) {
            one["step"] = outing.step(*difference.step).label;
            one["by_s"] = difference.by.count();
        }
        one["what"] = difference.what;
        json["differences"].push_back(std::move(one));
    }
    return json;
}

}  // namespace

std::string to_json(const Outing& outing, const plan::Wishes& wishes) {
    return wishes_json(outing, wishes).dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<plan::Wishes> read_wishes(const Outing& outing, const std::string& text, const std::string& file) {
    Reader reader(outing, file);
    plan::Wishes wishes;
    if (const auto json = reader.parse(text)) wishes = wishes_from(reader, *json);
    if (!reader.ok()) return reader.errors();
    return wishes;
}

Result<Edit> read_edit(const Outing& outing, const std::string& text, const std::string& file) {
    Reader reader(outing, file);
    Edit edit;
    if (const auto json = reader.parse(text)) edit = edit_from(reader, *json);
    if (!reader.ok()) return reader.errors();
    return edit;
}

Result<std::string> answer(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
                           const std::string& request, const CheckOptions& options) {
    Reader reader(outing, "request");
    const auto json = reader.parse(request);
    if (!json) return reader.errors();
    reader.known_keys(*json, "", {"timeline", "wishes", "edit"});
    for (const char* key : {"timeline", "edit"})
        if (!json->contains(key) || !(*json)[key].is_object())
            reader.error(key, "an object { ... }", json->contains(key) ? "another value" : "nothing",
                         "send the timeline and the edit");
    if (!reader.ok()) return reader.errors();
    const Edit edit = edit_from(reader, (*json)["edit"]);
    plan::Wishes wishes;
    if (const auto found = json->find("wishes"); found != json->end() && !found->is_null())
        if (reader.is_object(*found, "wishes")) wishes = wishes_from(reader, *found);
    if (!reader.ok()) return reader.errors();
    const Result<Timeline> timeline = read_timeline(outing, dumped((*json)["timeline"]), "request, timeline");
    if (!timeline) return timeline.errors();

    const auto result = apply(outing, windows, situation, timeline.value(), wishes, edit, options);
    Json reply{{"format", "handrail-edited"}, {"version", 1}, {"caution", caution}, {"refused", nullptr}};
    if (const Refused* refused = std::get_if<Refused>(&result))
        reply["refused"] = refused->why;
    else
        reply.update(edited_json(outing, std::get<Edited>(result)));
    return dumped(reply);
}

}  // namespace handrail::edit
