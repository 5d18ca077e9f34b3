#include "live/ways.h"

#include "plan/planner.h"

namespace handrail::live {
namespace {

Seconds walking_time(const Outing& outing, Crew crew, const std::vector<WorksiteId>& path, SizeClass load) {
    Seconds total{0};
    for (std::size_t i = 1; i < path.size(); ++i) {
        std::optional<Seconds> leg;
        for (const Route& route : outing.station.routes) {
            const bool joins =
                (route.a == path[i - 1] && route.b == path[i]) || (route.b == path[i - 1] && route.a == path[i]);
            if (!joins) continue;
            const Seconds time = translation_time(outing.rules, outing.person(crew), route, load);
            if (!leg || time < *leg) leg = time;
        }
        total += leg.value_or(Seconds{0});
    }
    return total;
}

}  // namespace

std::optional<WayThere> way_there(const Outing& outing, Crew crew, WorksiteId from, WorksiteId anchor, WorksiteId to,
                                  SizeClass load) {
    const auto way = plan::quickest_way(outing, crew, from, to, anchor, load);
    if (!way) return std::nullopt;
    WayThere result;
    result.anchor = way->anchor;
    std::vector<WorksiteId> stretch{from};
    std::size_t swap = 0;
    const auto walk = [&] {
        if (stretch.size() > 1)
            result.parts.push_back({ActivityKind::translate, walking_time(outing, crew, stretch, load), stretch});
        stretch = {stretch.back()};
    };
    const auto swap_here = [&] {
        while (swap < way->swaps.size() && way->swaps[swap] == stretch.back()) {
            walk();
            result.parts.push_back({ActivityKind::tether_swap, outing.rules.tether_swap, {way->swaps[swap]}});
            ++swap;
        }
    };
    swap_here();
    for (const WorksiteId site : way->path) {
        if (site == stretch.back()) continue;
        stretch.push_back(site);
        swap_here();
    }
    walk();
    return result;
}

}  // namespace handrail::live
