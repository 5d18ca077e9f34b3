#include "serve/feed.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

namespace handrail::serve {
namespace {

using nlohmann::json;

json changed_entries(const json& before, const json& after) {
    std::map<std::uint64_t, const json*> known;
    for (const json& entry : before)
        if (entry.contains("position")) known[entry["position"].get<std::uint64_t>()] = &entry;
    json changed = json::array();
    for (const json& entry : after) {
        if (!entry.contains("position")) continue;
        const auto found = known.find(entry["position"].get<std::uint64_t>());
        if (found == known.end() || *found->second != entry) changed.push_back(entry);
    }
    return changed;
}

/// Entries of this record are told apart by their position; the public's have none and travel whole.
bool by_position(const json& record) {
    return record.is_array() && std::ranges::all_of(record, [](const json& entry) {
               return entry.is_object() && entry.contains("position");
           });
}

/// True for a change in which nothing but the document's own time differs.
bool only_the_clock(const std::string& change) {
    const json document = json::parse(change);
    return document["entries"].empty() && document["set"].size() == 1 && document["set"].contains("utc");
}

}  // namespace

std::string event_frame(const std::string& event, const std::string& data, std::optional<std::uint64_t> id) {
    std::string frame;
    if (id) frame += fmt::format("id: {}\n", *id);
    frame += fmt::format("event: {}\n", event);
    // A line break inside the data would end the field, so each line gets a field of its own.
    std::size_t at = 0;
    while (at <= data.size()) {
        const std::size_t end = std::min(data.find('\n', at), data.size());
        frame += "data: ";
        frame.append(data, at, end - at);
        frame += '\n';
        at = end + 1;
    }
    frame += '\n';
    return frame;
}

std::optional<std::string> change_between(const std::string& before, const std::string& after) {
    const json old_document = json::parse(before), new_document = json::parse(after);
    json set = json::object(), entries = json::array();
    for (const auto& [key, value] : new_document.items()) {
        const auto old_value = old_document.find(key);
        if (old_value != old_document.end() && *old_value == value) continue;
        // An entry never leaves a record that told entries apart; where one did, the record travels whole.
        if (key == "record" && old_value != old_document.end() && by_position(*old_value) && by_position(value) &&
            value.size() >= old_value->size())
            entries = changed_entries(*old_value, value);
        else
            set[key] = value;
    }
    for (const auto& [key, value] : old_document.items())
        if (!new_document.contains(key)) set[key] = nullptr;
    if (set.empty() && entries.empty()) return std::nullopt;
    return json{{"set", std::move(set)}, {"entries", std::move(entries)}}.dump();
}

void Listener::push(const Frame& frame) {
    if (lost) return;
    if (write_now && queue.empty() && !writing) {
        const std::size_t written = write_now(*frame);
        if (written < frame->size()) queue.push_back(std::make_shared<const std::string>(frame->substr(written)));
        return;
    }
    if (queue.size() >= longest_queue) {
        lost = true;
        return;
    }
    queue.push_back(frame);
}

std::vector<Role> wanted(const Listeners& listeners, const AllTold& told, std::uint64_t newest, bool refresh) {
    std::vector<Role> roles;
    for (const Role role : all_roles) {
        const auto known = told.find(role);
        const bool news = known == told.end() || known->second.position != newest;
        const bool lacking = std::ranges::any_of(listeners, [&](const auto& listener) {
            return !listener->lost && listener->role == role && (news || refresh || !listener->has_status);
        });
        if (lacking) roles.push_back(role);
    }
    return roles;
}

AllTold work_out(Backend& backend, const std::vector<Role>& roles, const AllTold& before, Utc now) {
    AllTold all;
    for (const Role role : roles) {
        Told& told = all[role];
        // Read before the document is made: an entry written in between is then told again, never missed.
        told.position = backend.newest();
        told.document = role == Role::public_view ? backend.public_json(now) : backend.status_json(role, now);
        // Journal positions would tell the public that something was written which they may not read.
        const auto id = role == Role::public_view ? std::nullopt : std::optional(told.position);
        told.whole = std::make_shared<const std::string>(event_frame("status", told.document, id));
        const auto known = before.find(role);
        if (known == before.end()) continue;
        const std::optional<std::string> change = change_between(known->second.document, told.document);
        // Nor does a frame go out to them at the moment of an entry that changes nothing they may see.
        if (change && (role != Role::public_view || !only_the_clock(*change)))
            told.change = std::make_shared<const std::string>(event_frame("change", *change, id));
    }
    return all;
}

void tell(const Listeners& listeners, const AllTold& told) {
    for (const auto& listener : listeners) {
        const auto found = told.find(listener->role);
        if (found == told.end()) continue;
        if (!listener->has_status)
            listener->push(found->second.whole);
        else if (found->second.change)
            listener->push(found->second.change);
        listener->has_status = true;
    }
}

void beat(const Listeners& listeners, Utc now, std::uint64_t newest) {
    const auto frame = std::make_shared<const std::string>(
        event_frame("beat", fmt::format(R"({{"utc":"{}","position":{}}})", print_utc(now), newest), std::nullopt));
    const auto bare = std::make_shared<const std::string>(
        event_frame("beat", fmt::format(R"({{"utc":"{}"}})", print_utc(now)), std::nullopt));
    for (const auto& listener : listeners) listener->push(listener->role == Role::public_view ? bare : frame);
}

}  // namespace handrail::serve
