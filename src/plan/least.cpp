#include "plan/least.h"

#include <algorithm>

namespace handrail::plan::detail {
namespace {

/// Least way between the airlock and each worksite for either crew member, any anchor, no large load; a step that takes
/// people elsewhere may be quicker, but not quicker than it lasts.
std::vector<Time> least_ways(const Problem& problem) {
    Time by_step = never;
    for (const StepData& step : problem.steps)
        if (step.roles != 0 && step.to >= 0 && step.to != step.at)
            by_step = std::min({by_step, least_time(step, 0), least_time(step, 1)});
    const bool small_only = std::any_of(problem.outing->station.routes.begin(), problem.outing->station.routes.end(),
                                        [](const Route& route) { return route.largest < SizeClass::medium; });
    std::vector<Time> ways;
    const int home = problem.state(problem.airlock, 0);
    for (int site = 0; site < problem.worksites; ++site) {
        Time least = by_step;
        for (std::size_t c = 0; c < 2; ++c)
            for (std::size_t a = 0; a < problem.anchors.size(); ++a)
                least = std::min(least, problem.ways[c][0].time(problem.state(site, static_cast<int>(a)), home));
        ways.push_back(least == never || small_only ? 0 : least);
    }
    return ways;
}

Time chain_of(const Problem& problem, const TaskData& task, const std::vector<int>& steps,
              const std::vector<Time>& ways) {
    Time latest = 0;
    Time first = never;
    const bool fresh = !problem.situation->crew[0].outside;
    std::vector<std::pair<int, Time>> ends;  // steps of the task with their earliest ends
    for (const int s : steps) {
        const StepData& step = problem.steps[static_cast<std::size_t>(s)];
        Time earliest = start_of_work(problem);
        if (step.roles == 0)  // may run before anybody goes out
            earliest = std::min(earliest, static_cast<Time>(since_zero(problem.situation->now).count()));
        else if (fresh && step.at >= 0 && !step.ride)
            earliest += ways[static_cast<std::size_t>(step.at)];
        for (int l : problem.links_into[static_cast<std::size_t>(s)]) {
            const Link& link = problem.links[static_cast<std::size_t>(l)];
            for (const auto& [before, end] : ends)
                if (before == link.before) earliest = std::max(earliest, end + link.gap);
        }
        Time begins = never;
        Time end = never;
        for (int lead = 0; lead < 2; ++lead) {
            if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
            Time begin = earliest;
            const auto& ranges = step.starts[static_cast<std::size_t>(lead)];
            if (step.windowed && step.by_hand[static_cast<std::size_t>(lead)] < 0) {
                const auto range =
                    std::find_if(ranges.begin(), ranges.end(), [&](const StartRange& r) { return r.to >= begin; });
                if (range == ranges.end()) continue;
                begin = std::max(begin, range->from);
            }
            begins = std::min(begins, begin);
            end = std::min(end, begin + least_time(step, lead));
        }
        if (end >= never || end > task.ends_by) return never;
        first = std::min(first, begins);
        ends.emplace_back(s, end);
        if (step.roles == 0) continue;  // may last longer than the outing
        const Time home = step.to >= 0 ? ways[static_cast<std::size_t>(step.to)] : 0;
        latest = std::max(latest, end + home + problem.clean_up + problem.ingress);
    }
    return !task.started && first > task.starts_by ? never : latest;
}

}  // namespace

Time start_of_work(const Problem& problem) {
    const Situation& now = *problem.situation;
    if (now.crew[0].outside) return static_cast<Time>(since_zero(now.now).count());
    return std::max<Time>(0, static_cast<Time>(since_zero(now.now).count())) + problem.egress;
}

Time least_time(const StepData& step, int lead) {
    const Time by_hand = step.by_hand[static_cast<std::size_t>(lead)];
    const Time with_arm = step.duration[static_cast<std::size_t>(lead)];
    return by_hand >= 0 ? std::min(by_hand, with_arm) : with_arm;
}

TaskSteps steps_by_task(const Problem& problem) {
    TaskSteps steps(problem.tasks.size());
    for (const Unit& unit : problem.units)
        for (const int s : unit.steps)
            steps[static_cast<std::size_t>(problem.steps[static_cast<std::size_t>(s)].task)].push_back(s);
    for (auto& list : steps) std::sort(list.begin(), list.end());
    return steps;
}

bool must_be_done(const TaskData& task) {
    return task.possible && !task.optional && !task.units.empty() && (task.started || task.instead_of.empty());
}

std::vector<Time> earliest_home(const Problem& problem, const TaskSteps& steps) {
    const std::vector<Time> ways = least_ways(problem);
    std::vector<Time> home;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        home.push_back(problem.tasks[t].possible ? chain_of(problem, problem.tasks[t], steps[t], ways) : 0);
    return home;
}

int outermost(const Problem& problem, int item) {
    const std::vector<ItemPlace>& items = problem.situation->items;
    for (std::size_t depth = 0; depth < items.size(); ++depth) {
        const ItemPlace& place = items[static_cast<std::size_t>(item)];
        if (place.where != ItemPlace::Where::in_bag) break;
        item = static_cast<int>(index(place.bag));
    }
    return item;
}

std::vector<std::uint8_t> moved_by_steps(const Problem& problem) {
    std::vector<std::uint8_t> moved(problem.situation->items.size(), 0);
    for (const StepData& step : problem.steps) {
        for (const auto* list : {&step.takes, &step.moves, &step.stows})
            for (int item : *list) moved[static_cast<std::size_t>(outermost(problem, item))] = 1;
        if (step.to != step.at)  // what lies at the one end is fixed at the other
            for (int item : step.installs) moved[static_cast<std::size_t>(outermost(problem, item))] = 1;
    }
    return moved;
}

Time longest_unchecked(const Problem& problem) {
    Time longest = std::max<Time>(problem.check_every, 1);
    for (const StepData& step : problem.steps)
        if (step.roles != 0)
            longest = std::max({longest, step.duration[0], step.duration[1], step.by_hand[0], step.by_hand[1]});
    for (const auto& by_load : problem.ways)
        for (const WayTable& table : by_load) longest = std::max(longest, table.longest_leg());
    return longest;
}

double unchecked_work(const Problem& problem, Time work, Time unchecked) {
    if (problem.check_every <= 0 || work <= unchecked) return work;
    const Time checks = (work + problem.check - 1) / (unchecked + problem.check);
    const Time before_the_last = checks * unchecked;  // the most there is with one check fewer
    return std::max(work - checks * problem.check, before_the_last);
}

}  // namespace handrail::plan::detail
