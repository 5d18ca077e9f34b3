#include <algorithm>
#include <cmath>

#include "risk/program.h"

/// Runs the planner's decoder once and turns what it writes down into a program. The decoder's order of placing is the
/// program's order, so that leaving a later task out changes nothing before it.
namespace handrail::risk::detail {
namespace {

using plan::detail::Decoder;
using plan::detail::Link;
using plan::detail::StepData;
using plan::detail::Unit;

float seconds(Pet t) { return static_cast<float>(since_zero(t).count()); }
float seconds(Seconds s) { return static_cast<float>(s.count()); }

/// The problem in which each task keeps the steps `kept` says; `sequence` loses the tasks of which nothing is left.
Problem reduced(const Problem& problem, const Kept& kept, Sequence& sequence) {
    Problem less = problem;
    const Outing& outing = *problem.outing;
    for (std::size_t t = 0; t < kept.size(); ++t) {
        if (kept[t] == all_steps) continue;
        const auto& steps = outing.tasks[t].steps;
        const auto stays = [&](int s) {
            const StepData& step = problem.steps[static_cast<std::size_t>(s)];
            if (step.task != static_cast<int>(t)) return true;
            const auto place = std::find(steps.begin(), steps.end(), static_cast<StepId>(s)) - steps.begin();
            if (place < kept[t]) return true;
            if (!step.close_up) return false;
            // A close-up stays when something kept (or already done) has opened its worksite.
            for (std::size_t i = 0; i < steps.size(); ++i) {
                const StepData& other = problem.steps[index(steps[i])];
                const auto status = problem.situation->steps[index(steps[i])];
                const bool happens = status == plan::StepStatus::done || status == plan::StepStatus::running ||
                                     (status == plan::StepStatus::to_do && static_cast<int>(i) < kept[t]);
                if (other.opens && other.to == step.to && happens) return true;
            }
            return false;
        };
        bool anything = false;
        for (int u : less.tasks[t].units) {
            auto& unit = less.units[static_cast<std::size_t>(u)].steps;
            std::erase_if(unit, [&](int s) { return !stays(s); });
            anything = anything || !unit.empty();
        }
        // Steps of this task inside another task's unit (they start together).
        for (Unit& unit : less.units) std::erase_if(unit.steps, [&](int s) { return !stays(s); });
        if (!anything && !problem.tasks[t].started) sequence.in[t] = 0;
    }
    for (std::size_t u = 0; u < less.units.size(); ++u) {
        Unit& unit = less.units[u];
        if (!unit.steps.empty()) unit.task = less.steps[static_cast<std::size_t>(unit.steps.front())].task;
    }
    return less;
}

/// A sum of independent times, all multiplied by one factor.
struct Total {
    double mean = 0, variance = 0;
    void add(const Draw& draw) {
        mean += draw.mean;
        variance += draw.variance;
    }
    /// From the log-normal with the same mean and variance: Var = (1 + cv²)(mean² + variance) - mean².
    double quantile(double p, double cv) const {
        if (mean <= 0) return 0;
        const double all = (1 + cv * cv) * (mean * mean + variance) - mean * mean;
        const double log_variance = std::log1p(all / (mean * mean));
        return mean * std::exp(-log_variance / 2 + std::sqrt(log_variance) * normal_quantile(p));
    }
};

class Compiler {
public:
    Compiler(const Ground& ground, const Problem& problem, const Sequence& sequence, const Kept& kept)
        : ground_(ground), problem_(problem), outing_(*problem.outing), sequence_(sequence) {
        program_.kept = kept;
    }
    Program run();

private:
    struct ItemTrack {
        int bag = -1;
        std::array<int, 3> end{-1, -1, -1};  ///< last use by EV1, EV2, anyone else
    };
    struct Open {
        int task, site;
    };

    void begin();
    void solo(const Activity& activity, int unit_step);
    void place(const std::vector<const Activity*>& approach, const std::vector<const Activity*>& steps);
    Decision decide(int unit, const std::vector<const Activity*>& approach, const std::vector<const Activity*>& steps);
    void finish_decision(Decision& decision, const std::vector<const Activity*>& approach,
                         const std::vector<const Activity*>& steps);
    void home(const std::vector<const Activity*>& approach);
    void settle(const Activity& activity);
    void settle_step(const Activity& activity);
    void outcomes();

    int new_end(float planned);
    void wait(int end, float gap = 0);
    void wait_for_item(int item, unsigned crew);
    void used(int item, unsigned crew, int end);
    int top(int item) const;
    Effort effort_of(const Activity& activity, int crew) const;
    float excess(int crew, Effort effort) const;
    double close_up_seconds(int crew, double& excess_ws) const;
    float home_quantile(double confidence, const Decision& decision, float step_mean, float step_variance,
                        const std::array<float, 2>& close_up, const std::array<float, 2>& way) const;
    void worked(unsigned crew, const Draw& draw, float planned);
    Home::Need need(std::size_t c, const std::vector<const Activity*>& approach,
                    const std::vector<const Activity*>& steps, double close_up, double excess_ws, float way) const;
    float sure_until(std::size_t c, const Home::Need& need) const;
    int role_of(int step, int crew) const { return crew == sequence_.lead[task_of(step)] ? 0 : 1; }
    std::size_t task_of(int step) const {
        return static_cast<std::size_t>(problem_.steps[static_cast<std::size_t>(step)].task);
    }

    const Ground& ground_;
    const Problem& problem_;
    const Outing& outing_;
    const Sequence& sequence_;
    Program program_;

    Snapshot state_, before_;
    std::array<int, 2> site_{}, anchor_{}, large_{}, last_step_{-1, -1};
    std::array<int, 2> site_before_{}, anchor_before_{};
    std::vector<ItemTrack> items_;
    std::vector<std::uint8_t> carried_;  ///< by item: 1 + crew when in hand
    std::vector<int> step_end_;          ///< by step: end slot, -1: not placed
    std::vector<Open> open_;
    std::vector<std::uint8_t> placed_;  ///< by step
    int arm_site_ = 0;
    std::array<Total, 2> work_;  ///< by crew: everything done so far
    std::array<float, 2> work_planned_{};
};

float Compiler::excess(int crew, Effort effort) const {
    const auto c = static_cast<Crew>(crew);
    return static_cast<float>(lifesupport::metabolic_rate(outing_.rules, outing_.person(c), effort).value() -
                              lifesupport::metabolic_rate(outing_.rules, outing_.person(c), Effort::rest).value());
}

int Compiler::new_end(float planned) {
    program_.planned_end.push_back(planned);
    return static_cast<int>(program_.planned_end.size()) - 1;
}

void Compiler::wait(int end, float gap) {
    if (end >= 0) program_.waits.push_back({end, gap});
}

int Compiler::top(int item) const {
    while (items_[static_cast<std::size_t>(item)].bag >= 0) item = items_[static_cast<std::size_t>(item)].bag;
    return item;
}

void Compiler::wait_for_item(int item, unsigned crew) {
    for (int i = item; i >= 0; i = items_[static_cast<std::size_t>(i)].bag)
        for (std::size_t lane = 0; lane < 3; ++lane)
            if (lane == 2 || !(crew >> lane & 1u)) wait(items_[static_cast<std::size_t>(i)].end[lane]);
}

void Compiler::used(int item, unsigned crew, int end) {
    for (std::size_t lane = 0; lane < 2; ++lane)
        if (crew >> lane & 1u) items_[static_cast<std::size_t>(item)].end[lane] = end;
    if (crew == 0) items_[static_cast<std::size_t>(item)].end[2] = end;
}

Effort Compiler::effort_of(const Activity& activity, int crew) const {
    const SizeClass load = large_[static_cast<std::size_t>(crew)] > 0 ? SizeClass::large : SizeClass::small;
    return handrail::effort_of(outing_, activity, load);
}

void Compiler::begin() {
    const plan::Situation& now = *problem_.situation;
    for (std::size_t c = 0; c < 2; ++c) {
        const auto& crew = now.crew[c];
        state_.free[c] = std::max(seconds(crew.free_at), crew.outside ? 0.0f : std::max(0.0f, ground_.now));
        state_.checked[c] = seconds(crew.checked_at);
        state_.heavy[c] = seconds(crew.heavy);
        state_.heavy_until[c] = seconds(crew.heavy_until);
        site_[c] = static_cast<int>(index(crew.at));
        anchor_[c] = problem_.anchor_index(crew.anchor);
        if (crew.outside || crew.inside_again) program_.outside = true;
    }
    state_.arm = std::max(seconds(now.arm_free_at), ground_.now);
    state_.iv = std::max(seconds(now.iv_free_at), ground_.now);
    state_.ground = std::max(seconds(now.ground_free_at), ground_.now);
    state_.voice = ground_.now;
    for (std::size_t i = 0; i < now.items.size(); ++i) {
        ItemTrack track;
        carried_.push_back(0);
        if (now.items[i].where == plan::ItemPlace::Where::in_bag) track.bag = static_cast<int>(index(now.items[i].bag));
        if (now.items[i].where == plan::ItemPlace::Where::carried) {
            carried_.back() = static_cast<std::uint8_t>(1 + index(now.items[i].carrier));
            if (outing_.items[i].size >= SizeClass::large) ++large_[index(now.items[i].carrier)];
        }
        items_.push_back(track);
    }
    step_end_.assign(outing_.steps.size(), -1);
    placed_.assign(outing_.steps.size(), 0);
    for (std::size_t s = 0; s < outing_.steps.size(); ++s) {
        const StepData& step = problem_.steps[s];
        if (now.steps[s] != plan::StepStatus::done && now.steps[s] != plan::StepStatus::running) continue;
        placed_[s] = 1;
        step_end_[s] = new_end(seconds(now.step_end[s]));
        if (step.opens) open_.push_back({step.task, step.to});
        if (step.close_up)
            std::erase_if(open_, [&](const Open& open) { return open.task == step.task && open.site == step.to; });
        if (now.steps[s] != plan::StepStatus::running) continue;
        Program::Running running;
        const Crew lead = now.lead[static_cast<std::size_t>(step.task)].value_or(Crew::ev1);
        running.draw = ground_.model->step(outing_.steps[s], lead);
        running.start = seconds(now.step_start[s]);
        running.crew = running.draw.mask;
        running.arm = step.arm;
        running.iv = step.iv;
        running.ground = step.ground;
        running.end = step_end_[s];
        // The factors of person and day are taken as one here: what has passed says little about them yet.
        const float passed = std::max(0.0f, ground_.now - running.start);
        double low = 0;
        double high = 1;
        for (int i = 0; i < 40; ++i) {
            const double middle = (low + high) / 2;
            const float at =
                running.draw.offset +
                running.draw.scale * QuantileTable::look_up(running.draw.table, QuantileTable::bits_of(middle));
            (at <= passed ? low : high) = middle;
        }
        running.outlived = low;
        program_.running.push_back(running);
    }
    program_.begin = state_;
    before_ = state_;
    site_before_ = site_;
    anchor_before_ = anchor_;
}

/// Moves the planned state past a solo activity.
void Compiler::settle(const Activity& activity) {
    for (int c = 0; c < 2; ++c) {
        if (!activity.on(lane_of(static_cast<Crew>(c)))) continue;
        const std::size_t k = static_cast<std::size_t>(c);
        state_.excess[k] += excess(c, effort_of(activity, c)) * seconds(activity.duration);
        if (activity.kind != ActivityKind::rest) state_.free[k] = seconds(activity.end());
        if (activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::egress)
            state_.checked[k] = seconds(activity.end());
        if (activity.kind == ActivityKind::translate) site_[k] = static_cast<int>(index(activity.path.back()));
        if (activity.kind == ActivityKind::tether_swap) anchor_[k] = problem_.anchor_index(activity.path.back());
        for (ItemId id : activity.items) {
            const bool large = outing_.item(id).size >= SizeClass::large;
            if (activity.kind == ActivityKind::pick_up) {
                carried_[index(id)] = static_cast<std::uint8_t>(1 + c);
                items_[index(id)].bag = -1;
                if (large) ++large_[k];
            } else {
                carried_[index(id)] = 0;
                items_[index(id)].bag = -1;
                if (large) --large_[k];
            }
        }
    }
}

/// One translation, swap, pick-up or put-down; `unit_step` is the step it leads to, -1 for the way home.
void Compiler::solo(const Activity& activity, int unit_step) {
    const Crew crew = activity.on(Lane::ev1) ? Crew::ev1 : Crew::ev2;
    const int c = static_cast<int>(index(crew));
    if (activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::rest) {
        settle(activity);
        return;  // the replay puts these in by the clock
    }
    const Slots& slots = ground_.model->slots();
    int slot = slots.home[index(crew)];
    if (unit_step >= 0) {
        const auto& ways = slots.way[static_cast<std::size_t>(unit_step)];
        slot = ways[static_cast<std::size_t>(role_of(unit_step, c))];
        // The partner puts something down for a step that is not theirs.
        if (slot == no_slot) slot = ways[0] != no_slot ? ways[0] : ways[1];
        if (slot == no_slot) slot = slots.home[index(crew)];
    }
    const bool moving = activity.kind == ActivityKind::translate;
    Node node;
    node.op = Op::solo;
    node.kind = activity.kind;
    node.crew = static_cast<std::uint8_t>(c);
    node.draw = ground_.model->way(
        activity.duration, moving ? ground_.model->risk().translation : ground_.model->risk().handling, slot, crew);
    node.planned = seconds(activity.duration);
    node.excess = excess(c, effort_of(activity, c));
    node.waits.first = static_cast<int>(program_.waits.size());
    for (ItemId id : activity.items) wait_for_item(static_cast<int>(index(id)), 1u << c);
    node.waits.last = static_cast<int>(program_.waits.size());
    settle(activity);
    worked(1u << c, node.draw, node.planned);
    if (!activity.items.empty()) {
        node.end = new_end(seconds(activity.end()));
        for (ItemId id : activity.items) used(static_cast<int>(index(id)), 1u << c, node.end);
    }
    program_.nodes.push_back(node);
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

void Compiler::worked(unsigned crew, const Draw& draw, float planned) {
    for (std::size_t c = 0; c < 2; ++c)
        if (crew >> c & 1u) {
            work_[c].add(draw);
            work_planned_[c] += planned;
        }
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

void Compiler::settle_step(const Activity& activity) {
    const std::size_t s = index(*activity.step);
    const StepData& step = problem_.steps[s];
    const float end = seconds(activity.end());
    unsigned crew = 0;
    for (int c = 0; c < 2; ++c) {
        if (!activity.on(lane_of(static_cast<Crew>(c)))) continue;
        const auto k = static_cast<std::size_t>(c);
        crew |= 1u << c;
        state_.excess[k] += excess(c, step.effort) * seconds(activity.duration);
        if (step.heavy) {
            if (seconds(activity.start) - state_.heavy_until[k] >= ground_.rest) state_.heavy[k] = 0;
            state_.heavy[k] += seconds(activity.duration);
            state_.heavy_until[k] = end;
        }
        state_.free[k] = end;
        last_step_[k] = static_cast<int>(s);
        if (step.to >= 0 && step.to != step.at) {
            site_[k] = step.to;
            if (problem_.tether_m(anchor_[k], step.to) > problem_.reach_m)
                anchor_[k] = problem_.anchor_index(static_cast<WorksiteId>(step.to));
        }
    }
    if (step.arm) state_.arm = end;
    if (step.iv) state_.iv = end;
    if (step.ground) state_.ground = end;
    if (step.roles != 0) state_.voice = end;
    const int slot = step_end_[s];
    for (int item : step.at_hand) {
        used(item, crew, slot);
        used(top(item), crew, slot);
    }
    const auto let_go = [&](int item) {
        auto& carrier = carried_[static_cast<std::size_t>(item)];
        if (carrier > 0 && outing_.items[static_cast<std::size_t>(item)].size >= SizeClass::large)
            --large_[static_cast<std::size_t>(carrier - 1)];
        carrier = 0;
        items_[static_cast<std::size_t>(item)].bag = -1;
        used(item, crew, slot);
    };
    for (int item : step.takes) {
        if (carried_[static_cast<std::size_t>(item)] > 0 || crew == 0) continue;
        let_go(item);
        const auto holder =
            static_cast<std::uint8_t>(sequence_.lead[task_of(static_cast<int>(s))] ^ ((step.roles & 1) ? 0 : 1));
        carried_[static_cast<std::size_t>(item)] = static_cast<std::uint8_t>(1 + holder);
        if (outing_.items[static_cast<std::size_t>(item)].size >= SizeClass::large) ++large_[holder];
    }
    for (const auto* list : {&step.moves, &step.leaves, &step.installs})
        for (int item : *list) let_go(item);
    if (step.opens) open_.push_back({step.task, step.to});
    if (step.close_up)
        std::erase_if(open_, [&](const Open& open) { return open.task == step.task && open.site == step.to; });
    placed_[s] = 1;
}

void Compiler::place(const std::vector<const Activity*>& approach, const std::vector<const Activity*>& steps) {
    const int unit = problem_.steps[index(*steps.front()->step)].unit;
    Decision decision = decide(unit, approach, steps);
    const int decision_number = static_cast<int>(program_.decisions.size());
    // Each approach leads to the step of its own crew member.
    for (const Activity* activity : approach) {
        int leads_to = static_cast<int>(index(*steps.front()->step));
        for (const Activity* step : steps)
            if (activity->on(Lane::ev1) ? step->on(Lane::ev1) : step->on(Lane::ev2))
                leads_to = static_cast<int>(index(*step->step));
        solo(*activity, leads_to);
    }

    Node node;
    node.op = Op::unit;
    node.floor = ground_.now;
    node.parts.first = static_cast<int>(program_.parts.size());
    node.waits.first = static_cast<int>(program_.waits.size());
    int crew_count = 0;
    for (const Activity* activity : steps) {
        const auto s = index(*activity->step);
        const StepData& step = problem_.steps[s];
        const auto lead = static_cast<Crew>(sequence_.lead[static_cast<std::size_t>(step.task)]);
        Part part;
        part.step = static_cast<int>(s);
        part.task = step.task;
        const auto& task_steps = outing_.tasks[static_cast<std::size_t>(step.task)].steps;
        part.number = static_cast<int>(std::find(task_steps.begin(), task_steps.end(), static_cast<StepId>(s)) -
                                       task_steps.begin());
        for (std::size_t i = static_cast<std::size_t>(part.number) + 1; i < task_steps.size(); ++i) {
            const StepData& later = problem_.steps[index(task_steps[i])];
            const auto& unit_steps = problem_.units[static_cast<std::size_t>(later.unit)].steps;
            const bool there = std::find(unit_steps.begin(), unit_steps.end(),
                                         static_cast<int>(index(task_steps[i]))) != unit_steps.end();
            part.rest_droppable = part.rest_droppable || (there && !later.close_up);
        }
        part.arm = step.arm;
        part.iv = step.iv;
        part.ground = step.ground;
        part.heavy = step.heavy;
        part.close_up = step.close_up;
        part.draw = ground_.model->step(outing_.steps[s], lead);
        part.crew = part.draw.mask;
        part.planned = seconds(activity->duration);
        for (int c = 0; c < 2; ++c) {
            part.excess[static_cast<std::size_t>(c)] = excess(c, step.effort);
            crew_count += part.crew >> c & 1;
        }
        part.starts.first = static_cast<int>(program_.starts.size());
        if (step.windowed && !step.close_up) {
            const auto& ranges = step.starts[index(lead)];
            program_.starts.insert(program_.starts.end(), ranges.begin(), ranges.end());
            node.alone = false;
        }
        part.starts.last = static_cast<int>(program_.starts.size());
        part.troubles.first = static_cast<int>(program_.troubles.size());
        const Slots& slots = ground_.model->slots();
        for (std::size_t i = 0; i < slots.troubles_of[s].size(); ++i) {
            const std::size_t t = slots.troubles_of[s][i];
            const Trouble& trouble = ground_.model->risk().troubles[t];
            TroubleAt at;
            at.slot = slots.step_trouble[s][i];
            at.below = static_cast<std::uint32_t>(std::min(trouble.probability.value() * 0x1.0p32, 0x1.0p32 - 1));
            at.table = ground_.model->extra(t).data();
            at.offset = seconds(trouble.extra.low);
            at.scale = seconds(trouble.extra.high) - at.offset;
            for (int c = 0; c < 2; ++c) at.excess[static_cast<std::size_t>(c)] = excess(c, trouble.effort);
            at.gives_up = trouble.kind == Trouble::Kind::lost;
            program_.troubles.push_back(at);
        }
        part.troubles.last = static_cast<int>(program_.troubles.size());

        for (int l : problem_.links_into[s]) {
            const Link& link = problem_.links[static_cast<std::size_t>(l)];
            wait(step_end_[static_cast<std::size_t>(link.before)], static_cast<float>(link.gap));
        }
        for (int earlier : problem_.tasks[static_cast<std::size_t>(step.task)].after)
            for (StepId other : outing_.tasks[static_cast<std::size_t>(earlier)].steps) wait(step_end_[index(other)]);
        for (const auto* list : {&step.at_hand, &step.takes, &step.moves})
            for (int item : *list) wait_for_item(item, part.crew);
        program_.parts.push_back(part);
    }
    // A step that another must follow within some minutes, in a window of its own, was held back for it by the planner.
    for (const Activity* activity : steps)
        for (const Link& link : problem_.links)
            if (link.within >= 0 && link.before == static_cast<int>(index(*activity->step)) &&
                problem_.steps[static_cast<std::size_t>(link.after)].windowed)
                node.floor = std::max(node.floor, seconds(activity->start));
    node.parts.last = static_cast<int>(program_.parts.size());
    // Waiting for the same end twice adds nothing.
    const auto first = program_.waits.begin() + node.waits.first;
    std::sort(first, program_.waits.end(),
              [](const Wait& a, const Wait& b) { return a.end != b.end ? a.end < b.end : a.gap > b.gap; });
    program_.waits.erase(
        std::unique(first, program_.waits.end(), [](const Wait& a, const Wait& b) { return a.end == b.end; }),
        program_.waits.end());
    node.waits.last = static_cast<int>(program_.waits.size());
    if (crew_count > 1) node.alone = false;

    for (int p = node.parts.first; p < node.parts.last; ++p) {
        Part& part = program_.parts[static_cast<std::size_t>(p)];
        const Activity& activity = **std::find_if(steps.begin(), steps.end(), [&](const Activity* a) {
            return static_cast<int>(index(*a->step)) == part.step;
        });
        if (part.arm) {
            // The move was written down just before the step; without one the tip is already there.
            part.arm_move = 0;
            const int at = problem_.steps[static_cast<std::size_t>(part.step)].at;
            if (at >= 0) part.arm_move = static_cast<float>(problem_.arm_move(arm_site_, at));
            const int to = problem_.steps[static_cast<std::size_t>(part.step)].to;
            if (to >= 0) arm_site_ = to;
        }
        part.end = new_end(seconds(activity.end()));
        step_end_[static_cast<std::size_t>(part.step)] = part.end;
    }
    for (const Activity* activity : steps) settle_step(*activity);
    for (int p = node.parts.first; p < node.parts.last; ++p) {
        const Part& part = program_.parts[static_cast<std::size_t>(p)];
        worked(part.crew, part.draw, part.planned);
    }
    if (decision.crew != 0) {
        finish_decision(decision, approach, steps);
        program_.nodes.push_back(node);
        program_.nodes[static_cast<std::size_t>(decision.node)].decision = decision_number;
        program_.decisions.push_back(decision);
    } else {
        program_.nodes.push_back(node);
    }
    before_ = state_;
    site_before_ = site_;
    anchor_before_ = anchor_;
}

void Compiler::home(const std::vector<const Activity*>& approach) {
    program_.before_home = before_;
    program_.home_node = static_cast<int>(program_.nodes.size());
    for (const Activity* activity : approach) solo(*activity, -1);
    Node node;
    node.op = Op::home;
    program_.nodes.push_back(node);
}

void Compiler::outcomes() {
    const std::size_t tasks = outing_.tasks.size();
    const auto& now = *problem_.situation;
    std::vector<std::vector<StepId>> missing(tasks);
    std::vector<std::size_t> left(tasks, 0);
    std::vector<std::uint8_t> placed(outing_.steps.size(), 0);
    for (const Step& step : outing_.steps) {
        const auto status = now.steps[index(step.id)];
        if (status == plan::StepStatus::done || status == plan::StepStatus::running)
            placed[index(step.id)] = 1;
        else
            ++left[index(step.task)];
    }
    const auto row = [&] {
        std::vector<std::uint8_t> done(tasks, 0);
        float value = 0;
        std::uint8_t required = 1;
        for (std::size_t t = 0; t < tasks; ++t) {
            done[t] = left[t] == 0 ? 1 : 0;
            if (outing_.tasks[t].task_class == TaskClass::required)
                required = required && done[t];
            else if (done[t])
                value += static_cast<float>(outing_.tasks[t].value);
        }
        program_.done.push_back(std::move(done));
        program_.value.push_back(value);
        program_.required.push_back(required);
    };
    for (const Node& node : program_.nodes) {
        if (node.decision >= 0) row();
        if (node.op != Op::unit) continue;
        for (int p = node.parts.first; p < node.parts.last; ++p) {
            const Part& part = program_.parts[static_cast<std::size_t>(p)];
            if (!placed[static_cast<std::size_t>(part.step)]) --left[static_cast<std::size_t>(part.task)];
            placed[static_cast<std::size_t>(part.step)] = 1;
        }
    }
    row();
}

Program Compiler::run() {
    begin();
    arm_site_ = static_cast<int>(index(problem_.situation->arm_at));
    std::vector<Activity> activities;
    Decoder decoder(problem_);
    const plan::detail::Score score = decoder.record(sequence_, activities);
    program_.planned_finish = static_cast<float>(score.finish);
    if (!decoder.missing_items().empty()) program_.left_item_step = decoder.missing_items().front().step;

    std::vector<const Activity*> approach;
    std::vector<const Activity*> steps;
    for (std::size_t i = problem_.situation->as_run.size(); i < activities.size(); ++i) {
        const Activity& activity = activities[i];
        switch (activity.kind) {
            case ActivityKind::egress: {
                Node node;
                node.op = Op::egress;
                node.planned = seconds(activity.duration);
                node.draw = ground_.model->airlock(activity.duration, ground_.model->slots().egress);
                program_.nodes.push_back(node);
                settle(activity);
                before_ = state_;
                break;
            }
            case ActivityKind::arm_move:
            case ActivityKind::ingress:
                break;
            case ActivityKind::clean_up:
                home(approach);
                break;
            case ActivityKind::step: {
                steps.push_back(&activity);
                const auto& unit =
                    problem_.units[static_cast<std::size_t>(problem_.steps[index(*activity.step)].unit)].steps;
                if (steps.size() < unit.size()) break;
                place(approach, steps);
                approach.clear();
                steps.clear();
                break;
            }
            case ActivityKind::translate:
            case ActivityKind::tether_swap:
            case ActivityKind::pick_up:
            case ActivityKind::put_down:
            case ActivityKind::glove_check:
            case ActivityKind::rest:
                approach.push_back(&activity);
                break;
        }
    }
    // How long a whole task keeps people, from its decision to its last end and home: an optional one is not begun when
    // that does not fit any more.
    for (Decision& decision : program_.decisions) {
        if (!decision.first) continue;
        float last_end = 0;
        for (const Part& part : program_.parts)
            if (part.task == decision.task)
                last_end = std::max(last_end, program_.planned_end[static_cast<std::size_t>(part.end)]);
        float slack = never;
        for (const Decision& other : program_.decisions)
            if (other.task == decision.task) slack = std::min(slack, other.latest_start - other.planned_start);
        decision.latest_whole = decision.planned + slack;
        const auto& data = problem_.tasks[static_cast<std::size_t>(decision.task)];
        if (data.starts_by < plan::detail::never)
            decision.latest_whole = std::min(decision.latest_whole, static_cast<float>(data.starts_by) -
                                                                        (decision.planned_start - decision.planned));
        if (data.ends_by < plan::detail::never)
            decision.latest_whole =
                std::min(decision.latest_whole, static_cast<float>(data.ends_by) - (last_end - decision.planned));
    }
    outcomes();
    return std::move(program_);
}

}  // namespace

bool same_until(const Program& a, const Program& b, int node) {
    const auto count = static_cast<std::size_t>(node);
    if (a.nodes.size() < count || b.nodes.size() < count) return false;
    for (std::size_t i = 0; i < count; ++i) {
        const Node& x = a.nodes[i];
        const Node& y = b.nodes[i];
        if (x.op != y.op || x.crew != y.crew || x.planned != y.planned || x.draw.slot != y.draw.slot ||
            x.end != y.end || x.floor != y.floor || x.parts.first != y.parts.first || x.parts.last != y.parts.last)
            return false;
        for (int p = x.parts.first; p < x.parts.last; ++p) {
            const Part& left = a.parts[static_cast<std::size_t>(p)];
            const Part& right = b.parts[static_cast<std::size_t>(p)];
            if (left.step != right.step || left.crew != right.crew || left.end != right.end) return false;
        }
    }
    return true;
}

Program compile(const Ground& ground, const Sequence& sequence, const Kept& kept) {
    Kept wanted = kept;
    // A step whose item a dropped task should have brought cannot be done either: its task ends before it.
    for (std::size_t round = 0;; ++round) {
        Sequence left = sequence;
        const Problem problem = reduced(*ground.problem, wanted, left);
        Program program = Compiler(ground, problem, left, wanted).run();
        program.kept = kept;
        if (program.left_item_step < 0 || round > wanted.size() * 8) return program;
        const StepData& step = problem.steps[static_cast<std::size_t>(program.left_item_step)];
        const auto& steps = ground.problem->outing->tasks[static_cast<std::size_t>(step.task)].steps;
        const auto number = static_cast<std::uint8_t>(
            std::find(steps.begin(), steps.end(), static_cast<StepId>(program.left_item_step)) - steps.begin());
        auto& keeps = wanted[static_cast<std::size_t>(step.task)];
        if (step.close_up || keeps <= number) return program;
        keeps = number;
    }
}

}  // namespace handrail::risk::detail
