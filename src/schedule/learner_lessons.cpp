#include <algorithm>
#include <cassert>

#include "schedule/learner.h"

/// How a dead end becomes a rule: explanation, conflict analysis to the first unique implication point, and the keeping
/// and forgetting of what was learned.
namespace handrail::schedule::detail {

int Learner::bound_at(Side side, int position) const {
    int entry = latest_[side];
    while (entry >= position) entry = trail_[entry].before;
    return trail_[entry].value;
}

/// The change that first made the fact true. REQUIRES that it holds.
int Learner::entry_of(Fact fact) const {
    int entry = latest_[fact.side];
    while (trail_[entry].before >= 0 && trail_[trail_[entry].before].value >= fact.at) entry = trail_[entry].before;
    return entry;
}

/// Facts that held before `position` and imply that the entry's side is at least `at` (at most what the entry says).
void Learner::explain(const Entry& entry, int position, int at, std::vector<Fact>& into) {
    const Reason& reason = entry.reason;
    switch (reason.kind) {
        case Kind::decision:
            return;
        case Kind::list:
            into.insert(into.end(), reasons_.begin() + reason.ref, reasons_.begin() + reason.ref + reason.length);
            return;
        case Kind::arc:
            into.push_back({arc_list_[reason.ref].from, at - arc_list_[reason.ref].gap});
            return;
        case Kind::clause: {
            bump_clause(reason.ref);
            const Fact* const fact = facts(reason.ref);
            for (int k = 0; k < clauses_[reason.ref].size; ++k)
                if (fact[k].side != entry.side || fact[k].at != entry.value) into.push_back(negated(fact[k]));
            return;
        }
        case Kind::sum: {
            const Sum& sum = sums_[reason.ref];
            for (int c = sum.first_condition; c < sum.first_condition + sum.conditions; ++c)
                if (negated(conditions_[c]) == Fact{entry.side, entry.value}) {
                    std::int64_t total = sum.constant;
                    for (int t = sum.first_term; t < sum.first_term + sum.terms; ++t)
                        total += terms_[t].factor * bound_at(terms_[t].side, position);
                    return explain_sum(sum, total - 1, -1, c, position, into);
                }
            for (int t = sum.first_term; t < sum.first_term + sum.terms; ++t) {
                if (opposite(terms_[t].side) != entry.side) continue;
                std::int64_t total = sum.constant + terms_[t].factor * (1 - at);
                for (int u = sum.first_term; u < sum.first_term + sum.terms; ++u)
                    if (u != t) total += terms_[u].factor * bound_at(terms_[u].side, position);
                return explain_sum(sum, total - 1, t, -1, position, into);
            }
            assert(false);
        }
    }
}

/// The bounds that make a sum too large, each as weak as the excess allows.
void Learner::explain_sum(const Sum& sum, std::int64_t excess, int skip_term, int skip_condition, int position,
                          std::vector<Fact>& into) {
    for (int c = sum.first_condition; c < sum.first_condition + sum.conditions; ++c)
        if (c != skip_condition) into.push_back(conditions_[c]);
    for (int t = sum.first_term; t < sum.first_term + sum.terms; ++t) {
        if (t == skip_term) continue;
        const Term& term = terms_[t];
        std::int64_t bound = bound_at(term.side, position);
        const std::int64_t give = std::min(excess / term.factor, bound - lasting_[term.side]);
        bound -= give;
        excess -= give * term.factor;
        if (bound > lasting_[term.side]) into.push_back({term.side, static_cast<int>(bound)});
    }
}

void Learner::add_need(Fact fact) {
    if (lasting_[fact.side] >= fact.at) return;
    const int had = need_entry_[fact.side];
    if (had >= 0 && need_at_[fact.side] >= fact.at) return;
    const int entry = entry_of(fact);
    need_at_[fact.side] = fact.at;
    need_entry_[fact.side] = entry;
    if (had < 0) {
        need_slot_[fact.side] = static_cast<int>(needed_.size());
        needed_.push_back(fact.side);
    }
    if (had >= 0 && trail_[had].level == level()) --needs_here_;
    if (trail_[entry].level == level()) ++needs_here_;
    hot_.heat(fact, HotFacts::Learn::no);
}

/// Whether the need on this side follows from the other needs, so that the lesson can do without it.
bool Learner::follows_from_needs(Side side) {
    const int position = need_entry_[side];
    const Entry entry = trail_[position];
    if (entry.reason.kind == Kind::decision) return false;
    scratch_.clear();
    explain(entry, position, need_at_[side], scratch_);
    // Only needs older than this one count: two must not vouch for each other.
    return std::ranges::all_of(scratch_, [this, position](Fact fact) {
        if (lasting_[fact.side] >= fact.at) return true;
        const int other = need_entry_[fact.side];
        return other >= 0 && other < position && need_at_[fact.side] >= fact.at;
    });
}

/// Turns conflict_ into lesson_ (its first fact becomes true after the step back) and steps back.
/// REQUIRES level() > 0 and that conflict_ holds at this level.
void Learner::learn() {
    needed_.clear();
    needs_here_ = 0;
    for (const Fact fact : conflict_) add_need(fact);
    // A conflict that needs nothing from this level belongs to an earlier one.
    if (needs_here_ == 0) {
        int latest = 0;
        for (const Side side : needed_) latest = std::max(latest, trail_[need_entry_[side]].level);
        for (const Side side : needed_) need_entry_[side] = -1;
        back_to(latest);
        if (latest == 0) {
            impossible_ = true;
            return;
        }
        return learn();
    }
    int position = static_cast<int>(trail_.size()) - 1;
    Side point = 0;
    for (;; --position) {
        const Side side = trail_[position].side;
        if (need_entry_[side] != position) continue;
        if (needs_here_ == 1) {
            point = side;
            break;
        }
        const Entry entry = trail_[position];
        need_entry_[side] = -1;
        needed_[need_slot_[side]] = needed_.back();
        need_slot_[needed_.back()] = need_slot_[side];
        needed_.pop_back();
        --needs_here_;
        scratch_.clear();
        explain(entry, position, need_at_[side], scratch_);
        for (const Fact fact : scratch_) add_need(fact);
    }
    lesson_.assign(1, negated({point, need_at_[point]}));
    int target = 0;
    kept_.clear();
    for (const Side side : needed_)
        if (side == point || !follows_from_needs(side)) kept_.push_back(side);
    ++level_stamp_;
    level_seen_.resize(level() + 1);
    int glue = 0;
    for (const Side side : kept_) {
        const int at_level = trail_[need_entry_[side]].level;
        if (level_seen_[at_level] != level_stamp_) ++glue;
        level_seen_[at_level] = level_stamp_;
        hot_.heat({side, need_at_[side]}, HotFacts::Learn::yes);
        if (side == point) continue;
        lesson_.push_back(negated({side, need_at_[side]}));
        if (at_level > target) {
            target = at_level;
            std::swap(lesson_[1], lesson_.back());
        }
    }
    for (const Side side : needed_) need_entry_[side] = -1;
    back_to(target);
    hot_.cool();
    clause_heat_ *= 1 / 0.999;
    if (lesson_.size() == 1) {
        if (!require(lesson_.front())) impossible_ = true;
        return;
    }
    const int clause = store(lesson_, glue);
    attach(clause);
    bump_clause(clause);
    const bool done = set(lesson_.front(), {Kind::clause, clause, 0});
    assert(done);
    (void)done;
}

int Learner::store(std::span<const Fact> clause, int glue) {
    const int number = static_cast<int>(clauses_.size());
    clauses_.push_back({static_cast<int>(clause_facts_.size()), static_cast<int>(clause.size()), glue, 0});
    clause_facts_.insert(clause_facts_.end(), clause.begin(), clause.end());
    if (glue > 0) ++learned_;
    return number;
}

void Learner::attach(int clause) {
    const Fact* const fact = facts(clause);
    watchers_[opposite(fact[0].side)].push_back({1 - fact[0].at, clause, fact[1]});
    watchers_[opposite(fact[1].side)].push_back({1 - fact[1].at, clause, fact[0]});
}

void Learner::bump_clause(int clause) {
    Clause& bumped = clauses_[clause];
    if (bumped.glue == 0) return;
    bumped.heat += clause_heat_;
    if (bumped.heat < 1e100) return;
    for (Clause& each : clauses_) each.heat *= 1e-100;
    clause_heat_ *= 1e-100;
}

/// Drops the colder half of the lessons that join many levels, and every clause that holds for good.
/// REQUIRES level() == 0 and everything propagated.
void Learner::forget_some() {
    std::vector<double> heats;
    for (const Clause& clause : clauses_)
        if (clause.glue > 2) heats.push_back(clause.heat);
    double limit = 0;
    if (!heats.empty()) {
        const auto middle = heats.begin() + static_cast<std::ptrdiff_t>(heats.size() / 2);
        std::nth_element(heats.begin(), middle, heats.end());
        limit = *middle;
    }
    const std::vector<Clause> old_clauses = std::move(clauses_);
    const std::vector<Fact> old_facts = std::move(clause_facts_);
    clauses_.clear();
    clause_facts_.clear();
    learned_ = 0;
    for (auto& list : watchers_) list.clear();
    for (Entry& entry : trail_) entry.reason = {};
    std::vector<Fact> kept;
    for (const Clause& clause : old_clauses) {
        if (clause.glue > 2 && clause.heat < limit) continue;
        kept.clear();
        bool satisfied = false;
        for (int k = clause.first; k < clause.first + clause.size; ++k) {
            satisfied |= holds(old_facts[k]);
            if (!fails(old_facts[k])) kept.push_back(old_facts[k]);
        }
        if (satisfied) continue;
        const int number = store(kept, clause.glue);
        clauses_[number].heat = clause.heat;
        attach(number);
    }
}

}  // namespace handrail::schedule::detail
