#include "sky/shadow.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "support.h"

namespace handrail::sky {
namespace {

using test::Row;

struct Event {
    double at_s;
    std::string what;
};

/// Every crossing of a span, in order of time.
std::vector<Event> crossings(const Orbit& orbit, Utc start, double to_s) {
    const ShadowTimes times = shadow_times(Ephemeris(orbit, start, 0, to_s));
    std::vector<Event> events;
    const auto add = [&](double t, const char* what) {
        if (t > 0 && t < to_s) events.push_back({t, what});
    };
    for (const Stretch& dark : complement(times.sun, 0, to_s)) {
        add(dark.from_s, "penumbra entry");
        add(dark.to_s, "penumbra exit");
    }
    for (const Stretch& dark : times.umbra) {
        add(dark.from_s, "umbra entry");
        add(dark.to_s, "umbra exit");
    }
    std::sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.at_s < b.at_s; });
    return events;
}

/// Compares our crossings of an orbit with rows event,utc that start at `start`; the rows may stop early.
void compare(const Orbit& orbit, Utc start, double to_s, const std::vector<Row>& rows) {
    const auto events = crossings(orbit, start, to_s);
    ASSERT_GE(events.size(), rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        EXPECT_EQ(events[i].what, rows[i].at("event"));
        const double want = static_cast<double>((test::utc(rows[i].at("utc")) - start).count()) * 1e-3;
        EXPECT_NEAR(events[i].at_s, want, 0.02) << rows[i].at("utc");
    }
}

TEST(Shadow, CrossingsOfSyntheticOrbitsMatchIndependentLibraries) {
    std::map<std::string, std::vector<Row>> by_orbit;
    for (const Row& row : test::data("light-crossings.csv")) by_orbit[row.at("line1")].push_back(row);
    ASSERT_EQ(by_orbit.size(), 3u);
    for (const auto& [line1, rows] : by_orbit) {
        SCOPED_TRACE(line1);
        const Orbit orbit = test::orbit(line1, rows[0].at("line2"));
        compare(orbit, nearest(orbit.elements.epoch), 8 * 3600, rows);
    }
}

TEST(Shadow, GrazingPassesShrinkToPenumbraAndThenToNothing) {
    // The table holds all 14 crossings of the grazing orbit: ours has no more and no fewer.
    std::vector<Row> rows;
    for (const Row& row : test::data("light-crossings.csv"))
        if (row.at("line1").starts_with("1 90004")) rows.push_back(row);
    ASSERT_EQ(rows.size(), 14u);
    const Orbit orbit = test::orbit(rows[0].at("line1"), rows[0].at("line2"));
    EXPECT_EQ(crossings(orbit, nearest(orbit.elements.epoch), 8 * 3600).size(), 14u);
}

TEST(Shadow, EveryCrossingOfTheReferenceTableIsThere) {
    const auto all = test::table(test::reference("lighting/crossings-check.csv"));
    if (all.empty()) GTEST_SKIP() << "left out: ../shared/reference/lighting is not here";
    std::ifstream elements(test::reference("lighting/elements.tle"));
    for (std::string line1, line2; std::getline(elements, line1) && std::getline(elements, line2);) {
        std::vector<Row> rows;
        for (const Row& row : all)
            if (line1.substr(2, 5) == row.at("object")) rows.push_back(row);
        const Orbit orbit = test::orbit(line1, line2);
        const Utc start = nearest(orbit.elements.epoch);
        compare(orbit, start, 8 * 3600, rows);
        EXPECT_EQ(crossings(orbit, start, 8 * 3600).size(), rows.size());
    }
}

TEST(Shadow, StateAndBetaMatchTheReferenceTableEveryTenSeconds) {
    const auto rows = test::table(test::reference("lighting/states-10s.csv"));
    if (rows.empty()) GTEST_SKIP() << "left out: ../shared/reference/lighting is not here";
    std::map<std::string, Orbit> orbits;
    std::ifstream elements(test::reference("lighting/elements.tle"));
    for (std::string line1, line2; std::getline(elements, line1) && std::getline(elements, line2);)
        orbits.emplace(line1.substr(2, 5), test::orbit(line1, line2));
    double worst_beta = 0;
    for (const auto& [object, orbit] : orbits) {
        const Utc start = nearest(orbit.elements.epoch);
        const Ephemeris ephemeris(orbit, start, 0, 8 * 3600);
        for (const Row& row : rows) {
            if (row.at("object") != object) continue;
            const Moment m = ephemeris.at(static_cast<double>((test::utc(row.at("utc")) - start).count()) * 1e-3);
            const Light light = light_at(m);
            const char* word = light == Light::sun ? "sun" : light == Light::penumbra ? "penumbra" : "umbra";
            EXPECT_EQ(row.at("state"), word) << row.at("utc");
            worst_beta = std::max(worst_beta, std::abs(beta(m).value() - std::stod(row.at("beta_deg"))));
        }
    }
    EXPECT_LT(worst_beta, 1e-4);
}

TEST(Shadow, AHighBetaOrbitStaysInTheSun) {
    const Orbit orbit = test::full_sun();
    const Utc start = nearest(orbit.elements.epoch);
    const Ephemeris ephemeris(orbit, start, 0, 8 * 3600);
    const ShadowTimes times = shadow_times(ephemeris);
    ASSERT_EQ(times.sun.size(), 1u);
    EXPECT_EQ(times.sun[0].from_s, 0);
    EXPECT_EQ(times.sun[0].to_s, 8 * 3600);
    EXPECT_TRUE(times.penumbra.empty());
    EXPECT_TRUE(times.umbra.empty());
    EXPECT_NEAR(beta(ephemeris.at(0)).value(), 73.9, 0.1);
}

TEST(Shadow, WindowsOfRandomOrbitsAgreeWithAskingEverySecond) {
    // Law: at every instant but within 0.1 s of an edge, the windows say what the geometry says.
    test::Random random(420);
    const Utc start = test::utc("2031-04-05T08:30:00Z");
    for (int i = 0; i < 40; ++i) {
        Elements e;
        e.epoch = {std::chrono::floor<std::chrono::days>(start), random.between(0, 86400)};
        e.mean_motion_rev_per_day = random.between(9, 15.9);
        e.eccentricity = random.between(0, i % 4 == 0 ? 0.02 : 0.0005);
        e.inclination = Degrees{random.between(20, 110)};
        e.node = Degrees{random.between(0, 360)};
        e.perigee = Degrees{random.between(0, 360)};
        e.anomaly = Degrees{random.between(0, 360)};
        e.bstar_per_earth_radius = 2e-5;
        const auto model = Sgp4::from(e);
        ASSERT_TRUE(std::holds_alternative<Sgp4>(model));
        const Ephemeris ephemeris({e, std::get<Sgp4>(model)}, start, 0, 4 * 3600);
        const ShadowTimes times = shadow_times(ephemeris);
        const auto holds = [](const Stretches& list, double t) {
            return std::any_of(list.begin(), list.end(), [&](const Stretch& s) { return s.from_s <= t && t < s.to_s; });
        };
        const auto near_edge = [&](double t) {
            for (const Stretches* list : {&times.sun, &times.penumbra, &times.umbra})
                for (const Stretch& s : *list)
                    if (std::abs(s.from_s - t) < 0.1 || std::abs(s.to_s - t) < 0.1) return true;
            return false;
        };
        for (int t = 0; t < 4 * 3600; ++t) {
            if (near_edge(t)) continue;
            const Light light = light_at(ephemeris.at(t));
            ASSERT_EQ(holds(times.sun, t), light == Light::sun) << i << " at " << t;
            ASSERT_EQ(holds(times.penumbra, t), light == Light::penumbra) << i << " at " << t;
            ASSERT_EQ(holds(times.umbra, t), light == Light::umbra) << i << " at " << t;
        }
    }
}

}  // namespace
}  // namespace handrail::sky
