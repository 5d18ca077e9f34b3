#include "plan/population.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "plan/chain.h"
#include "plan/crossing.h"
#include "random_day.h"

namespace handrail::plan::detail {
namespace {

/// Empty when a sequence is one that may be decoded: whole tasks, allowed together, predecessors first.
std::string fault_of(const Problem& problem, const Sequence& sequence) {
    std::vector<int> place(problem.units.size(), -1);
    for (std::size_t i = 0; i < sequence.order.size(); ++i) {
        int& at = place[static_cast<std::size_t>(sequence.order[i])];
        if (at >= 0) return "a unit twice";
        at = static_cast<int>(i);
    }
    for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
        const TaskData& task = problem.tasks[t];
        for (const int unit : task.units) {
            const int at = place[static_cast<std::size_t>(unit)];
            if ((at >= 0) != (sequence.in[t] != 0))
                return "a task of which not all units are in the order, or too many";
            if (at < 0) continue;
            for (const int before : problem.units[static_cast<std::size_t>(unit)].before)
                if (place[static_cast<std::size_t>(before)] > at) return "a unit before its predecessor";
        }
        if (!sequence.in[t]) continue;
        if (!task.lead_allowed[sequence.lead[t]]) return "a lead that is not allowed";
        for (const int other : task.not_with)
            if (sequence.in[static_cast<std::size_t>(other)]) return "tasks that exclude each other";
        for (const int other : task.needs)
            if (task.optional && !sequence.in[static_cast<std::size_t>(other)]) return "a task without what it needs";
    }
    return {};
}

TEST(Crossed, AChildIsAWholePlanOfWhatItsParentsDo) {
    Random random(3);
    int children = 0;
    const auto any_is_as_good = [](const Score&) { return 0.0; };
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const RandomDay day(seed);
        Found one = day.searched(2000, 1);
        Found other = day.searched(2000, 2);
        keep_done(day.problem, one.sequence);
        keep_done(day.problem, other.sequence);
        ASSERT_EQ(fault_of(day.problem, one.sequence), "") << seed;
        Decoder decoder(day.problem);
        for (int i = 0; i < 20; ++i) {
            const Found child = crossed(day.problem, decoder, one, other, any_is_as_good, random);
            EXPECT_EQ(fault_of(day.problem, child.sequence), "") << seed;
            for (std::size_t t = 0; t < day.problem.tasks.size(); ++t) {
                EXPECT_LE(child.sequence.in[t], one.sequence.in[t] | other.sequence.in[t]) << seed << " " << t;
                const bool both = one.sequence.in[t] && other.sequence.in[t];
                if (both && !day.problem.tasks[t].optional) {
                    EXPECT_TRUE(child.sequence.in[t]) << seed << " " << t;
                }
            }
            EXPECT_EQ(Decoder(day.problem).decode(child.sequence).violation, child.score.violation) << seed;
            children += child.sequence.order != one.sequence.order && child.sequence.order != other.sequence.order;
        }
    }
    EXPECT_GT(children, 100);
}

TEST(Crossed, TasksThatExcludeEachOtherAreNotBothTaken) {
    Random random(4);
    int pairs = 0;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const RandomDay day(seed);
        const Found start = day.searched(0);
        Decoder decoder(day.problem);
        for (std::size_t a = 0; a < day.problem.tasks.size(); ++a)
            for (const int excluded : day.problem.tasks[a].not_with) {
                const auto b = static_cast<std::size_t>(excluded);
                Found one = start;
                Found other = start;
                one.sequence.in[a] = other.sequence.in[b] = 1;
                one.sequence.in[b] = other.sequence.in[a] = 0;
                for (Found* each : {&one, &other}) {
                    keep_done(day.problem, each->sequence);
                    each->score = decoder.decode(each->sequence);
                }
                for (int i = 0; i < 20; ++i) {
                    const Found child = crossed(
                        day.problem, decoder, one, other, [](const Score&) { return 0.0; }, random);
                    EXPECT_FALSE(child.sequence.in[a] && child.sequence.in[b]) << seed;
                }
                ++pairs;
            }
    }
    EXPECT_GT(pairs, 10);
}

// Founders, growing and children: each kind has had its turn by then.
TEST(Search, FindsTheSameOnAnyNumberOfThreads) {
    for (const int tasks : {20, 70}) {
        const RandomDay day(tasks == 20 ? 1 : 2, tasks);
        const Found one = day.searched(40'000, 5, 1);
        for (const int threads : {2, 4}) {
            const Found same = day.searched(40'000, 5, threads);
            EXPECT_EQ(same.sequence.order, one.sequence.order) << tasks << " tasks, " << threads << " threads";
            EXPECT_EQ(same.sequence.lead, one.sequence.lead);
            EXPECT_EQ(same.score.finish, one.score.finish);
            EXPECT_EQ(same.iterations, 40'000u);
        }
    }
}

Found plan_worth(double missing, Time finish) {
    Found found;
    found.score.missing = missing;
    found.score.finish = finish;
    return found;
}

TEST(Population, ABetterChildReplacesTheWorseParentAndATwinIsNotKept) {
    Population population(1);
    const auto founders = population.next(4, 1'000'000);
    ASSERT_EQ(founders.size(), 4u);
    for (const auto& birth : founders) EXPECT_EQ(birth.kind, Population::Birth::Kind::founder);
    population.take(founders, {plan_worth(40, 1), plan_worth(30, 2), plan_worth(20, 3), plan_worth(10, 4)});
    const Population::Birth child{Population::Birth::Kind::child, 0, 2, 100, 1};
    population.take({child}, {plan_worth(50, 9)});  // worse than both
    EXPECT_EQ(population.members()[0].score.missing, 40);
    population.take({child}, {plan_worth(10, 4)});  // a twin of the last
    EXPECT_EQ(population.members()[0].score.missing, 40);
    population.take({child}, {plan_worth(15, 9)});
    EXPECT_EQ(population.members()[0].score.missing, 15);
    EXPECT_EQ(population.members()[2].score.missing, 20);
    const Population::Birth grown{Population::Birth::Kind::grown, 1, -1, 100, 1};
    population.take({grown}, {plan_worth(29, 2)});
    EXPECT_EQ(population.members()[1].score.missing, 29);
    EXPECT_EQ(population.members().size(), 4u);
}

TEST(Population, OneMoreGrowsUpWhenNothingHasBeenBetterForLong) {
    Population population(1);
    population.take(population.next(4, 1'000'000),
                    {plan_worth(40, 1), plan_worth(30, 2), plan_worth(20, 3), plan_worth(10, 4)});
    std::size_t births = 0;
    for (; population.members().size() == 4; ++births) {
        ASSERT_LT(births, 1000u);
        population.take(population.next(1, 1'000'000), {plan_worth(99, 9)});
    }
    EXPECT_GT(births, 20u);
}

// As long as more value is found, choices are tried; when none has been for long, most births walk and some begin anew.
TEST(Population, WalksWhenOtherChoicesAreFutile) {
    Population population(1);
    population.take(population.next(4, 1'000'000),
                    {plan_worth(40, 1), plan_worth(30, 2), plan_worth(20, 3), plan_worth(10, 4)});
    const auto walking = [&population](double missing) {
        int walks = 0;
        for (int i = 0; i < 40; ++i) {
            const auto next = population.next(1, 1'000'000);
            walks += next.front().walks;
            population.take(next, {plan_worth(missing > 0 ? missing - i : 99, 9)});
        }
        return walks;
    };
    EXPECT_EQ(walking(9), 0);  // each brings one more
    walking(0);
    int founders = 0;
    for (int i = 0; i < 400; ++i) {
        const auto next = population.next(1, 1'000'000);
        founders += next.front().kind == Population::Birth::Kind::founder;
        population.take(next, {plan_worth(99, 9)});
    }
    EXPECT_GT(walking(0), 20);
    EXPECT_GT(founders, 20);
    // A late founder that is better takes the place of the last.
    for (int i = 0; i < 100; ++i) {
        auto next = population.next(1, 1'000'000);
        if (next.front().kind != Population::Birth::Kind::founder) {
            population.take(next, {plan_worth(99, 9)});
            continue;
        }
        population.take(next, {plan_worth(-100, 7)});
        break;
    }
    EXPECT_TRUE(std::any_of(population.members().begin(), population.members().end(),
                            [](const Found& member) { return member.score.missing == -100; }));
}

TEST(Population, SpendsNoMoreIterationsThanItIsGiven) {
    Population population(1);
    std::uint64_t sum = 0;
    for (const auto& birth : population.next(4, 9'000)) sum += birth.length;
    EXPECT_EQ(sum, 9'000u);
}

// Where a trial goes on like what was expected, decoding may end by a guess: what it does not give up is exact, and it
// gives up little that it should not.
TEST(Decoder, GuessesSeldomLoseATrialAndNeverChangeOne) {
    Random random(11);
    int wanted = 0, lost = 0, given_up = 0;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        const RandomDay day(seed);
        const Found base = day.searched(300);
        Decoder decoder(day.problem);
        decoder.expect_decoded(base.sequence, true);
        const int n = static_cast<int>(base.sequence.order.size());
        if (n < 4) continue;
        for (int i = 0; i < 300; ++i) {
            Sequence trial = base.sequence;
            std::swap(trial.order[static_cast<std::size_t>(random.below(n))],
                      trial.order[static_cast<std::size_t>(random.below(n))]);
            repair(day.problem, trial.order);
            const Score exact = Decoder(day.problem).decode(trial);
            const double cost = exact.finish + 60.0 * static_cast<double>(exact.violation);
            const Decoder::Most most{base.score.violation + random.below(900), 1.0 * base.score.finish + 600, 60};
            const Score score = decoder.decode(trial, most);
            if (score.violation <= most.violation) {
                ASSERT_EQ(score.broken, exact.broken) << seed << " " << i;
                ASSERT_EQ(score.finish, exact.finish) << seed << " " << i;
            } else {
                ++given_up;
            }
            const bool cheap = exact.violation <= most.violation && cost + 2.0 * exact.shortfall <= most.cost;
            wanted += cheap;
            lost += cheap && score.violation > most.violation;
        }
    }
    EXPECT_GT(wanted, 300);
    EXPECT_GT(given_up, 300);
    EXPECT_LT(20 * lost, wanted);
}

}  // namespace
}  // namespace handrail::plan::detail
