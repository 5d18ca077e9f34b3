#include "check/ways.h"

#include <algorithm>
#include <cassert>
#include <functional>
#include <limits>
#include <queue>

namespace handrail::checking {
namespace {

constexpr std::int64_t never = std::numeric_limits<std::int64_t>::max();

/// Dijkstra over nodes 0 .. count-1: `spread(node, cost, reach)` calls reach(neighbour, cost there).
template <class Cost, class Spread>
std::vector<Cost> cheapest(std::size_t count, std::size_t source, Cost unreached, Spread spread) {
    std::vector<Cost> best(count, unreached);
    using Open = std::pair<Cost, std::size_t>;
    std::priority_queue<Open, std::vector<Open>, std::greater<>> open;
    const auto reach = [&](std::size_t node, Cost cost) {
        if (cost >= best[node]) return;
        best[node] = cost;
        open.emplace(cost, node);
    };
    reach(source, Cost{0});
    while (!open.empty()) {
        const auto [cost, node] = open.top();
        open.pop();
        if (cost == best[node]) spread(node, cost, reach);
    }
    return best;
}

}  // namespace

Ways::Ways(const Outing& outing, const std::vector<WorksiteId>& anchored_at) : outing_(outing), anchors_(anchored_at) {
    const std::size_t sites = outing.station.worksites.size();
    legs_.resize(sites);
    lengths_.resize(sites);
    walks_.resize(sites);
    for (const Route& route : outing.station.routes) {
        legs_[index(route.a)].push_back({index(route.b), &route});
        legs_[index(route.b)].push_back({index(route.a), &route});
    }
    anchors_.push_back(outing.station.airlock);
    for (std::size_t i = 0; i < sites; ++i)
        if (outing.station.worksites[i].anchor) anchors_.push_back(static_cast<WorksiteId>(i));
    std::ranges::sort(anchors_);
    const auto repeated = std::ranges::unique(anchors_);
    anchors_.erase(repeated.begin(), repeated.end());
}

double Ways::tether_length_m(WorksiteId anchor, WorksiteId site) {
    std::vector<double>& row = lengths_[index(anchor)];
    if (row.empty())
        row = cheapest(legs_.size(), index(anchor), std::numeric_limits<double>::infinity(),
                       [&](std::size_t node, double length, const auto& reach) {
                           for (const Leg& leg : legs_[node]) reach(leg.to, length + leg.route->length.value());
                       });
    return row[index(site)];
}

bool Ways::tether_reaches(WorksiteId anchor, WorksiteId site) {
    // A length is a sum of a few measured numbers; a billionth of a metre is rounding, not distance.
    return tether_length_m(anchor, site) <= outing_.rules.tether.value() + 1e-9;
}

std::optional<Seconds> Ways::between(WorksiteId a, WorksiteId b) {
    Times& row = walks_[index(a)];
    if (row.empty()) {
        const CrewMember& slower = outing_.crew[0].speed <= outing_.crew[1].speed ? outing_.crew[0] : outing_.crew[1];
        row = cheapest(legs_.size(), index(a), never, [&](std::size_t node, std::int64_t time, const auto& reach) {
            for (const Leg& leg : legs_[node])
                reach(leg.to, time + translation_time(outing_.rules, slower, *leg.route, SizeClass::small).count());
        });
    }
    const std::int64_t time = row[index(b)];
    return time == never ? std::nullopt : std::optional(Seconds{time});
}

std::size_t Ways::anchor_index(WorksiteId anchor) const {
    const auto found = std::ranges::lower_bound(anchors_, anchor);
    assert(found != anchors_.end() && *found == anchor);
    return static_cast<std::size_t>(found - anchors_.begin());
}

/// Backwards from "at the airlock, anchored there": one search answers every place and anchor.
Ways::Times Ways::home_times(const CrewMember& person, SizeClass load) {
    const std::size_t width = anchors_.size();
    const WorksiteId airlock = outing_.station.airlock;
    const std::size_t goal = index(airlock) * width + anchor_index(airlock);
    return cheapest(legs_.size() * width, goal, never, [&](std::size_t state, std::int64_t time, const auto& reach) {
        const std::size_t site = state / width;
        const WorksiteId anchor = anchors_[state % width];
        // Who came here by hand had this worksite within reach of the anchor.
        if (tether_reaches(anchor, static_cast<WorksiteId>(site)))
            for (const Leg& leg : legs_[site])
                if (load <= leg.route->largest)
                    reach(leg.to * width + state % width,
                          time + translation_time(outing_.rules, person, *leg.route, load).count());
        // Who is anchored here may have just swapped from any other anchor.
        if (index(anchor) == site && outing_.station.worksites[site].anchor)
            for (std::size_t before = 0; before < width; ++before)
                if (before != state % width) reach(site * width + before, time + outing_.rules.tether_swap.count());
    });
}

std::optional<Seconds> Ways::home(Crew crew, WorksiteId place, WorksiteId anchor, SizeClass load) {
    const bool medium = load >= SizeClass::medium;
    Times& times = home_times_[index(crew)][medium ? 1 : 0];
    if (times.empty()) times = home_times(outing_.person(crew), medium ? SizeClass::medium : SizeClass::small);
    const std::int64_t time = times[index(place) * anchors_.size() + anchor_index(anchor)];
    return time == never ? std::nullopt : std::optional(Seconds{time});
}

const Route* Ways::route(WorksiteId a, WorksiteId b, SizeClass load) const {
    const Route* best = nullptr;
    for (const Leg& leg : legs_[index(a)]) {
        if (leg.to != index(b) || load > leg.route->largest) continue;
        // Who walks does not matter for which of two routes is quicker: speeds multiply both alike.
        const auto time = [&](const Route& r) { return translation_time(outing_.rules, outing_.crew[0], r, load); };
        if (!best || time(*leg.route) < time(*best)) best = leg.route;
    }
    return best;
}

}  // namespace handrail::checking
