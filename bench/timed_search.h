#pragma once

#include <pthread.h>
#include <time.h>

#include <atomic>
#include <chrono>
#include <functional>
#include <thread>

#include "plan/planner.h"
#include "plan/search.h"

/// Searches by CPU seconds of the one searching thread, so that a busy machine matters little.
namespace handrail::bench {

inline double cpu_s(clockid_t clock) {
    timespec now{};
    clock_gettime(clock, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

/// Searches on from `first` for so many CPU seconds; `note` is told what was found and after how many of them.
inline plan::detail::Found search_for(double seconds, const plan::detail::Problem& problem,
                                      const plan::detail::Found& first, std::uint64_t walk = 1,
                                      const std::function<void(const plan::detail::Found&, double)>& note = {}) {
    clockid_t own{};
    pthread_getcpuclockid(pthread_self(), &own);
    const double begin = cpu_s(own);
    std::atomic<bool> stop{false};
    std::jthread watch([&](const std::stop_token& done) {
        while (!done.stop_requested() && !stop.load()) {
            if (cpu_s(own) - begin >= seconds) stop.store(true);
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
    });
    plan::Budget budget;
    budget.iterations = 1'000'000'000'000;
    budget.threads = 1;
    budget.seed = walk;
    return plan::detail::search(
        problem, first, budget,
        [&](const plan::detail::Found& found) {
            if (note) note(found, cpu_s(own) - begin);
        },
        &stop);
}

}  // namespace handrail::bench
