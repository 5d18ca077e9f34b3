#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <functional>

#include "outing/model.h"

/// The distributions of durations and their quantile tables.
namespace handrail::risk {

double normal_cdf(double z);
/// Inverse of normal_cdf on (0, 1), to 1e-15 relative: Acklam's rational approximation refined by one Halley step
/// against erfc.
double normal_quantile(double p);
/// The same to 1.15e-9 relative, in a third of the time: the approximation without the refining step.
double quick_normal_quantile(double p);

/// PERT: a beta distribution on [low, high] with shapes 1 + 4 (likely - low) / (high - low) and
/// 1 + 4 (high - likely) / (high - low); its mean is (low + 4 likely + high) / 6 (Malcolm and others 1959).
struct Pert {
    double low, likely, high;  ///< low <= likely <= high

    double alpha() const { return high > low ? 1 + 4 * (likely - low) / (high - low) : 1; }
    double beta() const { return high > low ? 1 + 4 * (high - likely) / (high - low) : 1; }
    double mean() const { return (low + 4 * likely + high) / 6; }
    /// Of the beta distribution itself; the rule ((high - low) / 6)² is only near it.
    double variance() const;
};

/// exp(N(ln median, sigma²)).
struct LogNormal {
    double median, sigma;

    static LogNormal from_percentiles(double p10, double p90);
    /// Mean 1 and this coefficient of variation.
    static LogNormal with_mean_one(double cv);
    double mean() const;
    double variance() const;
    double quantile(double p) const;
};

/// A quantile function on a grid that is fine where probabilities are small: each half of (0, 1) has 32 nodes an octave
/// down to 2^-16, straight lines between them. Looked up from 32 random bits without computing a normal deviate; the
/// lane version in replay.cpp does the same arithmetic.
class QuantileTable {
public:
    static constexpr int octaves = 15;
    static constexpr int per_octave = 32;
    static constexpr int half = octaves * per_octave + 2;

    QuantileTable() = default;
    /// `quantile` is asked for ascending p, all within [2^-17, 1 - 2^-17].
    explicit QuantileTable(const std::function<double(double)>& quantile);
    static QuantileTable of(const LogNormal& distribution);
    /// Of the PERT distribution with these shapes, on [0, 1].
    static QuantileTable of_beta(double alpha, double beta);

    float at(std::uint32_t raw) const { return look_up(value_.data(), raw); }
    static float look_up(const float* table, std::uint32_t raw) {
        const auto m = static_cast<std::int32_t>(raw & 0x7fffffffu);
        float f = static_cast<float>(m);
        f = f > 65536.0f ? f : 65536.0f;
        const auto bits = std::bit_cast<std::int32_t>(f);
        const std::int32_t i = (bits >> 18) - first + (raw >> 31 ? half : 0);
        const float rest = static_cast<float>(bits & 0x3ffff) * 0x1.0p-18f;
        return table[i] + (table[i + 1] - table[i]) * rest;
    }
    /// The random bits at which the table gives the p-quantile: 0 counts up from the bottom, 2^31 down from the top.
    static std::uint32_t bits_of(double p) {
        const double near = p < 0.5 ? p : 1 - p;
        const auto m = static_cast<std::uint32_t>(near * 0x1.0p32);
        return p < 0.5 ? (m < 0x7fffffffu ? m : 0x7fffffffu) : (0x80000000u | (m < 0x7fffffffu ? m : 0x7fffffffu));
    }
    static double probability_of(std::uint32_t raw) {
        const double m = (static_cast<double>(raw & 0x7fffffffu) + 0.5) * 0x1.0p-32;
        return raw >> 31 ? 1 - m : m;
    }
    const float* data() const { return value_.data(); }

    /// (bits of 2^16) >> 18.
    static constexpr std::int32_t first = (127 + 16) << 5;

private:
    std::array<float, 2 * half> value_{};  ///< lower half from 2^-16 up to 1/2, upper half from 1 - 2^-16 down to 1/2
};

}  // namespace handrail::risk
