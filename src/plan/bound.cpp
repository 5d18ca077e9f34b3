#include "plan/bound.h"

#include <algorithm>
#include <cmath>

namespace handrail::plan::detail {
namespace {

struct Item {
    double value;
    Time work;
};

Time start_of_work(const Problem& problem) {
    const Situation& now = *problem.situation;
    if (now.crew[0].outside) return static_cast<Time>(since_zero(now.now).count());
    return std::max<Time>(0, static_cast<Time>(since_zero(now.now).count())) + problem.egress;
}

/// Crew seconds a task takes at least.
Time work_of(const Problem& problem, const TaskData& task) {
    Time least = never;
    for (int lead = 0; lead < 2; ++lead) {
        if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
        Time sum = 0;
        for (int unit : task.units)
            for (int s : problem.units[static_cast<std::size_t>(unit)].steps) {
                const StepData& step = problem.steps[static_cast<std::size_t>(s)];
                sum += step.duration[static_cast<std::size_t>(lead)] * ((step.roles & 1) + ((step.roles >> 1) & 1));
            }
        least = std::min(least, sum);
    }
    return least == never ? 0 : least;
}

/// Least way from (or to) the airlock for either crew member, any anchor, no large load.
Time least_way(const Problem& problem, int site) {
    Time least = never;
    const int home = problem.state(problem.airlock, 0);
    for (std::size_t c = 0; c < 2; ++c)
        for (std::size_t a = 0; a < problem.anchors.size(); ++a)
            least = std::min(least, problem.ways[c][0].time(problem.state(site, static_cast<int>(a)), home));
    return least == never ? 0 : least;
}

/// No timeline ends this task, everything else left aside, and is home before this.
Time chain_of(const Problem& problem, const TaskData& task) {
    Time latest = 0;
    const Time start = start_of_work(problem);
    const bool fresh = !problem.situation->crew[0].outside;
    std::vector<std::pair<int, Time>> ends;  // steps of the task in unit order with their earliest ends
    for (int unit : task.units)
        for (int s : problem.units[static_cast<std::size_t>(unit)].steps) {
            const StepData& step = problem.steps[static_cast<std::size_t>(s)];
            Time earliest = start;
            if (fresh && step.roles != 0 && step.at >= 0 && !step.ride) earliest += least_way(problem, step.at);
            for (int l : problem.links_into[static_cast<std::size_t>(s)]) {
                const Link& link = problem.links[static_cast<std::size_t>(l)];
                for (const auto& [before, end] : ends)
                    if (before == link.before) earliest = std::max(earliest, end + link.gap);
            }
            Time end = never;
            for (int lead = 0; lead < 2; ++lead) {
                if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
                Time begin = earliest;
                const auto& ranges = step.starts[static_cast<std::size_t>(lead)];
                if (step.windowed) {
                    const auto range =
                        std::find_if(ranges.begin(), ranges.end(), [&](const StartRange& r) { return r.to >= begin; });
                    if (range == ranges.end()) continue;
                    begin = std::max(begin, range->from);
                }
                end = std::min(end, begin + step.duration[static_cast<std::size_t>(lead)]);
            }
            if (end >= never) return never;
            ends.emplace_back(s, end);
            Time home = end;
            if (step.roles != 0)
                home += (step.to >= 0 ? least_way(problem, step.to) : 0) + problem.clean_up + problem.ingress;
            latest = std::max(latest, home);
        }
    return latest;
}

std::vector<Item> optional_items(const Problem& problem) {
    std::vector<Item> items;
    for (const TaskData& task : problem.tasks)
        if (task.possible && task.optional && !task.units.empty() && chain_of(problem, task) <= problem.limit)
            items.push_back({task.value, work_of(problem, task)});
    std::sort(items.begin(), items.end(),
              [](const Item& a, const Item& b) { return a.value * b.work > b.value * a.work; });
    return items;
}

Time fixed_work(const Problem& problem) {
    Time work = 0;
    for (const TaskData& task : problem.tasks)
        if (task.possible && !task.optional) work += work_of(problem, task);
    return work;
}

}  // namespace

Bounds value_bound(const Problem& problem) {
    double room =
        2.0 * (problem.limit - start_of_work(problem) - problem.clean_up - problem.ingress) - fixed_work(problem);
    Bounds bounds;
    for (const Item& item : optional_items(problem)) {
        if (room <= 0) break;
        const double share = item.work <= 0 ? 1.0 : std::min(1.0, room / item.work);
        bounds.value += share * item.value;
        room -= item.work;
    }
    bounds.missing = problem.wanted_value - bounds.value;
    return bounds;
}

Time finish_bound(const Problem& problem, double missing) {
    // Least crew seconds for optional tasks whose value leaves out no more than `missing`: fractional, so never too
    // high.
    double needed = problem.wanted_value - missing;
    double work = fixed_work(problem);
    for (const Item& item : optional_items(problem)) {
        if (needed <= 1e-9) break;
        const double share = item.value <= 0 ? 0.0 : std::min(1.0, needed / item.value);
        work += share * item.work;
        needed -= share * item.value;
    }
    Time bound = start_of_work(problem) + static_cast<Time>(std::floor(work / 2)) + problem.clean_up + problem.ingress;
    for (const TaskData& task : problem.tasks) {
        if (!task.possible || task.optional || task.units.empty()) continue;
        const Time chain = chain_of(problem, task);
        if (chain < never) bound = std::max(bound, chain);
    }
    return bound;
}

}  // namespace handrail::plan::detail
