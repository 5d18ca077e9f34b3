// How long does it take to prove every rule over a timeline of 300 steps? Budget: 5 ms. The outing is made from a seed
// (tests/support/random_outing.h) and planned once; its hard end and its suits are widened so that 300 steps fit.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <vector>

#include "check/check.h"
#include "plan/planner.h"
#include "support/random_outing.h"

namespace handrail {
namespace {

constexpr int runs = 200;
constexpr std::size_t wanted_steps = 300;

/// Nothing runs out and nothing ends: a timeline several times as long as an outing.
Outing long_outing(std::uint64_t seed) {
    Outing outing = test::random_outing(
        seed, {.fewest_worksites = 12, .most_worksites = 12, .fewest_tasks = 150, .most_tasks = 150});
    outing.rules.limit = std::chrono::hours{200};
    for (SuitType& suit : outing.suits) {
        if (suit.oxygen) suit.oxygen = Kilograms{100};
        if (suit.co2_capacity) suit.co2_capacity = Kilograms{100};
        if (suit.feedwater) suit.feedwater = Kilograms{1000};
        if (suit.battery) suit.battery = WattHours{100000};
        if (suit.breathing_gas) suit.breathing_gas = Litres{1e6};
    }
    for (Step& step : outing.steps) step.during.clear();
    for (Task& task : outing.tasks) {
        task.starts_by.reset();
        task.ends_by.reset();
    }
    return outing;
}

std::size_t steps_in(const Timeline& timeline) {
    return static_cast<std::size_t>(std::ranges::count(timeline.activities, ActivityKind::step, &Activity::kind));
}

int run() {
    for (std::uint64_t seed = 1; seed < 50; ++seed) {
        const Outing outing = long_outing(seed);
        plan::Budget budget;
        budget.iterations = 1;
        budget.threads = 1;
        const auto planned = plan::make_plan(outing, outing.windows, plan::initial(outing), budget);
        const Timeline* timeline = std::get_if<Timeline>(&planned);
        if (!timeline || steps_in(*timeline) < wanted_steps) continue;

        std::vector<double> times_ms;
        std::size_t findings = 0;
        for (int i = 0; i < runs; ++i) {
            const auto begin = std::chrono::steady_clock::now();
            findings = check(outing, outing.windows, *timeline).size();
            times_ms.push_back(
                std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin).count());
        }
        std::ranges::sort(times_ms);
        fmt::print("checker: seed {}, {} steps in {} activities, {} tasks, {} worksites, {} findings or notes\n", seed,
                   steps_in(*timeline), timeline->activities.size(), outing.tasks.size(),
                   outing.station.worksites.size(), findings);
        fmt::print("median {:.2f} ms, p99 {:.2f} ms of {} runs (budget 5 ms)\n", times_ms[runs / 2],
                   times_ms[runs * 99 / 100], runs);
        return 0;
    }
    fmt::print("no seed gave a timeline of {} steps\n", wanted_steps);
    return 1;
}

}  // namespace
}  // namespace handrail

int main() { return handrail::run(); }
