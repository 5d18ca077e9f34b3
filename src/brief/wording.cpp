#include "brief/wording.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cctype>
#include <map>

#include "brief/message_files.h"

namespace handrail::brief {
namespace {

using Catalogue = std::map<std::string_view, std::string_view>;

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front())) != 0) text.remove_prefix(1);
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back())) != 0) text.remove_suffix(1);
    return text;
}

/// Lines "key = text"; empty lines and lines that begin with # say nothing.
Catalogue read(std::string_view file) {
    Catalogue catalogue;
    while (!file.empty()) {
        const std::size_t end = std::min(file.find('\n'), file.size());
        const std::string_view line = trimmed(file.substr(0, end));
        file.remove_prefix(std::min(end + 1, file.size()));
        const std::size_t equals = line.find(" =");
        if (line.empty() || line.front() == '#' || equals == std::string_view::npos) continue;
        catalogue.emplace(trimmed(line.substr(0, equals)), trimmed(line.substr(equals + 2)));
    }
    return catalogue;
}

const Catalogue& catalogue(Language language) {
    static const std::array catalogues{read(english_messages()), read(german_messages())};
    return catalogues[static_cast<std::size_t>(language)];
}

}  // namespace

std::string_view tag(Language language) { return language == Language::english ? "en" : "de"; }

std::optional<Language> language_of(std::string_view wanted) {
    for (const Language language : all_languages)
        if (tag(language) == wanted) return language;
    return {};
}

std::string Wording::operator()(std::string_view key, std::initializer_list<std::string> values) const {
    const Catalogue& messages = catalogue(language_);
    const auto found = messages.find(key);
    assert(found != messages.end());
    const std::string_view text = found == messages.end() ? key : found->second;
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool place = text[i] == '{' && i + 2 < text.size() && text[i + 2] == '}' && text[i + 1] >= '0' &&
                           text[i + 1] < static_cast<char>('0' + values.size());
        if (!place) {
            out += text[i];
            continue;
        }
        out += values.begin()[text[i + 1] - '0'];
        i += 2;
    }
    return out;
}

std::string Wording::lane(Lane lane) const {
    switch (lane) {
        case Lane::ev1:
        case Lane::ev2:
        case Lane::iv:
            return std::string(word(lane));  // the trade's own names, the same in every language
        case Lane::arm:
            return (*this)("lane.arm");
        case Lane::ground:
            return (*this)("lane.ground");
    }
    return {};
}

std::string Wording::crew(Crew crew) const { return lane(lane_of(crew)); }

std::string Wording::lanes(const Activity& activity) const {
    std::vector<std::string> names;
    for (const Lane one : activity.lanes) names.push_back(lane(one));
    return list(names);
}

std::string Wording::task_class(TaskClass c) const {
    switch (c) {
        case TaskClass::required:
            return (*this)("class.required");
        case TaskClass::wanted:
            return (*this)("class.wanted");
        case TaskClass::get_ahead:
            return (*this)("class.get_ahead");
    }
    return {};
}

std::string Wording::size(SizeClass size) const {
    switch (size) {
        case SizeClass::small:
            return (*this)("size.small");
        case SizeClass::medium:
            return (*this)("size.medium");
        case SizeClass::large:
            return (*this)("size.large");
        case SizeClass::oversize:
            return (*this)("size.oversize");
    }
    return {};
}

std::string Wording::consumable(lifesupport::Consumable c) const {
    using lifesupport::Consumable;
    switch (c) {
        case Consumable::oxygen:
            return (*this)("consumable.oxygen");
        case Consumable::co2:
            return (*this)("consumable.co2");
        case Consumable::water:
            return (*this)("consumable.water");
        case Consumable::battery:
            return (*this)("consumable.battery");
        case Consumable::gas:
            return (*this)("consumable.gas");
    }
    return {};
}

std::string Wording::activity(ActivityKind kind) const {
    switch (kind) {
        case ActivityKind::egress:
            return (*this)("activity.egress");
        case ActivityKind::step:
            return (*this)("activity.step");
        case ActivityKind::translate:
            return (*this)("activity.translate");
        case ActivityKind::tether_swap:
            return (*this)("activity.tether_swap");
        case ActivityKind::pick_up:
            return (*this)("activity.pick_up");
        case ActivityKind::put_down:
            return (*this)("activity.put_down");
        case ActivityKind::glove_check:
            return (*this)("activity.glove_check");
        case ActivityKind::rest:
            return (*this)("activity.rest");
        case ActivityKind::arm_move:
            return (*this)("activity.arm_move");
        case ActivityKind::clean_up:
            return (*this)("activity.clean_up");
        case ActivityKind::ingress:
            return (*this)("activity.ingress");
    }
    return {};
}

std::string Wording::condition(const std::string& name) const {
    if (name == "daylight") return (*this)("condition.daylight");
    if (name == "coverage") return (*this)("condition.coverage");
    if (name == "lit") return (*this)("condition.lit");
    if (name == "glare") return (*this)("condition.glare");
    return name;
}

std::string Wording::title(const Outing& outing, const Activity& act) const {
    const auto site = [&] { return act.path.empty() ? std::string() : outing.worksite(act.path.back()).name; };
    const auto items = [&] {
        std::string names;
        for (const ItemId item : act.items) names += (names.empty() ? "" : ", ") + outing.item(item).name;
        return names;
    };
    switch (act.kind) {
        case ActivityKind::step:
            return outing.step(act.step.value()).name;
        case ActivityKind::translate:
            return (*this)("title.translate", {site()});
        case ActivityKind::tether_swap:
            return (*this)("title.tether_swap", {site()});
        case ActivityKind::pick_up:
            return (*this)("title.pick_up", {items()});
        case ActivityKind::put_down:
            return (*this)("title.put_down", {items()});
        case ActivityKind::arm_move:
            return (*this)("title.arm_move", {site()});
        case ActivityKind::egress:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            return activity(act.kind);
    }
    return {};
}

std::string Wording::number(std::string text) const {
    if (language_ == Language::german) std::ranges::replace(text, '.', ',');
    return text;
}

std::string Wording::list(const std::vector<std::string>& parts) const {
    std::string out;
    for (std::size_t i = 0; i < parts.size(); ++i)
        out += (i == 0 ? "" : i + 1 == parts.size() ? " " + (*this)("and") + " " : ", ") + parts[i];
    return out;
}

std::string Wording::caution() const {
    const std::string own = (*this)("caution");
    return own == handrail::caution ? own : own + " (" + std::string(handrail::caution) + ")";
}

std::vector<std::string> message_keys(Language language) {
    std::vector<std::string> keys;
    for (const auto& [key, text] : catalogue(language)) keys.emplace_back(key);
    return keys;
}

}  // namespace handrail::brief
