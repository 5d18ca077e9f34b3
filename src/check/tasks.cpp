#include <fmt/format.h>

#include <algorithm>

#include "check/rules.h"

/// Tasks: whole, in their order, by the right people.
namespace handrail::checking {
namespace {

std::string lanes_text(const std::vector<Lane>& lanes) {
    std::string text;
    for (const Lane lane : lanes) text += (text.empty() ? "" : ", ") + std::string(word(lane));
    return text.empty() ? "nobody" : text;
}

std::string quoted(const Task& task) { return "\"" + task.name + "\""; }
std::string quoted(const Step& step) { return "\"" + step.label + " " + step.name + "\""; }

/// A task as it stands on the timeline.
struct Presence {
    std::size_t steps_there = 0;
    Pet start{}, end{};
    std::vector<Lane> lanes;
    bool there() const { return steps_there > 0; }
};

Presence presence(const Replay& replay, const Task& task) {
    Presence presence;
    for (const StepId id : task.steps) {
        for (const Activity* run : replay.runs[index(id)]) {
            const bool first = presence.steps_there == 0 && presence.lanes.empty();
            presence.start = first ? run->start : std::min(presence.start, run->start);
            presence.end = first ? run->end() : std::max(presence.end, run->end());
            for (const Lane lane : run->lanes)
                if (std::ranges::find(presence.lanes, lane) == presence.lanes.end()) presence.lanes.push_back(lane);
        }
        if (replay.first_run(id)) ++presence.steps_there;
    }
    std::ranges::sort(presence.lanes);
    return presence;
}

/// The lanes each kind of activity may be on, steps aside.
bool lanes_fit(const Activity& activity) {
    const bool one_crew = activity.lanes == std::vector{Lane::ev1} || activity.lanes == std::vector{Lane::ev2};
    switch (activity.kind) {
        case ActivityKind::step:
        case ActivityKind::egress:    // judged by `egress`
        case ActivityKind::clean_up:  // and `ingress`
        case ActivityKind::ingress:
            return true;
        case ActivityKind::arm_move:
            return activity.lanes == std::vector{Lane::arm};
        case ActivityKind::translate:
        case ActivityKind::tether_swap:
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
            return one_crew;
    }
    return false;
}

void check_step_lanes(const Replay& replay, Report& report, const Activity& activity) {
    const Step& step = replay.outing.step(*activity.step);
    const std::vector<Lane> needed = lanes_of(step, replay.lead[index(step.task)]);
    if (step.by_hand) {
        std::vector<Lane> without_arm = needed;
        std::erase(without_arm, Lane::arm);
        if (activity.lanes == without_arm) return;
    }
    if (activity.lanes != needed)
        report.add("who", activity.lanes, activity.start, {},
                   fmt::format("{} is on {} and must be on {} when {} leads its task.", replay.named(activity),
                               lanes_text(activity.lanes), lanes_text(needed), name(replay.lead[index(step.task)])),
                   source_of(step.place));
}

void check_availability(const Replay& replay, Report& report, const Activity& activity) {
    if (activity.as_run) return;
    for (const Crew c : both_crew)
        if (activity.step && activity.on(lane_of(c)) && replay.unable(c))
            report.add("who", {lane_of(c)}, activity.start, {},
                       fmt::format("{} needs {}, who can do no more steps: leave it to {} or out.",
                                   replay.named(activity), name(c), name(partner(c))));
    for (const Lane lane : replay.options.unavailable)
        if (activity.on(lane))
            report.add("who", {lane}, activity.start, {},
                       fmt::format("{} needs {}, which is not available any more: leave it out.",
                                   replay.named(activity), word(lane)));
}

void check_bindings(const Replay& replay, Report& report) {
    for (const Task& task : replay.outing.tasks) {
        const Presence on_timeline = presence(replay, task);
        const auto count = std::ranges::count(replay.timeline.bindings, task.id, &Binding::task);
        const Crew lead = replay.lead[index(task.id)];
        if (on_timeline.there() && count != 1)
            report.add("who", on_timeline.lanes, on_timeline.start, {},
                       fmt::format("{} has {} leads named: name one.", quoted(task), count == 0 ? "no" : "two or more"),
                       source_of(task.place));
        else if (on_timeline.there() && task.lead && *task.lead != lead)
            report.add(
                "who", on_timeline.lanes, on_timeline.start, {},
                fmt::format("{} is led by {} and must be led by {}.", quoted(task), name(lead), name(*task.lead)),
                source_of(task.place));
    }
}

void check_order(const Replay& replay, Report& report, const Order& order) {
    const Activity* before = replay.first_run(order.before);
    const Activity* after = replay.first_run(order.after);
    if (!before || !after) return;
    const Step& earlier = replay.outing.step(order.before);
    const Step& later = replay.outing.step(order.after);
    const auto say = [&](Milliseconds amount, std::string what) {
        std::vector<Lane> lanes = before->lanes;
        for (const Lane lane : after->lanes)
            if (std::ranges::find(lanes, lane) == lanes.end()) lanes.push_back(lane);
        std::ranges::sort(lanes);
        report.add("order", std::move(lanes), after->start, seconds(amount), std::move(what), source_of(later.place));
    };
    if (order.starts_together) {
        if (before->start == after->start) return;
        const Milliseconds apart =
            after->start > before->start ? after->start - before->start : before->start - after->start;
        say(apart, fmt::format("{} and {} must start together and start {} apart.", quoted(earlier), quoted(later),
                               span_text(apart)));
        return;
    }
    const Pet earliest = before->end() + order.gap;
    if (after->start < earliest)
        say(earliest - after->start,
            fmt::format("{} must not start before {} ({} after the end of {}) and starts {} too soon.", quoted(later),
                        clock(earliest), print_duration(order.gap), quoted(earlier),
                        span_text(earliest - after->start)));
    if (order.within && after->start > before->end() + *order.within)
        say(after->start - before->end() - *order.within,
            fmt::format("{} must start within {} of the end of {} and starts {} too late.", quoted(later),
                        print_duration(*order.within), quoted(earlier),
                        span_text(after->start - before->end() - *order.within)));
}

void check_whole(const Replay& replay, Report& report, const Task& task, const Presence& on_timeline) {
    const std::string source = source_of(task.place);
    std::string missing;
    for (const StepId id : task.steps) {
        const Step& step = replay.outing.step(id);
        const std::vector<const Activity*>& runs = replay.runs[index(id)];
        if (runs.empty()) missing += (missing.empty() ? "" : ", ") + quoted(step);
        if (runs.size() > 1)
            report.add("whole-task", runs[1]->lanes, runs[1]->start, {static_cast<double>(runs.size() - 1), "steps"},
                       fmt::format("{} is on the timeline {} times: keep one.", quoted(step), runs.size()), source);
        if (!replay.dropped(task.id) || step.close_up) continue;
        for (const Activity* run : runs)
            if (!run->as_run)
                report.add("whole-task", run->lanes, run->start, {},
                           fmt::format("{} is planned though its task has been dropped: leave it out.", quoted(step)),
                           source);
    }
    if (replay.dropped(task.id) || !on_timeline.there() || missing.empty()) return;
    report.add("whole-task", on_timeline.lanes, on_timeline.start,
               {static_cast<double>(task.steps.size() - on_timeline.steps_there), "steps"},
               fmt::format("{} is done in part; still missing: {}.", quoted(task), missing), source);
}

void check_relations(const Replay& replay, Report& report, const std::vector<Presence>& all, const Task& task) {
    const Presence& own = all[index(task.id)];
    const std::string source = source_of(task.place);
    for (const TaskId other : task.after) {
        const Presence& earlier = all[index(other)];
        if (!earlier.there() || own.start >= earlier.end) continue;
        report.add(
            "task-order", own.lanes, own.start, seconds(earlier.end - own.start),
            fmt::format("{} starts {} before {} has ended: start it at {} or later.", quoted(task),
                        span_text(earlier.end - own.start), quoted(replay.outing.task(other)), clock(earlier.end)),
            source);
    }
    if (replay.dropped(task.id)) return;
    for (const TaskId other : task.needs)
        if (!all[index(other)].there() || replay.dropped(other))
            report.add("task-needs", own.lanes, own.start, {},
                       fmt::format("{} is done without {}: do both or neither.", quoted(task),
                                   quoted(replay.outing.task(other))),
                       source);
    for (const TaskId other : task.not_with)
        if (all[index(other)].there() && !replay.dropped(other))
            report.add("task-not-with", own.lanes, own.start, {},
                       fmt::format("{} and {} must not be in one outing: leave one out.", quoted(task),
                                   quoted(replay.outing.task(other))),
                       source);
    if (task.starts_by && own.start > *task.starts_by)
        report.add("task-by", own.lanes, own.start, seconds(own.start - *task.starts_by),
                   fmt::format("{} starts {} after its latest start, {}.", quoted(task),
                               span_text(own.start - *task.starts_by), clock(*task.starts_by)),
                   source);
    if (task.ends_by && own.end > *task.ends_by)
        report.add("task-by", own.lanes, own.end, seconds(own.end - *task.ends_by),
                   fmt::format("{} ends {} after its latest end, {}.", quoted(task), span_text(own.end - *task.ends_by),
                               clock(*task.ends_by)),
                   source);
}

}  // namespace

void check_who(const Replay& replay, Report& report) {
    for (const Activity* activity : replay.activities) {
        if (activity->step) check_step_lanes(replay, report, *activity);
        if (!lanes_fit(*activity))
            report.add("who", activity->lanes, activity->start, {},
                       fmt::format("{} cannot be on {}.", replay.named(*activity), lanes_text(activity->lanes)));
        check_availability(replay, report, *activity);
    }
    check_bindings(replay, report);
}

void check_orders(const Replay& replay, Report& report) {
    for (const Order& order : replay.outing.orders) check_order(replay, report, order);
}

void check_tasks(const Replay& replay, Report& report) {
    std::vector<Presence> all;
    for (const Task& task : replay.outing.tasks) all.push_back(presence(replay, task));
    for (const Task& task : replay.outing.tasks) {
        const Presence& on_timeline = all[index(task.id)];
        check_whole(replay, report, task, on_timeline);
        if (on_timeline.there())
            check_relations(replay, report, all, task);
        else if (std::ranges::any_of(task.instead_of, [&](TaskId other) { return all[index(other)].there(); }))
            continue;  // done in another way
        else if (task.task_class == TaskClass::required && !replay.dropped(task.id))
            report.add("required", {}, Pet{}, {}, fmt::format("{} is required and left out: plan it.", quoted(task)),
                       source_of(task.place));
    }
}

}  // namespace handrail::checking
