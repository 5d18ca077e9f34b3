#include <fmt/format.h>

#include <limits>
#include <queue>

#include "outing/draft.h"

/// Can every worksite be reached, on routes and on a tether?
namespace handrail::detail {
namespace {

constexpr double unreachable = std::numeric_limits<double>::infinity();

/// Shortest way in metres from one worksite to all (Dijkstra).
std::vector<double> distances(const Station& station, std::size_t from) {
    std::vector<std::vector<std::pair<std::size_t, double>>> next(station.worksites.size());
    for (const Route& route : station.routes) {
        next[index(route.a)].emplace_back(index(route.b), route.length.value());
        next[index(route.b)].emplace_back(index(route.a), route.length.value());
    }
    std::vector<double> far(station.worksites.size(), unreachable);
    using Entry = std::pair<double, std::size_t>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    far[from] = 0;
    open.emplace(0, from);
    while (!open.empty()) {
        const auto [length, site] = open.top();
        open.pop();
        if (length > far[site]) continue;
        for (const auto& [other, more] : next[site]) {
            if (length + more >= far[other]) continue;
            far[other] = length + more;
            open.emplace(far[other], other);
        }
    }
    return far;
}

/// Worksites within the tether of some anchor that can itself be had, one after another, from the airlock.
std::vector<bool> tethered(const Station& station, Metres tether) {
    std::vector<bool> within(station.worksites.size(), false);
    std::vector<bool> tried(station.worksites.size(), false);
    std::vector<std::size_t> anchors{index(station.airlock)};
    tried[anchors.front()] = true;
    while (!anchors.empty()) {
        const std::size_t anchor = anchors.back();
        anchors.pop_back();
        const std::vector<double> far = distances(station, anchor);
        for (std::size_t site = 0; site < far.size(); ++site) {
            if (far[site] > tether.value()) continue;
            within[site] = true;
            if (!station.worksites[site].anchor || tried[site]) continue;
            tried[site] = true;
            anchors.push_back(site);
        }
    }
    return within;
}

}  // namespace

void check_ways(const Fields& file, Draft& draft) {
    const Station& station = draft.outing.station;
    Errors& errors = file.context().errors;
    const std::vector<double> far = distances(station, index(station.airlock));
    const auto path = [&](std::size_t site) {
        return fmt::format("worksite {}", shown_text(station.worksites[site].name));
    };
    bool all_reached = true;
    for (std::size_t site = 0; site < far.size(); ++site) {
        if (far[site] < unreachable) continue;
        all_reached = false;
        errors.add(draft.worksites.place(site), path(site), "a way to it from the airlock", "no route",
                   "add [[station.route]] to it");
    }
    if (!all_reached) return;
    const Metres tether = draft.outing.rules.tether;
    const std::vector<bool> within = tethered(station, tether);
    double shortest = unreachable;
    for (const Route& route : station.routes) shortest = std::min(shortest, route.length.value());
    if (!station.routes.empty() && tether.value() < shortest) {
        const Node* rules = file.find("rules");
        const Table* table = rules ? std::get_if<Table>(&rules->value) : nullptr;
        const Node* written = table ? find(*table, "tether") : nullptr;
        errors.add(written ? written->place : draft.route_places.front(), "rules, tether",
                   fmt::format("a tether at least as long as the shortest route, {} m", shortest),
                   fmt::format("{} m", tether.value()), "correct the tether or the routes");
        return;
    }
    for (std::size_t site = 0; site < within.size(); ++site)
        if (!within[site])
            errors.add(
                draft.worksites.place(site), path(site),
                fmt::format("an anchor within {} m of it along the routes that can itself be reached", tether.value()),
                "none", "say anchor = true at a worksite on the way, or correct rules, tether");
}

}  // namespace handrail::detail
