#include <algorithm>
#include <cmath>

#include "risk/program.h"

/// The part of a program that does not depend on the plan: suits, daylight, rules.
namespace handrail::risk::detail {
namespace {

using lifesupport::Amounts;
using lifesupport::consumable_count;

/// Every draw is affine in the metabolic rate and in whether the sun shines: three evaluations give all of it.
Suit suit_of(const Problem& problem, Crew c) {
    const Outing& outing = *problem.outing;
    const SuitType& type = outing.suit_of(c);
    constexpr double probe = 1000;  // W: any rate will do
    const Amounts still = lifesupport::draw_per_second(type, Watts{0}, false);
    const Amounts warm = lifesupport::draw_per_second(type, Watts{probe}, false);
    const Amounts sunlit = lifesupport::draw_per_second(type, Watts{probe}, true);
    const Amounts at_reserve = lifesupport::draw_per_second(type, type.reserve_rate, true);
    const Amounts full = lifesupport::capacity(type);
    const auto& state = problem.situation->crew[index(c)];
    Suit suit;
    suit.rest_watts =
        static_cast<float>(lifesupport::metabolic_rate(outing.rules, outing.person(c), Effort::rest).value());
    suit.from = state.outside ? static_cast<float>(since_zero(state.free_at).count()) : 0.0f;
    for (std::size_t i = 0; i < consumable_count; ++i) {
        if (!std::isfinite(full[i])) continue;
        const auto k = static_cast<std::size_t>(suit.count++);
        suit.which[k] = static_cast<int>(i);
        suit.base[k] = static_cast<float>(state.used[i]);
        suit.rate[k] = static_cast<float>(still[i]);
        suit.per_watt[k] = static_cast<float>((warm[i] - still[i]) / probe);
        suit.lit[k] = static_cast<float>(sunlit[i] - warm[i]);
        suit.usable[k] = static_cast<float>(problem.usable[index(c)][i]);
        suit.full[k] = static_cast<float>(full[i]);
        suit.per_reserve[k] = static_cast<float>(at_reserve[i]);
    }
    return suit;
}

std::vector<float> sunlit_seconds(const Problem& problem) {
    const int cells = static_cast<int>(std::ceil(3.0 * problem.limit / Ground::sunlit_step)) + 2;
    std::vector<float> sum;
    for (int k = 0; k < cells; ++k) {
        const double until = static_cast<double>(k) * Ground::sunlit_step;
        double lit = problem.daylight_known ? 0 : until;
        for (const Window& window : problem.daylight) {
            const double from = std::max(0.0, static_cast<double>(window.from().time_since_epoch().count()) / 1000);
            const double to = std::min(until, static_cast<double>(window.to().time_since_epoch().count()) / 1000);
            lit += std::max(0.0, to - from);
        }
        sum.push_back(static_cast<float>(lit));
    }
    return sum;
}

}  // namespace

Ground ground_of(const Model& model, const Problem& problem, const Factors& factors) {
    const Outing& outing = *problem.outing;
    const Slots& slots = model.slots();
    Ground ground;
    ground.model = &model;
    ground.problem = &problem;
    ground.sunlit = sunlit_seconds(problem);
    ground.limit = static_cast<float>(problem.limit);
    ground.margin = static_cast<float>(problem.margin);
    ground.clean_up = static_cast<float>(problem.clean_up);
    ground.ingress = static_cast<float>(problem.ingress);
    ground.clean_up_draw = model.airlock(outing.rules.clean_up, slots.clean_up);
    ground.ingress_draw = model.airlock(outing.rules.ingress, slots.ingress);
    ground.check_every = static_cast<float>(problem.check_every);
    ground.check = static_cast<float>(problem.check);
    ground.heavy_limit = static_cast<float>(problem.heavy_limit);
    ground.rest = static_cast<float>(problem.rest);
    ground.now = static_cast<float>(since_zero(problem.situation->now).count());
    ground.one_voice = problem.one_voice;
    ground.confidence = model.risk().confidence.value();
    ground.step_confidence = 1 - (1 - ground.confidence) / 3;
    double variance = 0;  // of the logarithm of the day's and EV1's factors together; EV2's is alike
    for (std::size_t k = 0; k < 3; ++k) {
        const double together = factors.spread[0][k] + factors.spread[1][k];
        variance += together * together;
    }
    ground.factor_cv = std::sqrt(std::expm1(variance));
    for (Crew c : both_crew) {
        const std::size_t k = index(c);
        const auto excess = [&](Effort effort) {
            return static_cast<float>(
                lifesupport::metabolic_rate(outing.rules, outing.person(c), effort).value() -
                lifesupport::metabolic_rate(outing.rules, outing.person(c), Effort::rest).value());
        };
        ground.suits[k] = suit_of(problem, c);
        ground.home_draw[k] = model.way(Seconds{1}, model.risk().translation, slots.home[k], c);
        ground.check_excess[k] = excess(Effort::light) * ground.check;
        ground.way_excess[k] = excess(Effort::translate);
        ground.clean_up_excess[k] = excess(Effort::light);
        ground.ingress_excess[k] = excess(Effort::airlock);
        // 4.2 standard deviations: the end of the quantile tables.
        ground.most_metabolic =
            std::max(ground.most_metabolic,
                     static_cast<float>(std::exp(factors.metabolic_mean[k] + 4.3 * factors.metabolic_sigma[k])));
    }
    return ground;
}

}  // namespace handrail::risk::detail
