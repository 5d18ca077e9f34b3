#include "schedule/flat.h"

#include <algorithm>

namespace handrail::schedule::detail {
namespace {

struct Arc {
    int from, to;
    Time gap;
};

bool is_plain(const Project& project) {
    for (const int capacity : project.capacity)
        if (capacity >= 1 << (Flat::lane_bits - 1)) return false;
    std::vector<long> used(project.stock.size());
    for (const Activity& activity : project.activities) {
        if (activity.modes.size() != 1 || activity.optional) return false;
        if (activity.latest_start < unlimited || activity.deadline < unlimited) return false;
        const Mode& mode = activity.modes.front();
        for (std::size_t r = 0; r < project.capacity.size(); ++r)
            if (mode.duration > 0 && mode.demand[r] > project.capacity[r]) return false;
        for (std::size_t s = 0; s < used.size(); ++s)
            if ((used[s] += mode.uses[s]) > project.stock[s]) return false;
    }
    return project.groups.empty() && !project.activities.empty();
}

/// Start-to-start arcs, or nothing where one is not a least gap that outlasts its first activity.
std::optional<std::vector<Arc>> arcs_of(const Project& project) {
    std::vector<Arc> arcs;
    for (const Lag& lag : project.lags) {
        const Time duration = project.activities[lag.from].modes.front().duration;
        const Time gap = lag.since == Since::finish ? duration + lag.gap : lag.gap;
        if (gap < duration) return std::nullopt;
        arcs.push_back({lag.from, lag.to, gap});
    }
    return arcs;
}

void set_arcs(Flat& flat, std::vector<Arc> arcs) {
    std::ranges::stable_sort(arcs, {}, &Arc::from);
    flat.next_at.assign(flat.count + 1, 0);
    for (const Arc& arc : arcs) {
        ++flat.next_at[arc.from + 1];
        flat.next_to.push_back(arc.to);
        flat.next_gap.push_back(arc.gap);
    }
    for (int i = 0; i < flat.count; ++i) flat.next_at[i + 1] += flat.next_at[i];
}

/// Predecessors first, low numbers first among equals; shorter than the project where there is a cycle.
std::vector<int> topological(const Flat& flat) {
    std::vector<int> waiting(flat.count), order;
    for (const int to : flat.next_to) ++waiting[to];
    for (int i = 0; i < flat.count; ++i)
        if (waiting[i] == 0) order.push_back(i);
    for (std::size_t k = 0; k < order.size(); ++k)
        for (int a = flat.next_at[order[k]]; a < flat.next_at[order[k] + 1]; ++a)
            if (--waiting[flat.next_to[a]] == 0) order.push_back(flat.next_to[a]);
    return order;
}

}  // namespace

std::optional<Flat> flatten(const Project& project) {
    if (!is_plain(project)) return std::nullopt;
    const auto arcs = arcs_of(project);
    if (!arcs) return std::nullopt;
    Flat flat;
    flat.count = static_cast<int>(project.activities.size());
    const int resources = static_cast<int>(project.capacity.size());
    flat.words = std::max(1, (resources + Flat::lanes - 1) / Flat::lanes);
    flat.capacity.assign(flat.words, Flat::guard);
    flat.demand.assign(static_cast<std::size_t>(flat.count) * flat.words, 0);
    for (int r = 0; r < resources; ++r) {
        const int word = r / Flat::lanes, shift = r % Flat::lanes * Flat::lane_bits;
        flat.capacity[word] += static_cast<std::uint64_t>(project.capacity[r]) << shift;
        for (int i = 0; i < flat.count; ++i)
            if (project.activities[i].modes.front().duration > 0)
                flat.demand[i * flat.words + word] +=
                    static_cast<std::uint64_t>(project.activities[i].modes.front().demand[r]) << shift;
    }
    std::int64_t horizon = 1;
    for (const Activity& activity : project.activities) {
        flat.duration.push_back(activity.modes.front().duration);
        flat.release.push_back(activity.release);
        horizon += activity.modes.front().duration + activity.release;
    }
    for (const Arc& arc : *arcs) horizon += arc.gap;
    // The decoder's profile has a word a period; longer projects are left to the other search.
    if (horizon > 4'000'000) return std::nullopt;
    flat.horizon = static_cast<Time>(horizon);
    set_arcs(flat, *arcs);
    flat.order = topological(flat);
    if (static_cast<int>(flat.order.size()) < flat.count) return std::nullopt;
    return flat;
}

Flat mirrored(const Flat& flat) {
    Flat back = flat;
    std::vector<Arc> arcs;
    for (int i = 0; i < flat.count; ++i)
        for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a) {
            const int to = flat.next_to[a];
            arcs.push_back({to, i, flat.next_gap[a] - flat.duration[i] + flat.duration[to]});
        }
    back.next_to.clear();
    back.next_gap.clear();
    set_arcs(back, std::move(arcs));
    back.release.assign(flat.count, 0);
    std::ranges::reverse(back.order);
    return back;
}

std::vector<Time> tails(const Flat& flat) {
    std::vector<Time> tail = flat.duration;
    for (int k = flat.count - 1; k >= 0; --k) {
        const int i = flat.order[k];
        for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a)
            tail[i] = std::max(tail[i], flat.next_gap[a] + tail[flat.next_to[a]]);
    }
    return tail;
}

}  // namespace handrail::schedule::detail
