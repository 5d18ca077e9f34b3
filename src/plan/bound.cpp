#include "plan/bound.h"

#include <algorithm>
#include <cmath>

namespace handrail::plan::detail {
namespace {

struct Item {
    double value;
    double work;
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

/// Least of one consumable that a task draws, whichever crew member is which.
double drawn_by(const Problem& problem, const TaskData& task, std::size_t consumable) {
    double least = 1e18;
    for (int lead = 0; lead < 2; ++lead) {
        if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
        double sum = 0;
        std::array<int, 2> crew{};
        for (int unit : task.units)
            for (int s : problem.units[static_cast<std::size_t>(unit)].steps) {
                const StepData& step = problem.steps[static_cast<std::size_t>(s)];
                const int count = problem.crew_of(step, lead, crew);
                for (int i = 0; i < count; ++i) {
                    const auto& rate = problem.draw[static_cast<std::size_t>(crew[static_cast<std::size_t>(i)])]
                                                   [static_cast<std::size_t>(step.effort)];
                    sum += std::min(rate[0][consumable], rate[1][consumable]) *
                           step.duration[static_cast<std::size_t>(lead)];
                }
            }
        least = std::min(least, sum);
    }
    return least;
}

template <class Need>
std::vector<Item> optional_items(const Problem& problem, Need&& need) {
    std::vector<Item> items;
    for (const TaskData& task : problem.tasks)
        if (task.possible && task.optional && !task.units.empty() && chain_of(problem, task) <= problem.limit)
            items.push_back({task.value, need(task)});
    std::sort(items.begin(), items.end(),
              [](const Item& a, const Item& b) { return a.value * b.work > b.value * a.work; });
    return items;
}

template <class Need>
double fixed_need(const Problem& problem, Need&& need) {
    double sum = 0;
    for (const TaskData& task : problem.tasks)
        if (task.possible && !task.optional) sum += need(task);
    return sum;
}

/// The best value that fits in `room` when the last item may be taken in part.
double fill(const std::vector<Item>& items, double room) {
    double value = 0;
    for (const Item& item : items) {
        if (room <= 0) break;
        const double share = item.work <= 0 ? 1.0 : std::min(1.0, room / item.work);
        value += share * item.value;
        room -= item.work;
    }
    return value;
}

}  // namespace

Bounds value_bound(const Problem& problem) {
    const auto work = [&](const TaskData& task) { return static_cast<double>(work_of(problem, task)); };
    const double time_room = 2.0 * (problem.limit - start_of_work(problem) - problem.clean_up - problem.ingress);
    Bounds bounds;
    bounds.value = fill(optional_items(problem, work), time_room - fixed_need(problem, work));
    for (std::size_t consumable = 0; consumable < lifesupport::consumable_count; ++consumable) {
        double room = 0;
        for (std::size_t c = 0; c < 2; ++c) {
            const auto at = [&](Effort effort) {
                const auto& rate = problem.draw[c][static_cast<std::size_t>(effort)];
                return std::min(rate[0][consumable], rate[1][consumable]);
            };
            const CrewSituation& crew = problem.situation->crew[c];
            room += problem.usable[c][consumable] - crew.used[consumable] - at(Effort::light) * problem.clean_up -
                    at(Effort::airlock) * (problem.ingress + (crew.outside ? 0 : problem.egress));
        }
        const auto need = [&](const TaskData& task) { return drawn_by(problem, task, consumable); };
        if (std::isfinite(room))
            bounds.value =
                std::min(bounds.value, fill(optional_items(problem, need), room - fixed_need(problem, need)));
    }
    bounds.missing = problem.wanted_value - bounds.value;
    return bounds;
}

Time finish_bound(const Problem& problem, double missing) {
    // Least crew seconds for optional tasks whose value leaves out no more than `missing`: fractional, so never too
    // high.
    const auto work_of_task = [&](const TaskData& task) { return static_cast<double>(work_of(problem, task)); };
    double needed = problem.wanted_value - missing;
    double work = fixed_need(problem, work_of_task);
    for (const Item& item : optional_items(problem, work_of_task)) {
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
