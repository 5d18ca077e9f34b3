#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "lifesupport/estimator.h"

/// A made-up wearer and suit that differ from the model as Noise says a real one may: truth for the tests and the
/// benchmark of the estimator, and for rehearsals.
namespace handrail::lifesupport {

/// The true amounts used along the loads of a simulated outing. Metabolic factors are log-normal, so never negative.
class SimulatedSuit {
public:
    /// Same seed, same truth, on any machine. REQUIRES loads in order, not overlapping.
    SimulatedSuit(const SuitType& suit, std::span<const Load> loads, const Noise& noise, std::uint64_t seed);

    /// Truly used by `at`; not limited by what the suit has.
    Amounts used(Pet at) const;
    /// What the gauges show at `at`: truth and noise, held between empty and full. The same moment, the same noise.
    Reading reading(Pet at) const;
    const Factors& factors() const { return factors_; }
    /// More oxygen lost per hour from now on than the model's leak, for rehearsing a fault.
    void leak_from(Pet at, KilogramsPerHour more);

private:
    SuitType suit_;
    std::vector<Load> loads_;
    Noise noise_;
    std::uint64_t seed_;
    Factors factors_;
    std::vector<double> step_factors_;  ///< by load, multiplies Factors::metabolic
    std::vector<std::pair<Pet, KilogramsPerHour>> leaks_;
};

}  // namespace handrail::lifesupport
