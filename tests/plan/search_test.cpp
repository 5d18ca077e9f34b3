#include "plan/search.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <numeric>

#include "outing/outing.h"
#include "plain_text.h"
#include "plan/bound.h"
#include "plan/written.h"
#include "support/random_outing.h"

namespace handrail::plan::detail {
namespace {

/// Four one-step tasks on three worksites in a row, with random values, lengths, people and a limit that rarely lets
/// all of them in. Invented.
std::string tiny_outing(Random& random) {
    std::string text = row_of_three() + sunny_window(1800, 4200) + sunny_window(6000, 9000);
    text += fmt::format("[rules]\nlimit = \"{} min\"\nglove_check_every = \"4 h\"\n", 95 + random.below(50));
    for (int t = 0; t < 4; ++t) {
        text += fmt::format("[[task]]\nid = \"t{}\"\nname = \"Task {}\"\nclass = \"{}\"\nvalue = {}\n", t, t,
                            t == 0 ? "required" : "wanted", 1 + random.below(9));
        text += fmt::format("[[task.step]]\nname = \"Work\"\nat = \"{}\"\nduration = \"{} min\"\n",
                            std::array{"a", "b", "c"}[static_cast<std::size_t>(random.below(3))], 8 + random.below(25));
        if (random.below(3) == 0) text += "who = [\"lead\", \"helper\"]\n";
        if (random.below(3) == 0) text += "during = [\"sunny\"]\n";
    }
    return text;
}

/// The best of all decisions there are: every choice, every binding, every order.
Score best_of_all(const Problem& problem) {
    Decoder decoder(problem);
    const std::size_t tasks = problem.tasks.size();
    Score best;
    best.violation = 1'000'000'000;
    Sequence sequence;
    sequence.order.resize(problem.units.size());
    sequence.gather.assign(tasks, 1);
    for (unsigned in = 0; in < 1u << tasks; ++in)
        for (unsigned lead = 0; lead < 1u << tasks; ++lead) {
            sequence.in.clear();
            sequence.lead.clear();
            for (std::size_t t = 0; t < tasks; ++t) {
                sequence.in.push_back((in >> t) & 1);
                sequence.lead.push_back((lead >> t) & 1);
            }
            std::iota(sequence.order.begin(), sequence.order.end(), 0);
            do {
                const Score score = decoder.decode(sequence);
                if (better(score, best)) best = score;
            } while (std::next_permutation(sequence.order.begin(), sequence.order.end()));
        }
    return best;
}

// The law: on outings small enough to try every decision, the search ends with the best of them, and no bound is on
// the wrong side of it.
TEST(Search, FindsTheBestOfAllDecisionsOnTinyOutings) {
    Random random(20310405);
    int planned = 0;
    for (int i = 0; i < 25; ++i) {
        const std::string text = tiny_outing(random);
        const Result<Outing> read = read_outing_text(text, "tiny.toml", ".");
        ASSERT_TRUE(read) << print(read.errors().front()) << text;
        const Outing& outing = read.value();
        const Situation situation = initial(outing);
        const Freedom freedom;
        const Problem problem(outing, outing.windows, situation, freedom);
        const Score best = best_of_all(problem);
        Budget budget;
        budget.iterations = 4000;
        budget.threads = 1;
        const Found found = search(problem, construct(problem), budget, {}, nullptr);
        EXPECT_EQ(found.score.violation, best.violation) << text;
        EXPECT_DOUBLE_EQ(found.score.missing, best.missing) << text;
        EXPECT_EQ(found.score.soft_finish(), best.soft_finish()) << text;
        if (best.violation > 0 || best.missing >= 1000) continue;
        ++planned;
        EXPECT_LE(value_bound(problem).missing, best.missing + 1e-9) << text;
        EXPECT_LE(finish_bound(problem, best.missing), best.finish) << text;
    }
    EXPECT_GT(planned, 10) << "the generator makes too few outings that can be planned";
}

/// The same, but for the moment nothing was expected.
Score afresh(const Problem& problem, const Sequence& sequence) { return Decoder(problem).decode(sequence); }

// The law: what a decoder was told to expect, and where it may stop looking, never changes a score.
TEST(Decoder, ExpectingASequenceOnlyMakesTheNextOnesFaster) {
    Random random(7);
    int sound = 0;
    int stopped = 0;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        const Outing outing = test::random_outing(seed);
        const Situation situation = initial(outing);
        const Freedom freedom;
        const Problem problem(outing, outing.windows, situation, freedom);
        Found base = construct(problem);
        if (base.sequence.order.size() < 2) continue;
        Decoder decoder(problem);
        decoder.expect(base.sequence);
        for (int i = 0; i < 300; ++i) {
            Sequence trial = base.sequence;
            const auto task = static_cast<std::size_t>(random.below(static_cast<int>(problem.tasks.size())));
            const int n = static_cast<int>(trial.order.size());
            switch (random.below(4)) {
                case 0:
                    if (problem.tasks[task].possible) trial.in[task] ^= 1;
                    break;
                case 1:
                    if (problem.tasks[task].lead_allowed[0] && problem.tasks[task].lead_allowed[1])
                        trial.lead[task] ^= 1;
                    break;
                case 2:
                    trial.gather[task] ^= 1;
                    break;
                default:
                    std::swap(trial.order[static_cast<std::size_t>(random.below(n))],
                              trial.order[static_cast<std::size_t>(random.below(n))]);
                    repair(problem, trial.order);
            }
            const Score expected = afresh(problem, trial);
            const Score score = decoder.decode(trial);
            ASSERT_EQ(score.broken, expected.broken) << seed << " " << i;
            ASSERT_EQ(score.finish, expected.finish) << seed << " " << i;
            ASSERT_EQ(score.idle, expected.idle) << seed << " " << i;
            ASSERT_EQ(score.missing, expected.missing) << seed << " " << i;
            ASSERT_EQ(score.interruptions, expected.interruptions) << seed << " " << i;
            sound += expected.violation == 0;
            const std::int64_t most = random.below(2000);
            const Score cut = decoder.decode(trial, most);
            if (expected.violation <= most) {
                ASSERT_EQ(cut.violation, expected.violation) << seed << " " << i;
                ASSERT_EQ(cut.finish, expected.finish) << seed << " " << i;
            } else {
                ASSERT_GT(cut.violation, most) << seed << " " << i;
                ++stopped;
            }
            if (random.below(5) == 0) {
                base.sequence = trial;
                decoder.expect(trial);
            }
        }
    }
    EXPECT_GT(sound, 100);
    EXPECT_GT(stopped, 100);
}

// The law: a timeline written down and taken over again is no worse, whatever was left out of it: what is left out does
// not pull what is done about.
TEST(TakenFrom, APlanTakenOverIsNoWorseThanItWas) {
    int planned = 0;
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        const Outing outing = test::random_outing(seed);
        const Situation situation = initial(outing);
        const Freedom freedom;
        const Problem problem(outing, outing.windows, situation, freedom);
        Budget budget;
        budget.iterations = 1500;
        budget.threads = 1;
        const Found found = search(problem, construct(problem), budget, {}, nullptr);
        if (found.score.violation > 0) continue;
        ++planned;
        EXPECT_FALSE(better(found.score, taken_from(problem, timeline_of(problem, found)).score)) << seed;
    }
    EXPECT_GT(planned, 15);
}

// Told to stop, neither the search nor the first plan goes on: counted in tries, because a busy machine makes times
// long.
TEST(Stop, NothingMoreIsTriedOnceItIsWanted) {
    test::RandomSize size;
    size.fewest_tasks = size.most_tasks = 300;
    const Outing outing = test::random_outing(1, size);
    const Situation situation = initial(outing);
    const Freedom freedom;
    const Problem problem(outing, outing.windows, situation, freedom);
    const Found first = construct(problem);
    std::atomic<bool> stop{false};
    Budget budget;
    budget.iterations = 1'000'000'000;
    for (const int threads : {1, 3}) {
        stop = false;
        budget.threads = threads;
        std::uint64_t wanted_at = 0;
        const Found found = search(
            problem, first, budget,
            [&](const Found& better_one) {
                wanted_at = better_one.iterations;
                stop = true;
            },
            &stop);
        EXPECT_GT(wanted_at, 0u);
        // The others may have been within a round of 500 of theirs.
        EXPECT_LE(found.iterations, wanted_at + 500u * static_cast<unsigned>(threads - 1));
    }
    const Found required = construct(problem, &stop);
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (required.sequence.in[t]) {
            EXPECT_FALSE(problem.tasks[t].optional) << t;
        }
}

TEST(Repair, PutsPredecessorsFirstAndKeepsTheRest) {
    const Result<Outing> demo = read_outing(HANDRAIL_SOURCE_DIR "/demo/pool/outing.toml");
    ASSERT_TRUE(demo);
    const Situation situation = initial(demo.value());
    const Freedom freedom;
    const Problem problem(demo.value(), demo.value().windows, situation, freedom);
    std::vector<int> order(problem.units.size());
    std::iota(order.begin(), order.end(), 0);
    std::erase_if(order, [&](int u) { return problem.units[static_cast<std::size_t>(u)].steps.empty(); });
    std::reverse(order.begin(), order.end());
    repair(problem, order);
    std::vector<int> place(problem.units.size(), -1);
    for (std::size_t i = 0; i < order.size(); ++i) place[static_cast<std::size_t>(order[i])] = static_cast<int>(i);
    for (int unit : order)
        for (int before : problem.units[static_cast<std::size_t>(unit)].before)
            EXPECT_LT(place[static_cast<std::size_t>(before)], place[static_cast<std::size_t>(unit)]);
}

TEST(AllowedStarts, MayEndExactlyWhenTheWindowDoes) {
    const std::vector<std::vector<Window>> sunny{{Window(pet(Seconds{100}), pet(Seconds{400}))}};
    const auto starts = allowed_starts(sunny, {}, 300);
    ASSERT_EQ(starts.size(), 1u);
    EXPECT_EQ(starts[0].from, 100);
    EXPECT_EQ(starts[0].to, 100);
    EXPECT_TRUE(allowed_starts(sunny, {}, 301).empty());
}

TEST(AllowedStarts, LeaveOutWhatTouchesAForbiddenWindow) {
    const std::vector<std::vector<Window>> sunny{{Window(pet(Seconds{0}), pet(Seconds{1000}))}};
    const std::vector<std::vector<Window>> quiet{{Window(pet(Seconds{400}), pet(Seconds{500}))}};
    const auto starts = allowed_starts(sunny, quiet, 100);
    ASSERT_EQ(starts.size(), 2u);
    EXPECT_EQ(starts[0].to, 300);
    EXPECT_EQ(starts[1].from, 500);
    EXPECT_EQ(starts[1].to, 900);
}

}  // namespace
}  // namespace handrail::plan::detail
