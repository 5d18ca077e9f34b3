#include <algorithm>
#include <cmath>
#include <thread>

#include "risk/setup.h"

/// When to stop hoping: decision times, solved backwards.
namespace handrail::risk::detail {
namespace {

/// Runs for narrowing a gate down and for settling it: a standard error of 0.5 and 0.24 % at 95 %. Most questions are
/// far from doubtful and answered by the first few; a look at fewer runs counts when it is so many standard errors away
/// from the other answer, which is wrong once in some three million looks.
constexpr std::uint32_t rough_runs = 2048;
constexpr std::uint32_t fine_runs = 8192;
constexpr std::uint32_t first_look = 512, look_growth = 4;
/// Where beginning and leaving out are worth nearly the same it matters little which is taken: no finer than this.
constexpr std::uint32_t first_worth = 256, worth_runs = 2048;
constexpr double beyond_doubt = 5;
/// A gate is a time on a wall: nobody reads seconds.
constexpr float resolution = 60;
/// Steps in which a gate's range is first looked through.
constexpr int scan = 10;

/// What the runs of one way from a decision have shown so far.
struct Sample {
    std::uint32_t runs = 0;
    double home = 0, required = 0;  ///< in how many of them
    std::vector<double> worth;      ///< of each
};

/// Being late at this decision is evidence of a slow day: the work done so far took `shift` longer than planned.
Factors given_lateness(const Setup& setup, const Decision& decision, float shift) {
    if (decision.work_mean <= 0 || decision.work_planned + shift <= 0) return setup.factors;
    std::array<double, 3> weights{1, 0, 0};
    weights[1 + static_cast<std::size_t>(decision.previous_crew)] = 1;
    // The sum of the work is the factors times a sum of independent times: on the logarithm, a measurement of the
    // factors with the sum's relative variance.
    const double relative = decision.work_variance / (static_cast<double>(decision.work_mean) * decision.work_mean);
    const double noise = std::log1p(relative);
    const double seen = std::log((decision.work_planned + shift) / decision.work_mean) + noise / 2;
    return given(setup.factors, weights, seen, noise);
}

class Solver {
public:
    Solver(Setup& setup, const Options& options) : setup_(setup), options_(options) {
        gates_.policy.sure = true;
        gates_.policy.gate.assign(setup.problem.tasks.size(), never);
    }

    Gates run() {
        const Program& whole = setup_.programs.whole();
        for (std::size_t d = whole.decisions.size(); d-- > 0;)
            if (whole.decisions[d].first) solve(static_cast<int>(d));
        std::reverse(gates_.table.begin(), gates_.table.end());
        return std::move(gates_);
    }

private:
    /// One decision and the plans it is judged by.
    struct Question {
        const Decision* decision = nullptr;
        int number = 0;
        Kept whole, then_home, without;  ///< all of the plan; this task and then home; the plan less this task
        bool comparable = false;         ///< leaving the task out changes nothing before the decision
    };

    /// Adds runs until there are `runs`. A run keeps its number and so its luck, whichever way it goes.
    void extend(Sample& sample, const Decision& decision, From from, const Kept& kept, std::uint32_t runs) {
        Batch batch;
        batch.first_run = sample.runs;
        batch.runs = runs - sample.runs;
        batch.seed = options_.seed + 0x6a7e;  // not the runs that will judge the gates
        batch.threads = options_.threads;
        const Runs result = simulate(setup_.ground, setup_.programs, given_lateness(setup_, decision, from.shift),
                                     gates_.policy, batch, from, kept);
        for (std::size_t i = 0; i < result.finish.size(); ++i) {
            sample.home += result.finish[i] <= setup_.ground.limit && result.reserve_kept[i] ? 1 : 0;
            sample.required += result.required[i];
        }
        const std::vector<double> worth = worth_by_run(setup_, result);
        sample.worth.insert(sample.worth.end(), worth.begin(), worth.end());
        sample.runs = runs;
    }

    /// Both ways of one decision, at the same time where there is a second core.
    void extend_both(Sample& with, From begin, Sample& left, From leave, const Question& q, std::uint32_t runs) {
        if (options_.threads == 1) {
            extend(with, *q.decision, begin, q.whole, runs);
            extend(left, *q.decision, leave, q.without, runs);
            return;
        }
        const std::jthread other([&] { extend(left, *q.decision, leave, q.without, runs); });
        extend(with, *q.decision, begin, q.whole, runs);
    }

    /// Whether home in time is as likely as wanted, from as many runs as that takes, `most` at most.
    bool home_is_likely(Sample& sample, const Decision& decision, From from, const Kept& kept, std::uint32_t most) {
        const double wanted = setup_.ground.confidence;
        for (std::uint32_t runs = std::min(first_look, most);; runs = std::min(runs * look_growth, most)) {
            extend(sample, decision, from, kept, runs);
            const double share = sample.home / runs, deviation = std::sqrt(wanted * (1 - wanted) / runs);
            if (runs == most || std::abs(share - wanted) > beyond_doubt * deviation) return share >= wanted;
        }
    }

    /// Whether `one` is worth less than `other`, judged run by run, because both met the same luck.
    static bool is_worth_less(const Sample& one, const Sample& other, bool& doubtful) {
        double sum = 0, squares = 0;
        for (std::size_t i = 0; i < one.worth.size(); ++i) {
            const double less = other.worth[i] - one.worth[i];
            sum += less;
            squares += less * less;
        }
        const auto n = static_cast<double>(one.worth.size());
        const double mean = sum / n, deviation = std::sqrt(std::max(0.0, squares / n - mean * mean) / n);
        doubtful = std::abs(mean) <= beyond_doubt * deviation;
        return mean > 0;
    }

    Question question(int d) {
        const Program& whole = setup_.programs.whole();
        Question q;
        q.decision = &whole.decisions[static_cast<std::size_t>(d)];
        q.number = d;
        q.whole = q.then_home = q.without = whole.kept;
        const auto task = static_cast<std::size_t>(q.decision->task);
        q.without[task] = 0;
        q.comparable = same_until(whole, setup_.programs.at(q.without), q.decision->node);
        // Everything that has not been begun by then is left out.
        std::vector<std::uint8_t> begun(q.whole.size(), 0);
        begun[task] = 1;
        for (int at = 0; at < q.decision->node; ++at) {
            const Node& node = whole.nodes[static_cast<std::size_t>(at)];
            for (int p = node.parts.first; p < node.parts.last; ++p)
                begun[static_cast<std::size_t>(whole.parts[static_cast<std::size_t>(p)].task)] = 1;
        }
        for (std::size_t t = 0; t < begun.size(); ++t)
            if (!begun[t]) q.then_home[t] = 0;
        const Program& then_home = setup_.programs.at(q.then_home);
        const bool same = same_until(whole, then_home, q.decision->node) &&
                          static_cast<std::size_t>(d) < then_home.decisions.size() &&
                          then_home.decisions[static_cast<std::size_t>(d)].task == q.decision->task;
        if (!same) q.then_home = q.whole;
        return q;
    }

    struct Verdict {
        bool begin = false;
        Gate::Because because = Gate::Because::home;
    };
    Verdict judge(const Question& q, float at, std::uint32_t most) {
        const From begin{q.number, at - q.decision->planned, true};
        const From leave{q.number, at - q.decision->planned, false};
        Sample home;
        if (!home_is_likely(home, *q.decision, begin, q.then_home, most)) return {false, Gate::Because::home};
        if (!q.decision->optional || !q.comparable) return {true, Gate::Because::home};
        Sample with, left;
        bool doubtful = true, less = false;
        for (std::uint32_t runs = first_worth; doubtful && runs <= worth_runs; runs *= 2) {
            extend_both(with, begin, left, leave, q, runs);
            less = is_worth_less(with, left, doubtful);
        }
        if (less) return {false, with.required < left.required ? Gate::Because::required : Gate::Because::value};
        return {true, Gate::Because::home};
    }
    /// How likely home in time is when the task is begun at that moment, with the printed standard error.
    Share home_from(const Question& q, float at) {
        Sample sample;
        extend(sample, *q.decision, {q.number, at - q.decision->planned, true}, q.then_home, fine_runs);
        const double share = sample.home / fine_runs;
        return {share, std::sqrt(share * (1 - share) / fine_runs)};
    }

    void solve(int d) {
        const Program& whole = setup_.programs.whole();
        const Decision& decision = whole.decisions[static_cast<std::size_t>(d)];
        const auto task = static_cast<std::size_t>(decision.task);
        const Question asked = question(d);

        Gate gate;
        gate.task = static_cast<TaskId>(decision.task);
        if (decision.previous_step >= 0) gate.after = static_cast<StepId>(decision.previous_step);
        gate.crew = static_cast<Crew>(decision.previous_crew);
        gate.planned = pet(Seconds{std::lround(decision.planned)});
        gate.start_home_by = pet(Seconds{static_cast<Seconds::rep>(std::floor(decision.home_sure))});

        // Nobody is here before everything has taken three quarters of its time, nor begins what cannot fit at likely
        // times.
        float low = setup_.ground.now + (decision.planned - setup_.ground.now) * 3 / 4;
        float high = std::max(low, std::min(decision.latest_whole, decision.home_sure));
        // From early to late, because the first answer that says no counts: later still it may be yes again, when all
        // is lost anyway.
        if (const Verdict at_low = judge(asked, low, fine_runs); !at_low.begin) {
            gate.because = at_low.because;
            gate.home = home_from(asked, low);
            gates_.policy.gate[task] = -never;
            gates_.table.push_back(gate);
            return;
        }
        const float end = high;
        const float stride = (end - low) / scan;
        bool refused = false;
        for (int k = 1; k <= scan && stride > 0 && !refused; ++k) {
            const float at = k == scan ? end : low + stride;
            const Verdict verdict = judge(asked, at, k == scan ? fine_runs : rough_runs);
            refused = !verdict.begin;
            if (refused) {
                high = at;
                gate.because = verdict.because;
            } else {
                low = at;
            }
        }
        while (refused && high - low > resolution) {
            const float middle = (low + high) / 2;
            const bool settle = high - low <= 4 * resolution;
            const Verdict verdict = judge(asked, middle, settle ? fine_runs : rough_runs);
            if (verdict.begin) {
                low = middle;
            } else {
                high = middle;
                gate.because = verdict.because;
            }
        }
        gate.always = !refused;
        // Down to the whole minute, which is what the table and the runs go by.
        low = std::floor(low / resolution) * resolution;
        gate.home = home_from(asked, low);
        gate.begin_until = pet(Seconds{std::lround(low)});
        gates_.policy.gate[task] = low;
        gates_.table.push_back(gate);
    }

    Setup& setup_;
    const Options& options_;
    Gates gates_;
};

}  // namespace

std::vector<double> worth_by_run(const Setup& setup, const Runs& runs) {
    double all = 1;
    for (const Task& task : setup.problem.outing->tasks)
        if (task.task_class != TaskClass::required) all += std::max(0.0, task.value);
    std::vector<double> worth(runs.finish.size());
    for (std::size_t i = 0; i < worth.size(); ++i) {
        const bool home = runs.finish[i] <= setup.ground.limit && runs.reserve_kept[i];
        worth[i] = home ? runs.value[i] + (runs.required[i] ? all : 0) : 0;
    }
    return worth;
}

Gates solve_gates(Setup& setup, const Options& options) { return Solver(setup, options).run(); }

}  // namespace handrail::risk::detail
