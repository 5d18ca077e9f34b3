#pragma once

#include <Eigen/Core>

#include "lifesupport/forecast.h"

/// SuitState's covariance as a matrix: only forecast.cpp and estimator.cpp read this header, so that nobody else
/// compiles Eigen.
namespace handrail::lifesupport::detail {

/// Place of each of the Factors after the consumables.
enum FactorIndex : std::size_t {
    metabolic_factor,
    step_factor,
    co2_factor,
    heat_factor,
    electrical_factor,
    leak_factor
};

using StateMatrix = Eigen::Matrix<double, static_cast<int>(state_size), static_cast<int>(state_size), Eigen::RowMajor>;
using StateVector = Eigen::Matrix<double, static_cast<int>(state_size), 1>;

inline StateMatrix matrix(const SuitState& state) { return Eigen::Map<const StateMatrix>(state.covariance.data()); }
/// Stores the symmetric part, so that rounding never builds up a skew.
inline void store(const StateMatrix& covariance, SuitState& state) {
    Eigen::Map<StateMatrix>(state.covariance.data()) = 0.5 * (covariance + covariance.transpose());
}

}  // namespace handrail::lifesupport::detail
