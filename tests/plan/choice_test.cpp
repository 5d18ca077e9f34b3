#include "plan/choice.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "plan/chain.h"
#include "random_day.h"

namespace handrail::plan::detail {
namespace {

bool among(const std::vector<int>& list, std::size_t task) {
    return std::find(list.begin(), list.end(), static_cast<int>(task)) != list.end();
}

/// Crew seconds of the tasks that are in.
double work_of(const Problem& problem, const std::vector<std::uint8_t>& in) {
    double sum = 0;
    for (const StepData& step : problem.steps)
        if (in[static_cast<std::size_t>(step.task)])
            sum += step.duration[0] * ((step.roles & 1) + ((step.roles >> 1) & 1));
    return sum;
}

std::string fault_of(const Problem& problem, const std::vector<std::uint8_t>& from,
                     const std::vector<std::uint8_t>& to) {
    for (std::size_t t = 0; t < to.size(); ++t) {
        const TaskData& task = problem.tasks[t];
        if (to[t] != from[t] && (!task.possible || task.started)) return "changes what cannot be changed";
        if (problem.owed(static_cast<int>(t), to) && !problem.owed(static_cast<int>(t), from))
            return "leaves out a required task";
        if (!to[t]) continue;
        for (std::size_t o = 0; o < to.size(); ++o) {
            if (to[o] && among(task.not_with, o)) return "two that exclude each other";
            if (!to[o] && among(task.needs, o) && !problem.tasks[o].started && to[t] != from[t])
                return "without what it needs";
        }
    }
    return {};
}

TEST(Choice, KeepsWhatTasksNeedAndExcludeAndTheRoom) {
    Random random(3);
    int drawn = 0, larger = 0, refused = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const RandomDay day(seed);
        const Terrain terrain(day.problem);
        const std::vector<std::uint8_t> in = construct(day.problem).sequence.in;
        std::vector<int> done, left_out;
        for (int t : terrain.tasks) (in[static_cast<std::size_t>(t)] ? done : left_out).push_back(t);
        Choice choice(day.problem, terrain);
        for (int i = 0; i < 500; ++i) {
            const double room_s = random.below(2000);
            if (!choice.draw(in, done, left_out, room_s, random)) {
                ++refused;
                continue;
            }
            ++drawn;
            ASSERT_EQ(fault_of(day.problem, in, choice.in()), "") << "seed " << seed;
            ASSERT_NE(choice.in(), in);
            const auto tasks =
                std::accumulate(choice.in().begin(), choice.in().end(), 0) - std::accumulate(in.begin(), in.end(), 0);
            larger += tasks > 0;
            if (tasks >= 0) {
                ASSERT_LE(work_of(day.problem, choice.in()) - work_of(day.problem, in), room_s);
            }
        }
    }
    EXPECT_GT(drawn, 2000);
    EXPECT_GT(larger, 200);
    EXPECT_GT(refused, 200);
}

TEST(Choice, WithNothingLeftOutThereIsNone) {
    const RandomDay day(1);
    const Terrain terrain(day.problem);
    Choice choice(day.problem, terrain);
    Random random(1);
    const std::vector<std::uint8_t> all(day.problem.tasks.size(), 1);
    EXPECT_FALSE(choice.draw(all, terrain.tasks, {}, 1e9, random));
}

TEST(Chain, InPiecesIsTheSameAndNeverWorseThanWhatItBeganWith) {
    const std::atomic<bool> stop{false};
    int better_ones = 0;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        const RandomDay day(seed);
        const Terrain terrain(day.problem);
        const Found first = construct(day.problem);
        Chain whole(day.problem, terrain), pieces(day.problem, terrain);
        whole.begin(first, seed, false);
        pieces.begin(first, seed, false);
        whole.run(3000, stop);
        for (int i = 0; i < 6; ++i) pieces.run(500, stop);
        EXPECT_EQ(whole.best().sequence.order, pieces.best().sequence.order) << seed;
        EXPECT_EQ(whole.best().sequence.in, pieces.best().sequence.in) << seed;
        EXPECT_FALSE(better(first.score, whole.best().score)) << seed;
        better_ones += better(whole.best().score, first.score);
        // What it says of its best is what the best is.
        const Score again = Decoder(day.problem).decode(whole.best().sequence);
        EXPECT_EQ(again.violation, whole.best().score.violation) << seed;
        EXPECT_EQ(again.missing, whole.best().score.missing) << seed;
        EXPECT_EQ(again.finish, whole.best().score.finish) << seed;
    }
    EXPECT_GT(better_ones, 6);
}

// An order that seems sound is left as it is, so what comes out is looked at, whichever way it took.
TEST(Repair, LeavesPredecessorsFirstAndSpansInOnePiece) {
    Random random(5);
    int changed = 0, kept = 0, spans = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const RandomDay day(seed, 12);
        const Problem& problem = day.problem;
        std::vector<int> order = construct(problem).sequence.order;
        for (int i = 0; i < 100 && order.size() > 1; ++i) {
            const auto n = static_cast<int>(order.size());
            std::vector<int> tried = order;
            std::swap(tried[static_cast<std::size_t>(random.below(n))],
                      tried[static_cast<std::size_t>(random.below(n))]);
            std::vector<int> mended = tried;
            repair(problem, mended);
            (mended == tried ? kept : changed) += 1;
            ASSERT_TRUE(std::is_permutation(mended.begin(), mended.end(), tried.begin(), tried.end()));
            std::vector<int> place(problem.units.size(), -1);
            for (int at = 0; at < n; ++at) place[static_cast<std::size_t>(mended[static_cast<std::size_t>(at)])] = at;
            for (int unit : mended)
                for (int before : problem.units[static_cast<std::size_t>(unit)].before)
                    ASSERT_LT(place[static_cast<std::size_t>(before)], place[static_cast<std::size_t>(unit)]);
            for (const std::vector<int>& span : problem.spans) {
                int first = n, last = -1, count = 0;
                for (int unit : span) {
                    const int at = place[static_cast<std::size_t>(unit)];
                    if (at < 0) continue;
                    first = std::min(first, at);
                    last = std::max(last, at);
                    ++count;
                }
                if (count == 0) continue;
                ASSERT_EQ(last - first + 1, count) << "seed " << seed;
                spans += count > 1;
            }
            std::vector<int> again = mended;
            repair(problem, again);
            ASSERT_EQ(again, mended) << "seed " << seed;
            order = mended;
        }
    }
    EXPECT_GT(changed, 200);
    EXPECT_GT(kept, 200);
    EXPECT_GT(spans, 200);
}

}  // namespace
}  // namespace handrail::plan::detail
