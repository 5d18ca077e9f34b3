#include "schedule/project.h"

#include <fmt/format.h>

#include <algorithm>

namespace handrail::schedule {
namespace {

std::string fault_of(const Project& project, const Activity& activity) {
    if (activity.modes.empty()) return "has no mode";
    for (const Mode& mode : activity.modes) {
        if (mode.duration < 0 || mode.duration >= unlimited) return "has a duration out of range";
        if (mode.demand.size() != project.capacity.size()) return "does not name a demand for each resource";
        if (mode.uses.size() != project.stock.size()) return "does not name a use of each stock";
        const auto negative = [](int amount) { return amount < 0; };
        if (std::ranges::any_of(mode.demand, negative) || std::ranges::any_of(mode.uses, negative))
            return "has a negative demand";
    }
    if (activity.release < 0 || activity.release >= unlimited) return "has a release out of range";
    if (activity.value < 0) return "has a negative value";
    return "";
}

}  // namespace

std::string fault(const Project& project) {
    const int count = static_cast<int>(project.activities.size());
    const auto known = [count](int activity) { return activity >= 0 && activity < count; };
    for (int i = 0; i < count; ++i)
        if (const std::string what = fault_of(project, project.activities[i]); !what.empty())
            return fmt::format("activity {} {}", i + 1, what);
    const auto negative = [](int amount) { return amount < 0; };
    if (std::ranges::any_of(project.capacity, negative) || std::ranges::any_of(project.stock, negative))
        return "a capacity or stock is negative";
    for (const Lag& lag : project.lags) {
        if (!known(lag.from) || !known(lag.to)) return "a lag names an unknown activity";
        if (lag.gap <= -unlimited || lag.gap >= unlimited) return "a lag is out of range";
    }
    for (const Group& group : project.groups)
        if (!std::ranges::all_of(group.members, known)) return "a group names an unknown activity";
    for (const Needs& need : project.needs)
        if (!known(need.activity) || !known(need.other)) return "a need names an unknown activity";
    return "";
}

Time makespan(const Project& project, const Schedule& schedule) {
    Time end = 0;
    for (std::size_t i = 0; i < project.activities.size(); ++i)
        if (schedule.mode[i] != Schedule::left_out)
            end = std::max(end, schedule.start[i] + project.activities[i].modes[schedule.mode[i]].duration);
    return end;
}

std::int64_t value(const Project& project, const Schedule& schedule) {
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < project.activities.size(); ++i)
        if (project.activities[i].optional && schedule.mode[i] != Schedule::left_out)
            sum += project.activities[i].value;
    return sum;
}

}  // namespace handrail::schedule
