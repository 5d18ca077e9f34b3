#include "timeline/timeline.h"

#include <algorithm>
#include <tuple>

namespace handrail {

std::string_view word(ActivityKind kind) {
    switch (kind) {
        case ActivityKind::egress:
            return "egress";
        case ActivityKind::step:
            return "step";
        case ActivityKind::translate:
            return "translate";
        case ActivityKind::tether_swap:
            return "tether_swap";
        case ActivityKind::pick_up:
            return "pick_up";
        case ActivityKind::put_down:
            return "put_down";
        case ActivityKind::glove_check:
            return "glove_check";
        case ActivityKind::rest:
            return "rest";
        case ActivityKind::arm_move:
            return "arm_move";
        case ActivityKind::clean_up:
            return "clean_up";
        case ActivityKind::ingress:
            return "ingress";
    }
    return "";
}

bool Activity::on(Lane lane) const { return std::ranges::find(lanes, lane) != lanes.end(); }

Pet Timeline::finish() const {
    Pet last = pet(Seconds{0});
    for (const Activity& activity : activities)
        if (activity.on(Lane::ev1) || activity.on(Lane::ev2)) last = std::max(last, activity.end());
    return last;
}

std::optional<Crew> Timeline::lead_of(TaskId task) const {
    for (const Binding& binding : bindings)
        if (binding.task == task) return binding.lead;
    return std::nullopt;
}

void put_in_order(Timeline& timeline) {
    const auto key = [](const Activity& a) {
        return std::tuple(a.start, a.lanes.empty() ? Lane::ground : a.lanes.front(), a.kind);
    };
    std::ranges::stable_sort(timeline.activities, {}, key);
}

Effort effort_of(const Outing& outing, const Activity& activity, SizeClass load) {
    switch (activity.kind) {
        case ActivityKind::step: {
            const Step& step = outing.step(activity.step.value());
            // A ride that is done hand over hand works like any translation.
            if (step.by_hand && !activity.on(Lane::arm))
                return load >= SizeClass::large ? Effort::heavy : Effort::translate;
            return step.effort;
        }
        case ActivityKind::translate:
            return load >= SizeClass::large ? Effort::heavy : Effort::translate;
        case ActivityKind::egress:
        case ActivityKind::ingress:
            return Effort::airlock;
        case ActivityKind::tether_swap:
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
        case ActivityKind::glove_check:
        case ActivityKind::clean_up:
            return Effort::light;
        case ActivityKind::rest:
        case ActivityKind::arm_move:
            return Effort::rest;
    }
    return Effort::rest;
}

namespace {

std::string names_of(const Outing& outing, const std::vector<ItemId>& items) {
    std::string text;
    for (const ItemId item : items) text += (text.empty() ? "" : ", ") + outing.item(item).name;
    return text;
}

/// " to Radiator root"; nothing where the activity names no place.
std::string place(const Outing& outing, std::string_view preposition, const Activity& activity) {
    if (activity.path.empty()) return {};
    return " " + std::string(preposition) + " " + outing.worksite(activity.path.back()).name;
}

}  // namespace

std::string title(const Outing& outing, const Activity& activity) {
    switch (activity.kind) {
        case ActivityKind::egress:
            return "egress";
        case ActivityKind::step: {
            const Step& step = outing.step(activity.step.value());
            return outing.task(step.task).name + ": " + step.name;
        }
        case ActivityKind::translate:
            return "translate" + place(outing, "to", activity);
        case ActivityKind::tether_swap:
            return "swap tether" + place(outing, "at", activity);
        case ActivityKind::pick_up:
            return "pick up " + names_of(outing, activity.items);
        case ActivityKind::put_down:
            return "put down " + names_of(outing, activity.items);
        case ActivityKind::glove_check:
            return "glove check";
        case ActivityKind::rest:
            return "rest";
        case ActivityKind::arm_move:
            return "move the arm" + place(outing, "to", activity);
        case ActivityKind::clean_up:
            return "clean up";
        case ActivityKind::ingress:
            return "ingress";
    }
    return {};
}

}  // namespace handrail
