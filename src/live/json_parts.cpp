#include "live/json_parts.h"

#include <cmath>

#include "live/status.h"

namespace handrail::live {

std::string words(const Outing& outing, const plan::ItemPlace& place) {
    switch (place.where) {
        case plan::ItemPlace::Where::loose:
            return "at " + outing.worksite(place.site).name;
        case plan::ItemPlace::Where::in_bag:
            return "in " + outing.item(place.bag).name;
        case plan::ItemPlace::Where::carried:
            return "carried by " + std::string(word(place.carrier));
        case plan::ItemPlace::Where::installed:
            return "installed at " + outing.worksite(place.site).name;
        case plan::ItemPlace::Where::lost:
            return "lost";
    }
    return {};
}

namespace detail {

OrderedJson pet_s(Pet t) { return since_zero(t).count(); }
OrderedJson pet_s(const std::optional<Pet>& t) { return t ? pet_s(*t) : OrderedJson(); }

OrderedJson minutes(const std::optional<Seconds>& d) {
    // Longer than anybody stays outside: nothing limits.
    constexpr Seconds for_ever{std::chrono::days{30}};
    if (!d || *d > for_ever) return nullptr;
    return std::chrono::floor<std::chrono::minutes>(*d).count();
}

double rounded(double amount) {
    const double r = std::round(amount * 1e4) / 1e4;
    return r == 0 ? 0 : r;  // no "-0.0"
}

std::string_view consumable_key(lifesupport::Consumable consumable) {
    switch (consumable) {
        case lifesupport::Consumable::oxygen:
            return "oxygen";
        case lifesupport::Consumable::co2:
            return "co2";
        case lifesupport::Consumable::water:
            return "water";
        case lifesupport::Consumable::battery:
            return "battery";
        case lifesupport::Consumable::gas:
            return "gas";
    }
    return {};
}

std::string_view step_word(plan::StepStatus status) {
    switch (status) {
        case plan::StepStatus::to_do:
            return "to_do";
        case plan::StepStatus::running:
            return "running";
        case plan::StepStatus::done:
            return "done";
        case plan::StepStatus::skipped:
            return "skipped";
    }
    return {};
}

std::string_view class_key(TaskClass task_class) {
    switch (task_class) {
        case TaskClass::required:
            return "required";
        case TaskClass::wanted:
            return "wanted";
        case TaskClass::get_ahead:
            return "get_ahead";
    }
    return {};
}

std::string_view where_key(plan::ItemPlace::Where where) {
    switch (where) {
        case plan::ItemPlace::Where::loose:
            return word(ItemPlaced::Where::loose);
        case plan::ItemPlace::Where::in_bag:
            return word(ItemPlaced::Where::in_bag);
        case plan::ItemPlace::Where::carried:
            return word(ItemPlaced::Where::carried);
        case plan::ItemPlace::Where::installed:
            return word(ItemPlaced::Where::installed);
        case plan::ItemPlace::Where::lost:
            return word(ItemPlaced::Where::lost);
    }
    return {};
}

OrderedJson place_key(const Outing& outing, const plan::ItemPlace& place) {
    switch (place.where) {
        case plan::ItemPlace::Where::loose:
        case plan::ItemPlace::Where::installed:
            return outing.worksite(place.site).id;
        case plan::ItemPlace::Where::in_bag:
            return outing.item(place.bag).id;
        case plan::ItemPlace::Where::carried:
            return word(place.carrier);
        case plan::ItemPlace::Where::lost:
            return nullptr;
    }
    return nullptr;
}

std::string_view planned_progress(const Day& day, const Activity& activity) {
    if (activity.step) return step_word(day.situation.steps[index(*activity.step)]);
    for (const AsRun& run : day.as_run) {
        const bool same =
            run.activity.kind == activity.kind && run.activity.lanes == activity.lanes &&
            (run.planned_start == activity.start || activity.as_run || activity.kind == ActivityKind::egress ||
             activity.kind == ActivityKind::clean_up || activity.kind == ActivityKind::ingress);
        if (same) return run.running ? "running" : "done";
    }
    return activity.as_run ? "done" : "to_do";
}

OrderedJson activity_json(const Outing& outing, const AsRun& run) {
    const Activity& activity = run.activity;
    OrderedJson lanes = OrderedJson::array();
    for (const Lane lane : activity.lanes) lanes.push_back(word(lane));
    OrderedJson path = OrderedJson::array();
    for (const WorksiteId site : activity.path) path.push_back(outing.worksite(site).id);
    const bool step = activity.step.has_value();
    return {{"kind", word(activity.kind)},
            {"lanes", std::move(lanes)},
            {"start_s", pet_s(activity.start)},
            {"duration_s", activity.duration.count()},
            {"title", title(outing, activity)},
            {"label", step ? OrderedJson(outing.step(*activity.step).label) : OrderedJson()},
            {"task", step ? OrderedJson(outing.task(outing.step(*activity.step).task).key) : OrderedJson()},
            {"place", activity.path.empty() ? OrderedJson() : OrderedJson(outing.worksite(activity.path.back()).id)},
            {"path", std::move(path)},
            {"status", run.running       ? "running"
                       : activity.as_run ? "done"
                                         : "to_do"},
            {"assumed", run.assumed}};
}

OrderedJson findings_json(const std::vector<Finding>& findings) {
    OrderedJson list = OrderedJson::array();
    for (const Finding& f : findings) {
        OrderedJson lanes = OrderedJson::array();
        for (const Lane lane : f.lanes) lanes.push_back(word(lane));
        list.push_back({{"rule", f.rule},
                        {"lanes", std::move(lanes)},
                        {"at_s", pet_s(f.at)},
                        {"amount", rounded(f.amount)},
                        {"unit", f.unit},
                        {"what", f.what}});
    }
    return list;
}

OrderedJson coming_in_json(const Outing& outing, const Day& day, const StandingDown& down) {
    const auto named = [](const std::string& id, const std::string& name) {
        return OrderedJson{{"id", id}, {"name", name}};
    };
    OrderedJson open = OrderedJson::array();
    for (const OpenSite& site : down.open) {
        OrderedJson steps = OrderedJson::array();
        for (const StepId step : site.close_up) steps.push_back(outing.step(step).label);
        const Worksite& where = outing.worksite(site.site);
        open.push_back({{"worksite", named(where.id, where.name)},
                        {"close_up", std::move(steps)},
                        {"closed_on_the_way", site.closed_on_the_way}});
    }
    OrderedJson outside = OrderedJson::array();
    for (const ItemOutside& one : down.outside)
        outside.push_back({{"item", named(outing.item(one.item).id, outing.item(one.item).name)},
                           {"words", words(outing, day.items[index(one.item)])},
                           {"must_return", one.must_return},
                           {"comes_in", one.comes_in}});
    OrderedJson steps = OrderedJson::array();
    for (const HomeStep& step : down.steps)
        steps.push_back({{"who", step.who}, {"at_pet_s", pet_s(step.at)}, {"what", step.what}, {"done", step.done}});
    return {{"open", std::move(open)}, {"outside", std::move(outside)}, {"steps", std::move(steps)}};
}

std::string dumped(const OrderedJson& json) { return json.dump(-1, ' ', false, OrderedJson::error_handler_t::replace); }

}  // namespace detail
}  // namespace handrail::live
