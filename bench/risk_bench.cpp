// How many simulated outings a second, on a timeline of 200 steps?
// Runs: build/bench/bench/risk_bench [steps]. Prints its command line and machine, then one line a question.
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <string>
#include <thread>

#include "risk/an_outing.h"
#include "risk/setup.h"

namespace {

using namespace handrail;
using namespace handrail::risk;
using namespace handrail::risk::detail;

std::string machine() {
    std::ifstream cpu("/proc/cpuinfo");
    std::string line;
    while (std::getline(cpu, line))
        if (line.starts_with("model name")) return line.substr(line.find(':') + 2);
    return "unknown processor";
}

struct Spent {
    double wall = 0, cpu = 0;
};
/// Wall and processor seconds: on a busy machine only the second says what the code costs.
template <class Work>
Spent time(const Work& work) {
    const auto wall = std::chrono::steady_clock::now();
    const std::clock_t cpu = std::clock();
    work();
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - wall).count(),
            static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC};
}

}  // namespace

int main(int argc, char** argv) {
    const int steps = argc > 1 ? std::atoi(argv[1]) : 200;
    fmt::print("{} {}\n{}, {} cores\n", argv[0], steps, machine(), std::thread::hardware_concurrency());
    test::AnOuting outing = test::a_long_outing(steps, 2.2);
    const WindowTable windows = test::sunshine();
    const plan::Situation situation = plan::initial(*outing);
    Problem first(*outing, windows, situation, {});
    const plan::detail::Found found = plan::detail::construct(first);
    // Limit: a quarter of an hour after the plan's end, as a real plan has it.
    outing->rules.limit = Seconds{found.score.finish + 15 * 60};
    Setup setup(*outing, windows, situation, found.sequence, outing->risk);
    fmt::print("{} steps, {} nodes, {} decisions, {} draws a run; plan {} h, limit {} min later\n", steps,
               setup.programs.whole().nodes.size(), setup.programs.whole().decisions.size(), setup.model.slots().count,
               found.score.finish / 3600.0, 15);

    const auto report = [&](const char* what, const Policy& policy, std::uint32_t count, int threads) {
        simulate(setup.ground, setup.programs, setup.factors, policy, {count / 10, 2, threads, 0});  // warm
        double left = 0;
        const Spent spent = time([&] {
            const Runs runs = simulate(setup.ground, setup.programs, setup.factors, policy, {count, 1, threads, 0});
            for (std::size_t t = 0; t < runs.done.size(); ++t)
                left += setup.programs.whole().done.back()[t] - static_cast<double>(runs.done[t]) / count;
        });
        fmt::print(
            "{:<34} {} thread{}: {:>8.0f} runs/s a core (processor time), {:>8.0f} runs/s (wall); {:.2f} tasks left "
            "out a run\n",
            what, threads, threads > 1 ? "s" : " ", count / spent.cpu, count / spent.wall, left);
    };
    Policy everything;
    everything.drop = false;
    Gates gates;
    const Spent solving = time([&] { gates = solve_gates(setup, {}); });
    for (int threads : {1, 2}) {
        report("nothing left out", everything, 400'000, threads);
        report("likely times decide", {}, 200'000, threads);
        report("gates in force", gates.policy, 200'000, threads);
    }
    fmt::print("gates of {} tasks solved: {:.2f} s processor, {:.2f} s wall\n", gates.table.size(), solving.cpu,
               solving.wall);
    // Live: a first answer on each entry.
    Timeline timeline;
    {
        plan::Freedom keep;
        keep.keep_order = true;
        plan::Budget budget;
        budget.iterations = 1;
        auto planned = plan::make_plan(*outing, windows, situation, budget, keep);
        if (auto* t = std::get_if<Timeline>(&planned)) timeline = *t;
    }
    Options live;
    live.runs = 20'000;
    live.explain = false;
    const Spent answer = time([&] { odds_from(*outing, windows, situation, timeline, live); });
    fmt::print("odds for the live view, 20,000 runs with gates: {:.2f} s processor, {:.2f} s wall\n", answer.cpu,
               answer.wall);
}
