#include "schedule/learner.h"

#include <algorithm>
#include <cassert>

namespace handrail::schedule::detail {

int Learner::add_variable(int low, int high) {
    assert(level() == 0 && low <= high);
    const int variable = variables();
    for (const int bound : {low, -high}) {
        const Side side = static_cast<Side>(bound_.size());
        bound_.push_back(bound);
        lasting_.push_back(bound);
        latest_.push_back(static_cast<int>(trail_.size()));
        trail_.push_back({side, bound, -1, 0, {}});
        watchers_.emplace_back();
        arcs_.emplace_back();
        sums_of_.emplace_back();
        propagators_of_.emplace_back();
        need_at_.push_back(0);
        need_entry_.push_back(-1);
        need_slot_.push_back(0);
    }
    return variable;
}

bool Learner::require(Fact fact) {
    assert(level() == 0);
    if (fails(fact) || (!holds(fact) && !set(fact, {}))) impossible_ = true;
    return !impossible_;
}

bool Learner::add_clause(std::vector<Fact> clause) {
    assert(level() == 0);
    std::erase_if(clause, [this](Fact fact) { return fails(fact); });
    // One fact a side: the weaker of two says it all.
    std::ranges::sort(clause, [](Fact a, Fact b) { return a.side != b.side ? a.side < b.side : a.at < b.at; });
    clause.erase(std::ranges::unique(clause, {}, &Fact::side).begin(), clause.end());
    if (std::ranges::any_of(clause, [this](Fact fact) { return holds(fact); })) return true;
    if (clause.empty()) impossible_ = true;
    if (clause.size() == 1) require(clause.front());
    if (clause.size() > 1) attach(store(clause, 0));
    return !impossible_;
}

bool Learner::add_arc(Side from, Side to, int gap) {
    assert(level() == 0);
    for (const auto& [a, b] : {std::pair{from, to}, std::pair{opposite(to), opposite(from)}}) {
        const Arc arc{a, b, gap, static_cast<int>(arc_list_.size())};
        arc_list_.push_back(arc);
        arcs_[a].push_back(arc);
        if (!require({b, bound_[a] + gap})) return false;
    }
    return true;
}

bool Learner::add_sum(std::span<const Term> terms, std::int64_t constant, std::span<const Fact> conditions) {
    assert(level() == 0);
    const int number = static_cast<int>(sums_.size());
    sums_.push_back({static_cast<int>(terms_.size()), static_cast<int>(terms.size()),
                     static_cast<int>(conditions_.size()), static_cast<int>(conditions.size()), constant});
    terms_.insert(terms_.end(), terms.begin(), terms.end());
    conditions_.insert(conditions_.end(), conditions.begin(), conditions.end());
    for (const Term& term : terms) sums_of_[term.side].push_back(number);
    for (const Fact& condition : conditions) sums_of_[condition.side].push_back(number);
    sum_waits_.push_back(1);
    waiting_sums_.push_back(number);
    return !impossible_;
}

void Learner::add_propagator(std::unique_ptr<Propagator> propagator, std::span<const Side> woken_by) {
    const int number = static_cast<int>(propagators_.size());
    propagators_.push_back(std::move(propagator));
    for (const Side side : woken_by) propagators_of_[side].push_back(number);
    propagator_waits_.push_back(1);
    waiting_propagators_.push_back(number);
}

/// REQUIRES the fact not to hold. False: its negation holds; conflict_ says why that cannot be.
bool Learner::set(Fact fact, Reason reason) {
    if (fails(fact)) {
        conflict_.clear();
        const Entry wanted{fact.side, fact.at, latest_[fact.side], level(), reason};
        explain(wanted, static_cast<int>(trail_.size()), fact.at, conflict_);
        conflict_.push_back(negated(fact));
        return false;
    }
    const int position = static_cast<int>(trail_.size());
    trail_.push_back({fact.side, fact.at, latest_[fact.side], level(), reason});
    latest_[fact.side] = position;
    bound_[fact.side] = fact.at;
    if (level() == 0) lasting_[fact.side] = fact.at;
    return true;
}

bool Learner::infer(Fact fact, std::span<const Fact> because) {
    if (holds(fact)) return true;
    const Reason reason{Kind::list, static_cast<int>(reasons_.size()), static_cast<int>(because.size())};
    if (level() > 0 || fails(fact)) reasons_.insert(reasons_.end(), because.begin(), because.end());
    return set(fact, reason);
}

bool Learner::clash(std::span<const Fact> because) {
    conflict_.assign(because.begin(), because.end());
    return false;
}

void Learner::open_level() {
    level_begin_.push_back(static_cast<int>(trail_.size()));
    level_reasons_.push_back(reasons_.size());
}

void Learner::back_to(int target) {
    if (level() <= target) return;
    const std::size_t keep = static_cast<std::size_t>(level_begin_[target]);
    while (trail_.size() > keep) {
        const Entry& entry = trail_.back();
        latest_[entry.side] = entry.before;
        bound_[entry.side] = trail_[entry.before].value;
        trail_.pop_back();
    }
    reasons_.resize(level_reasons_[target]);
    level_begin_.resize(target);
    level_reasons_.resize(target);
    seen_ = keep;
    hot_.back_to(target);
    for (const int number : waiting_sums_) sum_waits_[number] = 0;
    waiting_sums_.clear();
    for (const int number : waiting_propagators_) propagator_waits_[number] = 0;
    waiting_propagators_.clear();
}

void Learner::wake(Side side) {
    for (const int number : sums_of_[side])
        if (!sum_waits_[number]) {
            sum_waits_[number] = 1;
            waiting_sums_.push_back(number);
        }
    for (const int number : propagators_of_[side])
        if (!propagator_waits_[number]) {
            propagator_waits_[number] = 1;
            waiting_propagators_.push_back(number);
        }
}

bool Learner::propagate() {
    for (;;) {
        while (seen_ < trail_.size()) {
            const Entry entry = trail_[seen_++];
            wake(entry.side);
            if (!visit_arcs(entry.side) || (entry.before >= 0 && !visit_watchers(entry))) return false;
        }
        if (!waiting_sums_.empty()) {
            const int number = waiting_sums_.back();
            waiting_sums_.pop_back();
            sum_waits_[number] = 0;
            if (!propagate_sum(number)) return false;
        } else if (!waiting_propagators_.empty()) {
            const int number = waiting_propagators_.back();
            waiting_propagators_.pop_back();
            propagator_waits_[number] = 0;
            if (!propagators_[number]->propagate(*this)) return false;
        } else {
            return true;
        }
    }
}

bool Learner::visit_arcs(Side side) {
    for (const Arc& arc : arcs_[side]) {
        const Fact fact{arc.to, bound_[side] + arc.gap};
        if (!holds(fact) && !set(fact, {Kind::arc, arc.number, 0})) return false;
    }
    return true;
}

// A watcher of this side wakes when the bound passes its threshold: then the clause's fact on the opposite side fails.
bool Learner::visit_watchers(const Entry& entry) {
    const int was = trail_[entry.before].value;
    std::vector<Watcher>& list = watchers_[entry.side];
    std::size_t kept = 0;
    bool fine = true;
    for (std::size_t w = 0; w < list.size(); ++w) {
        const Watcher watcher = list[w];
        if (!fine || watcher.threshold > entry.value || watcher.threshold <= was || holds(watcher.blocker)) {
            list[kept++] = watcher;
            continue;
        }
        Fact* const fact = facts(watcher.clause);
        const Fact failed{opposite(entry.side), 1 - watcher.threshold};
        if (fact[0] == failed) std::swap(fact[0], fact[1]);
        if (holds(fact[0])) {
            list[kept++] = {watcher.threshold, watcher.clause, fact[0]};
            continue;
        }
        const int size = clauses_[watcher.clause].size;
        int other = 2;
        while (other < size && fails(fact[other])) ++other;
        if (other < size) {
            std::swap(fact[1], fact[other]);
            watchers_[opposite(fact[1].side)].push_back({1 - fact[1].at, watcher.clause, fact[0]});
            continue;
        }
        list[kept++] = watcher;
        fine = set(fact[0], {Kind::clause, watcher.clause, 0});
    }
    list.resize(kept);
    return fine;
}

bool Learner::propagate_sum(int number) {
    const Sum& sum = sums_[number];
    int open = -1;
    for (int c = sum.first_condition; c < sum.first_condition + sum.conditions; ++c) {
        if (fails(conditions_[c])) return true;
        if (holds(conditions_[c])) continue;
        if (open >= 0) return true;
        open = c;
    }
    std::int64_t total = sum.constant;
    for (int t = sum.first_term; t < sum.first_term + sum.terms; ++t)
        total += terms_[t].factor * bound_[terms_[t].side];
    const Reason reason{Kind::sum, number, 0};
    if (open >= 0) return total <= 0 || set(negated(conditions_[open]), reason);
    if (total > 0) {
        conflict_.clear();
        explain_sum(sum, total - 1, -1, -1, static_cast<int>(trail_.size()), conflict_);
        return false;
    }
    for (int t = sum.first_term; t < sum.first_term + sum.terms; ++t) {
        const Term& term = terms_[t];
        const std::int64_t most = bound_[term.side] + -total / term.factor;
        if (-most <= bound_[opposite(term.side)]) continue;
        if (!set({opposite(term.side), static_cast<int>(-most)}, reason)) return false;
    }
    return true;
}

}  // namespace handrail::schedule::detail
