#include <algorithm>
#include <functional>

#include "plan/problem.h"

namespace handrail::plan::detail {
namespace {

/// How the quickest way reached a state: from which state, and whether by a walk or by a swap.
struct Step {
    int from = -1;
    bool swap = false;
};

struct Edge {
    int to;
    Time time;
};

}  // namespace

WayTable::WayTable(const Outing& outing, Crew crew, SizeClass load, const std::vector<WorksiteId>& anchors,
                   const std::vector<double>& length_m, const std::vector<bool>& closed) {
    const int sites = static_cast<int>(outing.station.worksites.size());
    const int anchor_count = static_cast<int>(anchors.size());
    states_ = static_cast<std::size_t>(sites * anchor_count);
    time_.assign(states_ * states_, never);
    first_leg_.assign(states_ * states_ + 1, 0);

    std::vector<std::vector<Edge>> routes(static_cast<std::size_t>(sites));
    for (const Route& route : outing.station.routes) {
        if (load > route.largest) continue;
        const Time time = static_cast<Time>(translation_time(outing.rules, outing.person(crew), route, load).count());
        if (!closed[index(route.b)]) routes[index(route.a)].push_back({static_cast<int>(index(route.b)), time});
        if (!closed[index(route.a)]) routes[index(route.b)].push_back({static_cast<int>(index(route.a)), time});
    }
    std::vector<int> anchor_at(static_cast<std::size_t>(sites), -1);
    for (int a = 0; a < anchor_count; ++a) anchor_at[index(anchors[static_cast<std::size_t>(a)])] = a;
    const double reach = outing.rules.tether.value();
    const auto within_reach = [&](int anchor, int site) {
        return length_m[index(anchors[static_cast<std::size_t>(anchor)]) * static_cast<std::size_t>(sites) +
                        static_cast<std::size_t>(site)] <= reach;
    };
    const Time swap_time = static_cast<Time>(outing.rules.tether_swap.count());

    std::vector<Step> how(states_);
    std::vector<Time> best(states_);
    using Entry = std::pair<Time, int>;
    // One heap and one chain for all: a table is made for each problem, and asking for memory took a third of the time.
    std::vector<Entry> heap;
    std::vector<int> chain;
    const std::greater<> later;
    for (int source = 0; source < static_cast<int>(states_); ++source) {
        std::fill(best.begin(), best.end(), never);
        best[static_cast<std::size_t>(source)] = 0;
        how[static_cast<std::size_t>(source)] = {};
        heap.assign(1, {0, source});
        const auto reach_state = [&](int state, Time time, Step step) {
            if (time >= best[static_cast<std::size_t>(state)]) return;
            best[static_cast<std::size_t>(state)] = time;
            how[static_cast<std::size_t>(state)] = step;
            heap.emplace_back(time, state);
            std::ranges::push_heap(heap, later);
        };
        while (!heap.empty()) {
            const auto [time, state] = heap.front();
            std::ranges::pop_heap(heap, later);
            heap.pop_back();
            if (time > best[static_cast<std::size_t>(state)]) continue;
            const int site = state / anchor_count;
            const int anchor = state % anchor_count;
            for (const Edge& edge : routes[static_cast<std::size_t>(site)])
                if (within_reach(anchor, edge.to))
                    reach_state(edge.to * anchor_count + anchor, time + edge.time, {state, false});
            const int here = anchor_at[static_cast<std::size_t>(site)];
            if (here >= 0 && here != anchor) reach_state(site * anchor_count + here, time + swap_time, {state, true});
        }
        for (int target = 0; target < static_cast<int>(states_); ++target) {
            const std::size_t at = cell(source, target);
            time_[at] = best[static_cast<std::size_t>(target)];
            first_leg_[at] = static_cast<std::uint32_t>(legs_.size());
            if (time_[at] >= never || source == target) continue;
            chain.clear();
            for (int s = target; s != source; s = how[static_cast<std::size_t>(s)].from) chain.push_back(s);
            chain.push_back(source);
            std::reverse(chain.begin(), chain.end());
            const auto site_id = [&](int state) { return static_cast<WorksiteId>(state / anchor_count); };
            for (std::size_t i = 1; i < chain.size(); ++i) {
                const Step& step = how[static_cast<std::size_t>(chain[i])];
                const Time taken =
                    best[static_cast<std::size_t>(chain[i])] - best[static_cast<std::size_t>(chain[i - 1])];
                const bool continues = !step.swap && legs_.size() > first_leg_[at] && !legs_.back().swap;
                if (continues) {
                    legs_.back().time += taken;
                    path_pool_.push_back(site_id(chain[i]));
                    legs_.back().path_to = static_cast<std::uint32_t>(path_pool_.size());
                } else {
                    Leg leg{step.swap, taken, static_cast<std::uint32_t>(path_pool_.size()), 0};
                    if (!step.swap) path_pool_.push_back(site_id(chain[i - 1]));
                    path_pool_.push_back(site_id(chain[i]));
                    leg.path_to = static_cast<std::uint32_t>(path_pool_.size());
                    legs_.push_back(leg);
                }
            }
        }
    }
    first_leg_.back() = static_cast<std::uint32_t>(legs_.size());
    leg_times_.reserve(legs_.size());
    for (const Leg& leg : legs_) leg_times_.push_back(leg.time);
}

std::span<const Leg> WayTable::legs(int from_state, int to_state) const {
    const std::size_t at = cell(from_state, to_state);
    return std::span(legs_).subspan(first_leg_[at], first_leg_[at + 1] - first_leg_[at]);
}

std::span<const Time> WayTable::leg_times(int from_state, int to_state) const {
    const std::size_t at = cell(from_state, to_state);
    return std::span(leg_times_).subspan(first_leg_[at], first_leg_[at + 1] - first_leg_[at]);
}

std::vector<WorksiteId> WayTable::path(const Leg& leg) const {
    return {path_pool_.begin() + leg.path_from, path_pool_.begin() + leg.path_to};
}

}  // namespace handrail::plan::detail
