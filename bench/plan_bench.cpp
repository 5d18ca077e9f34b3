// How soon is there a plan, and how good is it after a tenth of a second, one and ten seconds?
//   cmake --preset bench && cmake --build --preset bench --target plan_bench && build/bench/bench/plan_bench
// Random outings of tests/support/random_outing.h (invented), one thread, conditions as the file gives them. Outings in
// which no plan exists are passed over.
#include <fmt/format.h>

#include <chrono>

#include "plan/planner.h"
#include "plan/search.h"
#include "support/random_outing.h"

namespace {

using namespace handrail;
using Clock = std::chrono::steady_clock;

double ms_since(Clock::time_point begin) {
    return std::chrono::duration<double, std::milli>(Clock::now() - begin).count();
}

void measure(int tasks, std::uint64_t seed) {
    test::RandomSize size;
    size.fewest_tasks = size.most_tasks = tasks;
    size.fewest_worksites = size.most_worksites = 12;
    const Outing outing = test::random_outing(seed, size);
    const plan::Situation situation = plan::initial(outing);
    const plan::Freedom freedom;

    const auto begin = Clock::now();
    const plan::detail::Problem problem(outing, outing.windows, situation, freedom);
    const plan::detail::Found first = plan::detail::construct(problem);
    const double first_ms = ms_since(begin);
    if (first.score.violation > 0) return;

    std::string line = fmt::format("{:>5} {:>5} {:>6} {:>9.1f} {:>8g}", tasks, outing.steps.size(), seed, first_ms,
                                   problem.wanted_value - first.score.missing);
    double decodes_per_s = 0;
    for (const int ms : {100, 1000, 10000}) {
        plan::Budget budget;
        budget.time = Milliseconds{ms};
        budget.threads = 1;
        const auto search_begin = Clock::now();
        const plan::detail::Found found = plan::detail::search(problem, first, budget, {}, nullptr);
        decodes_per_s = static_cast<double>(found.iterations) / ms_since(search_begin) * 1000;
        line += fmt::format(" {:>7g} {:>6}", problem.wanted_value - found.score.missing,
                            print_pet(pet(Seconds{found.score.finish})));
    }
    fmt::print("{} {:>10.0f}\n", line, decodes_per_s);
}

}  // namespace

int main() {
    fmt::print(
        "tasks steps   seed  first ms    value  0.1 s: value, home   1 s: value, home  10 s: value, home  decodes/s\n");
    for (const int tasks : {12, 40, 100, 300})
        for (std::uint64_t seed = 1; seed <= 3; ++seed) measure(tasks, seed);
    return 0;
}
