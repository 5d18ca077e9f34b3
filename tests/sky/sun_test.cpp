#include "sky/sun.h"

#include <fmt/format.h>

#include <cmath>

#include "support.h"

namespace handrail::sky {
namespace {

constexpr double arcseconds = 3600 / radians_per_degree;

double right_ascension_deg(Vec3 v) {
    const double ra = std::atan2(v.y, v.x) / radians_per_degree;
    return ra < 0 ? ra + 360 : ra;
}
double declination_deg(Vec3 v) { return std::asin(v.z / length(v)) / radians_per_degree; }

TEST(Sun, StandsWhereMeeusExamplesPutIt) {
    // Meeus, Astronomical Algorithms (2nd ed. 1998), example 25.a: 1992 October 13.0 TD, a method good to 0.01 degree.
    const Vec3 sun = sun_true_of_date_km({2448908.5, 0});
    EXPECT_NEAR(right_ascension_deg(sun), 198.38083, 0.01);
    EXPECT_NEAR(declination_deg(sun), -7.78507, 0.01);
    EXPECT_NEAR(length(sun) / 149597870.7, 0.99766, 1e-4);
    // Example 25.b with the complete VSOP87 theory: 13h13m30.749s, -7d47m01.74s, 0.99760853 au.
    EXPECT_NEAR(right_ascension_deg(sun), 198.3781208, 1e-4);
    EXPECT_NEAR(declination_deg(sun), -7.7838167, 1e-4);
    // Ours is the distance when the light left, 8.3 min before: up to 2e-6 au from the one of the moment.
    EXPECT_NEAR(length(sun) / 149597870.7, 0.99760853, 2e-6);
}

TEST(Sun, AgreesWithTwoLibrariesFrom2020To2035) {
    std::string input;
    std::vector<double> days;
    for (double d = 7305.0; d < 13149; d += 29.53) days.push_back(d);  // 2020-01-01 to 2035-12-31
    for (double d : days) input += fmt::format("{:.17g}\n", d);
    const auto output = test::python("erfa, ephem", "sun_oracle.py", input);
    if (!output) GTEST_SKIP() << "left out: python3-erfa or python3-ephem is not installed";
    std::istringstream in(*output);
    double worst_ephem = 0, worst_teme = 0;
    for (double d : days) {
        double ra = 0, dec = 0;
        Vec3 teme;
        in >> ra >> dec >> teme.x >> teme.y >> teme.z;
        ASSERT_TRUE(in);
        const double a = ra * radians_per_degree, b = dec * radians_per_degree;
        const Vec3 ephem{std::cos(b) * std::cos(a), std::cos(b) * std::sin(a), std::sin(b)};
        worst_ephem = std::max(worst_ephem, angle_between(ephem, sun_true_of_date_km({2451545.0, d})));
        worst_teme = std::max(worst_teme, angle_between(teme, sun_teme_km({2451545.0, d})));
    }
    std::cout << fmt::format("    ephem, of date: {:.2f} arcsec; erfa by way of the Earth-fixed frame, TEME: {:.4f}\n",
                             worst_ephem * arcseconds, worst_teme * arcseconds);
    EXPECT_LT(worst_ephem * arcseconds, 36);  // 0.01 degree
    EXPECT_LT(worst_teme * arcseconds, 0.1);
}

TEST(Sun, TemeAndTrueOfDateDifferByTheEquationOfTheEquinoxesTheRightWayRound) {
    // Frames that know no sign of ours are the check in AgreesWithTwoLibrariesFrom2020To2035; this one runs without
    // Python.
    const JulianDate date = terrestrial_date(test::utc("2030-03-20T12:00:00Z"));
    const double angle = angle_between(sun_true_of_date_km(date), sun_teme_km(date)) * arcseconds;
    EXPECT_GT(angle, 10);
    EXPECT_LT(angle, 18);
    // python3-erfa 2.0.0.1, within 0.07 arcsec of the sun in astropy 5.2.1's own TEME frame. With the other sign of the
    // equation of the equinoxes the sun would be 31 arcsec off.
    const Vec3 sun = unit(sun_teme_km(date));
    EXPECT_LT(angle_between(sun, {0.999998993, -0.001312907, -0.000539420}) * arcseconds, 0.01);
}

TEST(Sun, ForTheReferenceTableAgreesInTeme) {
    const auto rows = test::table(test::reference("lighting/states-10s.csv"));
    if (rows.empty()) GTEST_SKIP() << "left out: ../shared/reference/lighting is not here";
    double worst = 0, worst_km = 0;
    for (std::size_t i = 0; i < rows.size(); i += 97) {
        const auto& row = rows[i];
        const Vec3 want{std::stod(row.at("sun_x")), std::stod(row.at("sun_y")), std::stod(row.at("sun_z"))};
        const Vec3 sun = sun_teme_km(terrestrial_date(test::utc(row.at("utc"))));
        worst = std::max(worst, angle_between(sun, want));
        worst_km = std::max(worst_km, std::abs(length(sun) - std::stod(row.at("sun_distance_km"))));
    }
    EXPECT_LT(worst * arcseconds, 0.001);
    EXPECT_LT(worst_km, 2);
}

TEST(SunPath, BetweenItsNodesEqualsErfa) {
    const Utc start = test::utc("2031-04-05T08:30:00Z");
    const SunPath path(start, -7200, 43200);
    for (int t = -7200; t <= 43200; t += 1800) {
        const Vec3 exact = sun_teme_km(terrestrial_date(start + Seconds{t}));
        EXPECT_LT(angle_between(path.teme_km(t), exact), 1e-10) << t;
    }
}

}  // namespace
}  // namespace handrail::sky
