#include "plan/relax.h"

#include <algorithm>
#include <set>

namespace handrail::plan::detail {
namespace {

constexpr Seconds long_enough = std::chrono::hours{24 * 7};

Outing with_later_end(const Outing& outing) {
    Outing copy = outing;
    copy.rules.limit += std::chrono::minutes{30};
    return copy;
}
Outing without_glove_checks(const Outing& outing) {
    Outing copy = outing;
    copy.rules.glove_check_every = Seconds{0};
    return copy;
}
Outing without_rests(const Outing& outing) {
    Outing copy = outing;
    copy.rules.heavy_limit = long_enough;
    return copy;
}
Outing with_partners_apart(const Outing& outing) {
    Outing copy = outing;
    copy.rules.partner_within = long_enough;
    return copy;
}
Outing with_more_voices(const Outing& outing) {
    Outing copy = outing;
    copy.rules.voice_loops = std::max(copy.rules.voice_loops, 8);
    return copy;
}
Outing with_long_tethers(const Outing& outing) {
    Outing copy = outing;
    copy.rules.tether = Metres{1e6};
    return copy;
}
Outing with_more_hands(const Outing& outing) {
    Outing copy = outing;
    for (CrewMember& person : copy.crew) person.carry += 6;
    return copy;
}
Outing at_normal_pace(const Outing& outing) {
    Outing copy = outing;
    copy.rules.large_item_pace = Fraction{1.0};
    return copy;
}
Outing without_task_orders(const Outing& outing) {
    Outing copy = outing;
    for (Task& task : copy.tasks) task.after.clear();
    return copy;
}
Outing with_free_leads(const Outing& outing) {
    Outing copy = outing;
    for (Task& task : copy.tasks) task.lead.reset();
    return copy;
}
Outing without_latest_times(const Outing& outing) {
    Outing copy = outing;
    for (Task& task : copy.tasks) {
        task.starts_by.reset();
        task.ends_by.reset();
    }
    return copy;
}
Outing without_returns(const Outing& outing) {
    Outing copy = outing;
    for (Item& item : copy.items) item.returns = false;
    return copy;
}
Outing without_followers(const Outing& outing) {
    Outing copy = outing;
    for (Order& order : copy.orders) order.within.reset();
    return copy;
}

/// Seconds of [start, end) that no window of the list covers.
Milliseconds uncovered(std::span<const Window> list, Pet start, Pet end) {
    Milliseconds covered{0};
    for (const Window& window : list) {
        const Pet from = std::max(window.from(), start);
        const Pet to = std::min(window.to(), end);
        if (from < to) covered += to - from;
    }
    return (end - start) - std::min(covered, end - start);
}

}  // namespace

Outing relaxed_limit(const Outing& outing) {
    Outing copy = outing;
    copy.rules.limit = copy.rules.limit * 3 + std::chrono::hours{6};
    return copy;
}

Outing without_conditions(const Outing& outing) {
    Outing copy = outing;
    for (Step& step : copy.steps) {
        step.during.clear();
        step.not_during.clear();
    }
    return copy;
}

Outing without_conditions(const Outing& outing, TaskId task) {
    Outing copy = outing;
    for (Step& step : copy.steps) {
        if (step.task != task) continue;
        step.during.clear();
        step.not_during.clear();
    }
    return copy;
}

Outing with_full_suits(const Outing& outing) {
    Outing copy = outing;
    for (SuitType& suit : copy.suits) {
        suit.oxygen.reset();
        suit.co2_capacity.reset();
        suit.feedwater.reset();
        suit.battery.reset();
        suit.breathing_gas.reset();
    }
    return copy;
}

Outing Relaxation::relax(const Outing& outing) const {
    if (relax_plain) return relax_plain(outing);
    Outing copy = outing;
    for (Step& step : copy.steps) {
        std::erase(step.during, condition);
        std::erase(step.not_during, condition);
    }
    return copy;
}

std::vector<Relaxation> relaxations(const Outing& outing) {
    const auto any_task = [&](auto&& what) { return std::ranges::any_of(outing.tasks, what); };
    std::vector<Relaxation> list{{"limit", "with a hard end 30 min later", with_later_end, {}}};
    std::set<std::string> conditions;
    for (const Step& step : outing.steps) {
        conditions.insert(step.during.begin(), step.during.end());
        conditions.insert(step.not_during.begin(), step.not_during.end());
    }
    for (const std::string& condition : conditions)
        list.push_back({"window", "if " + condition + " did not matter", nullptr, condition});
    if (outing.rules.glove_check_every > Seconds{0})
        list.push_back({"glove-check", "without glove checks", without_glove_checks, {}});
    list.push_back({"rest", "without rests for the hands", without_rests, {}});
    list.push_back({"consumable", "with suits that never run out", with_full_suits, {}});
    list.push_back({"partner", "if the two could be any way apart", with_partners_apart, {}});
    if (outing.rules.voice_loops < 2)
        list.push_back({"voice", "with a voice loop for everybody", with_more_voices, {}});
    list.push_back({"tether", "with tethers that reach everywhere", with_long_tethers, {}});
    if (!outing.items.empty()) list.push_back({"capacity", "if each could carry 6 units more", with_more_hands, {}});
    if (std::ranges::any_of(outing.items, [](const Item& item) { return item.size == SizeClass::large; }))
        list.push_back({"translation-time", "if large items slowed nobody", at_normal_pace, {}});
    if (std::ranges::any_of(outing.items, &Item::returns))
        list.push_back({"returns", "if nothing had to be brought back", without_returns, {}});
    if (any_task([](const Task& task) { return !task.after.empty(); }))
        list.push_back({"task-order", "without orders between tasks", without_task_orders, {}});
    if (any_task([](const Task& task) { return task.lead.has_value(); }))
        list.push_back({"who", "if either could lead any task", with_free_leads, {}});
    if (any_task([](const Task& task) { return task.starts_by || task.ends_by; }))
        list.push_back({"task-by", "without latest starts and ends of tasks", without_latest_times, {}});
    if (std::ranges::any_of(outing.orders, [](const Order& order) { return order.within.has_value(); }))
        list.push_back({"order", "if no step had to follow another within a time", without_followers, {}});
    return list;
}

Outside outside_conditions(const Outing& outing, const WindowTable& windows, const Activity& activity) {
    Outside outside;
    if (!activity.step) return outside;
    const Step& step = outing.step(*activity.step);
    const std::string site = step.at ? outing.worksite(*step.at).id : std::string{};
    const auto look = [&](Milliseconds by, const std::string& condition) {
        const Seconds up = std::chrono::ceil<Seconds>(by);
        if (up > outside.by) outside = {up, condition};
    };
    for (const std::string& condition : step.during)
        look(uncovered(windows.of(condition, site), activity.start, activity.end()), condition);
    for (const std::string& condition : step.not_during)
        look(activity.duration - uncovered(windows.of(condition, site), activity.start, activity.end()),
             "no " + condition);
    return outside;
}

}  // namespace handrail::plan::detail
