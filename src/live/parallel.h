#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <thread>
#include <vector>

namespace handrail::live {

/// work(0) ... work(count - 1), on as many threads as there are cores; the first ones begin first. REQUIRES: they touch
/// nothing in common and throw nothing.
template <class Work>
void in_parallel(std::size_t count, const Work& work) {
    std::atomic<std::size_t> next{0};
    const auto take = [&] {
        for (std::size_t i = next++; i < count; i = next++) work(i);
    };
    const std::size_t threads = std::min<std::size_t>(std::max(1U, std::thread::hardware_concurrency()), count);
    std::vector<std::jthread> others;
    for (std::size_t i = 1; i < threads; ++i) others.emplace_back(take);
    take();
}

}  // namespace handrail::live
