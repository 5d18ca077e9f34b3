#include "risk/distribution.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

namespace handrail::risk {
namespace {

double quantity(const std::string& kind, const std::array<double, 3>& v, const std::string& which) {
    if (kind == "normal") return normal_quantile(v[0]);
    if (kind == "pert") {
        const Pert pert{v[0], v[1], v[2]};
        if (which == "mean") return pert.mean();
        if (which == "alpha") return pert.alpha();
        if (which == "beta") return pert.beta();
        return std::sqrt(pert.variance());
    }
    const LogNormal fit = LogNormal::from_percentiles(v[0], v[1]);
    if (which == "sigma") return fit.sigma;
    return which == "median" ? fit.median : fit.mean();
}

TEST(Distribution, GivesThePublishedAndHandComputedValues) {
    std::ifstream file(std::string(HANDRAIL_SOURCE_DIR) + "/tests/data/risk_distributions.csv");
    std::string line;
    std::getline(file, line);
    int rows = 0;
    while (std::getline(file, line)) {
        std::istringstream cells(line);
        std::array<std::string, 7> cell;
        for (std::string& c : cell) std::getline(cells, c, ',');
        const std::array v{std::stod(cell[1]), std::stod(cell[2]), std::stod(cell[3])};
        EXPECT_NEAR(quantity(cell[0], v, cell[4]), std::stod(cell[5]), std::stod(cell[6])) << line;
        ++rows;
    }
    EXPECT_EQ(rows, 15);
}

/// Mean and standard deviation of a table over all its bits: every 2^16th number stands for its neighbours.
struct Moments {
    double mean = 0, sd = 0;
};
Moments moments_of(const QuantileTable& table) {
    double sum = 0;
    double squares = 0;
    constexpr int n = 1 << 16;
    for (int i = 0; i < n; ++i) {
        const double x = table.at((static_cast<std::uint32_t>(i) << 16) + 0x8000u);
        sum += x;
        squares += x * x;
    }
    const double mean = sum / n;
    return {mean, std::sqrt(squares / n - mean * mean)};
}

TEST(QuantileTable, KeepsMeanAndSpreadOfAPertDistribution) {
    const Pert pert{20, 25, 45};
    const Moments m = moments_of(QuantileTable::of_beta(pert.alpha(), pert.beta()));
    EXPECT_NEAR(20 + 25 * m.mean, pert.mean(), 0.002);
    EXPECT_NEAR(25 * m.sd, std::sqrt(pert.variance()), 0.002);
}

TEST(QuantileTable, KeepsMeanAndSpreadOfALogNormal) {
    for (double sigma : {0.05, 0.25, 0.6}) {
        const LogNormal exact{1.1, sigma};
        const Moments m = moments_of(QuantileTable::of(exact));
        EXPECT_NEAR(m.mean / exact.mean(), 1, 2e-4) << sigma;
        // The table ends at 2^-16 on either side, which takes a little of the widest spread.
        EXPECT_NEAR(m.sd / std::sqrt(exact.variance()), 1, 5e-3) << sigma;
    }
}

TEST(QuantileTable, GivesTheQuantileItIsAskedFor) {
    const LogNormal exact{30, 0.3};
    const QuantileTable table = QuantileTable::of(exact);
    for (double p : {0.0005, 0.01, 0.1, 0.33, 0.5, 0.501, 0.77, 0.95, 0.9995})
        EXPECT_NEAR(table.at(QuantileTable::bits_of(p)) / exact.quantile(p), 1, 3e-4) << p;
}

TEST(QuantileTable, OfABetaWithWholeShapesAgreesWithItsPolynomial) {
    // Beta(2, 2) has the distribution function 3x² - 2x³.
    const QuantileTable table = QuantileTable::of_beta(2, 2);
    for (double p : {0.001, 0.05, 0.3, 0.5, 0.8, 0.99}) {
        const double x = table.at(QuantileTable::bits_of(p));
        EXPECT_NEAR(3 * x * x - 2 * x * x * x, p, 2e-4 * p + 1e-5) << p;
    }
}

TEST(QuantileTable, NeverGoesDownAsProbabilityRises) {
    const QuantileTable table = QuantileTable::of_beta(1, 5);  // a peak at the very end
    float before = 0;
    for (int i = 1; i < 4000; ++i) {
        const float now = table.at(QuantileTable::bits_of(i / 4000.0));
        EXPECT_GE(now, before);
        before = now;
    }
}

TEST(LogNormal, WithMeanOneHasItsCoefficientOfVariation) {
    const LogNormal factor = LogNormal::with_mean_one(0.3);
    EXPECT_NEAR(factor.mean(), 1, 1e-12);
    EXPECT_NEAR(std::sqrt(factor.variance()), 0.3, 1e-12);
}

}  // namespace
}  // namespace handrail::risk
