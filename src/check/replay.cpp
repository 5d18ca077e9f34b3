#include "check/replay.h"

#include <algorithm>

namespace handrail::checking {
namespace {

std::vector<WorksiteId> swap_sites(const Timeline& timeline) {
    std::vector<WorksiteId> sites;
    for (const Activity& activity : timeline.activities)
        if (activity.kind == ActivityKind::tether_swap && !activity.path.empty()) sites.push_back(activity.path.back());
    return sites;
}

}  // namespace

Replay::Replay(const Outing& outing_, const WindowTable& windows_, const Timeline& timeline_,
               const CheckOptions& options_)
    : outing(outing_),
      windows(windows_),
      timeline(timeline_),
      options(options_),
      ways(outing_, swap_sites(timeline_)),
      runs(outing_.steps.size()),
      lead(outing_.tasks.size(), Crew::ev1) {
    for (const Task& task : outing.tasks) lead[index(task.id)] = task.lead.value_or(Crew::ev1);
    for (const Binding& binding : timeline.bindings) lead[index(binding.task)] = binding.lead;

    for (const Activity& activity : timeline.activities) activities.push_back(&activity);
    // What takes no time (an arm move between two places that coincide) comes before what starts with it.
    std::ranges::stable_sort(activities, {}, [](const Activity* a) { return std::pair(a->start, a->end()); });
    for (const Activity* activity : activities) {
        for (const Lane lane : activity->lanes) on_lane[static_cast<std::size_t>(lane)].push_back(activity);
        if (activity->step) runs[index(*activity->step)].push_back(activity);
        if (activity->kind == ActivityKind::egress && !egress) egress = activity;
        if (activity->kind == ActivityKind::clean_up) clean_up = activity;
        if (activity->kind == ActivityKind::ingress) ingress = activity;
    }
    for (const Crew c : both_crew) follow(c);
    find_openings();
}

void Replay::follow(Crew c) {
    WorksiteId place = outing.station.airlock;
    WorksiteId anchor = place;
    for (const Activity* activity : on_lane[static_cast<std::size_t>(lane_of(c))]) {
        Stage stage{.activity = activity, .before = place, .anchor_before = anchor};
        stage.at = start_site(*activity).value_or(place);
        stage.after = end_site(*activity).value_or(stage.at);
        if (activity->kind == ActivityKind::tether_swap) anchor = stage.at;
        const bool rides = rides_the_arm(*activity);
        // Who gets off the arm beyond their tether's reach is anchored anew there.
        if (rides && outing.worksite(stage.after).anchor && !ways.tether_reaches(anchor, stage.after))
            anchor = stage.after;
        stage.anchor_after = anchor;
        place = stage.after;
        crew[index(c)].push_back(stage);
    }
}

void Replay::find_openings() {
    for (const Step& step : outing.steps) {
        const Activity* opening = step.opens ? first_run(step.id) : nullptr;
        const std::optional<WorksiteId> site = opening ? ends_at(*opening) : std::nullopt;
        if (!site) continue;
        Opening found{.opener = step.id, .site = *site, .opened = opening->end(), .close_ups = {}, .closed = {}};
        for (const StepId id : outing.task(step.task).steps)
            if (const Step& close = outing.step(id); close.close_up && (close.to ? close.to : close.at) == site)
                found.close_ups.push_back(id);
        if (!found.close_ups.empty())
            if (const Activity* last = first_run(found.close_ups.back())) found.closed = last->end();
        openings.push_back(std::move(found));
    }
}

std::vector<StepId> Replay::close_ups_left(Crew c, Pet t) const {
    std::vector<StepId> left;
    for (const Opening& opening : openings) {
        if (opening.opened > t || (opening.closed && *opening.closed <= t)) continue;
        for (const StepId id : opening.close_ups) {
            const Activity* run = first_run(id);
            const std::vector<Crew> taking_part = crew_in(outing.step(id), lead[index(outing.step(id).task)]);
            if (!(run && run->end() <= t) && std::ranges::find(taking_part, c) != taking_part.end()) left.push_back(id);
        }
    }
    std::ranges::sort(left);
    const auto repeated = std::ranges::unique(left);
    left.erase(repeated.begin(), repeated.end());
    return left;
}

const Activity* Replay::first_run(StepId step) const {
    const auto& all = runs[index(step)];
    return all.empty() ? nullptr : all.front();
}

bool Replay::dropped(TaskId task) const { return std::ranges::find(options.dropped, task) != options.dropped.end(); }

bool Replay::unable(Crew c) const { return std::ranges::find(options.unable, c) != options.unable.end(); }

std::vector<Crew> Replay::crew_of(const Activity& activity) const {
    std::vector<Crew> on_lanes;
    for (const Crew c : both_crew)
        if (activity.on(lane_of(c))) on_lanes.push_back(c);
    if (!activity.step) return on_lanes;
    const Step& step = outing.step(*activity.step);
    std::vector<Crew> bound = crew_in(step, lead[index(step.task)]);
    return std::ranges::is_permutation(bound, on_lanes) ? bound : on_lanes;
}

std::optional<WorksiteId> Replay::start_site(const Activity& activity) const {
    switch (activity.kind) {
        case ActivityKind::step:
            return outing.step(*activity.step).at;
        case ActivityKind::egress:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            return outing.station.airlock;
        case ActivityKind::translate:
        case ActivityKind::arm_move:
        case ActivityKind::tether_swap:
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
            break;
    }
    if (activity.path.empty()) return std::nullopt;
    return activity.path.front();
}

std::optional<WorksiteId> Replay::end_site(const Activity& activity) const {
    if (activity.kind == ActivityKind::step) {
        const Step& step = outing.step(*activity.step);
        return step.to ? step.to : step.at;
    }
    if (activity.kind == ActivityKind::translate && !activity.path.empty()) return activity.path.back();
    return start_site(activity);
}

std::optional<WorksiteId> Replay::happens_at(const Activity& activity) const {
    if (const auto site = start_site(activity)) return site;
    for (const Crew c : crew_of(activity))
        for (const Stage& stage : of(c))
            if (stage.activity == &activity) return stage.at;
    return std::nullopt;
}

std::optional<WorksiteId> Replay::ends_at(const Activity& activity) const {
    const auto site = end_site(activity);
    return site ? site : happens_at(activity);
}

WorksiteId Replay::place_at(Crew c, Pet t) const {
    WorksiteId place = outing.station.airlock;
    for (const Stage& stage : of(c)) {
        if (stage.activity->start > t) break;
        if (stage.activity->end() <= t) place = stage.after;
    }
    return place;
}

bool Replay::rides_the_arm(const Activity& activity) const {
    if (!activity.step || outing.step(*activity.step).arm != ArmUse::ride) return false;
    return !outing.step(*activity.step).by_hand || activity.on(Lane::arm);
}

std::string Replay::named(const Activity& activity) const { return "\"" + title(outing, activity) + "\""; }

std::string name(Crew c) { return std::string(word(c)); }

}  // namespace handrail::checking
