#include <algorithm>
#include <cmath>

#include "plan/decoder.h"

/// The part of the decoder that knows what tasks ask for beside people, places and items (resources, rides or hands,
/// room for the arm, limits of a person, wishes), and that judges the whole at the end.
namespace handrail::plan::detail {

double Decoder::missing(const std::vector<std::uint8_t>& in) const {
    double sum = 0;
    for (std::size_t t = 0; t < problem_.tasks.size(); ++t)
        if (!in[t] &&
            (problem_.tasks[t].optional ? !problem_.tasks[t].started : problem_.owed(static_cast<int>(t), in)))
            sum += weight_[t];
    return sum;
}

void Decoder::judge(const Sequence& sequence) {
    now_.score.missing = missing(sequence.in);
    for (std::size_t t = 0; t < problem_.tasks.size(); ++t) {
        const TaskData& task = problem_.tasks[t];
        if (!sequence.in[t]) {
            if (task.kept_in) ++now_.score.changes;
            continue;
        }
        if (problem_.keeps && !task.units.empty() && (!task.kept_in || task.kept_lead != sequence.lead[t]))
            ++now_.score.changes;
        if (!task.started && now_.task_start[t] < never && now_.task_start[t] > task.starts_by)
            brake(Broken::task_by, now_.task_start[t] - task.starts_by);
        for (int other : task.not_with)
            if (sequence.in[static_cast<std::size_t>(other)]) brake(Broken::choice, hopeless / 10);
        for (int other : task.needs)
            if (!sequence.in[static_cast<std::size_t>(other)] &&
                !problem_.tasks[static_cast<std::size_t>(other)].started)
                brake(Broken::choice, hopeless / 10);
    }
    std::int64_t over_s = 0;  // how much work too much, for the consumable that is worst off
    for (std::size_t c = 0; c < 2; ++c) {
        const CrewState& crew = now_.crew[c];
        now_.score.finish = std::max(now_.score.finish, crew.free);
        for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
            const double over = crew.used[i] - problem_.usable[c][i];
            if (over <= 1e-9) continue;
            const double rate = std::max(problem_.draw[c][static_cast<std::size_t>(Effort::translate)][1][i], 1e-12);
            over_s = std::max(over_s, std::min<std::int64_t>(hopeless, std::llround(std::ceil(over / rate))));
        }
    }
    now_.score.price = problem_.change_price * now_.score.changes;
    judge_demands(sequence);
    // A plan that is to be kept is not rearranged for this: its changes have their price in finish.
    if (!problem_.keeps) judge_required(sequence);
    now_.score.paid = problem_.change_worth * now_.score.changes;
    if (over_s > 0) brake(Broken::consumable, over_s);
    if (now_.score.finish > problem_.limit) brake(Broken::limit, now_.score.finish - problem_.limit);
    now_.score.shortfall = std::max(0, now_.score.finish - (problem_.limit - problem_.margin));

    for (const Open& open : now_.open) {
        if (open.until >= never) {
            brake(Broken::open_site, hopeless);
            continue;
        }
        // Walk along the stretch; every moment of it one of the task's crew must be there.
        const int lead = sequence.lead[static_cast<std::size_t>(open.task)];
        Time covered = open.from;
        for (bool extended = true; extended && covered < open.until;) {
            extended = false;
            for (int c = 0; c < 2; ++c) {
                if (c != lead && !helper_in_task_[static_cast<std::size_t>(open.task)]) continue;
                for (const Stay& stay : now_.stays[static_cast<std::size_t>(c)])
                    if (stay.site == open.site && stay.from <= covered && stay.to > covered) {
                        covered = stay.to;
                        extended = true;
                    }
            }
        }
        if (covered < open.until) brake(Broken::open_site, open.until - covered + 600);
    }
    if (problem_.partner_matters) {
        // Places change only on arrival: look at each arrival of either where the other then is.
        for (std::size_t c = 0; c < 2; ++c) {
            auto there = now_.stays[1 - c].begin();
            for (const Stay& stay : now_.stays[c]) {
                if (stay.from <= -never) continue;
                while (there + 1 != now_.stays[1 - c].end() && (there + 1)->from <= stay.from) ++there;
                const Time apart =
                    problem_.partner_time[static_cast<std::size_t>(stay.site * problem_.worksites + there->site)];
                if (apart > problem_.partner_within) brake(Broken::partner, apart - problem_.partner_within);
            }
        }
    }
}

void Decoder::judge_demands(const Sequence& sequence) {
    for (std::size_t c = 0; c < 2; ++c) {
        if (now_.crew[c].work > problem_.work_limit[c])
            brake(Broken::person, now_.crew[c].work - problem_.work_limit[c]);
        if (now_.crew[c].heavy_work > problem_.heavy_total[c])
            brake(Broken::person, now_.crew[c].heavy_work - problem_.heavy_total[c]);
    }
    for (const Sweep& sweep : now_.sweeps)
        for (std::size_t c = 0; c < 2; ++c) {
            if ((sweep.riders >> c) & 1u) continue;
            for (const Stay& stay : now_.stays[c]) {
                if (!problem_.clear[static_cast<std::size_t>(stay.site)]) continue;
                const Time both = std::min(stay.to, sweep.to) - std::max(stay.from, sweep.from);
                if (both > 0) brake(Broken::arm_clear, both + 60);
            }
        }
    for (const WishData& wish : problem_.wishes) {
        const std::size_t task = static_cast<std::size_t>(wish.task);
        if (now_.task_start[task] >= never) continue;
        const std::size_t lead = sequence.lead[task];
        bool kept = (wish.lead < 0 || wish.lead == static_cast<int>(lead)) && now_.task_end[task] <= wish.ends_by &&
                    now_.task_start[task] >= wish.starts_after;
        for (const auto& [step, starts] : wish.starts) {
            const Time start = now_.step_start[static_cast<std::size_t>(step)];
            if (start > -never && std::none_of(starts[lead].begin(), starts[lead].end(), [start](const StartRange& r) {
                    return r.from <= start && start <= r.to;
                }))
                kept = false;
        }
        if (!kept) now_.score.price += wish.worth;
    }
}

void Decoder::judge_required(const Sequence& sequence) {
    const Time now = static_cast<Time>(since_zero(problem_.situation->now).count());
    Score& score = now_.score;
    for (const int s : required_steps_) {
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        const Time start = now_.step_start[static_cast<std::size_t>(s)];
        if (start <= -never || !sequence.in[static_cast<std::size_t>(step.task)]) continue;
        score.required_end = std::max(score.required_end, now_.step_end[static_cast<std::size_t>(s)]);
        if (!step.windowed) continue;
        const auto& starts = *mode_of(s, sequence).starts;
        const auto range =
            std::find_if(starts.begin(), starts.end(), [start](const StartRange& r) { return r.to >= start; });
        if (range == starts.end()) continue;
        // Late by anything up to `reach` is taken as equally likely; what is missed is done in the next window.
        const double reach = overrun * (start - now);
        const Time slack = range->to - start;
        const Time next = range + 1 == starts.end() ? problem_.limit : (range + 1)->from;
        if (slack < reach && next > range->to)
            score.required_wait += static_cast<Time>((1 - slack / reach) * (next - range->to));
    }
}

void Decoder::list_modes() {
    for (const StepData& step : problem_.steps)
        for (std::size_t lead = 0; lead < 2; ++lead) {
            const bool may = step.by_hand[lead] >= 0 && (!step.windowed || !step.hand_starts[lead].empty());
            const bool only = step.windowed && step.starts[lead].empty();
            for (const bool chosen : {false, true})
                if (may && (chosen || only || !problem_.situation->arm_available))
                    modes_.push_back({step.by_hand[lead], false, false, &step.hand_starts[lead]});
                else
                    modes_.push_back({step.duration[lead], step.arm, step.ride, &step.starts[lead]});
        }
}

Time Decoder::sum_uses(const Unit& unit, const Sequence& sequence) {
    uses_.clear();
    Time longest = 0;
    for (int s : unit.steps) {
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        if (step.uses.empty()) continue;
        longest = std::max(longest, mode_of(s, sequence).duration);
        for (const auto& [resource, amount] : step.uses) {
            const auto known =
                std::find_if(uses_.begin(), uses_.end(), [r = resource](const auto& use) { return use.first == r; });
            if (known == uses_.end())
                uses_.emplace_back(resource, amount);
            else
                known->second += amount;
        }
    }
    for (const auto& [resource, amount] : uses_)
        if (amount > problem_.capacity[static_cast<std::size_t>(resource)] + 1e-9) {
            brake(Broken::resource, hopeless);
            return 0;
        }
    return longest;
}

Time Decoder::room_for(Time start, Time duration) const {
    for (bool moved = true; moved;) {
        moved = false;
        for (const auto& [resource, amount] : uses_) {
            const double room = problem_.capacity[static_cast<std::size_t>(resource)] - amount + 1e-9;
            const std::vector<Taken>& list = now_.taken[static_cast<std::size_t>(resource)];
            // The level only rises where something starts: look there and at the start itself.
            const auto level = [&list](Time t) {
                double sum = 0;
                for (const Taken& taken : list)
                    if (taken.from <= t && t < taken.to) sum += taken.amount;
                return sum;
            };
            Time clash = level(start) > room ? start : never;
            for (const Taken& taken : list)
                if (taken.from > start && taken.from < start + duration && taken.from < clash &&
                    level(taken.from) > room)
                    clash = taken.from;
            if (clash >= never) continue;
            Time free = never;
            for (const Taken& taken : list)
                if (taken.from <= clash && clash < taken.to) free = std::min(free, taken.to);
            if (free >= never) return start;
            start = std::max(free, start + 1);
            moved = true;
        }
    }
    return start;
}

}  // namespace handrail::plan::detail
