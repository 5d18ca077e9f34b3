#include <algorithm>

#include "live/folding.h"
#include "live/suit_loads.h"

/// The last part of folding: everything is brought to the present moment and handed to the planner's Situation.
namespace handrail::live::detail {

using plan::StepStatus;

void Folding::finish() {
    const Pet now = day_.pet_now();
    for (const Crew crew : both_crew) go_on_until(crew, now);
    arm_goes_on_until(now);
    record_steps();

    for (const Crew crew : both_crew) {
        const std::size_t c = index(crew);
        day_.outside[c] = people_[c].outside;
        day_.at[c] = people_[c].at;
        day_.anchor[c] = people_[c].anchor;
    }
    day_.items = items_;
    day_.clean_up_from = clean_up_from_;
    day_.ingress_from = ingress_from_;
    finish_running_for_planner();

    std::ranges::stable_sort(day_.as_run, [](const AsRun& a, const AsRun& b) {
        if (a.activity.start != b.activity.start) return a.activity.start < b.activity.start;
        return a.activity.lanes.front() < b.activity.lanes.front();
    });
    plan::Situation& situation = day_.situation;
    for (const AsRun& run : day_.as_run) situation.as_run.push_back(run.activity);
    situation.items = items_;
    situation.steps = steps_;
    situation.step_start = step_start_;
    situation.step_end = step_end_;
    situation.lead = task_lead_;
    situation.dropped = dropped_;
    situation.arm_available = arm_available_;
    situation.arm_at = arm_at_;
    situation.arm_free_at = arm_free_;
    for (const Crew crew : both_crew) fill_crew(crew);
}

void Folding::record_steps() {
    day_.expected_end.assign(steps_.size(), Pet{});
    for (const Step& step : outing_.steps) {
        const std::size_t s = index(step.id);
        const bool running = steps_[s] == StepStatus::running;
        if (!running && steps_[s] != StepStatus::done) continue;
        if (running) day_.expected_end[s] = step_end_[s] = expected_end(step.id);
        AsRun run;
        run.activity.kind = ActivityKind::step;
        run.activity.lanes = lanes_of(step, step_lead_[s].value_or(Crew::ev1));
        run.activity.start = step_start_[s];
        run.activity.duration = std::chrono::floor<Seconds>(step_end_[s] - step_start_[s]);
        run.activity.step = step.id;
        if (step.at) run.activity.path.push_back(*step.at);
        if (step.to && step.to != step.at) run.activity.path.push_back(*step.to);
        run.activity.as_run = true;
        run.running = running;
        run.assumed = start_assumed_[s];
        run.end_assumed = end_assumed_[s];
        run.load = step_load_[s];
        day_.as_run.push_back(std::move(run));
    }
}

void Folding::finish_running_for_planner() {
    const Pet now = day_.pet_now();
    if (day_.pet_running && now >= Pet{} && !people_[0].outside && !people_[0].inside_again &&
        day_.phase == Phase::egress && !(day_.stand_down && day_.stand_down->kind == StandDownKind::scrub)) {
        const Pet end = std::max(now, Pet{} + outing_.rules.egress);
        AsRun run;
        run.activity = {ActivityKind::egress,
                        {Lane::ev1, Lane::ev2},
                        Pet{},
                        std::chrono::floor<Seconds>(end - Pet{}),
                        {},
                        {outing_.station.airlock},
                        {},
                        true};
        run.running = true;
        day_.as_run.push_back(std::move(run));
        for (Person& person : people_) {
            person.outside = true;
            person.free = person.checked_at = end;
        }
    }
    if (clean_up_from_ && people_[0].outside) {
        const bool ingress = ingress_from_.has_value();
        const Pet from = ingress ? *ingress_from_ : *clean_up_from_;
        const Pet end = std::max(now, from + (ingress ? outing_.rules.ingress : outing_.rules.clean_up));
        AsRun run;
        run.activity = {ingress ? ActivityKind::ingress : ActivityKind::clean_up,
                        {Lane::ev1, Lane::ev2},
                        from,
                        std::chrono::floor<Seconds>(end - from),
                        {},
                        {outing_.station.airlock},
                        {},
                        true};
        run.running = true;
        if (run.activity.duration > Seconds{0}) day_.as_run.push_back(std::move(run));
        for (Person& person : people_) person.free = std::max(person.free, end);
    }
    // In the order in which they are expected to end, because one may leave what another takes.
    std::vector<StepId> running;
    for (const Step& step : outing_.steps)
        if (steps_[index(step.id)] == StepStatus::running) running.push_back(step.id);
    std::ranges::stable_sort(running, {}, [this](StepId s) { return step_end_[index(s)]; });
    for (const StepId id : running) {
        const Step& step = outing_.step(id);
        const Pet end = step_end_[index(id)];
        apply_effects(step, items_);
        for (const Lane lane : lanes_of(step, step_lead_[index(id)].value_or(Crew::ev1))) {
            if (lane == Lane::arm) {
                arm_free_ = std::max(arm_free_, end);
                if (step.to) arm_at_ = *step.to;
            }
            if (lane == Lane::iv) day_.situation.iv_free_at = std::max(day_.situation.iv_free_at, end);
            if (lane == Lane::ground) day_.situation.ground_free_at = std::max(day_.situation.ground_free_at, end);
        }
        for (const Crew member : crew_in(step, step_lead_[index(id)].value_or(Crew::ev1))) {
            Person& person = people_[index(member)];
            if (person.running != id) continue;
            person.free = std::max(person.free, end);
            arrive_by_step(step, person);
        }
    }
}

void Folding::fill_crew(Crew crew) {
    const Pet now = day_.pet_now();
    const std::size_t c = index(crew);
    const Person& person = people_[c];
    plan::CrewSituation& to = day_.situation.crew[c];
    to.outside = person.outside;
    to.inside_again = person.inside_again;
    to.able = person.able;
    to.at = person.at;
    to.anchor = person.anchor;
    to.checked_at = person.checked_at;
    to.free_at = person.outside ? std::max(person.free, now) : Pet{};

    // Hand-heavy blocks (docs/rules.md, `rest`).
    for (const AsRun& run : day_.as_run) {
        if (!run.activity.on(lane_of(crew))) continue;
        const Effort effort = effort_of(outing_, run.activity, run.load[c]);
        if (effort != Effort::tools && effort != Effort::forced) continue;
        if (run.activity.start - to.heavy_until >= outing_.rules.rest) to.heavy = Seconds{0};
        to.heavy += run.activity.duration;
        to.heavy_until = std::max(to.heavy_until, run.activity.end());
    }

    std::vector<lifesupport::Reading> readings;
    for (const Reading& reading : day_.readings) {
        if (reading.crew != crew) continue;
        lifesupport::Reading one;
        one.at = reading.at;
        one.left[index(reading.consumable)] = reading.left;
        readings.push_back(one);
    }
    // On suit power from PET zero until the hatch is closed behind them.
    Pet on_power_until = to.free_at;
    if (person.inside_again) on_power_until = person.free;
    if (!day_.pet_running) on_power_until = Pet{};
    if (!person.outside && !person.inside_again && day_.pet_running) on_power_until = std::max(Pet{}, now);
    const SuitType& suit = outing_.suit_of(crew);
    const auto loads = suit_loads(outing_, day_.windows, day_.as_run, crew, on_power_until);
    day_.estimate[c] = lifesupport::estimate(suit, loads, readings, lifesupport::unread(suit, Pet{}));
    to.used = suit_at(suit, loads, day_.estimate[c], on_power_until).used;
    day_.suit[c] =
        suit_at(suit, loads, day_.estimate[c], std::min(on_power_until, std::max(now, day_.estimate[c].state.at)));
}

}  // namespace handrail::live::detail
