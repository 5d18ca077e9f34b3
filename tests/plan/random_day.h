#pragma once

#include "plan/search.h"
#include "support/random_outing.h"

namespace handrail::plan::detail {

/// A random outing (invented) from its morning on, as the planner sees it.
struct RandomDay {
    explicit RandomDay(std::uint64_t seed, int tasks = 24)
        : outing(test::random_outing(seed, size(tasks))),
          situation(initial(outing)),
          problem(outing, outing.windows, situation, freedom) {}
    static test::RandomSize size(int tasks) {
        test::RandomSize size;
        size.fewest_tasks = size.most_tasks = tasks;
        return size;
    }
    Found searched(std::uint64_t iterations, std::uint64_t seed = 1, int threads = 1) const {
        Budget budget;
        budget.iterations = iterations;
        budget.seed = seed;
        budget.threads = threads;
        return search(problem, construct(problem), budget, {}, nullptr);
    }
    Outing outing;
    Situation situation;
    Freedom freedom;
    Problem problem;
};

}  // namespace handrail::plan::detail
