#include "live/pace.h"

#include <algorithm>
#include <cmath>

namespace handrail::live {
namespace {

/// Standard deviation of the logarithm of a step's time.
double spread_of(const Duration3& time) {
    // Low and high are taken for the 10th and 90th percentiles, 1.2816 standard deviations from the middle.
    constexpr double p90 = 1.2816;
    // Even a step without a range of its own is not run to the second (from memory).
    constexpr double least = 0.10;
    const double ratio =
        static_cast<double>(time.high.count()) / static_cast<double>(std::max<std::int64_t>(1, time.low.count()));
    return std::max(least, std::log(ratio) / (2 * p90));
}

Seconds held_within(const Day& day, Pet from, Pet to) {
    Seconds held{0};
    for (const Hold& hold : day.holds) {
        const Pet begin = std::max(from, hold.from);
        const Pet end = std::min(to, hold.to.value_or(day.pet_now()));
        if (end > begin) held += std::chrono::floor<Seconds>(end - begin);
    }
    return held;
}

}  // namespace

std::array<Pace, 2> pace_of(const Outing& outing, const Day& day) {
    std::array<double, 2> weighted{}, weight{};
    std::array<Pace, 2> paces;
    for (const Crew crew : both_crew) {
        double mean = 0;
        double variance = outing.risk.day * outing.risk.day + outing.risk.person * outing.risk.person;
        for (const KnownPerson& known : outing.risk.people)
            if (known.name == outing.person(crew).name && known.factor > 0) {
                mean = std::log(known.factor);
                variance = outing.risk.day * outing.risk.day + known.sigma * known.sigma;
            }
        if (variance <= 0) variance = 1e-9;
        weight[index(crew)] = 1 / variance;
        weighted[index(crew)] = mean / variance;
    }
    for (const AsRun& run : day.as_run) {
        if (!run.activity.step || run.running || run.assumed || run.end_assumed) continue;
        const Step& step = outing.step(*run.activity.step);
        if (day.delay[index(step.id)] != Seconds{0}) continue;
        const Seconds took = run.activity.duration - held_within(day, run.activity.start, run.activity.end());
        const Crew lead = day.situation.lead[index(step.task)].value_or(Crew::ev1);
        const auto planned = static_cast<double>(planned_duration(outing, step, lead).count());
        if (took <= Seconds{0} || planned <= 0) continue;
        const double sd = spread_of(step.duration);
        // A step that took five times as long, or a fifth, tells of something else than pace.
        const double log_ratio =
            std::clamp(std::log(static_cast<double>(took.count()) / planned), -std::log(5.0), std::log(5.0));
        for (const Crew crew : crew_in(step, lead)) {
            weight[index(crew)] += 1 / (sd * sd);
            weighted[index(crew)] += log_ratio / (sd * sd);
            ++paces[index(crew)].steps;
        }
    }
    for (std::size_t c = 0; c < 2; ++c) {
        if (paces[c].steps > 0) paces[c].factor = std::exp(weighted[c] / weight[c]);
        paces[c].sd = std::sqrt(1 / weight[c]);
    }
    return paces;
}

}  // namespace handrail::live
