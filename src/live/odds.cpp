#include "live/odds.h"

#include <algorithm>

#include "live/risk_now.h"

namespace handrail::live {
namespace {

/// A standard error of a third of a per cent at worst: what a decision can use.
constexpr std::uint32_t runs_with_gates = 20'000;
/// For comparing options, with the same luck for each: a standard error of one per cent at worst, and less between two
/// of them.
constexpr std::uint32_t runs_without = 2'000;

bool to_do(const plan::Situation& situation, StepId step) {
    return situation.steps[index(step)] == plan::StepStatus::to_do;
}

/// The situation with every task dropped that this timeline does not finish.
plan::Situation as_chosen(const Outing& outing, plan::Situation situation, const Timeline& timeline) {
    std::vector<bool> there(outing.steps.size(), false);
    for (const Activity& activity : timeline.activities)
        if (activity.step) there[index(*activity.step)] = true;
    for (const Task& task : outing.tasks)
        for (StepId step : task.steps)
            if (to_do(situation, step) && !there[index(step)]) situation.dropped[index(task.id)] = true;
    return situation;
}

bool can_simulate(const Day& day, const Forecast& forecast) {
    // A fetched partner is nothing that the simulation plays.
    return day.plan && !needs_partner(day) && can_replan(day) && forecast.possible && forecast.timeline;
}

}  // namespace

std::optional<risk::Odds> simulate_now(const Outing& outing, const Day& day, const Forecast& forecast,
                                       const risk::Options& options) {
    if (!can_simulate(day, forecast)) return std::nullopt;
    const Present present(outing, day);
    return risk::odds_from(present.outing(), present.windows(),
                           as_chosen(outing, present.situation(), *forecast.timeline), *forecast.timeline, options);
}

std::optional<OddsNow> odds_now(const Outing& outing, const Day& day, const Forecast& forecast, WithGates gates,
                                int threads) {
    risk::Options options;
    options.gates = gates == WithGates::yes;
    options.sure_home = true;
    options.explain = false;
    options.threads = threads;
    options.runs = options.gates ? runs_with_gates : runs_without;
    if (!can_simulate(day, forecast)) return std::nullopt;
    const Present present(outing, day);
    const plan::Situation situation = as_chosen(outing, present.situation(), *forecast.timeline);
    const risk::Odds odds =
        risk::odds_from(present.outing(), present.windows(), situation, *forecast.timeline, options);
    OddsNow now;
    now.position = day.position;
    now.required = odds.required.value;
    now.home = odds.home.value;
    now.error = std::max(odds.required.error, odds.home.error);
    now.finish_p10 = odds.p10.at;
    now.finish_p50 = odds.p50.at;
    now.finish_p90 = odds.p90.at;
    for (const risk::TaskOdds& task : odds.tasks) {
        const auto& steps = outing.task(task.task).steps;
        const bool ahead = std::ranges::any_of(steps, [&](StepId step) { return to_do(situation, step); });
        if (task.planned && ahead) now.tasks.push_back({task.task, task.done.value});
    }
    for (const risk::Gate& gate : odds.gates)
        now.gates.push_back({gate.task, gate.begin_until, gate.planned, gate.start_home_by});
    std::ranges::stable_sort(now.gates, {}, [](const NextGate& gate) { return gate.decided_by(); });
    if (!now.gates.empty()) now.gate = now.gates.front();
    return now;
}

}  // namespace handrail::live
