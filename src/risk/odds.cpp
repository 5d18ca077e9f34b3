#include "risk/odds.h"

#include <algorithm>
#include <cmath>

#include "plan/search.h"
#include "risk/setup.h"

namespace handrail::risk {
namespace detail {

Factors evidence(const Outing& outing, const plan::Situation& situation, const Model& model) {
    Factors factors = prior(outing, model.risk());
    for (const Step& step : outing.steps) {
        const std::size_t s = index(step.id);
        if (situation.steps[s] != plan::StepStatus::done) continue;
        const Draw draw = model.step(step, situation.lead[index(step.task)].value_or(Crew::ev1));
        const double took = std::chrono::duration<double>(situation.step_end[s] - situation.step_start[s]).count();
        if (draw.mask == 0 || draw.mean <= 0 || took <= 0) continue;
        std::array<double, 3> weights{1, 0, 0};
        if (draw.mask & 1) weights[1] = draw.mask == 3 ? 0.5 : 1;  // together: between the two
        if (draw.mask & 2) weights[2] = draw.mask == 3 ? 0.5 : 1;
        const double noise = std::log1p(draw.variance / (static_cast<double>(draw.mean) * draw.mean));
        factors = given(factors, weights, std::log(took / draw.mean) + noise / 2, noise);
    }
    return factors;
}

Setup::Setup(const Outing& outing, const WindowTable& windows, const plan::Situation& the_situation,
             const Sequence& the_sequence, const Risk& risk, const plan::Freedom& freedom)
    : situation(the_situation),
      problem(outing, windows, situation, freedom),
      model(outing, risk),
      factors(evidence(outing, situation, model)),
      ground(ground_of(model, problem, factors)),
      sequence(the_sequence),
      programs(ground, sequence) {}

Setup::Setup(const Outing& outing, const WindowTable& windows, const plan::Situation& the_situation,
             const Timeline& timeline, const Risk& risk, const plan::Freedom& freedom)
    : situation(the_situation),
      problem(outing, windows, situation, freedom),
      model(outing, risk),
      factors(evidence(outing, situation, model)),
      ground(ground_of(model, problem, factors)),
      sequence(plan::detail::taken_from(problem, timeline).sequence),
      programs(ground, sequence) {}

}  // namespace detail

namespace {

using detail::Runs;

Share share_of(double count, std::size_t n) {
    const double p = count / static_cast<double>(n);
    return {p, std::sqrt(p * (1 - p) / static_cast<double>(n))};
}

/// A quantile and its standard error from the order statistics one standard error of the rank away on either side.
Moment quantile(const std::vector<float>& sorted, double p) {
    const auto n = static_cast<double>(sorted.size());
    const double spread = std::sqrt(p * (1 - p) * n);
    const auto at = [&](double rank) {
        return static_cast<double>(sorted[static_cast<std::size_t>(std::clamp(rank, 0.0, n - 1))]);
    };
    return {pet(Seconds{std::lround(at(p * n))}), (at(p * n + spread) - at(p * n - spread)) / 2};
}

void histogram_of(const std::vector<float>& sorted, Odds& odds) {
    // Five-minute bars between the outermost thousandths, wider ones when that makes more than 60.
    const double from = sorted[sorted.size() / 1000];
    const double to = sorted[sorted.size() - 1 - sorted.size() / 1000];
    double width = 60;
    for (double candidate : {60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0}) {
        width = candidate;
        if ((to - from) / width <= 60) break;
    }
    const double start = std::floor(from / width) * width;
    const auto bars = static_cast<std::size_t>(std::floor((to - start) / width)) + 1;
    odds.histogram.assign(bars, 0);
    for (float finish : sorted) {
        const double bar = std::clamp((finish - start) / width, 0.0, static_cast<double>(bars) - 1);
        ++odds.histogram[static_cast<std::size_t>(bar)];
    }
    odds.histogram_from = pet(Seconds{std::lround(start)});
    odds.histogram_width = Seconds{std::lround(width)};
}

void summarize(const detail::Setup& setup, const Runs& runs, Odds& odds) {
    const std::size_t n = runs.finish.size();
    const float limit = setup.ground.limit;
    double required = 0, in_time = 0, with_margin = 0, reserve = 0, home = 0;
    double sum = 0, squares = 0, value = 0, value_squares = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const bool timely = runs.finish[i] <= limit;
        required += runs.required[i];
        in_time += timely;
        with_margin += runs.finish[i] <= limit - setup.ground.margin;
        reserve += runs.reserve_kept[i];
        home += timely && runs.reserve_kept[i];
        sum += runs.finish[i];
        squares += static_cast<double>(runs.finish[i]) * runs.finish[i];
        value += runs.value[i];
        value_squares += static_cast<double>(runs.value[i]) * runs.value[i];
    }
    odds.required = share_of(required, n);
    odds.in_time = share_of(in_time, n);
    odds.with_margin = share_of(with_margin, n);
    odds.reserve_kept = share_of(reserve, n);
    odds.home = share_of(home, n);
    const auto count = static_cast<double>(n);
    odds.finish_mean_s = sum / count;
    odds.finish_sd_s = std::sqrt(std::max(0.0, squares / count - odds.finish_mean_s * odds.finish_mean_s));
    odds.value = value / count;
    odds.value_error = std::sqrt(std::max(0.0, value_squares / count - odds.value * odds.value) / count);
    odds.value_planned = setup.programs.whole().value.back();
    for (std::size_t t = 0; t < runs.done.size(); ++t) {
        TaskOdds task;
        task.task = static_cast<TaskId>(t);
        task.done = share_of(static_cast<double>(runs.done[t]), n);
        task.planned = setup.programs.whole().done.back()[t] != 0;
        odds.tasks.push_back(task);
    }
    std::vector<float> sorted = runs.finish;
    std::sort(sorted.begin(), sorted.end());
    odds.p10 = quantile(sorted, 0.1);
    odds.p50 = quantile(sorted, 0.5);
    odds.p90 = quantile(sorted, 0.9);
    histogram_of(sorted, odds);
    for (std::size_t c = 0; c < 2; ++c) {
        for (std::size_t i = 0; i < n; ++i) sorted[i] = runs.suit_left[i][c];
        const auto tenth = sorted.begin() + static_cast<std::ptrdiff_t>(n / 10);
        std::nth_element(sorted.begin(), tenth, sorted.end());
        if (std::isfinite(*tenth)) odds.suit_left_p10[c] = Seconds{std::lround(*tenth)};
    }
}

}  // namespace

Odds odds_from(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
               const Timeline& timeline, const Options& options, const plan::Wishes& wishes) {
    plan::Freedom settled;
    settled.wishes = wishes;
    detail::Setup setup(outing, windows, situation, timeline, outing.risk, settled);
    Odds odds;
    odds.runs = std::max(options.runs, 1u);
    odds.seed = options.seed;
    odds.gates_in_force = options.gates;
    odds.confidence = outing.risk.confidence.value();
    odds.planned_finish = pet(Seconds{std::lround(setup.programs.whole().planned_finish)});
    odds.order_differs_s = (since_zero(timeline.finish()) - since_zero(odds.planned_finish)).count();
    detail::Policy policy;
    policy.sure = options.sure_home;
    if (options.gates) {
        detail::Gates gates = detail::solve_gates(setup, options);
        policy = std::move(gates.policy);
        odds.gates = std::move(gates.table);
    }
    detail::Batch batch;
    batch.runs = odds.runs;
    batch.seed = options.seed;
    batch.threads = options.threads;
    summarize(setup, detail::simulate(setup.ground, setup.programs, setup.factors, policy, batch), odds);
    if (options.explain) detail::explain(setup, options, odds);
    return odds;
}

Odds odds_of(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const Options& options,
             const plan::Wishes& wishes) {
    return odds_from(outing, windows, plan::initial(outing), timeline, options, wishes);
}

}  // namespace handrail::risk
