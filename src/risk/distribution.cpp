#include "risk/distribution.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace handrail::risk {

double normal_cdf(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

double quick_normal_quantile(double p) {
    // Acklam 2003, "An algorithm for computing the inverse normal cumulative distribution function", relative error
    // below 1.15e-9.
    constexpr std::array a{-3.969683028665376e+01, 2.209460984245205e+02,  -2.759285104469687e+02,
                           1.383577518672690e+02,  -3.066479806614716e+01, 2.506628277459239e+00};
    constexpr std::array b{-5.447609879822406e+01, 1.615858368580409e+02, -1.556989798598866e+02, 6.680131188771972e+01,
                           -1.328068155288572e+01};
    constexpr std::array c{-7.784894002430293e-03, -3.223964580411365e-01, -2.400758277161838e+00,
                           -2.549732539343734e+00, 4.374664141464968e+00,  2.938163982698783e+00};
    constexpr std::array d{7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00, 3.754408661907416e+00};
    const auto tail = [&](double q) {
        return (((((c[0] * q + c[1]) * q + c[2]) * q + c[3]) * q + c[4]) * q + c[5]) /
               ((((d[0] * q + d[1]) * q + d[2]) * q + d[3]) * q + 1);
    };
    constexpr double low = 0.02425;
    if (p < low) return tail(std::sqrt(-2 * std::log(p)));
    if (p > 1 - low) return -tail(std::sqrt(-2 * std::log1p(-p)));
    const double q = p - 0.5;
    const double r = q * q;
    return (((((a[0] * r + a[1]) * r + a[2]) * r + a[3]) * r + a[4]) * r + a[5]) * q /
           (((((b[0] * r + b[1]) * r + b[2]) * r + b[3]) * r + b[4]) * r + 1);
}

double normal_quantile(double p) {
    const double z = quick_normal_quantile(p);
    const double e = normal_cdf(z) - p;
    const double u = e * std::sqrt(2 * std::numbers::pi) * std::exp(z * z / 2);
    return z - u / (1 + z * u / 2);
}

double Pert::variance() const {
    const double a = alpha();
    const double b = beta();
    const double width = high - low;
    return width * width * a * b / ((a + b) * (a + b) * (a + b + 1));
}

LogNormal LogNormal::from_percentiles(double p10, double p90) {
    const double z90 = normal_quantile(0.9);
    return {std::sqrt(p10 * p90), std::log(p90 / p10) / (2 * z90)};
}

LogNormal LogNormal::with_mean_one(double cv) {
    const double variance = std::log1p(cv * cv);
    return {std::exp(-variance / 2), std::sqrt(variance)};
}

double LogNormal::mean() const { return median * std::exp(sigma * sigma / 2); }
double LogNormal::variance() const { return mean() * mean() * std::expm1(sigma * sigma); }
double LogNormal::quantile(double p) const { return median * std::exp(sigma * normal_quantile(p)); }

QuantileTable::QuantileTable(const std::function<double(double)>& quantile) {
    const auto node = [](int k) {
        return std::ldexp(1.0 + (k % per_octave) / static_cast<double>(per_octave), k / per_octave - 16);
    };
    const int last = octaves * per_octave;  // probability 1/2
    for (int k = 0; k <= last; ++k) value_[static_cast<std::size_t>(k)] = static_cast<float>(quantile(node(k)));
    for (int k = last; k >= 0; --k)
        value_[static_cast<std::size_t>(half + k)] = static_cast<float>(quantile(1 - node(k)));
    value_[half - 1] = value_[half - 2];
    value_[2 * half - 1] = value_[2 * half - 2];
}

QuantileTable QuantileTable::of(const LogNormal& distribution) {
    if (distribution.sigma <= 0) return QuantileTable([&](double) { return distribution.median; });
    return QuantileTable([&](double p) { return distribution.quantile(p); });
}

QuantileTable QuantileTable::of_beta(double alpha, double beta) {
    // Integrates the density over x = (1 - cos t) / 2, which flattens both ends, by Simpson's rule, and walks along the
    // sums as p rises: a thousand quantiles cost what two beta functions would.
    constexpr int cells = 1024;
    const auto x_of = [](double t) { return (1 - std::cos(t)) / 2; };
    const auto density = [&](double t) {
        const double x = x_of(t);
        if (x <= 0 || x >= 1) return 0.0;
        return std::exp((alpha - 1) * std::log(x) + (beta - 1) * std::log1p(-x)) * std::sin(t) / 2;
    };
    const double step = std::numbers::pi / cells;
    std::vector<double> sum(cells + 1, 0.0);
    std::vector<double> edge(cells + 1);
    std::vector<double> middle(cells);
    for (int i = 0; i <= cells; ++i) edge[static_cast<std::size_t>(i)] = density(i * step);
    for (std::size_t i = 0; i < cells; ++i) {
        middle[i] = density((static_cast<double>(i) + 0.5) * step);
        sum[i + 1] = sum[i] + step / 6 * (edge[i] + 4 * middle[i] + edge[i + 1]);
    }
    const double all = sum.back();
    std::size_t cell = 0;
    return QuantileTable([&](double p) {
        const double wanted = p * all;
        while (cell + 1 < cells && sum[cell + 1] < wanted) ++cell;
        // Within a cell the density is a parabola through its three values: solve its integral by Newton's method.
        const double f0 = edge[cell];
        const double slope = -3 * f0 + 4 * middle[cell] - edge[cell + 1];
        const double bend = 2 * f0 - 4 * middle[cell] + 2 * edge[cell + 1];
        const double target = (wanted - sum[cell]) / step;
        double s = 0.5;
        for (int i = 0; i < 8; ++i) {
            const double value = s * (f0 + s * (slope / 2 + s * bend / 3)) - target;
            const double rate = f0 + s * (slope + s * bend);
            if (rate <= 0) break;
            s = std::clamp(s - value / rate, 0.0, 1.0);
        }
        return x_of((static_cast<double>(cell) + s) * step);
    });
}

}  // namespace handrail::risk
