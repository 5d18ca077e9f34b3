#include <algorithm>

#include "plan/decoder.h"

/// The part of the decoder that knows what tasks ask for beside people, places and items: resources, rides or hands,
/// room for the arm, limits of a person, wishes.
namespace handrail::plan::detail {
namespace {
constexpr std::int64_t hopeless = 100'000;
}

void Decoder::judge_demands(const Sequence& sequence) {
    for (std::size_t c = 0; c < 2; ++c) {
        if (crew_[c].work > problem_.work_limit[c]) brake(Broken::person, crew_[c].work - problem_.work_limit[c]);
        if (crew_[c].heavy_work > problem_.heavy_total[c])
            brake(Broken::person, crew_[c].heavy_work - problem_.heavy_total[c]);
    }
    for (const Sweep& sweep : sweeps_)
        for (std::size_t c = 0; c < 2; ++c) {
            if ((sweep.riders >> c) & 1u) continue;
            for (const Stay& stay : stays_[c]) {
                if (!problem_.clear[static_cast<std::size_t>(stay.site)]) continue;
                const Time both = std::min(stay.to, sweep.to) - std::max(stay.from, sweep.from);
                if (both > 0) brake(Broken::arm_clear, both + 60);
            }
        }
    for (const WishData& wish : problem_.wishes) {
        const std::size_t task = static_cast<std::size_t>(wish.task);
        if (task_start_[task] >= never) continue;
        const std::size_t lead = sequence.lead[task];
        bool kept = (wish.lead < 0 || wish.lead == static_cast<int>(lead)) && task_end_[task] <= wish.ends_by &&
                    task_start_[task] >= wish.starts_after;
        for (const auto& [step, starts] : wish.starts) {
            const Time start = step_start_[static_cast<std::size_t>(step)];
            if (start > -never && std::none_of(starts[lead].begin(), starts[lead].end(), [start](const StartRange& r) {
                    return r.from <= start && start <= r.to;
                }))
                kept = false;
        }
        if (!kept) score_.price += wish.worth;
    }
}

Decoder::Mode Decoder::mode_of(int s, const Sequence& sequence) const {
    const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
    const std::size_t lead = sequence.lead[static_cast<std::size_t>(step.task)];
    const std::size_t at = static_cast<std::size_t>(s);
    const bool may = step.by_hand[lead] >= 0 && (!step.windowed || !step.hand_starts[lead].empty());
    const bool chosen = at < sequence.by_hand.size() && sequence.by_hand[at] != 0;
    const bool only = step.windowed && step.starts[lead].empty();
    if (may && (chosen || only || !problem_.situation->arm_available))
        return {step.by_hand[lead], false, false, &step.hand_starts[lead]};
    return {step.duration[lead], step.arm, step.ride, &step.starts[lead]};
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
            const std::vector<Taken>& list = taken_[static_cast<std::size_t>(resource)];
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
