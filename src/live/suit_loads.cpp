#include "live/suit_loads.h"

#include <algorithm>

namespace handrail::live {

namespace {

bool sunlit(const WindowTable& windows, Pet start, Seconds length) {
    if (!windows.knows("daylight")) return true;
    const Pet middle = start + Milliseconds{length} / 2;
    return std::ranges::any_of(windows.of("daylight", ""),
                               [middle](const Window& w) { return w.from() <= middle && middle < w.to(); });
}

}  // namespace

std::vector<lifesupport::Load> suit_loads(const Outing& outing, const WindowTable& windows,
                                          std::span<const AsRun> activities, Crew crew, Pet until) {
    std::vector<lifesupport::Load> loads;
    Pet from{};
    const auto add = [&](Pet to, Effort effort) {
        if (to <= from) return;
        const Seconds length = std::chrono::floor<Seconds>(to - from);
        if (length <= Seconds{0}) return;
        const Watts metabolic = lifesupport::metabolic_rate(outing.rules, outing.person(crew), effort);
        loads.push_back({from, length, metabolic, sunlit(windows, from, length)});
        from += length;
    };
    for (const AsRun& run : activities) {
        if (!run.activity.on(lane_of(crew)) || run.activity.end() <= from) continue;
        if (run.activity.start >= until) break;
        add(run.activity.start, Effort::rest);
        add(std::min(run.activity.end(), until), effort_of(outing, run.activity, run.load[index(crew)]));
    }
    add(until, Effort::rest);
    return loads;
}

lifesupport::SuitState suit_at(const SuitType& suit, std::span<const lifesupport::Load> loads,
                               const lifesupport::Estimate& estimate, Pet until) {
    lifesupport::SuitState state = estimate.state;
    for (const lifesupport::Load& load : loads) {
        if (load.end() <= state.at || load.start >= until) continue;
        state = lifesupport::advance(suit, std::move(state), load, std::min(load.end(), until));
    }
    return state;
}

}  // namespace handrail::live
