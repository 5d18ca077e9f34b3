#include "lifesupport/workload.h"

#include <algorithm>

namespace handrail::lifesupport {
namespace {

double work_between(std::span<const Load> loads, Pet from, Pet to) {
    double joules = 0;
    for (const Load& load : loads) {
        const Milliseconds shared = std::min(load.end(), to) - std::max(load.start, from);
        if (shared > Milliseconds{0}) joules += load.metabolic.value() * static_cast<double>(shared.count()) / 1000.0;
    }
    return joules;
}

}  // namespace

std::optional<Watts> mean_rate(std::span<const Load> loads) {
    double joules = 0, time = 0;
    for (const Load& load : loads) {
        joules += load.metabolic.value() * static_cast<double>(load.duration.count());
        time += static_cast<double>(load.duration.count());
    }
    if (time <= 0) return std::nullopt;
    return Watts{joules / time};
}

std::optional<HardestStretch> hardest_stretch(std::span<const Load> loads, Seconds length) {
    if (loads.empty() || length <= Seconds{0}) return std::nullopt;
    const Pet begin = loads.front().start, end = loads.back().end();
    if (end - begin <= length) {
        const auto mean = mean_rate(loads);
        if (!mean) return std::nullopt;
        return HardestStretch{begin, *mean};
    }
    // The mean over a sliding stretch changes slope only where one of its ends meets the end of a load, so the
    // highest lies at one of those.
    std::optional<HardestStretch> hardest;
    const auto consider = [&](Pet from) {
        if (from < begin || from + length > end) return;
        const Watts mean{work_between(loads, from, from + length) / static_cast<double>(length.count())};
        if (!hardest || mean > hardest->mean) hardest = HardestStretch{from, mean};
    };
    for (const Load& load : loads) {
        consider(load.start);
        consider(load.end() - length);
    }
    return hardest;
}

}  // namespace handrail::lifesupport
