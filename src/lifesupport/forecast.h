#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "lifesupport/consumption.h"

/// What a suit has left along a list of loads, and how surely. A forecast before the outing and one corrected by
/// readings are the same computation from a different SuitState.
namespace handrail::lifesupport {

/// A stretch of one person's outing at one metabolic rate: an activity or a wait.
struct Load {
    Pet start{};
    Seconds duration{};
    Watts metabolic;
    bool sunlit = true;

    Pet end() const { return start + duration; }
};

/// How far a suit and its wearer may be from their model: standard deviations, and the noise of the gauges. Everything
/// here is an assumption to replace by the programme's own data.
struct Noise {
    /// Mean metabolic rate of an outing, as a share (common practice; long outings are "remarkably consistent":
    /// Biomedical Results from Skylab, 1977).
    double outing_mean = 0.15;
    /// Metabolic rate of a single step, as a share, outing mean included (common practice). Not below outing_mean.
    double step = 0.30;
    /// CO2 per oxygen, as a share: 5 % between respiratory quotients 0.85 and 0.90 (computed from Weir 1949).
    double co2_ratio = 0.05;
    /// Leak, as a share of the planning value: 2 of 5 g/h (BVAD section 5.2.2, read second-hand); at least 1 g/h.
    double leak = 0.40;
    /// Heat leaking in beyond the suit type's own values (from memory).
    Watts heat{30};
    /// Electrical load, as a share (from memory).
    double electrical = 0.05;
    /// Slow change of the wearer's rate during the outing, as a share per square root of an hour (from memory).
    double drift_per_root_hour = 0.02;
    /// Slow change of the leak, per square root of an hour (from memory).
    KilogramsPerHour leak_drift_per_root_hour{0.003};
    /// One reading of a gauge, as a share of a full suit (from memory); CO2 is inferred and so less sure.
    double gauge = 0.01;
    double co2_gauge = 0.02;
    /// A longer time without a usable reading is a gap (from memory).
    Seconds stale_after{45 * 60};
};

/// How this wearer and suit differ from the model.
struct Factors {
    double metabolic = 1;   ///< multiplies every load
    double step = 0;        ///< added to `metabolic` for the load that is running; unknown again with each new load
    double co2_ratio = 1;   ///< multiplies CO2 breathed out
    Watts extra_heat;       ///< beyond the suit type's heat leak
    double electrical = 1;  ///< multiplies the electrical load
    KilogramsPerHour leak;  ///< of oxygen
};
inline constexpr std::size_t factor_count = 6;
inline constexpr std::size_t state_size = consumable_count + factor_count;

/// What is believed of one suit at a moment. Covariance is row by row: the consumables in their order (amount used),
/// then the factors in theirs (extra heat in W, leak in kg/h).
struct SuitState {
    Pet at{};
    std::optional<Pet> load;  ///< start of the load that Factors::step belongs to
    Amounts used{};
    Factors factors;
    std::array<double, state_size * state_size> covariance{};

    double sd_used(Consumable c) const;
    /// Standard deviation of Factors::metabolic.
    double sd_metabolic() const;
};

/// A suit of which nothing has been read yet. `used` is what has been drawn by `at`.
SuitState unread(const SuitType& suit, Pet at, const Noise& noise = {}, const Amounts& used = {});
/// The state at `until`, with this load drawing from `state.at` on. REQUIRES state.at <= until <= load.end().
SuitState advance(const SuitType& suit, SuitState state, const Load& load, Pet until, const Noise& noise = {});
/// What one second draws under these factors; with Factors of an unread suit it equals draw_per_second().
Amounts expected_draw(const SuitType& suit, const Factors& factors, Watts metabolic, bool sunlit);

/// A moment of the forecast: its start, or the end of a load.
struct Margin {
    Pet at{};
    std::optional<std::size_t> load;  ///< which load ends here; none at the start
    Amounts used{};
    Amounts left{};                   ///< capacity less used; 0 once used up; infinity where nothing limits
    Amounts sd{};                     ///< of `used`
    std::optional<Consumable> least;  ///< with the smallest time in hand; none for a suit without limits
    /// How long `least` would last beyond its reserve at the mean draw of this forecast; negative inside the reserve.
    Seconds in_hand{};
};

struct Forecast {
    Amounts capacity{}, reserve{};
    Amounts mean_draw{};          ///< per second over the forecast (without loads: at the reserve rate)
    std::vector<Margin> margins;  ///< the start, then the end of every load; never empty
    /// When the expected amount left meets the reserve and when it is used up, within the loads.
    std::array<std::optional<Pet>, consumable_count> reserve_at, used_up_at;
    Watts mean_metabolic;  ///< expected, time-weighted; 0 without loads

    const Margin& at_return() const { return margins.back(); }
    bool carries(Consumable c) const;
    /// Expected time beyond the reserve of one consumable at return, at the mean draw; none where nothing limits.
    std::optional<Seconds> in_hand(Consumable c) const;
    /// Probability that the reserve of this consumable has been touched at return (normal distribution).
    double chance_reserve_touched(Consumable c) const;
};

/// Runs `state` along the loads that end after it; time between loads draws nothing (a wait is a load).
/// REQUIRES loads in order, not overlapping.
Forecast forecast(const SuitType& suit, std::span<const Load> loads, const SuitState& state, const Noise& noise = {});
/// Before the outing: a full suit at the start of the first load.
Forecast forecast(const SuitType& suit, std::span<const Load> loads, const Noise& noise = {});

/// Half the width of the band that holds 90 of 100 outcomes, in standard deviations (normal distribution).
inline constexpr double band_90 = 1.6449;

}  // namespace handrail::lifesupport
