#include "lifesupport/forecast.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "lifesupport/detail/state_matrix.h"
#include "lifesupport/metabolism.h"

namespace handrail::lifesupport {

using namespace detail;

namespace {

constexpr double seconds_per_hour = 3600.0;

/// Draw per second, and how it changes with each factor.
struct Rates {
    Amounts draw{};
    std::array<std::array<double, factor_count>, consumable_count> slope{};
};

Rates rates(const SuitType& suit, const Factors& factors, Watts metabolic, bool sunlit) {
    Rates out;
    const double work = std::max(0.0, factors.metabolic + factors.step);
    // The step's own factor changes every draw exactly as the wearer's does.
    const auto worked = [&out](Consumable c, double per_work) {
        out.slope[index(c)][metabolic_factor] = out.slope[index(c)][step_factor] = per_work;
    };
    if (suit.oxygen) {
        const double per_work = oxygen_flow(metabolic, suit.respiratory_quotient).value() / seconds_per_hour;
        out.draw[index(Consumable::oxygen)] = per_work * work + factors.leak.value() / seconds_per_hour;
        worked(Consumable::oxygen, per_work);
        out.slope[index(Consumable::oxygen)][leak_factor] = 1 / seconds_per_hour;
    }
    if (suit.co2_capacity) {
        const double per_work = co2_flow(metabolic, suit.respiratory_quotient).value() / seconds_per_hour;
        out.draw[index(Consumable::co2)] = per_work * work * factors.co2_ratio;
        worked(Consumable::co2, per_work * factors.co2_ratio);
        out.slope[index(Consumable::co2)][co2_factor] = per_work * work;
    }
    if (suit.feedwater) {
        const Watts heat = metabolic * work + suit.electrical_load * factors.electrical +
                           (sunlit ? suit.heat_leak_sunlit : suit.heat_leak_dark) + factors.extra_heat;
        out.draw[index(Consumable::water)] = water_flow(heat, suit.feedwater_temperature).value() / seconds_per_hour;
        if (heat.value() > 0) {
            const double per_watt = water_flow(Watts{1}, suit.feedwater_temperature).value() / seconds_per_hour;
            worked(Consumable::water, per_watt * metabolic.value());
            out.slope[index(Consumable::water)][heat_factor] = per_watt;
            out.slope[index(Consumable::water)][electrical_factor] = per_watt * suit.electrical_load.value();
        }
    }
    if (suit.battery) {
        const double per_factor = suit.electrical_load.value() / seconds_per_hour;
        out.draw[index(Consumable::battery)] = per_factor * factors.electrical;
        out.slope[index(Consumable::battery)][electrical_factor] = per_factor;
    }
    if (suit.breathing_gas) {
        const double per_work = suit.ventilation_per_watt_100.value() * (metabolic.value() / 100.0) / 60.0;
        out.draw[index(Consumable::gas)] = per_work * work;
        worked(Consumable::gas, per_work);
    }
    return out;
}

double seconds(Milliseconds time) { return static_cast<double>(time.count()) / 1000.0; }

Amounts mean_draw(const SuitType& suit, std::span<const Load> loads, const SuitState& start, const SuitState& end) {
    double time = 0;
    for (const Load& load : loads)
        time += seconds(std::max(Milliseconds{0}, load.end() - std::max(load.start, start.at)));
    if (time <= 0) return draw_per_second(suit, suit.reserve_rate, true);
    Amounts mean;
    for (std::size_t c = 0; c < consumable_count; ++c) mean[c] = (end.used[c] - start.used[c]) / time;
    return mean;
}

/// Seconds that an amount lasts at a draw; as good as for ever when nothing is drawn.
double lasting(double amount, double draw) {
    constexpr double for_ever = 1e9;  // 30 years: only to keep the number finite
    if (draw <= 0) return amount < 0 ? -for_ever : for_ever;
    return std::clamp(amount / draw, -for_ever, for_ever);
}

Margin margin_of(const SuitState& state, const Forecast& plan) {
    Margin margin;
    margin.at = state.at;
    margin.used = state.used;
    double least = std::numeric_limits<double>::infinity();
    for (Consumable c : all_consumables) {
        const std::size_t i = index(c);
        margin.left[i] = std::max(0.0, plan.capacity[i] - state.used[i]);
        margin.sd[i] = state.sd_used(c);
        if (!plan.carries(c)) continue;
        const double time = lasting(plan.capacity[i] - state.used[i] - plan.reserve[i], plan.mean_draw[i]);
        if (time < least) {
            least = time;
            margin.least = c;
        }
    }
    if (margin.least) margin.in_hand = Seconds{std::llround(std::floor(least))};
    return margin;
}

/// When a draw that grows evenly from `from` to `to` passes `level`, if it does.
std::optional<Pet> passing(Pet start, Pet end, double from, double to, double level) {
    if (!(from < level && to >= level)) return std::nullopt;
    return start +
           Milliseconds{std::llround(static_cast<double>((end - start).count()) * (level - from) / (to - from))};
}

}  // namespace

double SuitState::sd_used(Consumable c) const {
    return std::sqrt(std::max(0.0, covariance[index(c) * state_size + index(c)]));
}

double SuitState::sd_metabolic() const {
    const std::size_t i = consumable_count + metabolic_factor;
    return std::sqrt(std::max(0.0, covariance[i * state_size + i]));
}

SuitState unread(const SuitType& suit, Pet at, const Noise& noise, const Amounts& used) {
    SuitState state;
    state.at = at;
    state.used = used;
    state.factors.leak = suit.leak;
    StateMatrix covariance = StateMatrix::Zero();
    const auto variance = [&covariance](FactorIndex factor, double sd) {
        covariance(consumable_count + factor, consumable_count + factor) = sd * sd;
    };
    variance(metabolic_factor, noise.outing_mean);
    variance(co2_factor, noise.co2_ratio);
    variance(heat_factor, noise.heat.value());
    variance(electrical_factor, noise.electrical);
    constexpr double least_leak_sd = 0.001;  // kg/h, Noise::leak
    variance(leak_factor, std::max(least_leak_sd, noise.leak * suit.leak.value()));
    store(covariance, state);
    return state;
}

SuitState advance(const SuitType& suit, SuitState state, const Load& load, Pet until, const Noise& noise) {
    assert(state.at <= until && until <= load.end());
    StateMatrix covariance = matrix(state);
    if (state.load != load.start) {
        // A new step: its own factor is unknown. (1 + c²)(1 + s²) = 1 + step² gives every step the stated spread, and
        // makes the variance of a sum (1 + c²)(S² + Σσ²) - S², the exact one for steps that share a day factor.
        const double shared = noise.outing_mean * noise.outing_mean;
        const double own = std::max(0.0, (1 + noise.step * noise.step) / (1 + shared) - 1);
        const std::size_t i = consumable_count + step_factor;
        const double wearer = covariance(consumable_count + metabolic_factor, consumable_count + metabolic_factor);
        covariance.row(i).setZero();
        covariance.col(i).setZero();
        covariance(i, i) = own * (state.factors.metabolic * state.factors.metabolic + wearer);
        state.factors.step = 0;
        state.load = load.start;
    }
    const double time = seconds(until - std::max(state.at, load.start));
    state.at = until;
    if (time > 0) {
        const Rates rate = rates(suit, state.factors, load.metabolic, load.sunlit);
        StateMatrix step = StateMatrix::Identity();
        for (std::size_t c = 0; c < consumable_count; ++c) {
            state.used[c] += rate.draw[c] * time;
            for (std::size_t f = 0; f < factor_count; ++f) step(c, consumable_count + f) = rate.slope[c][f] * time;
        }
        covariance = step * covariance * step.transpose();
        const double drift = noise.drift_per_root_hour;
        covariance(consumable_count + metabolic_factor, consumable_count + metabolic_factor) +=
            drift * drift * time / seconds_per_hour;
        const double leak = noise.leak_drift_per_root_hour.value();
        covariance(consumable_count + leak_factor, consumable_count + leak_factor) +=
            leak * leak * time / seconds_per_hour;
    }
    store(covariance, state);
    return state;
}

Amounts expected_draw(const SuitType& suit, const Factors& factors, Watts metabolic, bool sunlit) {
    return rates(suit, factors, metabolic, sunlit).draw;
}

bool Forecast::carries(Consumable c) const { return std::isfinite(capacity[index(c)]); }

std::optional<Seconds> Forecast::in_hand(Consumable c) const {
    if (!carries(c)) return std::nullopt;
    const std::size_t i = index(c);
    return Seconds{std::llround(std::floor(lasting(capacity[i] - at_return().used[i] - reserve[i], mean_draw[i])))};
}

double Forecast::chance_reserve_touched(Consumable c) const {
    if (!carries(c)) return 0;
    const std::size_t i = index(c);
    const double beyond = capacity[i] - reserve[i] - at_return().used[i];
    const double sd = at_return().sd[i];
    if (sd <= 0) return beyond < 0 ? 1 : 0;
    return 0.5 * std::erfc(beyond / sd / std::sqrt(2.0));
}

Forecast forecast(const SuitType& suit, std::span<const Load> loads, const SuitState& state, const Noise& noise) {
    Forecast plan;
    plan.capacity = capacity(suit);
    plan.reserve = reserve(suit);
    std::vector<std::pair<std::size_t, SuitState>> ends;
    SuitState now = state;
    for (std::size_t c = 0; c < consumable_count; ++c) {
        if (state.used[c] >= plan.capacity[c] - plan.reserve[c]) plan.reserve_at[c] = state.at;
        if (state.used[c] >= plan.capacity[c]) plan.used_up_at[c] = state.at;
    }
    double work = 0, time = 0;
    for (std::size_t i = 0; i < loads.size(); ++i) {
        const Load& load = loads[i];
        if (load.end() <= state.at) continue;
        const SuitState before = now;
        now = advance(suit, now, load, load.end(), noise);
        const double lasted = seconds(load.end() - std::max(load.start, before.at));
        work += lasted * load.metabolic.value() * std::max(0.0, now.factors.metabolic + now.factors.step);
        time += lasted;
        for (std::size_t c = 0; c < consumable_count; ++c) {
            const Pet start = std::max(load.start, before.at);
            if (!plan.reserve_at[c])
                plan.reserve_at[c] =
                    passing(start, load.end(), before.used[c], now.used[c], plan.capacity[c] - plan.reserve[c]);
            if (!plan.used_up_at[c])
                plan.used_up_at[c] = passing(start, load.end(), before.used[c], now.used[c], plan.capacity[c]);
        }
        ends.emplace_back(i, now);
    }
    plan.mean_metabolic = Watts{time > 0 ? work / time : 0};
    plan.mean_draw = mean_draw(suit, loads, state, now);
    plan.margins.push_back(margin_of(state, plan));
    for (const auto& [load, end] : ends) {
        plan.margins.push_back(margin_of(end, plan));
        plan.margins.back().load = load;
    }
    return plan;
}

Forecast forecast(const SuitType& suit, std::span<const Load> loads, const Noise& noise) {
    return forecast(suit, loads, unread(suit, loads.empty() ? Pet{} : loads.front().start, noise), noise);
}

}  // namespace handrail::lifesupport
