#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>

#include "day_oracle.h"
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

// The law: nor is any bound on the wrong side of the best of all plans of a small day, live or not.
TEST(RouteBound, IsNeverBelowTheBestOfAllPlansOfASmallDay) {
    Random random(20310407);
    int possible = 0;
    int planned = 0;
    int reached = 0;
    int sharp = 0;
    int proven = 0;
    const int all = cases(300);
    for (int i = 0; i < all; ++i) {
        const Day day = random_day(random);
        const std::string text = text_of(day);
        const Result<Outing> read = read_outing_text(text, "day.toml", ".");
        ASSERT_TRUE(read) << print(read.errors().front()) << text;
        const Outing& outing = read.value();
        const BestDay best = best_of(day);
        if (!best.any) continue;
        ++possible;
        const Situation situation = situation_of(day, outing);
        const Freedom freedom;
        const Problem problem(outing, outing.windows, situation, freedom);
        const double missing = problem.wanted_value - best.value;
        EXPECT_GE(value_bound(problem).value, best.value - 1e-9) << text;
        EXPECT_LE(finish_bound(problem, missing), best.finish_s) << text;
        RouteBound route(problem);
        route.improve(2500);
        EXPECT_GE(route.value(), best.value - 1e-9) << text;
        EXPECT_LE(route.finish(best.value, 200), best.finish_s) << text;
        if (route.value() < best.value + 1) ++sharp;

        if (i % 4 != 0) continue;
        ++planned;
        const auto result = make_plan(outing, outing.windows, situation, so_many(8000));
        const Timeline* timeline = std::get_if<Timeline>(&result);
        ASSERT_TRUE(timeline) << text;
        EXPECT_GE(*timeline->note.value_bound, timeline->note.value - 1e-9) << text;
        if (timeline->note.value >= best.value) ++reached;
        if (timeline->note.proven) {
            ++proven;
            EXPECT_GE(timeline->note.value, best.value) << text;
            if (timeline->note.value == best.value) {
                EXPECT_LE(since_zero(timeline->finish()).count(), best.finish_s) << text;
            }
        }
    }
    RecordProperty("possible", possible);
    RecordProperty("reached", reached);
    RecordProperty("sharp", sharp);
    RecordProperty("proven", proven);
    EXPECT_GE(possible, all * 3 / 4);
    EXPECT_GE(reached * 100, planned * 95) << reached << " of " << planned;
}

// The same rounds give the same bound, in however many pieces and on however many threads.
TEST(RouteBound, IsTheSameInPiecesAndOnAnyNumberOfThreads) {
    for (std::uint64_t seed = 31; seed <= 33; ++seed) {
        const Outing outing = test::random_outing(seed);
        const Situation situation = initial(outing);
        const Freedom freedom;
        const Problem problem(outing, outing.windows, situation, freedom);
        RouteBound whole(problem);
        whole.improve(900);
        RouteBound pieces(problem);
        for (int i = 0; i < 60; ++i) pieces.improve(15);
        EXPECT_EQ(whole.value(), pieces.value()) << seed;

        Budget budget = so_many(8000);
        const auto one = make_plan(outing, outing.windows, situation, budget);
        budget.threads = 3;
        const auto three = make_plan(outing, outing.windows, situation, budget);
        ASSERT_EQ(one.index(), three.index()) << seed;
        if (const Timeline* timeline = std::get_if<Timeline>(&one)) {
            EXPECT_EQ(to_json(outing, *timeline), to_json(outing, std::get<Timeline>(three))) << seed;
        }
    }
}

}  // namespace
}  // namespace handrail::plan::detail
