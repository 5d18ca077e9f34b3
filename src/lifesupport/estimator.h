#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "lifesupport/forecast.h"

/// Readings of a suit's gauges re-estimate how its wearer and the suit differ from the model: an extended Kalman filter
/// (Kalman 1960; Jazwinski, Stochastic Processes and Filtering Theory, 1970) over the amounts used and six factors,
/// whose spread is stated in Noise. Nothing is swallowed: every value comes back with what was done with it.
namespace handrail::lifesupport {

/// What the gauges of one suit showed, in the order it was logged. Amounts left, in the consumable's unit.
struct Reading {
    Pet at{};
    std::array<std::optional<double>, consumable_count> left{};
};

enum class Remark : std::uint8_t {
    // not used
    repeated,      ///< same time and value as one before it
    conflicting,   ///< same time as one before it, another value
    not_carried,   ///< this suit type does not carry it
    impossible,    ///< not a number, below zero, or above a full suit by more than the gauge's noise
    before_start,  ///< before the forecast begins
    after_end,     ///< after the last load: nothing says what the wearer did
    rises,         ///< more left than was read before, beyond the gauge's noise
    far_above,     ///< far more left than believed possible
    contradicted,  ///< far below, and a later one rises above it: one of the two is wrong, and belief was against this
    // used
    out_of_order,    ///< logged after a later one
    rises_in_noise,  ///< more left than was read before, within the gauge's noise
    far_below,       ///< far less left than believed possible: taken as real, and the spread widened
    after_gap        ///< the first after a long time without any
};
/// A value with any of these remarks takes no part in the estimate.
bool excludes(Remark);
/// "rises where it cannot", "logged late", ...
std::string_view word(Remark);

/// What was done with one value of one reading.
struct JudgedValue {
    std::size_t reading = 0;  ///< which of the readings given
    Pet at{};
    Consumable consumable{};
    double found = 0;
    std::optional<double> expected;  ///< left as believed just before it, where that was asked
    double sd = 0;                   ///< of `expected` and the gauge together
    std::vector<Remark> remarks;

    bool used() const;
};
/// "02:10 oxygen 0.310 kg: rises where it cannot (expected 0.291 kg); not used."
std::string sentence(const JudgedValue& value);

struct Estimate {
    SuitState state;                  ///< at the last value used, or as it began
    std::vector<JudgedValue> values;  ///< every value of every reading, in time order
    std::optional<Pet> last_used;     ///< time of the last value used
    std::size_t used = 0;             ///< readings of which some value was used

    /// No value used for longer than Noise::stale_after (or none at all since the start).
    bool stale(Pet now, const Noise& noise = {}) const;
};

/// Takes the readings in time order along the loads. `begin` is the suit before the first of them.
/// Same readings, same estimate. REQUIRES loads in order, not overlapping.
Estimate estimate(const SuitType& suit, std::span<const Load> loads, std::span<const Reading> readings,
                  const SuitState& begin, const Noise& noise = {});
/// From a full suit at the start of the first load.
Estimate estimate(const SuitType& suit, std::span<const Load> loads, std::span<const Reading> readings,
                  const Noise& noise = {});

/// Standard deviation of one reading of this gauge, in the consumable's unit; 0 where the type does not carry it.
double gauge_sd(const SuitType& suit, Consumable consumable, const Noise& noise = {});

}  // namespace handrail::lifesupport
