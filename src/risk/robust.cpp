#include "risk/robust.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "plan/demanded.h"
#include "plan/search.h"
#include "risk/setup.h"

namespace handrail::risk {
namespace {

using namespace detail;
using plan::detail::Decoder;
using plan::detail::Score;

/// Enough to tell plans apart that differ by a per cent, with common random numbers.
constexpr std::uint32_t screening_runs = 1024;
constexpr std::uint32_t final_runs = 20'000;
constexpr std::size_t finalists = 4;

double mean_of(const std::vector<double>& values) {
    double sum = 0;
    for (double v : values) sum += v;
    return sum / static_cast<double>(values.size());
}
double error_of(const std::vector<double>& values) {
    const double mean = mean_of(values);
    double squares = 0;
    for (double v : values) squares += (v - mean) * (v - mean);
    return std::sqrt(squares) / static_cast<double>(values.size());
}

Worth summary(const Setup& setup, const Runs& runs, const std::vector<double>& worth) {
    Worth result;
    result.expected = mean_of(worth);
    result.error = error_of(worth);
    const auto n = static_cast<double>(runs.finish.size());
    double required = 0, home = 0;
    for (std::size_t i = 0; i < runs.finish.size(); ++i) {
        required += runs.required[i] / n;
        home += (runs.finish[i] <= setup.ground.limit && runs.reserve_kept[i] ? 1 : 0) / n;
        result.value += runs.value[i] / n;
    }
    result.required = {required, std::sqrt(required * (1 - required) / n)};
    result.home = {home, std::sqrt(home * (1 - home) / n)};
    return result;
}

/// Less than any plan that keeps the rules is worth, whatever its changes cost.
constexpr double broken = -1e18;

struct Candidate {
    Sequence sequence;
    double worth = broken;
};

plan::Freedom freedom_of(const Settled& settled) {
    plan::Freedom freedom;
    freedom.wishes = settled.wishes;
    freedom.keep = settled.keep;
    return freedom;
}

/// The outing in which what the lead wants done is required: simulation then counts it so.
Outing with_demands(Outing outing, const plan::Wishes& wishes) {
    for (const TaskId id : wishes.must_do) outing.tasks[index(id)].task_class = TaskClass::required;
    return outing;
}

class Search {
public:
    Search(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
           const RobustBudget& budget, plan::Freedom freedom)
        : outing_(outing),
          windows_(windows),
          situation_(situation),
          budget_(budget),
          freedom_(std::move(freedom)),
          problem_(outing, windows, situation_, freedom_),
          decoder_(problem_),
          random_(budget.seed) {}

    const Problem& problem() const { return problem_; }

    /// Screening: likely times decide what is left out, but home is started with the wanted confidence. Solving the
    /// gates of every candidate would cost a hundred times as much and seldom changes which of two plans is better.
    /// `broken` for what breaks a rule at planned times; that is not simulated and not counted.
    double look(const Sequence& sequence) {
        ++tried_;
        const Score score = decoder_.decode(sequence);
        if (score.violation > 0) return broken;
        ++looked_;
        Setup setup(outing_, windows_, situation_, sequence, outing_.risk, freedom_);
        Policy policy;
        policy.sure = true;
        const Runs runs = simulate(setup.ground, setup.programs, setup.factors, policy,
                                   {screening_runs, budget_.seed + 0x5c4ee, budget_.threads, 0});
        return mean_of(worth_by_run(setup, runs)) - score.paid;
    }

    std::vector<Candidate> run(const Sequence& start, const std::atomic<bool>* stop) {
        std::vector<Candidate> best{{start, look(start)}};
        Candidate current = best.front();
        for (Sequence& other : other_starts(start)) {
            Candidate candidate{std::move(other)};
            candidate.worth = look(candidate.sequence);
            candidate = filled_up(std::move(candidate));
            remember(best, candidate);
            if (candidate.worth > current.worth) current = std::move(candidate);
        }
        // Late acceptance: a step is taken when it is no worse than where the search stood ten steps ago.
        std::vector<double> history(10, current.worth);
        const int most_tries = 40 * budget_.candidates;
        while (looked_ < budget_.candidates && tried_ < most_tries && !(stop && stop->load())) {
            Candidate next{neighbour(current.sequence)};
            if (same(next.sequence, current.sequence)) {
                ++tried_;
                continue;
            }
            next.worth = look(next.sequence);
            if (next.worth == broken) continue;
            double& then = history[static_cast<std::size_t>(looked_) % history.size()];
            if (next.worth >= current.worth || next.worth >= then) current = next;
            then = current.worth;
            remember(best, next);
        }
        return best;
    }
    int looked() const { return looked_; }

private:
    static bool same(const Sequence& a, const Sequence& b) {
        return a.order == b.order && a.in == b.in && a.lead == b.lead && a.gather == b.gather;
    }

    /// Where else to begin: required tasks first; the planner's best when the outing is shorter; only what is required.
    std::vector<Sequence> other_starts(const Sequence& start) {
        std::vector<Sequence> starts;
        Sequence first = start;
        std::stable_partition(first.order.begin(), first.order.end(), [&](int unit) {
            return !problem_.tasks[static_cast<std::size_t>(problem_.units[static_cast<std::size_t>(unit)].task)]
                        .optional;
        });
        plan::detail::repair(problem_, first.order);
        starts.push_back(std::move(first));
        plan::Budget quick;
        quick.seed = budget_.seed;
        quick.iterations = 2000;
        quick.threads = budget_.threads;
        const auto add = [&](const Outing& outing, const plan::Freedom& freedom) {
            const auto planned = plan::make_plan(outing, windows_, situation_, quick, freedom);
            if (const auto* timeline = std::get_if<Timeline>(&planned))
                starts.push_back(plan::detail::taken_from(problem_, *timeline).sequence);
        };
        const Seconds overhead = outing_.rules.egress + outing_.rules.clean_up + outing_.rules.ingress;
        for (int percent : {90, 80, 70}) {
            Outing shorter = outing_;
            shorter.rules.limit = std::max(overhead + Seconds{60}, outing_.rules.limit * percent / 100);
            add(shorter, freedom_);
        }
        plan::Freedom required_only = freedom_;
        for (const Task& task : outing_.tasks)
            if (problem_.tasks[index(task.id)].optional) required_only.leave_out.push_back(task.id);
        add(outing_, required_only);
        return starts;
    }

    /// Takes in one optional task after another, each at the end of the order, when that is worth something.
    Candidate filled_up(Candidate candidate) {
        if (candidate.worth == broken) return candidate;
        for (std::size_t t = 0; t < problem_.tasks.size(); ++t) {
            const auto& task = problem_.tasks[t];
            if (candidate.sequence.in[t] || !task.optional || !task.possible || looked_ >= budget_.candidates) continue;
            Candidate with = candidate;
            with.sequence.in[t] = 1;
            std::stable_partition(with.sequence.order.begin(), with.sequence.order.end(), [&](int unit) {
                return problem_.units[static_cast<std::size_t>(unit)].task != static_cast<int>(t);
            });
            plan::detail::repair(problem_, with.sequence.order);
            with.worth = look(with.sequence);
            if (with.worth > candidate.worth) candidate = std::move(with);
        }
        return candidate;
    }

    static void remember(std::vector<Candidate>& best, const Candidate& next) {
        if (next.worth == broken) return;
        best.push_back(next);
        // The start stays first whatever it is worth: it is what the others must beat.
        std::stable_sort(best.begin() + 1, best.end(),
                         [](const Candidate& a, const Candidate& b) { return a.worth > b.worth; });
        if (best.size() > finalists) best.resize(finalists);
    }

    /// Moves a whole task, moves one unit, leaves a task out or takes one in, changes who leads or when things
    /// are fetched.
    Sequence neighbour(const Sequence& from) {
        Sequence to = from;
        const auto tasks = static_cast<int>(problem_.tasks.size());
        const int kind = random_.below(10);
        const auto t = static_cast<std::size_t>(random_.below(tasks));
        const auto& task = problem_.tasks[t];
        if (kind < 4 && !to.order.empty()) {
            std::vector<int> moved;
            std::vector<int> rest;
            for (int unit : to.order)
                (std::find(task.units.begin(), task.units.end(), unit) != task.units.end() ? moved : rest)
                    .push_back(unit);
            const auto at = rest.begin() + random_.below(static_cast<int>(rest.size()) + 1);
            rest.insert(at, moved.begin(), moved.end());
            to.order = std::move(rest);
        } else if (kind < 6 && !to.order.empty()) {
            const auto from_at = static_cast<std::size_t>(random_.below(static_cast<int>(to.order.size())));
            const int unit = to.order[from_at];
            to.order.erase(to.order.begin() + static_cast<std::ptrdiff_t>(from_at));
            to.order.insert(to.order.begin() + random_.below(static_cast<int>(to.order.size()) + 1), unit);
        } else if (kind < 8) {
            if (!to.gather.empty()) to.gather[t] ^= 1;
        } else if (kind < 9) {
            if (task.optional && task.possible) to.in[t] ^= 1;
        } else if (task.lead_allowed[0] && task.lead_allowed[1]) {
            to.lead[t] ^= 1;
        }
        plan::detail::repair(problem_, to.order);
        return to;
    }

    const Outing& outing_;
    const WindowTable& windows_;
    plan::Situation situation_;
    RobustBudget budget_;
    plan::Freedom freedom_;
    Problem problem_;
    Decoder decoder_;
    Random random_;
    int looked_ = 0, tried_ = 0;
};

/// The timeline of a sequence, with the planner's own words for what is left out.
Timeline timeline_of(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
                     const Problem& problem, const plan::Freedom& freedom, const Sequence& sequence,
                     std::uint64_t seed) {
    Timeline timeline;
    timeline.outing = outing.name;
    timeline.fingerprint = outing.fingerprint;
    timeline.pet_zero = outing.pet_zero;
    const Score score = Decoder(problem).record(sequence, timeline.activities);
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (sequence.in[t])
            timeline.bindings.push_back(
                {static_cast<TaskId>(t), situation.lead[t] ? *situation.lead[t] : static_cast<Crew>(sequence.lead[t])});
    put_in_order(timeline);
    for (const int unit : sequence.order) {
        const auto& data = problem.units[static_cast<std::size_t>(unit)];
        if (!sequence.in[static_cast<std::size_t>(data.task)]) continue;
        for (const int step : data.steps) timeline.note.order.push_back(static_cast<StepId>(step));
    }
    plan::Freedom keep = freedom;
    keep.keep_order = true;
    keep.start_from = timeline;
    plan::Budget budget;
    budget.seed = seed;
    auto planned = plan::make_plan(outing, windows, situation, budget, keep);
    if (auto* same = std::get_if<Timeline>(&planned); same && same->finish() == pet(Seconds{score.finish}))
        return std::move(*same);
    timeline.note.seed = seed;
    return timeline;
}

struct Judged {
    std::unique_ptr<Setup> setup;
    Runs runs;
    std::vector<double> worth;
};
Judged judge(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
             const plan::Freedom& freedom, const Sequence& sequence, const Options& options) {
    Judged judged;
    judged.setup = std::make_unique<Setup>(outing, windows, situation, sequence, outing.risk, freedom);
    const Gates gates = solve_gates(*judged.setup, options);
    judged.runs = simulate(judged.setup->ground, judged.setup->programs, judged.setup->factors, gates.policy,
                           {options.runs, options.seed, options.threads, 0});
    judged.worth = worth_by_run(*judged.setup, judged.runs);
    return judged;
}

}  // namespace

RobustPlan robust_plan(const Outing& file, const WindowTable& windows, const plan::Situation& situation,
                       const Timeline& start, const RobustBudget& budget, const Settled& settled,
                       const std::atomic<bool>* stop) {
    const Outing outing = with_demands(file, settled.wishes);
    const plan::Freedom freedom = plan::detail::without_alternatives(outing, situation, freedom_of(settled));
    Search search(outing, windows, situation, budget, freedom);
    const std::vector<Candidate> candidates =
        search.run(plan::detail::taken_from(search.problem(), start).sequence, stop);
    // Finalists are judged as their timelines say, read back: that is what will be flown.
    struct Finalist {
        Timeline timeline;
        Sequence sequence;
        Score score;
    };
    std::vector<Finalist> last_few;
    for (const Candidate& candidate : candidates) {
        Finalist finalist;
        finalist.timeline = last_few.empty() ? start
                                             : timeline_of(outing, windows, situation, search.problem(), freedom,
                                                           candidate.sequence, budget.seed);
        const plan::detail::Found read_back = plan::detail::taken_from(search.problem(), finalist.timeline);
        if (!last_few.empty() && read_back.score.violation > 0) continue;
        finalist.sequence = read_back.sequence;
        finalist.score = read_back.score;
        last_few.push_back(std::move(finalist));
    }
    Options options;
    options.runs = final_runs;
    options.threads = budget.threads;
    options.seed = budget.seed + 0xf1a1;
    std::size_t chosen = 0;
    double most = broken;
    for (std::size_t i = 0; i < last_few.size(); ++i) {
        const double worth = mean_of(judge(outing, windows, situation, freedom, last_few[i].sequence, options).worth) -
                             last_few[i].score.paid;
        if (worth > most) {
            most = worth;
            chosen = i;
        }
    }
    // The best of several is partly luck: fresh runs say what it is really worth.
    options.seed = budget.seed + 0xf4e54;
    const Judged first = judge(outing, windows, situation, freedom, last_few.front().sequence, options);
    RobustPlan plan;
    plan.looked_at = search.looked();
    plan.kept_to_the_end = static_cast<int>(last_few.size());
    plan.timeline = start;
    plan.start = plan.best = summary(*first.setup, first.runs, first.worth);
    if (chosen == 0) return plan;  // gates are dear: the same plan is not judged twice
    const Judged best = judge(outing, windows, situation, freedom, last_few[chosen].sequence, options);
    const double paid = last_few[chosen].score.paid - last_few.front().score.paid;
    std::vector<double> gain(first.worth.size());
    for (std::size_t i = 0; i < gain.size(); ++i) gain[i] = best.worth[i] - first.worth[i] - paid;

    if (mean_of(gain) <= 0) return plan;
    plan.best = summary(*best.setup, best.runs, best.worth);
    plan.gain = mean_of(gain);
    plan.gain_error = error_of(gain);
    plan.changes = last_few[chosen].score.changes - last_few.front().score.changes;
    plan.timeline = std::move(last_few[chosen].timeline);
    return plan;
}

Worth worth_of(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
               const Timeline& timeline, const Options& options) {
    const Problem problem(outing, windows, situation, {});
    const Judged judged =
        judge(outing, windows, situation, {}, plan::detail::taken_from(problem, timeline).sequence, options);
    return summary(*judged.setup, judged.runs, judged.worth);
}

}  // namespace handrail::risk
