#include "schedule/timetable.h"

#include <algorithm>

namespace handrail::schedule::detail {

Timetable::Timetable(std::vector<Use> uses, int capacity) : uses_(std::move(uses)), capacity_(capacity) {
    // Large demands first: explanations prefer few large uses to many small ones.
    std::ranges::stable_sort(uses_, [](const Use& a, const Use& b) { return a.demand > b.demand; });
}

std::vector<Side> Timetable::sides(const std::vector<Use>& uses) {
    std::vector<Side> sides;
    for (const Use& use : uses) {
        sides.push_back(value_of(use.start));
        sides.push_back(opposite(value_of(use.start)));
        if (use.present) sides.push_back(use.present->side);
    }
    std::ranges::sort(sides);
    sides.erase(std::ranges::unique(sides).begin(), sides.end());
    return sides;
}

bool Timetable::propagate(Learner& learner) {
    if (!build(learner)) return false;
    for (const Use& use : uses_) {
        if (use.demand + highest_ <= capacity_) return true;  // and so for all smaller ones
        if (!counts(learner, use)) {
            if (!learner.fails(*use.present) && !refuse_if_nowhere(learner, use)) return false;
            continue;
        }
        if (learner.low(use.start) == learner.high(use.start)) continue;
        if (!push_right(learner, use) || !push_left(learner, use)) return false;
    }
    return true;
}

/// Steps of certain demand, in order; a clash where one is too high.
bool Timetable::build(Learner& learner) {
    events_.clear();
    steps_.clear();
    highest_ = 0;
    for (const Use& use : uses_) {
        const int from = learner.high(use.start), to = learner.low(use.start) + use.duration;
        if (from >= to || !counts(learner, use)) continue;
        events_.emplace_back(from, use.demand);
        events_.emplace_back(to, -use.demand);
    }
    std::ranges::sort(events_);
    int height = 0;
    for (std::size_t e = 0; e < events_.size();) {
        const int time = events_[e].first;
        if (height > 0) steps_.back().to = time;
        for (; e < events_.size() && events_[e].first == time; ++e) height += events_[e].second;
        if (height > 0) steps_.push_back({time, time, height});
        highest_ = std::max(highest_, height);
        if (height > capacity_) {
            because_.clear();
            blame(learner, time, capacity_ + 1, nullptr);
            return learner.clash(because_);
        }
    }
    return true;
}

/// Adds why at least `needed` is certainly demanded in this period, by as few uses as it takes.
void Timetable::blame(const Learner& learner, int time, int needed, const Use* except) {
    covering_.clear();
    int sum = 0;
    for (const Use& use : uses_) {
        if (&use == except || learner.high(use.start) > time || learner.low(use.start) + use.duration <= time) continue;
        if (!counts(learner, use)) continue;
        covering_.push_back(&use);
        sum += use.demand;
    }
    const auto free = [&](const Use& use) {
        return learner.holds_for_good(at_least(use.start, time - use.duration + 1)) &&
               learner.holds_for_good(at_most(use.start, time)) &&
               (!use.present || learner.holds_for_good(*use.present));
    };
    for (std::size_t k = covering_.size(); k-- > 0;) {
        const Use& use = *covering_[k];
        if (free(use)) continue;
        if (sum - use.demand >= needed) {
            sum -= use.demand;
            continue;
        }
        because_.push_back(at_least(use.start, time - use.duration + 1));
        because_.push_back(at_most(use.start, time));
        if (use.present) because_.push_back(*use.present);
    }
}

bool Timetable::push_right(Learner& learner, const Use& use) {
    const int own_from = learner.high(use.start), own_to = learner.low(use.start) + use.duration;
    int at = learner.low(use.start);
    auto step = std::ranges::lower_bound(steps_, at + 1, {}, &Step::to);
    for (; step != steps_.end() && step->from < at + use.duration; ++step) {
        if (step->height + use.demand <= capacity_ || step->to <= at) continue;
        if (own_from <= step->from && step->to <= own_to) continue;  // it stands on the step itself
        while (at < step->to) {
            const int time = std::min(step->to, at + use.duration) - 1;
            because_.clear();
            blame(learner, time, capacity_ - use.demand + 1, &use);
            because_.push_back(at_least(use.start, time - use.duration + 1));
            if (use.present) because_.push_back(*use.present);
            at = time + 1;
            if (!learner.infer(at_least(use.start, at), because_)) return false;
        }
    }
    return true;
}

bool Timetable::push_left(Learner& learner, const Use& use) {
    const int own_from = learner.high(use.start), own_to = learner.low(use.start) + use.duration;
    int at = learner.high(use.start);
    auto step = std::ranges::lower_bound(steps_, at + use.duration, {}, &Step::from);
    while (step != steps_.begin()) {
        --step;
        if (step->to <= at) return true;
        if (step->height + use.demand <= capacity_ || step->from >= at + use.duration) continue;
        if (own_from <= step->from && step->to <= own_to) continue;
        while (at + use.duration > step->from) {
            const int time = std::max(step->from, at);
            because_.clear();
            blame(learner, time, capacity_ - use.demand + 1, &use);
            because_.push_back(at_most(use.start, time));
            if (use.present) because_.push_back(*use.present);
            at = time - use.duration;
            if (!learner.infer(at_most(use.start, at), because_)) return false;
        }
    }
    return true;
}

/// A use that may yet be left out is refused where no start is left to it.
bool Timetable::refuse_if_nowhere(Learner& learner, const Use& use) {
    const int last = learner.high(use.start);
    int at = learner.low(use.start);
    because_.clear();
    because_.push_back(at_least(use.start, at));
    auto step = std::ranges::lower_bound(steps_, at + 1, {}, &Step::to);
    for (; step != steps_.end() && step->from < at + use.duration && at <= last; ++step) {
        if (step->height + use.demand <= capacity_ || step->to <= at) continue;
        while (at < step->to && at <= last) {
            const int time = std::min(step->to, at + use.duration) - 1;
            blame(learner, time, capacity_ - use.demand + 1, &use);
            at = time + 1;
        }
    }
    if (at <= last) return true;
    because_.push_back(at_most(use.start, at - 1));
    return learner.infer(negated(*use.present), because_);
}

}  // namespace handrail::schedule::detail
