#include "risk/compiler.h"

/// What is known before each unit: where everybody is, what coming home takes, until when going on leaves the way home.
namespace handrail::risk::detail {

void Compiler::worked(unsigned crew, const Draw& draw, float planned) {
    for (std::size_t c = 0; c < 2; ++c)
        if (crew >> c & 1u) {
            work_[c].add(draw);
            work_planned_[c] += planned;
        }
}

double Compiler::close_up_seconds(int crew, double& excess_ws) const {
    double sum = 0;
    excess_ws = 0;
    for (const Open& open : open_)
        for (int u : problem_.tasks[static_cast<std::size_t>(open.task)].units)
            for (int s : problem_.units[static_cast<std::size_t>(u)].steps) {
                const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
                if (!step.close_up || step.task != open.task || step.to != open.site) continue;
                if (placed_[static_cast<std::size_t>(s)]) continue;
                std::array<int, 2> who{};
                const int lead = sequence_.lead[static_cast<std::size_t>(step.task)];
                const int count = problem_.crew_of(step, lead, who);
                for (int i = 0; i < count; ++i)
                    if (who[static_cast<std::size_t>(i)] == crew) {
                        const double time = step.duration[static_cast<std::size_t>(lead)];
                        sum += time;
                        excess_ws += time * excess(crew, step.effort);
                    }
            }
    return sum;
}

/// How long something and the way home after it take, at this confidence.
float Compiler::home_quantile(double confidence, const Decision& decision, float step_mean, float step_variance,
                              const std::array<float, 2>& close_up, const std::array<float, 2>& way) const {
    double longest = 0;
    for (std::size_t c = 0; c < 2; ++c) {
        if (step_mean > 0 && !(decision.crew >> c & 1u)) continue;
        Total total{step_mean + close_up[c], step_variance};
        total.add(ground_.model->way(Seconds{static_cast<Seconds::rep>(way[c])}, ground_.model->risk().translation,
                                     ground_.model->slots().home[c], static_cast<Crew>(c)));
        total.add(ground_.clean_up_draw);
        total.add(ground_.ingress_draw);
        longest = std::max(longest, total.quantile(confidence, ground_.factor_cv));
    }
    return static_cast<float>(longest);
}

/// What is known before the unit is placed: where everybody is and what coming home from there takes.
Decision Compiler::decide(int unit, const std::vector<const Activity*>& approach,
                          const std::vector<const Activity*>& steps) {
    Decision decision;
    decision.node = static_cast<int>(program_.nodes.size());
    decision.unit = unit;
    decision.ends = static_cast<int>(program_.planned_end.size());
    const int first = static_cast<int>(index(*steps.front()->step));
    decision.task = problem_.steps[static_cast<std::size_t>(first)].task;
    const auto& task_steps = outing_.tasks[static_cast<std::size_t>(decision.task)].steps;
    decision.number = static_cast<int>(std::find(task_steps.begin(), task_steps.end(), static_cast<StepId>(first)) -
                                       task_steps.begin());
    decision.optional = problem_.tasks[static_cast<std::size_t>(decision.task)].optional;
    decision.first = std::none_of(task_steps.begin(), task_steps.end(), [&](StepId s) {
        return placed_[index(s)] != 0 && problem_.steps[index(s)].roles != 0;
    });
    for (const Activity* activity : steps)
        for (Crew c : both_crew)
            if (activity->on(lane_of(c))) decision.crew = static_cast<std::uint8_t>(decision.crew | 1u << index(c));
    for (const Activity* activity : steps) decision.must = decision.must || outing_.step(*activity->step).close_up;
    decision.before = before_;
    for (std::size_t c = 0; c < 2; ++c) {
        if (!(decision.crew >> c & 1u)) continue;
        if (before_.free[c] >= decision.planned) {
            decision.planned = before_.free[c];
            decision.previous_crew = static_cast<int>(c);
            decision.previous_step = last_step_[c];
        }
    }
    decision.planned_start = seconds(steps.front()->start);
    for (std::size_t c = 0; c < 2; ++c) {
        float there = before_.free[c];
        for (const Activity* activity : approach)
            if (activity->on(lane_of(static_cast<Crew>(c))) && activity->kind != ActivityKind::rest)
                there += seconds(activity->duration);
        if (decision.crew >> c & 1u) decision.approach = std::max(decision.approach, there - decision.planned);
    }
    const int home = problem_.state(problem_.airlock, 0);
    for (std::size_t c = 0; c < 2; ++c) {
        double excess_ws = 0;
        decision.home[c].close_up = static_cast<float>(close_up_seconds(static_cast<int>(c), excess_ws));
        decision.home[c].close_up_excess = static_cast<float>(excess_ws);
        const int state = problem_.state(site_before_[c], anchor_before_[c]);
        decision.home[c].way = static_cast<float>(std::min(problem_.ways[c][0].time(state, home), problem_.limit));
    }
    decision.home_sure = ground_.limit - home_quantile(ground_.confidence, decision, 0, 0,
                                                       {decision.home[0].close_up, decision.home[1].close_up},
                                                       {decision.home[0].way, decision.home[1].way});
    const auto previous = static_cast<std::size_t>(decision.previous_crew);
    decision.work_mean = static_cast<float>(work_[previous].mean);
    decision.work_variance = static_cast<float>(work_[previous].variance);
    decision.work_planned = work_planned_[previous];
    return decision;
}

/// Until when a need can be met whatever has been drawn until then.
float Compiler::sure_until(std::size_t c, const Home::Need& need) const {
    const Suit& suit = ground_.suits[c];
    float most_watts = 0;
    for (std::size_t e = 0; e < effort_count; ++e)
        most_watts = std::max(most_watts, suit.rest_watts + excess(static_cast<int>(c), static_cast<Effort>(e)));
    float until = never;
    for (std::size_t k = 0; k < static_cast<std::size_t>(suit.count); ++k) {
        const float factor = suit.per_watt[k] * ground_.most_metabolic;
        const float steady = suit.rate[k] + std::max(0.0f, suit.lit[k]);
        const float room = suit.usable[k] - suit.base[k] - need.seconds * steady - need.watt_s * factor;
        const float fastest = steady + factor * most_watts;
        if (fastest > 0) until = std::min(until, suit.from + room / fastest);
    }
    return until;
}

/// What one of the people concerned still needs for the unit and the way home after it.
Home::Need Compiler::need(std::size_t c, const std::vector<const Activity*>& approach,
                          const std::vector<const Activity*>& steps, double close_up, double excess_ws,
                          float way) const {
    const auto watts = [&](Effort effort) { return ground_.suits[c].rest_watts + excess(static_cast<int>(c), effort); };
    Home::Need need;
    const auto add = [&](float time, float rate) {
        need.seconds += time;
        need.watt_s += time * rate;
    };
    add(way, watts(Effort::translate));
    add(ground_.clean_up, watts(Effort::light));
    add(ground_.ingress, watts(Effort::airlock));
    add(static_cast<float>(close_up), ground_.suits[c].rest_watts);
    need.watt_s += static_cast<float>(excess_ws);
    for (const auto* list : {&approach, &steps})
        for (const Activity* activity : *list)
            if (activity->on(lane_of(static_cast<Crew>(c))) && activity->kind != ActivityKind::rest)
                add(seconds(activity->duration), watts(effort_of(*activity, static_cast<int>(c))));
    return need;
}

/// After the unit is placed: until when, and with how much left, going on still leaves the way home.
void Compiler::finish_decision(Decision& decision, const std::vector<const Activity*>& approach,
                               const std::vector<const Activity*>& steps) {
    const int home = problem_.state(problem_.airlock, 0);
    float longest = 0;
    std::array<float, 2> closing{};
    std::array<float, 2> ways{};
    for (std::size_t c = 0; c < 2; ++c) {
        double excess_ws = 0;
        const double close_up = close_up_seconds(static_cast<int>(c), excess_ws);
        closing[c] = static_cast<float>(close_up);
        ways[c] = static_cast<float>(
            std::min(problem_.ways[c][0].time(problem_.state(site_[c], anchor_[c]), home), problem_.limit));
        if (!(decision.crew >> c & 1u)) continue;
        decision.home[c].likely = need(c, approach, steps, close_up, excess_ws, ways[c]);
        float duration = 0;
        for (const Activity* activity : steps)
            if (activity->on(lane_of(static_cast<Crew>(c)))) duration = std::max(duration, seconds(activity->duration));
        longest = std::max(longest, duration + closing[c] + ways[c]);
    }
    decision.latest_start = ground_.limit - longest - ground_.clean_up - ground_.ingress;
    // The longest of the unit's steps stands for it.
    Draw step;
    for (const Activity* activity : steps) {
        const auto lead = static_cast<Crew>(sequence_.lead[task_of(static_cast<int>(index(*activity->step)))]);
        const Draw draw = ground_.model->step(outing_.step(*activity->step), lead);
        if (draw.mean > step.mean) step = draw;
    }
    decision.latest_sure =
        ground_.limit - home_quantile(ground_.step_confidence, decision, step.mean, step.variance, closing, ways);
    for (std::size_t c = 0; c < 2; ++c) {
        if (!(decision.crew >> c & 1u)) continue;
        Home& from = decision.home[c];
        const float longer = std::max(0.0f, decision.latest_start - decision.latest_sure);
        from.sure.seconds = from.likely.seconds + longer;
        from.sure.watt_s = from.likely.watt_s * from.sure.seconds / from.likely.seconds;
        from.likely.sure_until = sure_until(c, from.likely);
        from.sure.sure_until = sure_until(c, from.sure);
    }
}

}  // namespace handrail::risk::detail
