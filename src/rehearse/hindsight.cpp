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

/// From when to when a mishap stands in the way; longer than any day when it does not pass.
Window in_the_way(const Befallen& one) {
    const Pet to = one.mishap.length ? one.at + *one.mishap.length : pet(Seconds{7 * 86400});
    return {one.at, to};
}

bool concerns(const Mishap& mishap, const Step& step) {
    const bool by_hand = std::ranges::any_of(step.who, [](Role r) { return r == Role::lead || r == Role::helper; });
    switch (mishap.kind) {
        case Mishap::Kind::unable:
            return by_hand && !step.close_up;
        case Mishap::Kind::arm_lost:
            return step.arm != ArmUse::none || std::ranges::find(step.who, Role::arm) != step.who.end();
        case Mishap::Kind::hazard:
            return step.at == mishap.site || step.to == mishap.site;
        case Mishap::Kind::no_coverage:
            return false;  // the windows know
    }
    return false;
}

void forbid(const Befallen& one, Hindsight& result) {
    const std::string condition = "mishap: " + std::string(word(one.mishap.kind));
    result.windows.set(condition, "", {in_the_way(one)});
    for (Step& step : result.outing.steps)
        if (concerns(one.mishap, step)) step.not_during.push_back(condition);
}

}  // namespace

Hindsight in_hindsight(const Rehearsal& rehearsal) {
    const Luck& luck = rehearsal.luck();
    Hindsight result{rehearsal.outing(), rehearsal.world().windows(), {}};
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
    for (const Befallen& one : rehearsal.world().befallen()) forbid(one, result);
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
        plan::make_plan(hindsight.outing, hindsight.windows, plan::initial(hindsight.outing), budget, freedom);
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
