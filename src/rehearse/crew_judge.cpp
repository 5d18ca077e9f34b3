#include <fmt/format.h>

#include <algorithm>

#include "rehearse/crew_parts.h"

/// What may begin now, when, or not any more.
namespace handrail::rehearse {

using namespace detail;
using plan::ItemPlace;
using plan::StepStatus;

bool World::at_front(std::size_t number) const {
    for (std::size_t i = 0; i < number; ++i)
        for (const Lane lane : to_do_[number].lanes)
            if (to_do_[i].on(lane)) return false;
    return true;
}

bool World::lanes_free(const Activity& activity) const {
    return std::ranges::none_of(running_, [&](const Running& running) {
        return std::ranges::any_of(activity.lanes, [&](Lane lane) { return running.activity.on(lane); });
    });
}

/// When the conditions allow a start next, for as long as the step is planned to take.
std::optional<Pet> World::window_start(const Step& step, Seconds planned, Pet from) const {
    const std::string site = step.at ? outing_.worksite(*step.at).id : "";
    Pet at = from;
    for (bool moved = true; moved;) {
        moved = false;
        for (const std::string& condition : step.during) {
            std::optional<Pet> first;
            for (const Window& window : windows_.of(condition, site)) {
                const Pet start = std::max(at, window.from());
                if (window.holds(start, planned)) {
                    first = start;
                    break;
                }
            }
            if (!first) return std::nullopt;
            moved = moved || *first > at;
            at = *first;
        }
        for (const std::string& condition : step.not_during)
            for (const Window& window : windows_.of(condition, site))
                if (window.touches(at, planned)) {
                    at = window.to();
                    moved = true;
                }
    }
    return at;
}

bool World::in_reach(ItemId item, Crew crew) const {
    const ItemPlace& place = items_[index(item)];
    const ItemPlace& outer = place.where == ItemPlace::Where::in_bag ? items_[index(place.bag)] : place;
    if (outer.where == ItemPlace::Where::carried) return outer.carrier == crew;
    return outer.where != ItemPlace::Where::lost && outer.site == at_[index(crew)];
}

std::optional<ItemId> World::missing(const Step& step) const {
    if (step.close_up) return std::nullopt;
    for (const auto* list : {&step.needs, &step.takes, &step.leaves, &step.installs, &step.moves})
        for (const ItemId item : *list)
            if (items_[index(in_use(item))].where == ItemPlace::Where::lost) return item;
    return std::nullopt;
}

/// How much later the step is better begun, because one that must follow it within a time would have to wait for its
/// window for longer than that.
Seconds World::wait_for_chain(const Step& step, Seconds planned, Pet start) const {
    Seconds wait{0};
    for (const Order& order : outing_.orders) {
        if (order.before != step.id || !order.within) continue;
        const auto next =
            std::ranges::find_if(to_do_, [&](const Activity& other) { return other.step == order.after; });
        if (next == to_do_.end()) continue;
        const Pet end = start + planned;
        const auto then = window_start(outing_.step(order.after), next->duration, end + order.gap);
        // Without a window to come there is nothing to wait for; that is said when it is their turn.
        if (!then) continue;
        wait = std::max(wait, std::chrono::ceil<Seconds>(*then - (end + *order.within)));
        wait = std::max(wait, wait_for_chain(outing_.step(order.after), next->duration, end + order.gap));
    }
    return wait;
}

/// When everybody in a hand-heavy step has had the rest that it needs.
Pet World::rested_at(const Step& step, const Activity& activity) const {
    Pet at = now_;
    if (!is_heavy(step) || outing_.rules.heavy_limit <= Seconds{0}) return at;
    for (const Crew crew : both_crew) {
        const std::size_t c = index(crew);
        if (!activity.on(lane_of(crew)) || heavy_[c] == Seconds{0}) continue;
        if (heavy_[c] + activity.duration > outing_.rules.heavy_limit)
            at = std::max(at, heavy_until_[c] + outing_.rules.rest);
    }
    return at;
}

World::Blocked World::judge_step(const Step& step, const Activity& activity) const {
    if (const auto item = missing(step))
        return {false, true, {}, fmt::format("without the {}", outing_.item(*item).name)};
    if (!arm_works_ && (step.arm != ArmUse::none || activity.on(Lane::arm)))
        return {false, true, {}, "without the arm"};
    for (const Crew crew : both_crew)
        if (!able_[index(crew)] && activity.on(lane_of(crew)))
            return {false, true, {}, fmt::format("without {}", word(crew))};
    Pet at = now_;
    for (const Order& order : outing_.orders) {
        if (order.after != step.id || order.starts_together) continue;
        const StepStatus before = steps_[index(order.before)];
        if (before == StepStatus::done) at = std::max(at, step_end_[index(order.before)] + order.gap);
        const bool to_come =
            std::ranges::any_of(to_do_, [&](const Activity& other) { return other.step == order.before; });
        if (before == StepStatus::running || (before == StepStatus::to_do && to_come)) return {};
    }
    const auto start = window_start(step, activity.duration, at);
    if (!start) return {false, true, {}, "without its light or coverage, which does not come back in time"};
    if (*start > now_) return {false, false, start, {}};
    if (const Seconds wait = wait_for_chain(step, activity.duration, now_); wait > Seconds{0})
        return {false, false, now_ + wait, {}};
    if (const Pet rested = rested_at(step, activity); rested > now_) return {false, false, rested, {}};
    if (has_crew(activity)) {
        const auto talking = std::ranges::count_if(
            running_, [](const Running& running) { return running.activity.step && has_crew(running.activity); });
        const bool together = std::ranges::any_of(outing_.orders, [&](const Order& order) {
            return order.starts_together && (order.after == step.id || order.before == step.id);
        });
        if (talking >= outing_.rules.voice_loops && !together) return {};
    }
    return {true, false, {}, {}};
}

World::Blocked World::judge(const Activity& activity) const {
    if (activity.kind == ActivityKind::egress) {
        const Pet at = Pet{} + luck_.late_start();
        if (now_ < at) return {false, false, at, {}};
        return {true, false, {}, {}};
    }
    std::optional<Pet> until;
    if (auto why = out_of_bounds(activity, until)) {
        if (until) return {false, false, until, {}};
        return {false, true, {}, std::move(*why)};
    }
    // Whoever can do no more moves only with the other beside them.
    const bool alone = has_crew(activity) && !activity.step && !able_[index(one_of(activity))] &&
                       activity.on(Lane::ev1) != activity.on(Lane::ev2);
    if (alone && !met_ && at_[0] != at_[1]) return {};
    if (activity.kind == ActivityKind::pick_up)
        // What the partner is still to bring is waited for.
        for (const ItemId item : activity.items)
            if (items_[index(item)].where != ItemPlace::Where::lost && !in_reach(item, one_of(activity))) return {};
    if (!activity.step) return {true, false, {}, {}};
    const Step& step = outing_.step(*activity.step);
    Blocked blocked = judge_step(step, activity);
    if (!blocked.now) return blocked;
    for (const Order& order : outing_.orders) {
        if (!order.starts_together || (order.before != step.id && order.after != step.id)) continue;
        const StepId other = order.before == step.id ? order.after : order.before;
        if (steps_[index(other)] != StepStatus::to_do) continue;
        for (std::size_t i = 0; i < to_do_.size(); ++i) {
            if (to_do_[i].step != other) continue;
            const bool ready = at_front(i) && lanes_free(to_do_[i]);
            const Blocked its = ready ? judge_step(outing_.step(other), to_do_[i]) : Blocked{};
            if (!its.now) return its.never ? Blocked{} : its;
        }
    }
    return blocked;
}

/// Moves that are behind them already, because the record was behind.
bool World::skippable(const Activity& activity) const {
    if (activity.kind == ActivityKind::arm_move) return !arm_works_ || arm_at_ == activity.path.back();
    if (!has_crew(activity) || activity.path.empty()) return false;
    const std::size_t c = index(one_of(activity));
    switch (activity.kind) {
        case ActivityKind::translate:
            return at_[c] == activity.path.back();
        case ActivityKind::tether_swap:
            return anchor_[c] == activity.path.back() || at_[c] != activity.path.back();
        case ActivityKind::pick_up:
            return std::ranges::all_of(activity.items, [&](ItemId item) {
                const ItemPlace& place = items_[index(item)];
                return place.where == ItemPlace::Where::lost || place.where == ItemPlace::Where::installed ||
                       (place.where == ItemPlace::Where::carried && place.carrier == one_of(activity));
            });
        case ActivityKind::put_down:
            return std::ranges::none_of(activity.items, [&](ItemId item) { return in_reach(item, one_of(activity)); });
        case ActivityKind::egress:
        case ActivityKind::step:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
        case ActivityKind::arm_move:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            return false;
    }
    return false;
}

}  // namespace handrail::rehearse
