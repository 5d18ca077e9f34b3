#include "brief/facts.h"

#include <fmt/format.h>

#include <algorithm>

#include "units/clock_difference.h"

namespace handrail::brief {

namespace {

bool counts(const live::Status& day, TaskId task) {
    const live::TaskProgress at = day.tasks[index(task)].progress;
    if (at == live::TaskProgress::done) return true;
    const bool goes_on = !day.day.stand_down && !day.day.situation.crew[0].inside_again && day.forecast.possible;
    return goes_on && at != live::TaskProgress::left_out;
}

}  // namespace

Facts facts(const Outing& outing, const Timeline& timeline, const live::Status* day) {
    Facts f;
    f.finish = timeline.finish();
    f.limit = pet(outing.rules.limit);
    f.wanted = outing.rules.margin;
    f.margin_from = f.limit - f.wanted;
    f.in_hand = std::chrono::floor<Seconds>(f.limit - f.finish);
    f.in_hand_told = left_by_the_clock(f.limit, f.finish, f.wanted);
    for (const Task& task : outing.tasks) {
        const bool done = day != nullptr ? counts(*day, task.id) : timeline.lead_of(task.id).has_value();
        const bool required = task.task_class == TaskClass::required;
        ++f.tasks;
        f.tasks_done += done;
        f.required += required;
        f.required_done += required && done;
        if (!required) f.value_of_all += task.value;
        if (!required && done) f.value += task.value;
    }
    return f;
}

std::optional<Crew> rider(const Outing& outing, const Timeline& timeline, const Activity& activity) {
    if (!activity.step || outing.step(*activity.step).arm == ArmUse::none) return {};
    const bool ev1 = activity.on(Lane::ev1), ev2 = activity.on(Lane::ev2);
    if (!ev1 && !ev2) return {};
    if (ev1 != ev2) return ev1 ? Crew::ev1 : Crew::ev2;
    return timeline.lead_of(outing.step(*activity.step).task).value_or(Crew::ev1);
}

std::optional<Span> span_of(const Outing& outing, const Timeline& timeline, TaskId task) {
    std::optional<Span> span;
    for (const Activity& activity : timeline.activities) {
        if (!activity.step || outing.step(*activity.step).task != task) continue;
        if (!span) span = Span{activity.start, activity.end()};
        span->from = std::min(span->from, activity.start);
        span->to = std::max(span->to, activity.end());
    }
    return span;
}

std::vector<const Activity*> on_lane(const Timeline& timeline, Lane lane) {
    std::vector<const Activity*> out;
    for (const Activity& activity : timeline.activities)
        if (activity.on(lane)) out.push_back(&activity);
    std::stable_sort(out.begin(), out.end(), [](const auto* a, const auto* b) { return a->start < b->start; });
    return out;
}

std::vector<TaskRun> runs_on(const Outing& outing, const Timeline& timeline, Lane lane) {
    std::vector<TaskRun> runs;
    for (const Activity* activity : on_lane(timeline, lane)) {
        if (!activity->step) continue;
        const TaskId task = outing.step(*activity->step).task;
        if (runs.empty() || runs.back().task != task)
            runs.push_back({task, activity->start, activity->end()});
        else
            runs.back().to = std::max(runs.back().to, activity->end());
    }
    return runs;
}

std::vector<Stay> stays_of(const Outing& outing, const Timeline& timeline, Crew crew) {
    std::vector<Stay> stays;
    WorksiteId at = outing.station.airlock;
    const auto name = [&](WorksiteId site) { return outing.worksite(site).name; };
    const auto stay = [&](Pet from, Pet to) {
        if (!(from < to)) return;
        if (!stays.empty() && !stays.back().moving && stays.back().where == name(at))
            stays.back().to = to;
        else
            stays.push_back({from, to, name(at), false});
    };
    const std::vector<const Activity*> activities = on_lane(timeline, lane_of(crew));
    Pet since = activities.empty() ? Pet{} : activities.front()->start;
    for (const Activity* activity : activities) {
        const bool translate = activity->kind == ActivityKind::translate && !activity->path.empty();
        const Step* step = activity->step ? &outing.step(*activity->step) : nullptr;
        if (step != nullptr && step->at) at = *step->at;
        if (!translate && !(step != nullptr && step->to)) {
            stay(since, activity->end());
            since = activity->end();
            continue;
        }
        stay(since, activity->start);
        at = translate ? activity->path.back() : *step->to;
        stays.push_back({activity->start, activity->end(), name(at), true});
        since = activity->end();
    }
    return stays;
}

std::string print_value(double value) { return fmt::format("{:.4g}", value); }

std::string print_short(Seconds duration) {
    if (duration < Seconds{600}) return print_duration(duration);
    return print_duration(Seconds{(duration.count() + 30) / 60 * 60});
}

std::string print_left(Pet end, Pet at) {
    const auto exact = std::chrono::floor<Seconds>(end - at);
    return print_duration(exact < Seconds{600} ? exact : left_by_the_clock(end, at));
}

}  // namespace handrail::brief
