#include <algorithm>
#include <cmath>

#include "risk/setup.h"
#include "units/parallel.h"

/// When to stop hoping: decision times, solved backwards.
namespace handrail::risk::detail {
namespace {

/// Runs for narrowing a gate down and for settling it: a standard error of 0.5 and 0.24 % at 95 %. Most questions are
/// far from doubtful and answered by the first few; a look at fewer runs counts when it is so many standard errors away
/// from the other answer, which is wrong once in some three million looks.
constexpr std::uint32_t rough_runs = 2048;
constexpr std::uint32_t fine_runs = 8192;
constexpr std::uint32_t first_look = 512, look_growth = 4;
constexpr double beyond_doubt = 5;
/// Where beginning and leaving out are worth nearly the same it matters little which is taken: no finer than this, and
/// a look counts sooner.
constexpr std::uint32_t first_worth = 256, worth_runs = 2048;
constexpr double worth_doubt = 3;
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
    void extend(Sample& sample, const Decision& decision, From from, const Kept& kept, std::uint32_t runs,
                int threads) {
        Batch batch;
        batch.first_run = sample.runs;
        batch.runs = runs - sample.runs;
        batch.seed = options_.seed + 0x6a7e;  // not the runs that will judge the gates
        batch.threads = threads;
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
    void extend_both(Sample& with, From begin, Sample& left, From leave, const Question& q, std::uint32_t runs,
                     int threads) {
        const auto one_way = [&](std::size_t way) {
            if (way == 0)
                extend(with, *q.decision, begin, q.whole, runs, 1);
            else
                extend(left, *q.decision, leave, q.without, runs, 1);
        };
        in_parallel(2, one_way, threads);
    }

    /// Whether home in time is as likely as wanted, from as many runs as that takes, `most` at most.
    bool home_is_likely(Sample& sample, const Decision& decision, From from, const Kept& kept, std::uint32_t most,
                        int threads) {
        const double wanted = setup_.ground.confidence;
        for (std::uint32_t runs = std::min(first_look, most);; runs = std::min(runs * look_growth, most)) {
            extend(sample, decision, from, kept, runs, threads);
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
        // No difference in any run: from here on both ways lead to the same.
        doubtful = squares > 0 && std::abs(mean) <= worth_doubt * deviation;
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
    Verdict judge(const Question& q, float at, std::uint32_t most, int threads) {
        const From begin{q.number, at - q.decision->planned, true};
        const From leave{q.number, at - q.decision->planned, false};
        Sample home;
        if (!home_is_likely(home, *q.decision, begin, q.then_home, most, threads)) return {false, Gate::Because::home};
        if (!q.decision->optional || !q.comparable) return {true, Gate::Because::home};
        Sample with, left;
        bool doubtful = true, less = false;
        for (std::uint32_t runs = first_worth; doubtful && runs <= worth_runs; runs *= 2) {
            extend_both(with, begin, left, leave, q, runs, threads);
            less = is_worth_less(with, left, doubtful);
        }
        if (less) return {false, with.required < left.required ? Gate::Because::required : Gate::Because::value};
        return {true, Gate::Because::home};
    }
    /// How likely home in time is when the task is begun at that moment, with the printed standard error.
    Share home_from(const Question& q, float at) {
        Sample sample;
        extend(sample, *q.decision, {q.number, at - q.decision->planned, true}, q.then_home, fine_runs,
               options_.threads);
        const double share = sample.home / fine_runs;
        return {share, std::sqrt(share * (1 - share) / fine_runs)};
    }

    /// The moments at which a gate's range is first looked through.
    static std::vector<float> looked_at(float low, float high) {
        std::vector<float> looks{low};
        const float stride = (high - low) / scan;
        for (int k = 1; k <= scan && stride > 0; ++k) looks.push_back(k == scan ? high : looks.back() + stride);
        return looks;
    }

    /// From early to late, because the first answer that says no counts: later still it may be yes again, when all is
    /// lost anyway. As many moments at once as there are threads; looks.size() when none says no.
    std::pair<std::size_t, Verdict> first_refusal(const Question& q, const std::vector<float>& looks) {
        const std::size_t together = threads_for(options_.threads);
        for (std::size_t first = 0; first < looks.size(); first += together) {
            std::vector<Verdict> verdicts(std::min(together, looks.size() - first));
            const auto look = [&](std::size_t i) {
                const std::size_t at = first + i;
                const bool ends = at == 0 || at + 1 == looks.size();
                verdicts[i] = judge(q, looks[at], ends ? fine_runs : rough_runs, 1);
            };
            in_parallel(verdicts.size(), look, options_.threads);
            const auto no = std::ranges::find(verdicts, false, &Verdict::begin);
            if (no != verdicts.end()) return {first + static_cast<std::size_t>(no - verdicts.begin()), *no};
        }
        return {looks.size(), {}};
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
        const std::vector<float> looks = looked_at(low, high);
        const auto [first_no, no] = first_refusal(asked, looks);
        const bool refused = first_no < looks.size();
        if (refused) gate.because = no.because;
        if (first_no == 0) {
            gate.home = home_from(asked, low);
            gates_.policy.gate[task] = -never;
            gates_.table.push_back(gate);
            return;
        }
        low = looks[first_no - 1];
        if (refused) high = looks[first_no];
        while (refused && high - low > resolution) {
            const float middle = (low + high) / 2;
            const bool settle = high - low <= 4 * resolution;
            const Verdict verdict = judge(asked, middle, settle ? fine_runs : rough_runs, options_.threads);
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
