#include "plan/relax.h"

#include <algorithm>
#include <set>

#include "lifesupport/consumption.h"
#include "lifesupport/metabolism.h"

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

Outing without_quiet(const Outing& outing) {
    Outing copy = outing;
    copy.rules.quiet.clear();
    return copy;
}
Outing with_enough_resources(const Outing& outing) {
    Outing copy = outing;
    for (Resource& resource : copy.resources) resource.capacity = 1e9;
    return copy;
}
Outing without_arm_clear(const Outing& outing) {
    Outing copy = outing;
    copy.station.arm->clears.clear();
    return copy;
}
Outing without_gaps(const Outing& outing) {
    Outing copy = outing;
    for (Order& order : copy.orders) order.gap = Seconds{0};
    return copy;
}
/// Never both, and neither stands for the other.
bool excluded(const Task& task, TaskId other) {
    return std::ranges::find(task.instead_of, other) == task.instead_of.end();
}
Outing without_exclusions(const Outing& outing) {
    Outing copy = outing;
    for (Task& task : copy.tasks) std::erase_if(task.not_with, [&](TaskId other) { return excluded(task, other); });
    return copy;
}

std::vector<Window> clipped(std::span<const Window> list, Pet from, Pet to) {
    std::vector<Window> parts;
    for (const Window& window : list)
        if (const Pet start = std::max(window.from(), from), end = std::min(window.to(), to); start < end)
            parts.emplace_back(start, end);
    return parts;
}
/// What of [from, to) the parts, which lie in it and are in order, leave out.
std::vector<Window> gaps_between(const std::vector<Window>& parts, Pet from, Pet to) {
    std::vector<Window> gaps;
    for (const Window& part : parts) {
        if (from < part.from()) gaps.emplace_back(from, part.from());
        from = part.to();
    }
    if (from < to) gaps.emplace_back(from, to);
    return gaps;
}

}  // namespace

Outing without_latest_times(const Outing& outing) {
    Outing copy = outing;
    for (Task& task : copy.tasks) {
        task.starts_by.reset();
        task.ends_by.reset();
    }
    return copy;
}

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

Outing with_longer_suits(const Outing& outing, Seconds by) {
    Outing copy = outing;
    for (SuitType& suit : copy.suits) {
        lifesupport::Amounts more{};
        for (const Crew c : both_crew) {
            if (&outing.suit_of(c) != &outing.suits[static_cast<std::size_t>(&suit - copy.suits.data())]) continue;
            const Watts rate = lifesupport::metabolic_rate(outing.rules, outing.person(c), Effort::translate);
            const lifesupport::Amounts draw = lifesupport::draw_per_second(suit, rate, true);
            for (std::size_t i = 0; i < more.size(); ++i)
                more[i] = std::max(more[i], draw[i] * static_cast<double>(by.count()));
        }
        const auto add = [&more](auto& full, lifesupport::Consumable what) {
            using Unit = std::remove_cvref_t<decltype(*full)>;
            if (full) full = Unit{full->value() + more[static_cast<std::size_t>(what)]};
        };
        add(suit.oxygen, lifesupport::Consumable::oxygen);
        add(suit.co2_capacity, lifesupport::Consumable::co2);
        add(suit.feedwater, lifesupport::Consumable::water);
        add(suit.battery, lifesupport::Consumable::battery);
        add(suit.breathing_gas, lifesupport::Consumable::gas);
    }
    return copy;
}

Outing without_work_limits(const Outing& outing) {
    Outing copy = outing;
    for (CrewMember& person : copy.crew) {
        person.work_limit.reset();
        person.heavy_total.reset();
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
    if (std::ranges::any_of(outing.orders, [](const Order& order) { return order.gap > Seconds{0}; }))
        list.push_back({"order", "without least gaps between steps", without_gaps, {}});
    if (any_task([](const Task& task) {
            return std::ranges::any_of(task.not_with, [&](TaskId other) { return excluded(task, other); });
        }))
        list.push_back({"task-not-with", "if no tasks excluded each other", without_exclusions, {}});
    if (!outing.rules.quiet.empty()) list.push_back({"quiet", "without quiet periods", without_quiet, {}});
    if (!outing.resources.empty())
        list.push_back({"resource", "with enough of every resource", with_enough_resources, {}});
    if (outing.station.arm && !outing.station.arm->clears.empty())
        list.push_back({"arm-clear", "if nobody had to keep clear of the arm", without_arm_clear, {}});
    if (std::ranges::any_of(outing.crew, [](const CrewMember& p) { return p.work_limit || p.heavy_total; }))
        list.push_back({"person-limit", "without limits on each one's work", without_work_limits, {}});
    return list;
}

std::vector<std::string> quiet_conditions(const Outing& outing, const std::vector<Lane>& lanes) {
    std::vector<std::string> conditions;
    for (const Rules::Quiet& quiet : outing.rules.quiet)
        if (std::ranges::any_of(lanes,
                                [&](Lane lane) { return std::ranges::find(quiet.lanes, lane) != quiet.lanes.end(); }))
            conditions.push_back(quiet.condition);
    return conditions;
}

std::vector<std::string> quiet_conditions(const Outing& outing, const Step& step) {
    std::vector<Lane> lanes;
    for (const Crew lead : both_crew)
        for (const Lane lane : lanes_of(step, lead)) lanes.push_back(lane);
    return quiet_conditions(outing, lanes);
}

WindowTable widened(const WindowTable& windows, const Outing& outing, TaskId task, Seconds by) {
    std::set<std::string> needed;
    std::set<std::string> barred;
    for (const StepId id : outing.task(task).steps) {
        const Step& step = outing.step(id);
        needed.insert(step.during.begin(), step.during.end());
        barred.insert(step.not_during.begin(), step.not_during.end());
        barred.merge([&] {
            const std::vector<std::string> quiet = quiet_conditions(outing, step);
            return std::set<std::string>(quiet.begin(), quiet.end());
        }());
    }
    WindowTable wider = windows;
    for (const auto& [key, list] : windows.all()) {
        const bool longer = needed.contains(key.first);
        if (!longer && !barred.contains(key.first)) continue;
        const Seconds more = longer ? by : -by;
        std::vector<Window> changed;
        for (const Window& window : list)
            if (window.from() - more < window.to() + more)
                changed.emplace_back(window.from() - more, window.to() + more);
        wider.set(key.first, key.second, std::move(changed));
    }
    return wider;
}

std::vector<Outside> outside_conditions(const Outing& outing, const WindowTable& windows, const Activity& activity) {
    std::vector<Outside> stretches;
    if (!activity.step) return stretches;
    const Step& step = outing.step(*activity.step);
    const std::string site = step.at ? outing.worksite(*step.at).id : std::string{};
    const auto add = [&](const std::string& condition, const std::string& worksite, bool needed) {
        const std::vector<Window> held = clipped(windows.of(condition, worksite), activity.start, activity.end());
        for (const Window& part : needed ? gaps_between(held, activity.start, activity.end()) : held)
            stretches.push_back({step.id, condition, windows.all().contains({condition, worksite}) ? worksite : "",
                                 needed, std::chrono::floor<Seconds>(part.from()),
                                 std::chrono::ceil<Seconds>(part.to())});
    };
    for (const std::string& condition : step.during) add(condition, site, true);
    for (const std::string& condition : step.not_during) add(condition, site, false);
    for (const std::string& condition : quiet_conditions(outing, activity.lanes)) add(condition, "", false);
    return stretches;
}

WindowTable with_stretches(const WindowTable& windows, const std::vector<Outside>& stretches) {
    WindowTable changed = windows;
    for (const Outside& stretch : stretches) {
        const auto now = changed.of(stretch.condition, stretch.worksite);
        std::vector<Window> list(now.begin(), now.end());
        if (stretch.needed) {
            list.emplace_back(stretch.from, stretch.to);
        } else {
            const Pet never = Pet::max();
            const std::vector<Window> before = clipped(list, Pet::min(), stretch.from);
            const std::vector<Window> after = clipped(list, stretch.to, never);
            list = before;
            list.insert(list.end(), after.begin(), after.end());
        }
        changed.set(stretch.condition, stretch.worksite, std::move(list));
    }
    return changed;
}

}  // namespace handrail::plan::detail
