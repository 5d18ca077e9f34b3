#include "live/what_if.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "live/json_parts.h"

namespace handrail::live {
namespace {

struct Question {
    std::string line, title;
};

/// Steps to come, soonest first.
std::vector<StepId> steps_ahead(const Forecast& forecast) {
    std::vector<StepId> steps;
    for (const AsRun& run : forecast.ahead)
        if (run.activity.step) steps.push_back(*run.activity.step);
    return steps;
}

std::vector<Question> slips() {
    return {{"slip 15 min", "PET zero slips by 15 min"},
            {"slip 30 min", "PET zero slips by 30 min"},
            {"slip 60 min", "PET zero slips by 60 min"}};
}

void ask_about_tools(const Outing& outing, const std::vector<StepId>& ahead, std::vector<Question>& questions) {
    constexpr std::size_t most = 4;
    std::map<ItemId, std::set<TaskId>> tasks;
    for (const StepId id : ahead)
        for (const ItemId item : outing.step(id).needs) tasks[item].insert(outing.step(id).task);
    std::vector<std::pair<ItemId, std::size_t>> tools;
    for (const auto& [item, needing] : tasks) tools.emplace_back(item, needing.size());
    std::ranges::stable_sort(tools, [](const auto& a, const auto& b) { return a.second > b.second; });
    for (std::size_t i = 0; i < std::min(most, tools.size()); ++i) {
        const Item& item = outing.item(tools[i].first);
        questions.push_back({item.id + " lost", item.name + " is lost"});
    }
}

void ask_about_places(const Outing& outing, const Day& day, const std::vector<StepId>& ahead,
                      std::vector<Question>& questions) {
    constexpr std::size_t most = 3;
    std::vector<WorksiteId> sites;
    for (const StepId id : ahead) {
        const auto site = outing.step(id).at;
        const bool closed = std::ranges::any_of(
            day.closed, [&](const Closure& c) { return c.site == site && (!c.to || *c.to > day.pet_now()); });
        if (!site || closed || *site == outing.station.airlock || std::ranges::find(sites, *site) != sites.end())
            continue;
        if (sites.size() < most) sites.push_back(*site);
    }
    for (const WorksiteId site : sites)
        questions.push_back(
            {outing.worksite(site).id + " closed", fmt::format("nobody can work at {}", outing.worksite(site).name)});
}

std::vector<Question> questions_of(const Outing& outing, const Day& day, const Forecast& now) {
    if (!day.pet_running) return slips();
    std::vector<Question> questions;
    const std::vector<StepId> ahead = steps_ahead(now);
    const auto any = [&](auto&& test) {
        return std::ranges::any_of(ahead, [&](StepId id) { return test(outing.step(id)); });
    };
    if (day.situation.arm_available && any([](const Step& s) { return s.arm != ArmUse::none; }))
        questions.push_back({"arm lost", "the arm is lost"});
    ask_about_tools(outing, ahead, questions);
    if (any([](const Step& s) { return std::ranges::find(s.during, "coverage") != s.during.end(); }))
        questions.push_back({"no coverage", "coverage is lost for good"});
    for (const Crew crew : both_crew)
        if (day.situation.crew[index(crew)].able && day.outside[index(crew)])
            questions.push_back(
                {std::string(word(crew)) + " unable", fmt::format("{} can do nothing more", word(crew))});
    ask_about_places(outing, day, ahead, questions);
    return questions;
}

}  // namespace

std::variant<std::vector<Recorded>, NotUnderstood> suppose(const Outing& outing, const WindowSource& windows,
                                                           std::span<const Recorded> entries, const Day& day,
                                                           std::span<const std::string> lines) {
    std::vector<Recorded> supposed(entries.begin(), entries.end());
    for (const std::string& line : lines) {
        const Day before = fold(outing, windows, supposed, day.now);
        auto read = read_line(outing, supposed, before, line);
        if (const auto* no = std::get_if<NotUnderstood>(&read)) return *no;
        const Position position{supposed.size() + 1};
        supposed.push_back({position, entry_of(std::get<Understood>(read), before, "supposed", day.now), {}});
        for (const Unapplied& one : fold(outing, windows, supposed, day.now).unapplied)
            if (one.position == position)
                return NotUnderstood{fmt::format("\"{}\" would change nothing: {}.", line, one.why)};
    }
    return supposed;
}

std::vector<WhatIf> what_ifs_of(const Outing& outing, const WindowSource& windows, std::span<const Recorded> entries,
                                const Day& day) {
    std::vector<WhatIf> result;
    if (!day.plan || !can_replan(day) || day.stand_down) return result;
    const Forecast now = carry_on(outing, day);
    for (const Question& question : questions_of(outing, day, now)) {
        const std::vector<std::string> lines{question.line};
        const auto supposed = suppose(outing, windows, entries, day, lines);
        if (!std::holds_alternative<std::vector<Recorded>>(supposed)) continue;
        const Day then = fold(outing, windows, std::get<std::vector<Recorded>>(supposed), day.now);
        result.push_back({question.line, question.title, likeliest_way(outing, then, now)});
    }
    std::ranges::stable_sort(result, [](const WhatIf& a, const WhatIf& b) {
        if (a.then.required_left.size() != b.then.required_left.size())
            return a.then.required_left.size() > b.then.required_left.size();
        return a.then.value < b.then.value;
    });
    return result;
}

std::string print(const Outing& outing, const Day& day, const std::vector<WhatIf>& what_ifs) {
    if (what_ifs.empty()) return "There is nothing left to decide.\n";
    std::string text = fmt::format("What if, at PET {}; nothing is written\n", print_pet(day.pet_now()));
    for (const WhatIf& one : what_ifs) {
        text += fmt::format("\n{}   (--if \"{}\")\n  {}done {} of {} tasks, value {:g}, both in at PET {}", one.title,
                            one.line, one.then.id == "replan" ? "re-planned: " : "", one.then.done.size(),
                            outing.tasks.size(), one.then.value, print_pet(one.then.forecast.finish));
        if (one.then.tightest)
            text += fmt::format(", tightest {} with {} in hand", words(*one.then.tightest),
                                print_duration(std::chrono::floor<std::chrono::minutes>(one.then.tightest->in_hand)));
        text += "\n";
        for (const Cannot& cannot : one.then.cannot)
            text += fmt::format("  {} cannot be done: {}\n", outing.task(cannot.task).name, cannot.why);
        if (!one.then.findings.empty())
            text += fmt::format("  breaks {} rule{}, first {}\n", one.then.findings.size(),
                                one.then.findings.size() == 1 ? "" : "s", one.then.findings.front().rule);
    }
    return text + std::string(caution) + "\n";
}

std::string what_ifs_json(const Outing& outing, const Day& day, const std::vector<WhatIf>& what_ifs) {
    using detail::OrderedJson;
    OrderedJson list = OrderedJson::array();
    for (const WhatIf& one : what_ifs) {
        OrderedJson branch = option_json(outing, day, one.then);
        branch.erase("activities");
        branch.erase("stand_down");
        list.push_back({{"line", one.line}, {"title", one.title}, {"then", std::move(branch)}});
    }
    return detail::dumped({{"format", "handrail-what-if"},
                           {"version", 1},
                           {"position", number(day.position)},
                           {"utc", print_utc(day.now)},
                           {"pet_s", detail::pet_s(day.pet_now())},
                           {"branches", std::move(list)},
                           {"caution", caution}});
}

}  // namespace handrail::live
