#pragma once

#include <atomic>
#include <map>

#include "plan/explain.h"
#include "plan/search.h"

/// The search for what would let a left-out task in.
namespace handrail::plan::detail {

/// One search of a what-if.
Found search_from(const Problem& problem, const Found& start, const ExplainBudget& budget,
                  const std::atomic<bool>* stop);
/// Nothing is broken and every task that is owed is there.
bool complete(const Problem& problem, const Found& found);
/// "5 min", rounded up.
std::string minutes(Seconds by);

/// What is said was done: a plan with the change was found, then the change was halved as long as one was found still.
/// Thread-safe; the arguments must outlive it.
class Remedies {
public:
    Remedies(const Outing& outing, const WindowTable& windows, const Situation& situation, const Timeline& timeline,
             const ExplainBudget& budget, const std::atomic<bool>* stop);

    bool present(TaskId task) const;
    /// Fills in `with` and the remedies, in no order.
    void look_at(Missing& missing) const;

private:
    /// Everything in the plan, `missing` and what it needs must be done; everything else is out, `without` too.
    Freedom exactly(const Missing& missing, std::optional<TaskId> without) const;
    std::optional<Found> fits(const Outing& outing, const WindowTable& windows, const Missing& missing,
                              std::optional<TaskId> without = {}, const Found* start = nullptr) const {
        return fits_from(situation_, outing, windows, missing, without, start);
    }
    std::optional<Found> fits_from(const Situation& situation, const Outing& outing, const WindowTable& windows,
                                   const Missing& missing, std::optional<TaskId> without = {},
                                   const Found* start = nullptr) const;
    bool stopped() const { return stop_ && stop_->load(); }
    std::string name(TaskId task) const;
    std::string name(const Missing& missing) const;

    void try_person(Missing& missing) const;
    void try_items(Missing& missing) const;
    void try_limit(Missing& missing) const;
    void try_windows(Missing& missing) const;
    void try_suits(Missing& missing) const;
    void try_limit_and_suits(Missing& missing) const;
    void try_latest(Missing& missing) const;
    void try_work(Missing& missing) const;
    void try_drops(Missing& missing) const;
    bool may_go(TaskId out, const Missing& coming) const;
    /// The least later hard end, from `found` (under a much later one) on; nothing when none is needed.
    Seconds least_limit(const Outing& outing, const Missing& missing, Found& found) const;
    /// The least longer-lasting suits, from `found` (under full ones) on; nothing when it was not to be found.
    std::optional<Seconds> least_suits(const Outing& outing, const Missing& missing, const Found& found) const;

    const Outing outing_;  ///< all tasks of one class
    const WindowTable& windows_;
    const Situation& situation_;
    const Timeline& timeline_;
    const ExplainBudget budget_;
    const std::atomic<bool>* stop_;
    std::vector<TaskId> present_;
    std::vector<bool> required_;
};

}  // namespace handrail::plan::detail
