#include <gtest/gtest.h>

#include "live/line.h"
#include "live/session.h"
#include "plan/bound.h"
#include "plan/planner.h"
#include "plan/route_bound.h"
#include "plan/search.h"
#include "plan/written.h"
#include "support/random_outing.h"

namespace handrail {
namespace {

using namespace plan::detail;

/// 0: nothing to plan any more, or no plan was found; 1: planned and held against the bounds.
int held_against_bounds(const Outing& outing, const live::Day& day, std::uint64_t seed) {
    const plan::Freedom freedom;
    const Problem problem(outing, day.windows, day.situation, freedom);
    plan::Budget budget;
    budget.iterations = 300;
    budget.threads = 1;
    const Found found = search(problem, construct(problem), budget, {}, nullptr);
    if (found.score.violation > 0) return 0;
    const bool required_done = !misses_required(problem, found.sequence.in);
    const double value = value_of(problem, found.sequence);
    EXPECT_GE(value_bound(problem, required_done).value, value - 1e-9) << seed;
    EXPECT_LE(finish_bound(problem, found.score.missing, required_done), found.score.finish) << seed;
    RouteBound route(problem, required_done);
    route.improve(500);
    EXPECT_GE(route.value(), value - 1e-9) << seed;
    if (required_done) {
        EXPECT_LE(route.finish(value, 60), found.score.finish) << seed;
    }
    return 1;
}

// The law: nor does a bound say in the middle of an outing that what the search finds cannot be. Each outing is lived a
// little late and looked at after every fourth entry.
TEST(LiveBounds, NoPlanFromTheMiddleOfAnOutingIsBetterThanThem) {
    int held = 0;
    for (std::uint64_t seed = 1; seed <= 24; ++seed) {
        test::RandomSize size;
        size.fewest_tasks = size.most_tasks = 4 + static_cast<int>(seed % 20);
        const Outing outing = test::random_outing(seed, size);
        plan::Budget budget;
        budget.iterations = 1000;
        budget.threads = 1;
        const auto planned = plan::make_plan(outing, outing.windows, plan::initial(outing), budget);
        const Timeline* timeline = std::get_if<Timeline>(&planned);
        if (!timeline) continue;
        const live::WindowSource windows = live::windows_for(outing);
        std::vector<live::Recorded> entries;
        const auto add = [&](Pet at, live::Body body) {
            live::Entry entry;
            entry.logged = entry.happened = to_utc(at, timeline->pet_zero);
            entry.author = "test";
            entry.body = std::move(body);
            entries.push_back({live::Position{entries.size() + 1}, std::move(entry), {}});
        };
        add(Pet{}, live::OutingOpened{
                       outing.name, outing.fingerprint, "", timeline->pet_zero, to_json(outing, *timeline), {}});
        add(Pet{}, live::PetZero{});
        Seconds late{0};
        for (const Activity& activity : timeline->activities) {
            if (!activity.step || entries.size() > 24) continue;
            late += Seconds{40};
            add(activity.start + late, live::StepStarted{outing.step(*activity.step).label, std::nullopt});
            if (entries.size() % 4 != 0) continue;
            held +=
                held_against_bounds(outing, live::fold(outing, windows, entries, entries.back().entry.happened), seed);
        }
    }
    EXPECT_GT(held, 40);
}

}  // namespace
}  // namespace handrail
