#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "schedule/fact.h"
#include "schedule/hot_facts.h"

namespace handrail::schedule::detail {

class Learner;

/// A rule over many variables that draws conclusions and says why.
class Propagator {
public:
    virtual ~Propagator() = default;
    /// Draws what it can with Learner::infer; false once one of the calls said false.
    virtual bool propagate(Learner& learner) = 0;
};

/// Where the search goes when no conflict has left a hint.
class Guide {
public:
    virtual ~Guide() = default;
    /// The next decision (neither true nor false now); nothing when everything that matters is fixed: a solution.
    virtual std::optional<Fact> decide(const Learner& learner) = 0;
    /// Which way to try a fact that recent conflicts named.
    virtual bool prefers(Fact fact) = 0;
};

/// Search that learns a new rule from every dead end ("lazy clause generation", Ohrimenko, Stuckey and Codish 2009;
/// Schutt, Feydy, Stuckey and Wallace 2011 for project scheduling). Variables are whole numbers with bounds; literals
/// are bounds themselves and need no bookkeeping of their own, after Feydy and Stuckey's integer explanations.
///
/// Invariants: trail_ holds every change of a bound in order, the first entry of each side being its bound at the
/// start; what is at level 0 holds for good. Learned clauses follow from the rules alone, so they outlive every restart
/// and every change of assumptions. No clock, no randomness. One thread.
class Learner {
public:
    enum class Outcome { solution, impossible, impossible_as_assumed, out_of_budget };

    // Building. All of it at level 0 (call `relax` before). False: it cannot be done at all.
    int add_variable(int low, int high);
    bool add_clause(std::vector<Fact> clause);
    /// value(to) >= value(from) + gap, of two sides.
    bool add_arc(Side from, Side to, int gap);
    struct Term {
        Side side;
        std::int64_t factor;  ///< above 0
    };
    /// constant + Σ factor × side <= 0 wherever all conditions hold.
    bool add_sum(std::span<const Term> terms, std::int64_t constant, std::span<const Fact> conditions);
    void add_propagator(std::unique_ptr<Propagator> propagator, std::span<const Side> woken_by);
    /// Makes a fact true for good.
    bool require(Fact fact);

    int low(int variable) const { return bound_[2 * variable]; }
    int high(int variable) const { return -bound_[2 * variable + 1]; }
    bool holds(Fact fact) const { return bound_[fact.side] >= fact.at; }
    bool fails(Fact fact) const { return bound_[opposite(fact.side)] >= 1 - fact.at; }
    bool holds_for_good(Fact fact) const { return lasting_[fact.side] >= fact.at; }
    int variables() const { return static_cast<int>(bound_.size() / 2); }

    // For propagators. `because` must hold now and imply the fact. False: a conflict; stop at once.
    bool infer(Fact fact, std::span<const Fact> because);
    bool clash(std::span<const Fact> because);

    struct Budget {
        std::uint64_t conflicts = 0;
        std::function<bool()> stop;  ///< asked every few conflicts
    };
    /// Searches on from what it has learned. After `solution` every variable that matters is fixed until `relax`.
    Outcome search(Guide& guide, std::span<const Fact> assumptions, const Budget& budget);
    void relax() { back_to(0); }
    std::uint64_t conflicts() const { return conflicts_; }
    /// Restarts begin again with the guide alone until the first conflicts come.
    void follow_guide_first(bool yes) { guide_first_ = yes; }

private:
    enum class Kind : int { decision, clause, arc, sum, list };
    struct Reason {
        Kind kind = Kind::decision;
        int ref = 0, length = 0;
    };
    struct Entry {
        Side side;
        int value, before, level;
        Reason reason;
    };
    struct Arc {
        Side from, to;
        int gap, number;
    };
    struct Sum {
        int first_term, terms, first_condition, conditions;
        std::int64_t constant;
    };
    struct Watcher {
        int threshold, clause;
        Fact blocker;
    };
    /// One of its facts holds; those at 0 and 1 are watched.
    struct Clause {
        int first, size;  ///< in clause_facts_
        int glue;         ///< levels that met in it; 0: given, not learned
        double heat;
    };

    int level() const { return static_cast<int>(level_begin_.size()); }
    bool set(Fact fact, Reason reason);
    bool propagate();
    bool visit_watchers(const Entry& entry);
    bool visit_arcs(Side side);
    bool propagate_sum(int number);
    void wake(Side side);
    void back_to(int level);
    void open_level();

    Fact* facts(int clause) { return clause_facts_.data() + clauses_[clause].first; }
    void attach(int clause);
    int store(std::span<const Fact> clause, int glue);
    void forget_some();

    void explain(const Entry& entry, int position, int at, std::vector<Fact>& into);
    void explain_sum(const Sum& sum, std::int64_t excess, int skip_term, int skip_condition, int position,
                     std::vector<Fact>& into);
    int bound_at(Side side, int position) const;
    int entry_of(Fact fact) const;
    void add_need(Fact fact);
    bool follows_from_needs(Side side);
    void learn();
    void bump_clause(int clause);
    std::optional<Fact> next_decision(Guide& guide, std::span<const Fact> assumptions, bool& refuted);

    std::vector<int> bound_, lasting_, latest_;
    std::vector<Entry> trail_;
    std::vector<int> level_begin_;
    std::vector<std::size_t> level_reasons_;
    std::size_t seen_ = 0;
    std::vector<Fact> reasons_;  ///< facts of the eager explanations, in trail order

    std::vector<Clause> clauses_;
    std::vector<Fact> clause_facts_;
    std::size_t learned_ = 0;
    std::vector<std::vector<Watcher>> watchers_;
    std::vector<std::vector<Arc>> arcs_;
    std::vector<Arc> arc_list_;
    std::vector<Sum> sums_;
    std::vector<Term> terms_;
    std::vector<Fact> conditions_;
    std::vector<std::vector<int>> sums_of_;
    std::vector<std::unique_ptr<Propagator>> propagators_;
    std::vector<std::vector<int>> propagators_of_;
    std::vector<int> waiting_sums_, waiting_propagators_;
    std::vector<char> sum_waits_, propagator_waits_;

    std::vector<Fact> conflict_;
    std::vector<int> need_at_, need_entry_, need_slot_;  ///< by side; need_entry_ -1: none
    std::vector<Side> needed_, kept_;
    int needs_here_ = 0;  ///< needs that became true at the current level
    std::vector<Fact> scratch_, lesson_;
    std::vector<int> level_seen_;
    int level_stamp_ = 0;

    HotFacts hot_;
    double clause_heat_ = 1;
    std::uint64_t conflicts_ = 0, restarts_ = 0;
    std::size_t learned_limit_ = 4000;
    bool impossible_ = false, guide_first_ = true, forgetting_ = false;
};

}  // namespace handrail::schedule::detail
