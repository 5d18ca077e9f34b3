#include "schedule/small_projects.h"

namespace handrail::schedule::test {
namespace {

/// Tries each activity from `next` on, given those before.
void try_from(const Project& project, Time horizon, Project& partial, Schedule& schedule, std::optional<Best>& best) {
    const std::size_t next = schedule.start.size();
    if (next > 0) {
        // The rules among the first `next` activities alone; choice rules only count at the end.
        partial.activities.assign(project.activities.begin(), project.activities.begin() + static_cast<long>(next));
        partial.lags.clear();
        for (const Lag& lag : project.lags)
            if (lag.from < static_cast<int>(next) && lag.to < static_cast<int>(next)) partial.lags.push_back(lag);
        if (!broken_rules(partial, schedule).empty()) return;
    }
    if (next == project.activities.size()) {
        if (!broken_rules(project, schedule).empty()) return;
        const Best found{value(project, schedule), makespan(project, schedule)};
        if (!best || found.value > best->value || (found.value == best->value && found.makespan < best->makespan))
            best = found;
        return;
    }
    const Activity& activity = project.activities[next];
    for (int mode = activity.optional ? -1 : 0; mode < static_cast<int>(activity.modes.size()); ++mode) {
        const Time last = mode < 0 ? 0 : horizon - activity.modes[mode].duration;
        for (Time start = 0; start <= last; ++start) {
            schedule.start.push_back(start);
            schedule.mode.push_back(mode);
            try_from(project, horizon, partial, schedule, best);
            schedule.start.pop_back();
            schedule.mode.pop_back();
        }
    }
}

}  // namespace

Project random_project(Random& random, const Shape& shape) {
    Project project;
    project.capacity = {2 + random.below(3), 2 + random.below(3)};
    for (int s = 0; s < shape.stocks; ++s) project.stock.push_back(2 + random.below(shape.activities * 2));
    for (int i = 0; i < shape.activities; ++i) {
        Activity made;
        const int modes = 1 + random.below(shape.modes);
        for (int m = 0; m < modes; ++m) {
            Mode mode{random.below(4), {random.below(4), random.below(3)}, {}};
            for (int s = 0; s < shape.stocks; ++s) mode.uses.push_back(random.below(4));
            made.modes.push_back(mode);
        }
        if (shape.windows && random.below(3) == 0) made.release = random.below(3);
        if (shape.windows && random.below(3) == 0) made.latest_start = random.below(6);
        if (shape.windows && random.below(3) == 0) made.deadline = 2 + random.below(7);
        made.optional = shape.optional && random.below(3) > 0;
        made.value = made.optional ? random.below(6) : 0;
        project.activities.push_back(made);
    }
    for (int k = random.below(shape.activities + 1); k > 0; --k) {
        const int from = random.below(shape.activities - 1);
        const int to = from + 1 + random.below(shape.activities - 1 - from);
        project.lags.push_back({from, to, random.below(3), random.below(2) == 0 ? Since::finish : Since::start});
        if (shape.largest_gaps && random.below(2) == 0)
            project.lags.push_back({to, from, -random.below(5), random.below(4) == 0 ? Since::finish : Since::start});
    }
    if (shape.optional && random.below(2) == 0) {
        const int least = random.below(2);
        project.groups.push_back({{0, 1, shape.activities - 1}, least, least + random.below(2)});
    }
    if (shape.optional && random.below(2) == 0) project.needs.push_back({0, 1 + random.below(shape.activities - 1)});
    return project;
}

std::optional<Best> try_everything(const Project& project, Time horizon) {
    Project partial = project;
    partial.groups.clear();
    partial.needs.clear();
    Schedule schedule;
    std::optional<Best> best;
    try_from(project, horizon, partial, schedule, best);
    return best;
}

}  // namespace handrail::schedule::test
