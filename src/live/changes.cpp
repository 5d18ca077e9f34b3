#include "live/changes.h"

#include <fmt/format.h>

#include <algorithm>

#include "units/clock_difference.h"

namespace handrail::live {
namespace {

using plan::StepStatus;

bool ahead_of(const Forecast& forecast, StepId step) {
    return std::ranges::any_of(forecast.ahead, [step](const AsRun& run) { return run.activity.step == step; });
}

}  // namespace

bool any_ahead(const Outing& outing, const Forecast& forecast, TaskId task) {
    return std::ranges::any_of(outing.task(task).steps, [&](StepId step) { return ahead_of(forecast, step); });
}

bool will_be_done(const Day& day, const Forecast& forecast, const Task& task) {
    bool any = false;
    for (const StepId step : task.steps) {
        const StepStatus status = day.situation.steps[index(step)];
        if (status == StepStatus::skipped) continue;
        any = true;
        if (status == StepStatus::to_do && !ahead_of(forecast, step)) return false;
    }
    return any;
}

namespace {

const Activity* next_step(const Forecast& forecast, Crew crew) {
    for (const AsRun& run : forecast.ahead)
        if (run.activity.step && run.activity.on(lane_of(crew))) return &run.activity;
    return nullptr;
}

std::string where(const Outing& outing, const Activity& activity) {
    return activity.path.empty() ? "" : outing.worksite(activity.path.front()).name;
}

/// What one person takes along before their next step.
std::string takes(const Outing& outing, const Forecast& forecast, Crew crew) {
    std::string text;
    for (const AsRun& run : forecast.ahead) {
        if (!run.activity.on(lane_of(crew))) continue;
        if (run.activity.step) break;
        if (run.activity.kind != ActivityKind::pick_up) continue;
        for (const ItemId item : run.activity.items) text += (text.empty() ? "" : " and ") + outing.item(item).name;
    }
    return text;
}

std::string next_change(const Outing& outing, const Forecast& now, const Forecast& then, Crew crew) {
    const Activity* before = next_step(now, crew);
    const Activity* after = next_step(then, crew);
    if (before == nullptr && after == nullptr) return {};
    const std::string who(word(crew));
    if (after == nullptr) return fmt::format("{} comes home instead of {}", who, title(outing, *before));
    std::string text;
    if (before == nullptr)
        text = fmt::format("{} does {}", who, title(outing, *after));
    else if (before->step == after->step)
        return {};
    else if (where(outing, *before) != where(outing, *after) && !where(outing, *after).empty())
        text = fmt::format("{} goes to {} instead of {}", who, where(outing, *after),
                           where(outing, *before).empty() ? title(outing, *before) : where(outing, *before));
    else
        text = fmt::format("{} does {} next instead of {}", who, title(outing, *after), title(outing, *before));
    const std::string taken = takes(outing, then, crew);
    if (!taken.empty() && taken != takes(outing, now, crew)) text += fmt::format(", takes {}", taken);
    return text;
}

}  // namespace

std::vector<std::string> changes_of(const Outing& outing, const Day& day, const Forecast& now, const Forecast& then) {
    std::vector<std::string> changes;
    for (const Crew crew : both_crew) {
        std::string change = next_change(outing, now, then, crew);
        if (!change.empty()) changes.push_back(std::move(change));
    }
    for (const Task& task : outing.tasks) {
        const bool before = will_be_done(day, now, task);
        const bool after = will_be_done(day, then, task);
        if (before && !after)
            changes.push_back(any_ahead(outing, then, task.id) ? fmt::format("{} is only closed up", task.name)
                                                               : fmt::format("{} is left out", task.name));
        if (!before && after) changes.push_back(fmt::format("{} is done after all", task.name));
        if (before && after && now.timeline && then.timeline) {
            const auto led = now.timeline->lead_of(task.id);
            const auto leads = then.timeline->lead_of(task.id);
            if (led && leads && led != leads)
                changes.push_back(fmt::format("{} leads {} instead of {}", word(*leads), task.name, word(*led)));
        }
    }
    const Seconds shift = by_the_clock(then.finish, now.finish);
    if (shift != Seconds{0})
        changes.push_back(fmt::format("both are in {} {}", print_duration(std::chrono::abs(shift)),
                                      shift < Seconds{0} ? "sooner" : "later"));
    return changes;
}

}  // namespace handrail::live
