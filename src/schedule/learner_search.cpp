#include "schedule/learner.h"

namespace handrail::schedule::detail {
namespace {

constexpr std::uint64_t restart_unit = 128;
constexpr std::uint64_t conflicts_between_questions = 16;

/// 1 1 2 1 1 2 4 ... (Luby, Sinclair and Zuckerman 1993), from 1.
std::uint64_t luby(std::uint64_t number) {
    std::uint64_t power = 1;
    while (2 * power - 1 < number) power *= 2;
    while (2 * power - 1 != number) {
        number -= power - 1;
        power = 1;
        while (2 * power - 1 < number) power *= 2;
    }
    return power;
}

}  // namespace

std::optional<Fact> Learner::next_decision(Guide& guide, std::span<const Fact> assumptions, bool& refuted) {
    while (level() < static_cast<int>(assumptions.size())) {
        const Fact assumed = assumptions[level()];
        if (fails(assumed)) {
            refuted = true;
            return std::nullopt;
        }
        if (!holds(assumed)) return assumed;
        open_level();  // so that each assumption has its level
    }
    if (!guide_first_) {
        while (const std::optional<Fact> hot = hot_.pop()) {
            if (holds_for_good(*hot) || holds_for_good(negated(*hot))) continue;
            const bool open = !holds(*hot) && !fails(*hot);
            hot_.set_aside(*hot, level() + (open ? 1 : 0));
            if (open) return guide.prefers(*hot) ? *hot : negated(*hot);
        }
    }
    return guide.decide(*this);
}

Learner::Outcome Learner::search(Guide& guide, std::span<const Fact> assumptions, const Budget& budget) {
    const std::uint64_t until = conflicts_ + budget.conflicts;
    std::uint64_t restart_at = conflicts_ + restart_unit * luby(++restarts_);
    while (!impossible_) {
        if (!propagate()) {
            ++conflicts_;
            if (level() == 0) impossible_ = true;
            if (impossible_) break;
            learn();
            if (conflicts_ % conflicts_between_questions == 0 && budget.stop && budget.stop()) break;
            continue;
        }
        if (conflicts_ >= until) break;
        if (conflicts_ >= restart_at) {
            guide_first_ = false;
            restart_at = conflicts_ + restart_unit * luby(++restarts_);
            back_to(0);
            if (learned_ > learned_limit_) forgetting_ = true;
            continue;
        }
        if (forgetting_ && level() == 0) {
            forget_some();
            forgetting_ = false;
            learned_limit_ += 200;
        }
        bool refuted = false;
        const std::optional<Fact> decision = next_decision(guide, assumptions, refuted);
        if (refuted) return Outcome::impossible_as_assumed;
        if (!decision) return Outcome::solution;
        open_level();
        set(*decision, {});
    }
    return impossible_ ? Outcome::impossible : Outcome::out_of_budget;
}

}  // namespace handrail::schedule::detail
