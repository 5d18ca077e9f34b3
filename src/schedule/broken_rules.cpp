#include <fmt/format.h>

#include <map>

#include "schedule/project.h"

namespace handrail::schedule {
namespace {

using Broken = std::vector<std::string>;

void check_activity(const Project& project, const Schedule& schedule, int i, Broken& broken) {
    const Activity& activity = project.activities[i];
    if (!schedule.done(i)) {
        if (!activity.optional) broken.push_back(fmt::format("activity {} is left out", i + 1));
        return;
    }
    if (schedule.mode[i] < 0 || schedule.mode[i] >= static_cast<int>(activity.modes.size())) {
        broken.push_back(fmt::format("activity {} has no mode {}", i + 1, schedule.mode[i]));
        return;
    }
    const Time start = schedule.start[i], end = start + activity.modes[schedule.mode[i]].duration;
    if (start < activity.release) broken.push_back(fmt::format("activity {} starts before its release", i + 1));
    if (start > activity.latest_start) broken.push_back(fmt::format("activity {} starts too late", i + 1));
    if (end > activity.deadline) broken.push_back(fmt::format("activity {} ends after its deadline", i + 1));
}

void check_lags(const Project& project, const Schedule& schedule, Broken& broken) {
    for (const Lag& lag : project.lags) {
        if (!schedule.done(lag.from) || !schedule.done(lag.to)) continue;
        Time since = schedule.start[lag.from];
        if (lag.since == Since::finish) since += project.activities[lag.from].modes[schedule.mode[lag.from]].duration;
        if (schedule.start[lag.to] < since + lag.gap)
            broken.push_back(fmt::format("activity {} starts too soon after activity {}", lag.to + 1, lag.from + 1));
    }
}

void check_resource(const Project& project, const Schedule& schedule, int resource, Broken& broken) {
    std::map<Time, long> used;
    for (std::size_t i = 0; i < project.activities.size(); ++i) {
        if (!schedule.done(static_cast<int>(i))) continue;
        const Mode& mode = project.activities[i].modes[schedule.mode[i]];
        for (Time t = schedule.start[i]; t < schedule.start[i] + mode.duration; ++t) used[t] += mode.demand[resource];
    }
    for (const auto& [time, amount] : used)
        if (amount > project.capacity[resource]) {
            broken.push_back(fmt::format("resource {} is short in period {}: {} of {}", resource + 1, time, amount,
                                         project.capacity[resource]));
            return;
        }
}

void check_stock(const Project& project, const Schedule& schedule, int stock, Broken& broken) {
    long used = 0;
    for (std::size_t i = 0; i < project.activities.size(); ++i)
        if (schedule.done(static_cast<int>(i))) used += project.activities[i].modes[schedule.mode[i]].uses[stock];
    if (used > project.stock[stock])
        broken.push_back(fmt::format("stock {} is short: {} of {}", stock + 1, used, project.stock[stock]));
}

void check_choice(const Project& project, const Schedule& schedule, Broken& broken) {
    for (const Group& group : project.groups) {
        int done = 0;
        for (const int member : group.members) done += schedule.done(member) ? 1 : 0;
        if (done < group.at_least || done > group.at_most)
            broken.push_back(
                fmt::format("{} of a group are done, expected {} to {}", done, group.at_least, group.at_most));
    }
    for (const Needs& need : project.needs)
        if (schedule.done(need.activity) && !schedule.done(need.other))
            broken.push_back(fmt::format("activity {} is done without activity {}", need.activity + 1, need.other + 1));
}

}  // namespace

std::vector<std::string> broken_rules(const Project& project, const Schedule& schedule) {
    const std::size_t count = project.activities.size();
    if (schedule.start.size() != count || schedule.mode.size() != count) return {"not every activity has a start"};
    Broken broken;
    for (std::size_t i = 0; i < count; ++i) check_activity(project, schedule, static_cast<int>(i), broken);
    if (!broken.empty()) return broken;
    check_lags(project, schedule, broken);
    for (std::size_t r = 0; r < project.capacity.size(); ++r)
        check_resource(project, schedule, static_cast<int>(r), broken);
    for (std::size_t s = 0; s < project.stock.size(); ++s) check_stock(project, schedule, static_cast<int>(s), broken);
    check_choice(project, schedule, broken);
    return broken;
}

}  // namespace handrail::schedule
