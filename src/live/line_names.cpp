#include "live/line_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "outing/nearest.h"

namespace handrail::live::detail {
namespace {

/// Without what people type differently each time: "Bag-2", "bag 2" and "bag_2" are one.
std::string bare(std::string_view text) {
    std::string result;
    for (const char c : lower(text))
        if (c != ' ' && c != '-' && c != '_' && c != '.') result += c;
    return result;
}

std::vector<std::string> tokens(std::string_view text) {
    std::vector<std::string> all;
    std::string token;
    for (const char c : lower(text)) {
        if (c == ' ' || c == '-' || c == '_' || c == '.' || c == ',') {
            if (!token.empty()) all.push_back(std::move(token));
            token.clear();
        } else {
            token += c;
        }
    }
    if (!token.empty()) all.push_back(std::move(token));
    return all;
}

bool is_number(std::string_view token) {
    return !token.empty() && std::ranges::all_of(token, [](char c) { return c >= '0' && c <= '9'; });
}

std::optional<std::size_t> number_in(std::string_view token) {
    std::size_t value = 0;
    const auto read = std::from_chars(token.data(), token.data() + token.size(), value);
    if (token.empty() || read.ec != std::errc{} || read.ptr != token.data() + token.size()) return std::nullopt;
    return value;
}

/// Every word typed is one of the thing's words, or the beginning of one.
bool has_all(const std::vector<std::string>& typed, std::string_view id, std::string_view name) {
    constexpr std::size_t shortest_beginning = 3;
    std::vector<std::string> words = tokens(id);
    for (std::string& word : tokens(name)) words.push_back(std::move(word));
    return !typed.empty() && std::ranges::all_of(typed, [&](const std::string& token) {
        return token == "the" || std::ranges::any_of(words, [&](const std::string& word) {
                   return word == token ||
                          (!is_number(token) && token.size() >= shortest_beginning && word.starts_with(token));
               });
    });
}

template <class List, class Id, class Name>
std::vector<std::size_t> meant(const List& list, const std::string& text, Id id_of, Name name_of) {
    std::vector<std::size_t> found;
    for (std::size_t i = 0; i < list.size(); ++i)
        if (bare(id_of(list[i])) == bare(text) || bare(name_of(list[i])) == bare(text)) return {i};
    const std::vector<std::string> typed = tokens(text);
    for (std::size_t i = 0; i < list.size(); ++i)
        if (has_all(typed, id_of(list[i]), name_of(list[i]))) found.push_back(i);
    return found;
}

/// The one, or a question which of them; `what` is "task", "item" or "worksite".
template <class List, class Id>
std::size_t the_one(const List& list, const std::vector<std::size_t>& found, const std::string& text,
                    std::string_view what, Id id_of) {
    if (found.size() == 1) return found.front();
    if (found.empty()) {
        std::vector<std::string_view> all;
        for (const auto& one : list) all.push_back(id_of(one));
        trouble(fmt::format("There is no {} \"{}\"; {}.", what, text,
                            handrail::detail::did_you_mean(text, all, "name it as in the outing file")));
    }
    std::string names;
    for (const std::size_t i : found) names += (names.empty() ? "" : " or ") + std::string(id_of(list[i]));
    trouble(fmt::format("Which {}: {}?", what, names));
}

constexpr auto task_id = [](const Task& t) -> std::string_view { return t.key; };
constexpr auto task_name = [](const Task& t) -> std::string_view { return t.name; };
constexpr auto item_id = [](const Item& i) -> std::string_view { return i.id; };
constexpr auto item_name = [](const Item& i) -> std::string_view { return i.name; };
constexpr auto site_id = [](const Worksite& w) -> std::string_view { return w.id; };
constexpr auto site_name = [](const Worksite& w) -> std::string_view { return w.name; };

}  // namespace

void trouble(std::string sentence) { throw Trouble{std::move(sentence)}; }

std::string lower(std::string_view text) {
    std::string low(text);
    for (char& c : low)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return low;
}

TaskId Names::task(const std::string& text) const {
    const auto found = meant(outing_.tasks, text, task_id, task_name);
    return static_cast<TaskId>(the_one(outing_.tasks, found, text, "task", task_id));
}
ItemId Names::item(const std::string& text) const {
    const auto found = meant(outing_.items, text, item_id, item_name);
    return static_cast<ItemId>(the_one(outing_.items, found, text, "item", item_id));
}
WorksiteId Names::site(const std::string& text) const {
    const auto& sites = outing_.station.worksites;
    return static_cast<WorksiteId>(the_one(sites, meant(sites, text, site_id, site_name), text, "worksite", site_id));
}
std::optional<WorksiteId> Names::site_if_any(const std::string& text) const {
    const auto found = meant(outing_.station.worksites, text, site_id, site_name);
    return found.size() == 1 ? std::optional(static_cast<WorksiteId>(found.front())) : std::nullopt;
}
std::optional<ItemId> Names::item_if_any(const std::string& text) const {
    const auto found = meant(outing_.items, text, item_id, item_name);
    return found.size() == 1 ? std::optional(static_cast<ItemId>(found.front())) : std::nullopt;
}

std::optional<StepId> Names::step_exactly(const std::string& text) const {
    for (const Step& step : outing_.steps)
        if (lower(step.label) == lower(text)) return step.id;
    const auto dot = text.find('.');
    if (dot == std::string::npos) return std::nullopt;
    const auto task = number_in(std::string_view(text).substr(0, dot));
    const auto step = number_in(std::string_view(text).substr(dot + 1));
    if (!task || !step || *task < 1 || *task > outing_.tasks.size()) return std::nullopt;
    const auto& steps = outing_.tasks[*task - 1].steps;
    return *step >= 1 && *step <= steps.size() ? std::optional(steps[*step - 1]) : std::nullopt;
}

/// "D2": tasks are lettered in the file's order, without I and O, as on the printed sheets.
std::optional<StepId> Names::step_by_code(const std::string& text) const {
    constexpr std::string_view letters = "abcdefghjklmnpqrstuvwxyz";
    const std::string code = lower(text);
    std::size_t at = 0;
    std::size_t task = 0;
    for (; at < code.size() && letters.find(code[at]) != std::string_view::npos && at < 3; ++at)
        task = task * letters.size() + letters.find(code[at]) + 1;
    const auto step = number_in(std::string_view(code).substr(at));
    if (task < 1 || task > outing_.tasks.size() || !step) return std::nullopt;
    const auto& steps = outing_.tasks[task - 1].steps;
    return *step >= 1 && *step <= steps.size() ? std::optional(steps[*step - 1]) : std::nullopt;
}

/// "2", "open", "open the panel" within one task.
std::optional<StepId> Names::step_of(const Task& task, const std::string& rest) const {
    if (const auto number = number_in(rest); number && *number >= 1 && *number <= task.steps.size())
        return task.steps[*number - 1];
    std::vector<StepId> found;
    for (const StepId id : task.steps) {
        const Step& step = outing_.step(id);
        const std::string own = step.label.substr(std::min(step.label.size(), task.key.size() + 1));
        if (bare(own) == bare(rest) || bare(step.name) == bare(rest)) return id;
        if (has_all(tokens(rest), own, step.name)) found.push_back(id);
    }
    return found.size() == 1 ? std::optional(found.front()) : std::nullopt;
}

/// Its first words name a task, the others a step of it.
std::optional<StepId> Names::step_of_a_task(const std::string& text) const {
    const std::vector<std::string> words = tokens(text);
    for (std::size_t split = words.size(); split-- > 1;) {
        std::string name;
        for (std::size_t i = 0; i < split; ++i) name += (name.empty() ? "" : " ") + words[i];
        const auto found = meant(outing_.tasks, name, task_id, task_name);
        if (found.size() != 1) continue;
        std::string rest;
        for (std::size_t i = split; i < words.size(); ++i) rest += (rest.empty() ? "" : " ") + words[i];
        if (const auto step = step_of(outing_.tasks[found.front()], rest)) return step;
    }
    return std::nullopt;
}

StepId Names::step(const std::string& text, const Day& day, plan::StepStatus wanted) const {
    if (const auto exact = step_exactly(text)) return *exact;
    if (const auto coded = step_by_code(text)) return *coded;
    const auto of_task = [&](const Task& task) -> StepId {
        for (const StepId id : task.steps)
            if (day.situation.steps[index(id)] == wanted) return id;
        trouble(fmt::format("No step of {} is {}.", task.key,
                            wanted == plan::StepStatus::running ? "running" : "still to do"));
    };
    for (const Task& task : outing_.tasks)
        if (bare(task.key) == bare(text) || bare(task.name) == bare(text)) return of_task(task);
    if (const auto of_one = step_of_a_task(text)) return *of_one;
    // By words of the step's own name; those that can be meant now come first.
    std::vector<StepId> fitting, others;
    for (const Step& step : outing_.steps)
        if (has_all(tokens(text), step.label, step.name))
            (day.situation.steps[index(step.id)] == wanted ? fitting : others).push_back(step.id);
    const std::vector<StepId>& found = fitting.empty() ? others : fitting;
    if (found.size() == 1) return found.front();
    const auto tasks = meant(outing_.tasks, text, task_id, task_name);
    if (tasks.size() == 1) return of_task(outing_.tasks[tasks.front()]);
    constexpr std::size_t most_named = 4;
    if (found.size() > 1 && found.size() <= most_named) {
        std::string names;
        for (const StepId step : found) names += (names.empty() ? "" : " or ") + outing_.step(step).label;
        trouble(fmt::format("Which step: {}?", names));
    }
    std::vector<std::string_view> all;
    for (const Step& step : outing_.steps) all.push_back(step.label);
    trouble(fmt::format(
        "There is no step \"{}\"; {}.", text,
        handrail::detail::did_you_mean(
            text, all, "name it by its label, such as " + std::string(all.empty() ? "valve.1" : all.front()))));
}

}  // namespace handrail::live::detail
