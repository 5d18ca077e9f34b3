#include "live/present.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace handrail::live {
namespace {

using plan::ItemPlace;
using plan::StepStatus;

/// A condition of our own: nobody works at this worksite while it holds.
std::string closed_condition(const Outing& outing, WorksiteId site) { return "closed: " + outing.worksite(site).id; }

bool touches(const Route& route, WorksiteId site) { return route.a == site || route.b == site; }

/// Every worksite that can be reached from the airlock without passing the closed ones.
std::vector<bool> reached(const Station& station, const std::set<WorksiteId>& closed) {
    std::vector<bool> there(station.worksites.size(), false);
    there[index(station.airlock)] = true;
    for (bool grew = true; grew;) {
        grew = false;
        for (const Route& route : station.routes) {
            if (closed.contains(route.a) || closed.contains(route.b)) continue;
            if (there[index(route.a)] == there[index(route.b)]) continue;
            there[index(route.a)] = there[index(route.b)] = grew = true;
        }
    }
    return there;
}

/// Where an item is, followed out of its bag; nothing when somebody carries it or it is lost.
std::optional<WorksiteId> site_of(const std::vector<ItemPlace>& items, ItemId item) {
    const ItemPlace& place = items[index(item)];
    switch (place.where) {
        case ItemPlace::Where::loose:
        case ItemPlace::Where::installed:
            return place.site;
        case ItemPlace::Where::in_bag:
            return site_of(items, place.bag);
        case ItemPlace::Where::carried:
        case ItemPlace::Where::lost:
            return std::nullopt;
    }
    return std::nullopt;
}

bool lost(const std::vector<ItemPlace>& items, ItemId item) {
    const ItemPlace& place = items[index(item)];
    if (place.where == ItemPlace::Where::in_bag) return lost(items, place.bag);
    return place.where == ItemPlace::Where::lost;
}

}  // namespace

Present::Present(const Outing& outing, const Day& day) : outing_(outing), day_(day), situation_(day.situation) {
    take_substitutes();
    take_delays();
    close_worksites();
    leave_out_what_cannot_be();
}

Outing& Present::change() {
    if (!changed_) changed_ = outing_;
    return *changed_;
}

void Present::take_substitutes() {
    for (std::size_t i = 0; i < day_.stands_in.size(); ++i) {
        const auto item = static_cast<ItemId>(i);
        const ItemId by = day_.stands_in[i];
        if (by == item) continue;
        for (Step& step : change().steps) {
            if (situation_.steps[index(step.id)] != StepStatus::to_do) continue;
            std::ranges::replace(step.needs, item, by);
        }
    }
}

void Present::take_delays() {
    for (std::size_t s = 0; s < day_.delay.size(); ++s) {
        if (day_.delay[s] == Seconds{0} || situation_.steps[s] != StepStatus::to_do) continue;
        Step& step = change().steps[s];
        // The time said is time on the clock, the step's own times are those of a person with factor one.
        double slowest = 1;
        if (std::ranges::any_of(step.who, [](Role r) { return r == Role::lead || r == Role::helper; }))
            slowest = std::max({outing_.crew[0].experience_factor, outing_.crew[1].experience_factor, 0.1});
        const Seconds more{static_cast<std::int64_t>(static_cast<double>(day_.delay[s].count()) / slowest)};
        constexpr Seconds least{1};
        step.duration.low = std::max(least, step.duration.low + more);
        step.duration.likely = std::max(step.duration.low, step.duration.likely + more);
        step.duration.high = std::max(step.duration.likely, step.duration.high + more);
    }
}

void Present::close_worksites() {
    const Pet now = situation_.now;
    std::set<WorksiteId> for_good;
    for (const Closure& closure : day_.closed) {
        if (closure.to && *closure.to <= now) continue;
        const Pet to = closure.to.value_or(pet(Seconds{7 * 86400}));
        const std::string condition = closed_condition(outing_, closure.site);
        if (!closed_windows_) closed_windows_ = day_.windows;
        closed_windows_->set(condition, "", {Window(std::min(closure.from, to - Seconds{1}), to)});
        for (Step& step : change().steps)
            if ((step.at == closure.site || step.to == closure.site) &&
                situation_.steps[index(step.id)] == StepStatus::to_do)
                step.not_during.push_back(condition);
        if (!closure.to) for_good.insert(closure.site);
    }
    if (for_good.empty()) return;
    for (std::size_t i = 0; i < situation_.items.size(); ++i)
        if (const auto site = site_of(situation_.items, static_cast<ItemId>(i)); site && for_good.contains(*site))
            situation_.items[i].where = ItemPlace::Where::lost;
    // Ways around, where everybody who is outside can still come home and every other worksite be reached; a worksite
    // that others lie behind is passed all the same, and a finding says so.
    std::set<WorksiteId> shut = for_good;
    for (const Crew crew : both_crew) shut.erase(day_.at[index(crew)]);
    for (const Crew crew : both_crew) shut.erase(situation_.crew[index(crew)].at);
    shut.erase(outing_.station.airlock);
    for (const WorksiteId site : std::set<WorksiteId>(shut)) {
        const std::vector<bool> there = reached(outing_.station, shut);
        const std::vector<bool> all = reached(outing_.station, {});
        for (std::size_t w = 0; w < there.size(); ++w)
            if (all[w] && !there[w] && !shut.contains(static_cast<WorksiteId>(w))) {
                shut.erase(site);
                break;
            }
    }
    std::erase_if(change().station.routes, [&](const Route& route) {
        return std::ranges::any_of(shut, [&](WorksiteId site) { return touches(route, site); });
    });
}

bool Present::window_left(const Step& step) const {
    if (step.during.empty() && step.not_during.empty()) return true;
    const std::string site = step.at ? outing_.worksite(*step.at).id : std::string{};
    const Seconds length =
        std::min(planned_duration(outing(), step, Crew::ev1), planned_duration(outing(), step, Crew::ev2));
    // Every moment at which the step could begin: now, and whenever a condition begins to hold or ceases to be
    // forbidden.
    std::vector<Pet> starts{std::max(situation_.now, Pet{})};
    for (const std::string& condition : step.during)
        for (const Window& window : windows().of(condition, site)) starts.push_back(window.from());
    for (const std::string& condition : step.not_during)
        for (const Window& window : windows().of(condition, site)) starts.push_back(window.to());
    return std::ranges::any_of(starts, [&](Pet start) {
        if (start < situation_.now) return false;
        const auto holds = [&](const std::string& condition) {
            return std::ranges::any_of(windows().of(condition, site),
                                       [&](const Window& w) { return w.holds(start, length); });
        };
        const auto forbids = [&](const std::string& condition) {
            return std::ranges::any_of(windows().of(condition, site),
                                       [&](const Window& w) { return w.touches(start, length); });
        };
        return std::ranges::all_of(step.during, holds) && std::ranges::none_of(step.not_during, forbids);
    });
}

/// Why a step can never be done from here on; "" when nothing is known to stand in its way.
std::string Present::hindrance(const Step& step) const {
    const bool arm = step.arm != ArmUse::none || std::ranges::find(step.who, Role::arm) != step.who.end();
    if (arm && !situation_.arm_available) return "the arm is lost";
    for (const auto* list : {&step.needs, &step.leaves, &step.installs, &step.takes, &step.moves})
        for (const ItemId item : *list)
            if (lost(situation_.items, item))
                return lost(day_.situation.items, item) ? fmt::format("{} is lost", outing_.item(item).name)
                                                        : fmt::format("{} cannot be reached", outing_.item(item).name);
    for (const Closure& closure : day_.closed)
        if (!closure.to && (step.at == closure.site || step.to == closure.site))
            return fmt::format("{} is closed", outing_.worksite(closure.site).name);
    if (!window_left(step)) {
        std::string names;
        for (const auto* list : {&step.during, &step.not_during})
            for (const std::string& name : *list)
                if (!name.starts_with("closed: ")) names += (names.empty() ? "" : ", ") + name;
        return names.empty() ? "its worksite stays closed"
                             : fmt::format("its conditions ({}) do not come up again", names);
    }
    bool anybody = false;
    for (const Crew lead : both_crew) {
        const Task& task = outing_.task(step.task);
        if (task.lead && *task.lead != lead) continue;
        if (const auto& bound = situation_.lead[index(step.task)]; bound && *bound != lead) continue;
        anybody =
            anybody || std::ranges::all_of(crew_in(step, lead), [&](Crew c) { return situation_.crew[index(c)].able; });
    }
    return anybody ? "" : "nobody is free for it";
}

void Present::leave_out_what_cannot_be() {
    for (const Task& task : outing_.tasks) {
        if (situation_.dropped[index(task.id)]) continue;
        std::string why;
        for (const StepId id : task.steps) {
            const Step& step = outing().step(id);
            if (situation_.steps[index(id)] == StepStatus::to_do && why.empty()) why = hindrance(step);
        }
        if (why.empty()) continue;
        situation_.dropped[index(task.id)] = true;
        cannot_.push_back({task.id, std::move(why)});
    }
    // What is left of a task that is left out are its close-ups; those that cannot be done either stay undone, and the
    // checker says that the worksite is left open.
    for (const Task& task : outing_.tasks)
        if (situation_.dropped[index(task.id)])
            for (const StepId id : task.steps)
                if (situation_.steps[index(id)] == StepStatus::to_do && outing().step(id).close_up &&
                    !hindrance(outing().step(id)).empty())
                    situation_.steps[index(id)] = StepStatus::skipped;
}

CheckOptions Present::facts(const std::vector<TaskId>& dropped) const {
    CheckOptions facts;
    facts.dropped = dropped;
    for (const Task& task : outing_.tasks)
        if (day_.situation.dropped[index(task.id)] && std::ranges::find(dropped, task.id) == dropped.end())
            facts.dropped.push_back(task.id);
    for (const Crew crew : both_crew)
        if (!day_.situation.crew[index(crew)].able) facts.unable.push_back(crew);
    if (!day_.situation.arm_available) facts.unavailable.push_back(Lane::arm);
    for (std::size_t i = 0; i < day_.items.size(); ++i)
        if (lost(day_.items, static_cast<ItemId>(i))) facts.lost.push_back(static_cast<ItemId>(i));
    for (std::size_t i = 0; i < day_.items.size(); ++i) {
        const ItemPlace& place = day_.items[i];
        ItemFact fact{static_cast<ItemId>(i), ItemFact::Where::loose, place.site, place.bag, place.carrier};
        switch (place.where) {
            case ItemPlace::Where::loose:
                break;
            case ItemPlace::Where::in_bag:
                fact.where = ItemFact::Where::in_bag;
                break;
            case ItemPlace::Where::carried:
                fact.where = ItemFact::Where::in_hand;
                break;
            case ItemPlace::Where::installed:
                fact.where = ItemFact::Where::installed;
                break;
            case ItemPlace::Where::lost:
                fact.where = ItemFact::Where::lost;
                break;
        }
        facts.items.push_back(fact);
    }
    facts.items_at = day_.pet_now();
    return facts;
}

}  // namespace handrail::live
