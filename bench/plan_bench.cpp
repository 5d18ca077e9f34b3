// How soon is there a plan, how good is it after a tenth of a second, one and ten seconds, how far can it be from the
// best there is, how fast is the decoder, how much memory does it take?
//   cmake --preset bench && cmake --build --preset bench --target plan_bench && build/bench/bench/plan_bench
// Random outings of tests/support/random_outing.h (invented), one thread, conditions as the file gives them. Times are
// CPU seconds of the searching thread, so that a busy machine does not matter. Arguments: the CPU seconds of a search
// (default 10), how many outings of each size (default 1), the sizes. Outings in which no plan exists are passed over.
//   plan_bench compare BUDGET OUTINGS WALKS SIZES...
// is for changes of the search: values after that budget of so many random walks an outing, and how many iterations a
// second that were. The budget is a number of iterations (the same on a busy machine) or CPU seconds (1s).
#include <fmt/format.h>
#include <time.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string_view>

#include "plan/bound.h"
#include "plan/planner.h"
#include "plan/route_bound.h"
#include "plan/search.h"
#include "support/random_outing.h"
#include "timed_search.h"

namespace {

using namespace handrail;
using bench::cpu_s;

/// Rounds on the route bound, as many as a second of searching has beside it.
constexpr int bound_rounds = 1500;

/// Largest resident size so far, MB (Linux).
double peak_mb() {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);)
        if (line.starts_with("VmHWM:")) return std::strtod(line.c_str() + 6, nullptr) / 1024;
    return 0;
}

struct Moment {
    double cpu_s, value;
    int finish_s;
};

bool measure(int tasks, std::uint64_t seed, double seconds) {
    test::RandomSize size;
    size.fewest_tasks = size.most_tasks = tasks;
    size.fewest_worksites = size.most_worksites = 12;
    const Outing outing = test::random_outing(seed, size);
    const plan::Situation situation = plan::initial(outing);
    const plan::Freedom freedom;

    const double begin = cpu_s(CLOCK_THREAD_CPUTIME_ID);
    const plan::detail::Problem problem(outing, outing.windows, situation, freedom);
    const plan::detail::Found first = plan::detail::construct(problem);
    const double first_ms = 1000 * (cpu_s(CLOCK_THREAD_CPUTIME_ID) - begin);
    if (first.score.violation > 0) return false;

    std::vector<Moment> moments;
    const auto value_of = [&](const plan::detail::Found& f) { return problem.wanted_value - f.score.missing; };
    moments.push_back({0, value_of(first), first.score.finish});
    const double search_begin = cpu_s(CLOCK_THREAD_CPUTIME_ID);
    const plan::detail::Found found =
        bench::search_for(seconds, problem, first, 1, [&](const plan::detail::Found& f, double after_s) {
            moments.push_back({after_s, value_of(f), f.score.finish});
        });
    const double spent = cpu_s(CLOCK_THREAD_CPUTIME_ID) - search_begin;
    std::string line = fmt::format("{:>5} {:>5} {:>5} {:>8.1f} {:>6g}", tasks, outing.steps.size(), seed, first_ms,
                                   moments.front().value);
    for (const double at : {0.1, 1.0, 10.0}) {
        const Moment* last = &moments.front();
        for (const Moment& moment : moments)
            if (moment.cpu_s <= at) last = &moment;
        line += fmt::format(" {:>6g} {:>6}", last->value, print_pet(pet(Seconds{last->finish_s})));
    }
    double within = 0;
    for (const Moment& moment : moments)
        if (moment.value >= 0.99 * value_of(found)) {
            within = moment.cpu_s;
            break;
        }
    const double knapsacks = plan::detail::value_bound(problem).value;
    const double bound_begin = cpu_s(CLOCK_THREAD_CPUTIME_ID);
    plan::detail::RouteBound route(problem);
    route.improve(bound_rounds);
    const double bound_ms = 1000 * (cpu_s(CLOCK_THREAD_CPUTIME_ID) - bound_begin);
    const double bound = std::min(knapsacks, route.value());
    const auto finish =
        std::max(plan::detail::finish_bound(problem, found.score.missing), route.finish(value_of(found), bound_rounds));
    fmt::print("{} {:>9.4g} {:>5.4g} {:>8.0f} {:>5.1f} {:>6} {:>8.2f} {:>9.0f} {:>6.1f}\n", line, knapsacks, bound,
               bound_ms, bound > 0 ? 100 * (bound - value_of(found)) / bound : 0.0, print_pet(pet(Seconds{finish})),
               within, static_cast<double>(found.iterations) / spent, peak_mb());
    std::fflush(stdout);
    return true;
}

/// The sum of the values that different random walks reach; negative: no plan.
double compare(int tasks, std::uint64_t seed, std::string_view budget_text, int walks, double& spent, double& done) {
    test::RandomSize size;
    size.fewest_tasks = size.most_tasks = tasks;
    size.fewest_worksites = size.most_worksites = 12;
    const Outing outing = test::random_outing(seed, size);
    const plan::Situation situation = plan::initial(outing);
    const plan::Freedom freedom;
    const plan::detail::Problem problem(outing, outing.windows, situation, freedom);
    const plan::detail::Found first = plan::detail::construct(problem);
    if (first.score.violation > 0) return -1;
    fmt::print("{:>5} {:>5}", tasks, seed);
    double sum = 0;
    for (int walk = 1; walk <= walks; ++walk) {
        plan::Budget budget;
        budget.iterations = std::strtoull(budget_text.data(), nullptr, 10);
        budget.threads = 1;
        budget.seed = static_cast<std::uint64_t>(walk);
        const double begin = cpu_s(CLOCK_THREAD_CPUTIME_ID);
        const plan::detail::Found found =
            budget_text.ends_with('s')
                ? bench::search_for(std::strtod(budget_text.data(), nullptr), problem, first, budget.seed)
                : plan::detail::search(problem, first, budget, nullptr, nullptr);
        done += static_cast<double>(found.iterations);
        spent += cpu_s(CLOCK_THREAD_CPUTIME_ID) - begin;
        const double value = problem.wanted_value - found.score.missing;
        sum += value;
        fmt::print(" {:>6g} {:>6}", value, print_pet(pet(Seconds{found.score.finish})));
    }
    fmt::print(" {:>8.1f}\n", sum / walks);
    std::fflush(stdout);
    return sum / walks;
}

int compare_all(int argc, char** argv) {
    const int outings = std::atoi(argv[3]);
    const int walks = std::atoi(argv[4]);
    double all = 0;
    for (int i = 5; i < argc; ++i) {
        double sum = 0;
        double spent = 0;
        double done = 0;
        int measured = 0;
        for (std::uint64_t seed = 1; measured < outings && seed < 40; ++seed) {
            const double value = compare(std::atoi(argv[i]), seed, argv[2], walks, spent, done);
            if (value < 0) continue;
            sum += value;
            ++measured;
        }
        all += sum;
        fmt::print("{} tasks: {:.1f} in all, {:.0f} iterations/s\n", argv[i], sum, done / spent);
    }
    fmt::print("all: {:.1f}\n", all);
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc > 5 && std::string_view(argv[1]) == "compare") return compare_all(argc, argv);
    const double seconds = argc > 1 ? std::strtod(argv[1], nullptr) : 10;
    const int seeds = argc > 2 ? std::atoi(argv[2]) : 1;
    fmt::print("{} CPU s a search, one thread\n", seconds);
    fmt::print(
        "tasks steps  seed first ms  value  0.1 s: value, home   1 s: value, home  10 s: value, home knapsacks bound "
        "bound ms gap % "
        "home>=  1 % at s  decodes/s   MB\n");
    std::vector<int> sizes{12, 24, 40, 60, 100, 300};
    if (argc > 3) sizes.clear();
    for (int i = 3; i < argc; ++i) sizes.push_back(std::atoi(argv[i]));
    for (const int tasks : sizes) {
        int measured = 0;
        for (std::uint64_t seed = 1; measured < seeds && seed < 20; ++seed) measured += measure(tasks, seed, seconds);
    }
    return 0;
}
