#include "lifesupport/simulate.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace handrail::lifesupport {
namespace {

// Our own generator and distributions: those of the standard library differ between its implementations.
/// SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014).
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed) {}

    std::uint64_t bits() {
        state_ += 0x9e3779b97f4a7c15u;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return z ^ (z >> 31);
    }
    /// Above 0, at most 1.
    double share() { return (static_cast<double>(bits() >> 11) + 1) * 0x1.0p-53; }
    /// Standard normal (Box and Muller 1958).
    double normal() {
        const double radius = std::sqrt(-2 * std::log(share()));
        return radius * std::cos(2 * std::numbers::pi * share());
    }
    /// Log-normal of mean 1 and this coefficient of variation.
    double factor(double cv) {
        const double variance = std::log1p(cv * cv);
        return std::exp(std::sqrt(variance) * normal() - variance / 2);
    }

private:
    std::uint64_t state_;
};

}  // namespace

SimulatedSuit::SimulatedSuit(const SuitType& suit, std::span<const Load> loads, const Noise& noise, std::uint64_t seed)
    : suit_(suit), loads_(loads.begin(), loads.end()), noise_(noise), seed_(seed) {
    Random random(seed);
    factors_.metabolic = random.factor(noise.outing_mean);
    factors_.co2_ratio = random.factor(noise.co2_ratio);
    factors_.extra_heat = noise.heat * random.normal();
    factors_.electrical = random.factor(noise.electrical);
    factors_.leak = suit.leak * random.factor(noise.leak);
    const double shared = noise.outing_mean * noise.outing_mean;
    const double own = std::sqrt(std::max(0.0, (1 + noise.step * noise.step) / (1 + shared) - 1));
    for (std::size_t i = 0; i < loads_.size(); ++i) step_factors_.push_back(random.factor(own));
}

Amounts SimulatedSuit::used(Pet at) const {
    Amounts total{};
    for (std::size_t i = 0; i < loads_.size(); ++i) {
        const Load& load = loads_[i];
        if (load.start >= at) break;
        Factors factors = factors_;
        factors.metabolic *= step_factors_[i];
        const Amounts draw = expected_draw(suit_, factors, load.metabolic, load.sunlit);
        const double time = std::chrono::duration<double>(std::min(at, load.end()) - load.start).count();
        for (std::size_t c = 0; c < consumable_count; ++c) total[c] += draw[c] * time;
    }
    for (const auto& [from, more] : leaks_)
        if (suit_.oxygen && at > from)
            total[index(Consumable::oxygen)] +=
                more.value() * std::chrono::duration<double>(at - from).count() / 3600.0;
    return total;
}

Reading SimulatedSuit::reading(Pet at) const {
    Random random(seed_ ^ (static_cast<std::uint64_t>(at.time_since_epoch().count()) * 0x9e3779b97f4a7c15u));
    const Amounts full = capacity(suit_);
    const Amounts gone = used(at);
    Reading shown;
    shown.at = at;
    for (Consumable c : all_consumables) {
        const std::size_t i = index(c);
        const double noise = gauge_sd(suit_, c, noise_) * random.normal();
        if (std::isfinite(full[i])) shown.left[i] = std::clamp(full[i] - gone[i] + noise, 0.0, full[i]);
    }
    return shown;
}

void SimulatedSuit::leak_from(Pet at, KilogramsPerHour more) { leaks_.emplace_back(at, more); }

}  // namespace handrail::lifesupport
