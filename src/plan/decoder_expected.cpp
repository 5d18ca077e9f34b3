#include <algorithm>

#include "plan/decoder.h"

/// The part of the decoder that knows what is expected: from where a sequence is like it, to where, and when there is
/// no use in going on.
namespace handrail::plan::detail {

void Decoder::expect(const Sequence& sequence) {
    // A few units between two saved states: saving costs as much as placing about one.
    constexpr std::size_t most_saved = 24;
    const std::size_t common = saved_count_ > 0 ? common_with_base(sequence) : 0;
    const std::size_t stride = std::max<std::size_t>(3, sequence.order.size() / most_saved + 1);
    saved_count_ =
        stride == stride_ ? std::min(saved_count_, common / stride_ + 1) : std::min<std::size_t>(saved_count_, 1);
    stride_ = stride;
    base_ = sequence;
    base_marks_.clear();
    saved_.resize(std::max(saved_.size(), base_.order.size() / stride_ + 1));
}

void Decoder::expect_decoded(const Sequence& sequence, bool anew) {
    expect(sequence);
    if (anew) {
        saved_count_ = 0;
        decode(sequence);
    }
    std::swap(base_marks_, marks_);
}

bool Decoder::comparable_with_base(const Sequence& sequence) const {
    return sequence.lead.size() == base_.lead.size() && sequence.by_hand.size() == base_.by_hand.size();
}

std::size_t Decoder::common_with_base(const Sequence& sequence) {
    const std::size_t n = std::min(sequence.order.size(), base_.order.size());
    if (!comparable_with_base(sequence)) return 0;
    bool any = false;
    for (std::size_t t = 0; t < differs_.size(); ++t) {
        differs_[t] = (sequence.lead[t] ^ base_.lead[t]) | (sequence.in[t] ^ base_.in[t]) |
                      (sequence.gather[t] ^ base_.gather[t]);
        any |= differs_[t] != 0;
    }
    for (std::size_t s = 0; s < sequence.by_hand.size(); ++s)
        if (sequence.by_hand[s] != base_.by_hand[s]) {
            differs_[static_cast<std::size_t>(problem_.steps[s].task)] = 1;
            any = true;
        }
    const auto first = std::mismatch(sequence.order.begin(), sequence.order.begin() + static_cast<std::ptrdiff_t>(n),
                                     base_.order.begin());
    const auto same = static_cast<std::size_t>(first.first - sequence.order.begin());
    if (!any) return same;
    for (std::size_t i = 0; i < same; ++i)
        for (int task : tasks_of_unit_[static_cast<std::size_t>(sequence.order[i])])
            if (differs_[static_cast<std::size_t>(task)]) return i;
    return same;
}

void Decoder::count_work(const Sequence& sequence) {
    const std::size_t n = sequence.order.size();
    std::array<Time, 2> sum{0, 0};
    for (std::size_t c = 0; c < 2; ++c) work_left_[c].resize(n + 1);
    for (std::size_t i = n;; --i) {
        for (std::size_t c = 0; c < 2; ++c) work_left_[c][i] = sum[c];
        if (i == 0) break;
        const auto unit = static_cast<std::size_t>(sequence.order[i - 1]);
        if (!sequence.in[static_cast<std::size_t>(problem_.units[unit].task)]) continue;
        for (std::size_t w = first_work_[unit]; w < first_work_[unit + 1]; ++w) {
            const TaskWork& work = work_[w];
            const std::array<Time, 2>& of_each = work.by_lead[sequence.lead[static_cast<std::size_t>(work.task)]];
            for (std::size_t c = 0; c < 2; ++c) sum[c] += of_each[c];
        }
    }
}

void Decoder::list_work() {
    for (const Unit& unit : problem_.units) {
        first_work_.push_back(work_.size());
        for (int s : unit.steps) {
            const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
            if (work_.size() == first_work_.back() || work_.back().task != step.task) work_.push_back({step.task});
            for (std::size_t lead = 0; lead < 2; ++lead) {
                const Time least =
                    step.by_hand[lead] >= 0 ? std::min(step.by_hand[lead], step.duration[lead]) : step.duration[lead];
                if (step.roles & 1) work_.back().by_lead[lead][lead] += least;
                if (step.roles & 2) work_.back().by_lead[lead][1 - lead] += least;
            }
        }
    }
    first_work_.push_back(work_.size());
}

bool Decoder::too_much(std::size_t place, std::size_t places) const {
    std::int64_t violation = now_.score.violation;
    if (violation > most_.violation) return true;
    Time finish = 0;
    for (std::size_t c = 0; c < 2; ++c) finish = std::max(finish, now_.crew[c].free + work_left_[c][place]);
    if (guesses_ && place + same_end_ > places) finish = std::max(finish, likely_finish(place, places));
    finish += problem_.clean_up + problem_.ingress;
    if (finish > problem_.limit) violation += finish - problem_.limit;
    if (violation > most_.violation) return true;
    return finish + 2.0 * std::max(0, finish - (problem_.limit - problem_.margin)) +
               most_.penalty * static_cast<double>(violation) >
           most_.cost;
}

Time Decoder::likely_finish(std::size_t place, std::size_t places) const {
    const Mark& then = base_marks_[base_.order.size() - (places - place)];
    const Mark& home = base_marks_.back();
    const Mark& since = marks_[places - same_end_];
    Time finish = 0;
    for (std::size_t c = 0; c < 2; ++c) {
        const CrewState& crew = now_.crew[c];
        if (crew.free == since.free[c]) continue;  // not yet where the expected one is
        const Time late = crew.free - then.free[c] - (home.waited[c] - then.waited[c]);
        if (late > 0) finish = std::max(finish, home.free[c] + late);
    }
    return finish;
}

Decoder::Mark Decoder::mark() const {
    return {{now_.crew[0].free, now_.crew[1].free}, {now_.crew[0].waited, now_.crew[1].waited}};
}

void Decoder::find_same_end(const Sequence& sequence) {
    same_end_ = 0;
    const std::size_t n = std::min(sequence.order.size(), base_.order.size());
    while (same_end_ < n) {
        const int unit = sequence.order[sequence.order.size() - 1 - same_end_];
        if (unit != base_.order[base_.order.size() - 1 - same_end_]) break;
        const std::vector<int>& tasks = tasks_of_unit_[static_cast<std::size_t>(unit)];
        if (std::any_of(tasks.begin(), tasks.end(), [&](int t) { return differs_[static_cast<std::size_t>(t)] != 0; }))
            break;
        ++same_end_;
    }
}

}  // namespace handrail::plan::detail
