#include "live/stand_down.h"

#include <fmt/format.h>

#include <algorithm>

#include "live/status.h"

namespace handrail::live {
namespace {

using plan::ItemPlace;
using plan::StepStatus;

bool ahead(const Forecast& forecast, StepId step) {
    return std::ranges::any_of(forecast.ahead, [step](const AsRun& run) { return run.activity.step == step; });
}

std::vector<OpenSite> open_sites(const Outing& outing, const Day& day, const Forecast& forecast) {
    std::vector<OpenSite> open;
    for (const Task& task : outing.tasks) {
        // Not an optional: the compiler takes its empty state for an uninitialized one here.
        bool is_open = false;
        WorksiteId site{};
        std::vector<StepId> close;
        for (const StepId id : task.steps) {
            const Step& step = outing.step(id);
            const auto where = step.to ? step.to : step.at;
            const auto status = day.situation.steps[index(id)];
            if (step.opens && (status == StepStatus::done || status == StepStatus::running) && where) {
                site = *where;
                is_open = true;
            }
            if (!step.close_up || !is_open || where != site) continue;
            if (status == StepStatus::done) is_open = false;
            if (status == StepStatus::to_do) close.push_back(id);
        }
        if (!is_open) continue;
        const bool closes =
            !close.empty() && std::ranges::all_of(close, [&](StepId id) { return ahead(forecast, id); });
        open.push_back({site, std::move(close), closes});
    }
    return open;
}

bool in_hand_or_inside(const Outing& outing, const Day& day, ItemId item) {
    const ItemPlace& place = day.items[index(item)];
    switch (place.where) {
        case ItemPlace::Where::carried:
            return true;
        case ItemPlace::Where::in_bag:
            return in_hand_or_inside(outing, day, place.bag);
        case ItemPlace::Where::loose:
        case ItemPlace::Where::installed:
            return place.site == outing.station.airlock;
        case ItemPlace::Where::lost:
            return false;
    }
    return false;
}

/// Taken along by a step or a pick-up to come, itself or its bag.
bool fetched(const Outing& outing, const Day& day, const Forecast& forecast, ItemId item) {
    for (const AsRun& run : forecast.ahead) {
        const auto& items = run.activity.items;
        if (run.activity.kind == ActivityKind::pick_up && std::ranges::find(items, item) != items.end()) return true;
        if (!run.activity.step) continue;
        const auto& takes = outing.step(*run.activity.step).takes;
        if (std::ranges::find(takes, item) != takes.end()) return true;
    }
    const ItemPlace& place = day.items[index(item)];
    return place.where == ItemPlace::Where::in_bag && fetched(outing, day, forecast, place.bag);
}

std::vector<ItemOutside> items_outside(const Outing& outing, const Day& day, const Forecast& forecast) {
    std::vector<ItemOutside> outside;
    const bool inside_again = day.situation.crew[0].inside_again;
    for (std::size_t i = 0; i < outing.items.size(); ++i) {
        const auto item = static_cast<ItemId>(i);
        const ItemPlace& place = day.items[i];
        const bool hand = place.where == ItemPlace::Where::carried;
        const bool lost = place.where == ItemPlace::Where::lost;
        const bool at_hand = in_hand_or_inside(outing, day, item);
        if (inside_again && at_hand) continue;
        if (at_hand && !hand && !(place.where == ItemPlace::Where::in_bag && outing.items[i].returns && day.outside[0]))
            continue;
        if (!outing.items[i].returns && !hand && !lost) continue;
        if (waits_for_its_step(outing, day, item)) continue;
        outside.push_back({item, outing.items[i].returns, at_hand || fetched(outing, day, forecast, item)});
    }
    return outside;
}

std::string who(const Activity& activity) {
    if (activity.on(Lane::ev1) && activity.on(Lane::ev2)) return "both";
    return activity.lanes.empty() ? "" : std::string(word(activity.lanes.front()));
}

std::string what(const Outing& outing, const Activity& activity) {
    if (activity.kind == ActivityKind::clean_up) return "clean-up at the airlock: count what came back";
    if (activity.kind == ActivityKind::ingress) return "ingress, hatch closed";
    std::string text = title(outing, activity);
    const bool placed = activity.kind == ActivityKind::pick_up || activity.kind == ActivityKind::put_down;
    if (placed && !activity.path.empty()) text += " at " + outing.worksite(activity.path.back()).name;
    return text;
}

void add_way_home(const Outing& outing, const Day& day, const Forecast& forecast, std::vector<HomeStep>& steps) {
    for (const AsRun& run : day.as_run)
        if (run.running && run.activity.end() > day.pet_now())
            steps.push_back({who(run.activity), run.activity.start, what(outing, run.activity), false});
    for (const AsRun& run : forecast.ahead)
        steps.push_back({who(run.activity), run.activity.start, what(outing, run.activity), false});
}

}  // namespace

bool waits_for_its_step(const Outing& outing, const Day& day, ItemId item) {
    const std::optional<WorksiteId> start = outing.item(item).at;
    const ItemPlace& place = day.items[index(item)];
    if (!start || place.where != ItemPlace::Where::loose || place.site != *start) return false;
    bool taken = false, waits = false;
    for (const Step& step : outing.steps) {
        const auto has = [&](const std::vector<ItemId>& items) {
            return std::ranges::find(items, item) != items.end();
        };
        if (step.at != start || !(has(step.takes) || has(step.moves) || has(step.stows))) continue;
        const StepStatus status = day.situation.steps[index(step.id)];
        (status == StepStatus::done || status == StepStatus::running ? taken : waits) = true;
    }
    return waits && !taken;
}

StandingDown standing_down(const Outing& outing, const Day& day, const Forecast& forecast) {
    StandingDown down;
    down.open = open_sites(outing, day, forecast);
    down.outside = items_outside(outing, day, forecast);
    const bool scrubbed = day.stand_down && day.stand_down->kind == StandDownKind::scrub;
    const bool inside = day.situation.crew[0].inside_again;
    const bool closed = inside || day.phase >= Phase::repress;
    if (scrubbed && day.pet_running) down.steps.push_back({"both", std::nullopt, "hatch closed", closed});
    if (!scrubbed && !inside) add_way_home(outing, day, forecast, down.steps);
    if (!scrubbed && inside) down.steps.push_back({"both", std::nullopt, "ingress, hatch closed", true});
    const bool at_vacuum = !scrubbed || day.pet_running || day.morning.depress || day.phase >= Phase::depress;
    if (at_vacuum) down.steps.push_back({"both", std::nullopt, "repress to cabin pressure", day.phase >= Phase::post});
    for (const std::string& step : outing.doffing)
        down.steps.push_back({"both", std::nullopt, step, day.phase >= Phase::closed});
    return down;
}

std::string print(const Outing& outing, const Day& day, const StandingDown& down) {
    std::string text;
    const bool scrubbed = day.stand_down && day.stand_down->kind == StandDownKind::scrub;
    for (const OpenSite& site : down.open) {
        std::string steps;
        for (const StepId step : site.close_up)
            steps += (steps.empty() ? "" : ", ") + outing.step(step).label + " " + outing.step(step).name;
        text += fmt::format("  open     {}: {}{}\n", outing.worksite(site.site).name,
                            steps.empty() ? "nothing left that closes it" : "close up with " + steps,
                            site.closed_on_the_way ? "" : "; stays open on this way in");
    }
    for (const ItemOutside& one : down.outside) {
        const bool lost = day.items[index(one.item)].where == ItemPlace::Where::lost;
        text +=
            fmt::format("  outside  {}, {}{}\n", outing.item(one.item).name, words(outing, day.items[index(one.item)]),
                        lost              ? ""
                        : one.comes_in    ? ": comes in"
                        : scrubbed        ? ": stays for another outing"
                        : one.must_return ? ": stays outside, though it must come back"
                                          : ": stays");
    }
    for (const HomeStep& step : down.steps)
        text += fmt::format("  {:>7}  {:<5} {}{}\n",
                            step.done ? "done"
                            : step.at ? print_pet(*step.at)
                                      : "then",
                            step.who, step.what, "");
    return text;
}

}  // namespace handrail::live
