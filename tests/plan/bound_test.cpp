#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>

#include "plan/bound.h"
#include "plan/planner.h"
#include "plan/route_bound.h"
#include "plan/search.h"
#include "support/random_outing.h"

namespace handrail::plan::detail {
namespace {

/// How many random outings the laws below are held against; HANDRAIL_BOUND_CASES asks for more.
int cases(int usually) {
    const char* asked = std::getenv("HANDRAIL_BOUND_CASES");
    return asked ? std::atoi(asked) : usually;
}

Budget so_many(std::uint64_t iterations) {
    Budget budget;
    budget.iterations = iterations;
    budget.threads = 1;
    return budget;
}

// The law: whatever the search finds, no bound says that it cannot be.
TEST(RouteBound, NoPlanThatKeepsTheRulesIsAboveIt) {
    int planned = 0;
    int sharper = 0;
    const int all = cases(150);
    for (int i = 0; i < all; ++i) {
        test::RandomSize size;
        size.fewest_tasks = size.most_tasks = 5 + (i * 7) % 56;
        const auto seed = static_cast<std::uint64_t>(7000 + i);
        const Outing outing = test::random_outing(seed, size);
        const Situation situation = initial(outing);
        const Freedom freedom;
        const Problem problem(outing, outing.windows, situation, freedom);
        const Found found = search(problem, construct(problem), so_many(600), {}, nullptr);
        if (found.score.violation > 0 || misses_required(problem, found.sequence.in)) continue;
        ++planned;
        const double value = problem.wanted_value - found.score.missing;
        const double knapsacks = value_bound(problem).value;
        EXPECT_GE(knapsacks, value - 1e-9) << seed;
        EXPECT_LE(finish_bound(problem, found.score.missing), found.score.finish) << seed;
        RouteBound route(problem);
        route.improve(1600);
        EXPECT_GE(route.value(), value - 1e-9) << seed;
        EXPECT_LE(route.finish(value, 150), found.score.finish) << seed;
        if (route.value() < knapsacks - 1e-9) ++sharper;
    }
    RecordProperty("planned", planned);
    RecordProperty("sharper", sharper);
    EXPECT_GT(planned, all / 2);
    EXPECT_GT(sharper, planned / 5);
}

}  // namespace
}  // namespace handrail::plan::detail
