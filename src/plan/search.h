#pragma once

#include <atomic>
#include <functional>

#include "plan/decoder.h"
#include "units/random.h"

/// Local search over task choice, leads and order; how it thinks is told in docs/how-the-planner-thinks.md.
namespace handrail::plan::detail {

struct Found {
    Sequence sequence;
    Score score;
    std::uint64_t iterations = 0;
};

/// A first plan: required tasks in the order their windows and orders ask, then optional ones by value for time, each
/// with the lead that ends sooner, each kept only if nothing breaks. Once `stop` is true no optional one is tried.
Found construct(const Problem& problem, const std::atomic<bool>* stop = nullptr);
/// The order, leads and choice of an existing timeline, as far as they still apply. Where its things are fetched is not
/// written in a timeline: each task's is settled so that the same order ends best.
Found taken_from(const Problem& problem, const Timeline& timeline);
/// Improves `start` (chains from different seeds and their children: population.h). `progress` is called on the
/// caller's thread. Deterministic for a seed and an iteration budget, whatever the number of threads.
Found search(const Problem& problem, const Found& start, const Budget& budget,
             const std::function<void(const Found&)>& progress, const std::atomic<bool>* stop);
/// Puts predecessors first, disturbing the order as little as possible.
void repair(const Problem& problem, std::vector<int>& order);
/// Takes the units of tasks that are not in out of the order: repair() would let them pull others about.
void keep_done(const Problem& problem, Sequence& sequence);

}  // namespace handrail::plan::detail
