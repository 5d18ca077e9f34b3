#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <numeric>
#include <vector>

#include "outing/outing.h"
#include "plain_text.h"
#include "plan/bound.h"
#include "plan/search.h"
#include "support/random_outing.h"

/// The planner against an exact answer: outings so plain that thirty lines that share nothing with the planner can try
/// every choice, every lead and every order, and start each step as soon as it can (which is best here: nothing gets
/// better by waiting).
namespace handrail::plan::detail {
namespace {

struct PlainTask {
    bool required = false, both = false, sunny = false;
    int value = 0, site = 0, minutes = 0;
    int after = -1;  ///< another task, if both are done
};
struct Plain {
    std::vector<PlainTask> tasks;
    int limit_s = 0;
    std::array<std::array<int, 2>, 2> sun{};  ///< two windows of sun, seconds
};

/// Three worksites in a row, 6 m and 12 m apart: 30 s and 60 s at the default speed of 0.2 m/s.
constexpr std::array<std::array<int, 3>, 3> walk_s{{{0, 30, 90}, {30, 0, 60}, {90, 60, 0}}};
constexpr int door_s = 900;  ///< egress, clean-up and ingress: a quarter of an hour each

Plain random_plain(Random& random) {
    Plain plain;
    plain.limit_s = 60 * (95 + random.below(50));
    plain.sun = {{{60 * (25 + random.below(10)), 60 * (55 + random.below(20))},
                  {60 * (85 + random.below(15)), 60 * (125 + random.below(30))}}};
    const int tasks = 4 + random.below(2);
    for (int t = 0; t < tasks; ++t) {
        PlainTask task;
        task.required = t == 0;
        task.value = 1 + random.below(9);
        task.site = random.below(3);
        task.minutes = 8 + random.below(25);
        task.both = random.below(3) == 0;
        // The planner keeps required work clear of the end of its windows; what that is worth is not the question here.
        task.sunny = random.below(3) == 0 && !task.required;
        if (t > 0 && random.below(4) == 0) task.after = random.below(t);
        plain.tasks.push_back(task);
    }
    return plain;
}

std::string text_of(const Plain& plain) {
    std::string text = row_of_three();
    for (const auto& [from, to] : plain.sun) text += sunny_window(from, to);
    text += fmt::format("[rules]\nlimit = \"{} min\"\nmargin = \"0 min\"\nglove_check_every = \"4 h\"\n",
                        plain.limit_s / 60);
    for (std::size_t t = 0; t < plain.tasks.size(); ++t) {
        const PlainTask& task = plain.tasks[t];
        text += fmt::format("[[task]]\nid = \"t{}\"\nname = \"Task {}\"\nclass = \"{}\"\nvalue = {}\n", t, t,
                            task.required ? "required" : "wanted", task.value);
        if (task.after >= 0) text += fmt::format("after = [\"t{}\"]\n", task.after);
        text += fmt::format("[[task.step]]\nname = \"Work\"\neffort = \"light\"\nat = \"{}\"\nduration = \"{} min\"\n",
                            "abc"[task.site], task.minutes);
        if (task.both) text += "who = [\"lead\", \"helper\"]\n";
        if (task.sunny) text += "during = [\"sunny\"]\n";
    }
    return text;
}

struct Best {
    bool any = false;
    int value = 0;
    int finish_s = 0;   ///< the earliest of all plans of that value
    int counted_s = 0;  ///< the least of what the planner counts: finish and the end of the required task
};
struct Ends {
    int finish_s = -1;  ///< -1: breaks a rule
    int required_s = 0;
};

Ends ends_of(const Plain& plain, const std::vector<int>& order, unsigned in, unsigned lead) {
    std::array<int, 2> free{door_s, door_s};
    std::array<int, 2> at{0, 0};
    std::array<int, 8> end{};
    unsigned done = 0;
    for (int t : order) {
        if (!((in >> t) & 1u)) continue;
        const PlainTask& task = plain.tasks[static_cast<std::size_t>(t)];
        const int length = 60 * task.minutes;
        const unsigned crew = task.both ? 3u : 1u << ((lead >> t) & 1u);
        int start = 0;
        for (std::size_t c = 0; c < 2; ++c)
            if ((crew >> c) & 1u)
                start = std::max(
                    start, free[c] + walk_s[static_cast<std::size_t>(at[c])][static_cast<std::size_t>(task.site)]);
        for (int earlier = task.after; earlier >= 0; earlier = -1)
            if ((in >> earlier) & 1u) {
                if (!((done >> earlier) & 1u)) return {};
                start = std::max(start, end[static_cast<std::size_t>(earlier)]);
            }
        if (task.sunny) {
            bool fits = false;
            for (const auto& [from, to] : plain.sun)
                if (!fits && std::max(start, from) + length <= to) {
                    start = std::max(start, from);
                    fits = true;
                }
            if (!fits) return {};
        }
        end[static_cast<std::size_t>(t)] = start + length;
        done |= 1u << t;
        for (std::size_t c = 0; c < 2; ++c)
            if ((crew >> c) & 1u) {
                free[c] = start + length;
                at[c] = task.site;
            }
    }
    int home = 0;
    for (std::size_t c = 0; c < 2; ++c) home = std::max(home, free[c] + walk_s[static_cast<std::size_t>(at[c])][0]);
    const int finish = home + 2 * door_s;
    return {finish <= plain.limit_s ? finish : -1, end[0]};
}

/// The most value, then the least of each kind of end, of all there is.
Best best_of(const Plain& plain) {
    Best best;
    const std::size_t n = plain.tasks.size();
    for (unsigned in = 0; in < 1u << n; ++in) {
        int value = 0;
        bool required = true;
        for (std::size_t t = 0; t < n; ++t) {
            const bool there = (in >> t) & 1u;
            if (plain.tasks[t].required && !there) required = false;
            if (there && !plain.tasks[t].required) value += plain.tasks[t].value;
        }
        if (!required || (best.any && value < best.value)) continue;
        for (unsigned lead = 0; lead < 1u << n; ++lead) {
            if (lead & ~in) continue;  // who leads what is not done does not matter
            std::vector<int> order(n);
            std::iota(order.begin(), order.end(), 0);
            do {
                const Ends ends = ends_of(plain, order, in, lead);
                if (ends.finish_s < 0) continue;
                const int counted_s = ends.finish_s + ends.required_s;
                if (!best.any || value > best.value) best = {true, value, ends.finish_s, counted_s};
                best.finish_s = std::min(best.finish_s, ends.finish_s);
                best.counted_s = std::min(best.counted_s, counted_s);
            } while (std::next_permutation(order.begin(), order.end()));
        }
    }
    return best;
}

TEST(Exact, TwoHundredPlainOutingsAreSolvedToTheOptimumAndNoBoundIsOnTheWrongSide) {
    Random random(20310406);
    int possible = 0;
    int optimal = 0;
    int proven = 0;
    for (int i = 0; i < 220; ++i) {
        const Plain plain = random_plain(random);
        const std::string text = text_of(plain);
        const Result<Outing> read = read_outing_text(text, "plain.toml", ".");
        ASSERT_TRUE(read) << print(read.errors().front()) << text;
        const Best best = best_of(plain);
        Budget budget;
        budget.iterations = 4000;
        budget.threads = 1;
        const auto result = make_plan(read.value(), read.value().windows, initial(read.value()), budget);
        if (!best.any) {
            EXPECT_TRUE(std::holds_alternative<NoPlan>(result)) << text;
            continue;
        }
        ++possible;
        const Timeline* timeline = std::get_if<Timeline>(&result);
        if (!timeline) continue;
        const auto finish_s = since_zero(timeline->finish()).count();
        EXPECT_LE(timeline->note.value, best.value) << text;
        if (timeline->note.value == best.value) {
            EXPECT_GE(finish_s, best.finish_s) << text;
            const auto required = std::find_if(timeline->activities.begin(), timeline->activities.end(),
                                               [&](const Activity& a) { return a.step && index(*a.step) == 0; });
            ASSERT_NE(required, timeline->activities.end()) << text;
            const auto counted_s = finish_s + since_zero(required->end()).count();
            EXPECT_GE(counted_s, best.counted_s) << text;
            if (counted_s == best.counted_s) ++optimal;
        }
        if (timeline->note.proven) {
            ++proven;
            EXPECT_EQ(timeline->note.value, best.value) << text;
            EXPECT_EQ(finish_s, best.finish_s) << text;
        }
        const Situation situation = initial(read.value());
        const Freedom freedom;
        const Problem problem(read.value(), read.value().windows, situation, freedom);
        EXPECT_GE(value_bound(problem).value, best.value - 1e-9) << text;
        EXPECT_LE(finish_bound(problem, problem.wanted_value - best.value), best.finish_s) << text;
    }
    RecordProperty("possible", possible);
    RecordProperty("optimal", optimal);
    RecordProperty("proven", proven);
    EXPECT_GE(possible, 200);
    EXPECT_GE(optimal * 100, possible * 95) << optimal << " of " << possible;
}

// The law: a plan that keeps every rule is never better than the bounds, whatever is in the outing.
TEST(Bounds, NoPlanOfARandomOutingIsBetterThanThem) {
    int planned = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const Outing outing = test::random_outing(seed);
        Budget budget;
        budget.iterations = 400;
        budget.threads = 1;
        const auto result = make_plan(outing, outing.windows, initial(outing), budget);
        const Timeline* timeline = std::get_if<Timeline>(&result);
        if (!timeline) continue;
        ++planned;
        EXPECT_GE(*timeline->note.value_bound, timeline->note.value - 1e-9) << seed;
        EXPECT_LE(*timeline->note.finish_bound, timeline->finish()) << seed;
    }
    EXPECT_GT(planned, 30);
}

}  // namespace
}  // namespace handrail::plan::detail
