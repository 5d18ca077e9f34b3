#include "rehearse/hindsight.h"

#include <algorithm>
#include <cmath>

#include "plan/planner.h"

namespace handrail::rehearse::detail {
namespace {

/// True times over planned ones of this person's moves; 1 where they made none.
double slowness(const World& world, Crew crew) {
    double took = 0;
    double planned = 0;
    for (const Happened& one : world.happened()) {
        const bool move =
            one.activity.kind == ActivityKind::translate || one.activity.kind == ActivityKind::tether_swap;
        if (!move || !one.activity.on(lane_of(crew))) continue;
        took += static_cast<double>(one.activity.duration.count());
        planned += static_cast<double>(one.planned.count());
    }
    return planned > 0 && took > 0 ? took / planned : 1.0;
}

Seconds true_time(const Luck& luck, const Step& step, Crew lead, bool& lost) {
    Seconds time = luck.step(step, lead);
    for (const Strike& strike : luck.strikes(step.id)) {
        time += strike.extra;
        lost = lost || (luck.risk().troubles[strike.trouble].kind == Trouble::Kind::lost && !step.needs.empty());
    }
    return time;
}

}  // namespace

Hindsight in_hindsight(const Rehearsal& rehearsal) {
    const Luck& luck = rehearsal.luck();
    Hindsight result{rehearsal.outing(), {}};
    Outing& outing = result.outing;
    for (Step& step : outing.steps) {
        bool lost = false;
        const Crew lead = rehearsal.world().instructions().lead_of(step.task).value_or(
            rehearsal.plan().lead_of(step.task).value_or(Crew::ev1));
        const Seconds time = true_time(luck, step, lead, lost);
        step.duration = {time, time, time};
        if (lost && std::ranges::find(result.impossible, step.task) == result.impossible.end())
            result.impossible.push_back(step.task);
    }
    for (const Crew crew : both_crew) {
        CrewMember& person = outing.crew[index(crew)];
        person.experience_factor = 1;
        person.metabolic_factor *= luck.metabolic(crew);
        person.speed = MetresPerSecond{person.speed.value() / slowness(rehearsal.world(), crew)};
    }
    outing.rules.egress = luck.late_start() + luck.airlock(ActivityKind::egress, outing.rules.egress);
    if (outing.rules.egress_by) outing.rules.egress_by = std::max(*outing.rules.egress_by, pet(outing.rules.egress));
    outing.rules.clean_up = luck.airlock(ActivityKind::clean_up, outing.rules.clean_up);
    outing.rules.ingress = luck.airlock(ActivityKind::ingress, outing.rules.ingress);
    if (rehearsal.world().talk_at() && luck.private_talk())
        outing.rules.limit = std::max(Seconds{60}, outing.rules.limit - luck.private_talk()->length);
    outing.rules.margin = Seconds{0};
    // What must be done is what is worth most here: a day on which it cannot be done has a best plan too.
    double most = 1;
    for (const Task& task : outing.tasks) most += task.value;
    for (Task& task : outing.tasks)
        if (task.task_class == TaskClass::required) {
            task.task_class = TaskClass::wanted;
            task.value = most;
        }
    return result;
}

Reached best_possible(const Rehearsal& rehearsal, std::uint64_t iterations, int threads) {
    const Hindsight hindsight = in_hindsight(rehearsal);
    plan::Budget budget;
    budget.iterations = iterations;
    budget.threads = threads;
    plan::Freedom freedom;
    freedom.leave_out = hindsight.impossible;
    const auto planned =
        plan::make_plan(hindsight.outing, rehearsal.windows(), plan::initial(hindsight.outing), budget, freedom);
    Reached best;
    const Timeline* timeline = std::get_if<Timeline>(&planned);
    if (!timeline) return best;
    for (const Task& task : rehearsal.outing().tasks) {
        const bool done = std::ranges::any_of(timeline->activities, [&](const Activity& activity) {
            return activity.step && rehearsal.outing().step(*activity.step).task == task.id;
        });
        if (!done) continue;
        best.tasks.push_back(task.id);
        if (task.task_class == TaskClass::required)
            ++best.required;
        else
            best.value += task.value;
    }
    return best;
}

}  // namespace handrail::rehearse::detail
