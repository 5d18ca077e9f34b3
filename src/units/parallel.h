#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <thread>
#include <vector>

namespace handrail {

/// How many threads are meant: `wished`, or one a core when that is 0.
inline std::size_t threads_for(int wished) {
    return wished > 0 ? static_cast<std::size_t>(wished) : std::max(1U, std::thread::hardware_concurrency());
}

/// work(0) ... work(count - 1), on as many threads as there are cores or as `most` allows; the first ones begin first.
/// REQUIRES: they touch nothing in common and throw nothing.
template <class Work>
void in_parallel(std::size_t count, const Work& work, int most = 0) {
    std::atomic<std::size_t> next{0};
    const auto take = [&] {
        for (std::size_t i = next++; i < count; i = next++) work(i);
    };
    const std::size_t threads = std::min(threads_for(most), count);
    std::vector<std::jthread> others;
    for (std::size_t i = 1; i < threads; ++i) others.emplace_back(take);
    take();
}

}  // namespace handrail
