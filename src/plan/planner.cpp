#include "plan/planner.h"

#include <fmt/format.h>

#include <algorithm>

#include "plan/bounding.h"
#include "plan/demanded.h"
#include "plan/reasons.h"
#include "plan/search.h"
#include "plan/written.h"

namespace handrail::plan {

Situation initial(const Outing& outing) {
    Situation situation;
    for (CrewSituation& crew : situation.crew) crew.at = crew.anchor = outing.station.airlock;
    if (outing.station.arm) situation.arm_at = outing.station.arm->parked;
    for (const Item& item : outing.items) {
        ItemPlace place;
        if (item.in) {
            place.where = ItemPlace::Where::in_bag;
            place.bag = *item.in;
        } else {
            place.site = item.at.value_or(outing.station.airlock);
        }
        situation.items.push_back(place);
    }
    situation.steps.assign(outing.steps.size(), StepStatus::to_do);
    situation.step_start.assign(outing.steps.size(), Pet{});
    situation.step_end.assign(outing.steps.size(), Pet{});
    situation.lead.assign(outing.tasks.size(), std::nullopt);
    situation.dropped.assign(outing.tasks.size(), false);
    return situation;
}

namespace {

using namespace detail;

/// True before anything has happened: then a required task that does not fit means that there is no plan. Later the
/// lead needs a timeline all the same, with the required task named among those left out.
bool untouched(const Situation& situation) {
    return situation.as_run.empty() && situation.now <= Pet{} && situation.arm_available;
}

}  // namespace

std::variant<Timeline, NoPlan> make_plan(const Outing& outing, const WindowTable& windows, const Situation& situation,
                                         const Budget& budget, const Freedom& freedom,
                                         const std::function<void(const Progress&)>& progress,
                                         const std::atomic<bool>* stop) {
    const Problem problem(outing, windows, situation, without_alternatives(outing, situation, freedom));
    Found found;
    if (freedom.start_from) {
        found = taken_from(problem, *freedom.start_from);
    } else {
        found = construct(problem, stop);
    }
    const bool only_decode = freedom.keep_order || freedom.come_in_now;
    Bounding bounding(problem, only_decode ? Budget{} : budget, stop);
    const auto report = [&](const Found& f) {
        if (!progress || f.score.violation > 0) return;
        progress({value_of(problem, f.sequence), pet(Seconds{f.score.finish}), bounding.value(),
                  pet(Seconds{bounding.finish(f.score.missing)}), f.iterations});
    };
    report(found);
    if (!only_decode) {
        bounding.begin();
        // An old timeline is a good start only if a new one is not better.
        if (freedom.start_from) {
            Found fresh = construct(problem, stop);
            if (better(fresh.score, found.score)) found = std::move(fresh);
        }
        found = search(problem, found, bounding.left(), report, stop);
    }
    const bool broken = found.score.violation > 0 || misses_required(problem, found.sequence.in);
    if (broken && !only_decode && untouched(situation)) return NoPlan{why_not(problem, found, windows, freedom, stop)};

    // Bounds and reasons cost decodes, thousands of them: none once the caller wants an end.
    const bool hurried = stop && stop->load();
    Timeline timeline = timeline_of(problem, found, hurried ? Bounded::no : Bounded::yes);
    timeline.note.seed = budget.seed;
    if (!only_decode && !hurried) bounding.note(found, timeline.note);
    std::vector<int> left_out;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (!found.sequence.in[t] && !problem.tasks[t].started) left_out.push_back(static_cast<int>(t));
    // With many tasks left out each gets fewer.
    const int places = hurried ? 0 : places_to_try(problem, left_out.size());
    for (const int t : left_out)
        timeline.left_out.push_back({static_cast<TaskId>(t), brief_reason(problem, found, t, freedom, places)});
    return timeline;
}

std::optional<Way> quickest_way(const Outing& outing, Crew crew, WorksiteId from, WorksiteId to, WorksiteId anchor,
                                SizeClass load) {
    const WindowTable none;
    const Situation situation = initial(outing);
    const Problem problem(outing, none, situation, {});
    const WayTable& ways = problem.ways[index(crew)][load >= SizeClass::large ? 1 : 0];
    const int anchors = static_cast<int>(problem.anchors.size());
    const int start = problem.state(static_cast<int>(index(from)), problem.anchor_index(anchor));
    int best = -1;
    for (int a = 0; a < anchors; ++a) {
        // Home means anchored at home again; elsewhere any anchor will do.
        if (to == outing.station.airlock && a != 0) continue;
        const int target = problem.state(static_cast<int>(index(to)), a);
        if (best < 0 || ways.time(start, target) < ways.time(start, best)) best = target;
    }
    if (best < 0 || ways.time(start, best) >= never) return std::nullopt;
    Way way;
    way.time = Seconds{ways.time(start, best)};
    way.anchor = problem.anchors[static_cast<std::size_t>(best % anchors)];
    way.path.push_back(from);
    for (const Leg& leg : ways.legs(start, best)) {
        const std::vector<WorksiteId> path = ways.path(leg);
        if (leg.swap)
            way.swaps.push_back(path.back());
        else
            way.path.insert(way.path.end(), path.begin() + 1, path.end());
    }
    return way;
}

}  // namespace handrail::plan
