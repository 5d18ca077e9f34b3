#include "live/status.h"

#include <algorithm>

#include "live/behind.h"
#include "live/findings.h"
#include "units/clock_difference.h"

namespace handrail::live {
namespace {

using plan::StepStatus;

constexpr std::size_t next_shown = 3;

PersonStatus person_of(const Outing& outing, const Day& day, const Forecast& forecast, Crew crew) {
    PersonStatus person;
    for (const AsRun& run : day.as_run) {
        if (!run.running || !run.activity.on(lane_of(crew))) continue;
        NowDoing now{run, run.planned_start, run.planned_end};
        if (day.plan)
            if (const Activity* planned = planned_as(*day.plan, run.activity, crew)) {
                now.planned_start = planned->start;
                now.planned_end = planned->end();
            }
        person.now = std::move(now);
    }
    for (const AsRun& run : forecast.ahead) {
        if (!run.activity.on(lane_of(crew)) || person.next.size() >= next_shown) continue;
        ToCome next{run.activity, std::nullopt};
        if (day.plan)
            if (const Activity* planned = planned_as(*day.plan, run.activity, crew))
                next.planned_start = planned->start;
        person.next.push_back(std::move(next));
    }
    // Who is called home is neither ahead of the plan nor behind it.
    if (!day.stand_down) {
        Behind behind = behind_of(outing, day, forecast, crew);
        person.behind = behind.by;
        person.cause = std::move(behind.cause);
    }
    for (std::size_t i = 0; i < day.items.size(); ++i)
        if (day.items[i].where == plan::ItemPlace::Where::carried && day.items[i].carrier == crew)
            person.carries.push_back(static_cast<ItemId>(i));
    return person;
}

ConditionStatus condition(const WindowTable& windows, const std::string& name, Pet now) {
    ConditionStatus status;
    status.known = windows.knows(name);
    if (!status.known) return status;
    for (const Window& window : windows.of(name, "")) {
        if (window.to() <= now) continue;
        status.now = window.from() <= now;
        status.next = status.now ? window.to() : window.from();
        break;
    }
    return status;
}

/// After a terminate or an abort what is left out is left out on purpose.
std::vector<Finding> findings_of_status(const Outing& outing, const Day& day, const Forecast& forecast) {
    if (day.phase >= Phase::closed || day.situation.crew[0].inside_again) return {};
    if (day.stand_down && day.stand_down->kind == StandDownKind::scrub) return {};
    std::vector<TaskId> left;
    if (day.stand_down)
        for (const Task& task : outing.tasks) left.push_back(task.id);
    return findings_ahead(outing, day, forecast, left);
}

/// Only once something has been learned, and only where going on at this pace means something.
void add_pace(const Outing& outing, Status& status) {
    constexpr int fewest_steps = 2;
    const Day& day = status.day;
    status.pace = pace_of(outing, day);
    if (!day.pet_running || !can_replan(day) || day.stand_down) return;
    if (status.pace[0].steps + status.pace[1].steps < fewest_steps) return;
    const Forecast paced = at_pace(outing, day, {status.pace[0].factor, status.pace[1].factor});
    if (paced.possible) status.finish_at_pace = paced.finish;
}

}  // namespace

std::string_view word(TaskProgress progress) {
    switch (progress) {
        case TaskProgress::to_do:
            return "to_do";
        case TaskProgress::running:
            return "running";
        case TaskProgress::partly:
            return "partly";
        case TaskProgress::done:
            return "done";
        case TaskProgress::left_out:
            return "left_out";
    }
    return {};
}

std::vector<TaskStatus> tasks_of(const Outing& outing, const Day& day, const Forecast& forecast) {
    std::vector<TaskStatus> tasks(outing.tasks.size());
    const bool over = !can_replan(day);
    for (const Task& task : outing.tasks) {
        TaskStatus& status = tasks[index(task.id)];
        std::size_t done = 0;
        bool running = false;
        bool any_ahead = false;
        for (const StepId id : task.steps) {
            const StepStatus step = day.situation.steps[index(id)];
            if (step == StepStatus::done || step == StepStatus::skipped) ++done;
            running = running || step == StepStatus::running;
        }
        const bool begun = running || std::ranges::any_of(task.steps, [&](StepId id) {
                               return day.situation.steps[index(id)] == StepStatus::done;
                           });
        for (const AsRun& run : forecast.ahead)
            if (run.activity.step && outing.step(*run.activity.step).task == task.id) {
                any_ahead = true;
                status.forecast_end = std::max(status.forecast_end.value_or(run.activity.end()), run.activity.end());
            }
        if (running)
            for (const StepId id : task.steps)
                if (day.situation.steps[index(id)] == StepStatus::running)
                    status.forecast_end = std::max(status.forecast_end.value_or(Pet{}), day.expected_end[index(id)]);

        const bool dropped = day.situation.dropped[index(task.id)];
        if (done == task.steps.size() && begun)
            status.progress = TaskProgress::done;
        else if (running)
            status.progress = TaskProgress::running;
        else if (begun)
            status.progress = TaskProgress::partly;
        else if (dropped || over || (!any_ahead && forecast.possible && day.plan))
            status.progress = TaskProgress::left_out;
        status.lead = day.situation.lead[index(task.id)];
        if (!status.lead && forecast.timeline && any_ahead) status.lead = forecast.timeline->lead_of(task.id);
        status.reason = day.dropped_because[index(task.id)];
        if (!status.reason && status.progress == TaskProgress::left_out) {
            const auto named = [&](const Timeline& timeline) {
                for (const LeftOut& left : timeline.left_out)
                    if (left.task == task.id)
                        status.reason = Reason{day.plan_position, Visibility::console, left.reason};
            };
            const auto cannot = std::ranges::find(forecast.cannot, task.id, &Cannot::task);
            if (!day.stand_down && cannot != forecast.cannot.end())
                status.reason = Reason{day.position, Visibility::console, cannot->why};
            else if (day.stand_down)
                status.reason =
                    Reason{day.stand_down->position, Visibility::console, std::string(word(day.stand_down->kind))};
            else if (day.plan)
                named(*day.plan);
        }
    }
    return tasks;
}

Status status_of(const Outing& outing, std::span<const Recorded> entries, Day the_day) {
    Status status;
    status.day = std::move(the_day);
    const Day& day = status.day;
    status.forecast = carry_on(outing, day);
    for (const Crew crew : both_crew) status.people[index(crew)] = person_of(outing, day, status.forecast, crew);
    const PersonStatus& ev1 = status.people[0];
    const PersonStatus& ev2 = status.people[1];
    const PersonStatus& worse = ev2.behind > ev1.behind ? ev2 : ev1;
    status.behind = worse.behind;
    status.cause = worse.cause;
    if (!day.pet_running && !day.stand_down) {
        // Before PET zero being behind is a slip of PET zero itself.
        status.behind = by_the_clock(day.pet_zero, day.planned_pet_zero);
        status.cause = status.behind > Seconds{0} ? day.morning.cause : "";
    }
    if (day.plan) {
        status.planned_finish = day.plan->finish();
        status.finish_shift = std::chrono::floor<Seconds>(status.forecast.finish - status.planned_finish);
    }
    const auto suits = suits_of(outing, day, status.forecast);
    for (const Crew crew : both_crew) status.people[index(crew)].suit = suits[index(crew)];
    if (day.plan) status.tightest = tightest_of(outing, status.forecast, suits);
    if (!day.situation.crew[0].inside_again) {
        status.terminate_by = lifesupport::pair_turn_back(std::array{suits[0].terminate, suits[1].terminate});
        status.abort_by = lifesupport::pair_turn_back(std::array{suits[0].abort, suits[1].abort});
    }
    status.light = condition(day.windows, "daylight", day.pet_now());
    status.coverage = condition(day.windows, "coverage", day.pet_now());
    status.tasks = tasks_of(outing, day, status.forecast);
    status.record = record_of(outing, entries, day);
    if (day.plan) status.findings = findings_of_status(outing, day, status.forecast);
    if (day.stand_down) status.coming_down = standing_down(outing, day, status.forecast);
    add_pace(outing, status);
    return status;
}

}  // namespace handrail::live
