#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <string>
#include <vector>

#include "sky/shadow.h"
#include "sky/windows.h"

/// Question: how many SGP4 states a second does one core give, alone and with sun and shadow, and how long do the
/// windows of a long outing take? Usage: sky_bench [elements.tle]; prints lines "name value unit". bench/sky.mjs runs
/// it beside npm satellite.js on the same elements and times.
namespace handrail::sky {
namespace {

using Clock = std::chrono::steady_clock;

double seconds(Clock::duration d) { return std::chrono::duration<double>(d).count(); }

/// The best of five rounds, each as often as fills 0.2 s.
template <class Work>
double per_second(std::size_t items, const Work& work) {
    double best = 0;
    for (int round = 0; round < 5; ++round) {
        const auto start = Clock::now();
        std::size_t done = 0;
        do {
            work();
            done += items;
        } while (seconds(Clock::now() - start) < 0.2);
        best = std::max(best, static_cast<double>(done) / seconds(Clock::now() - start));
    }
    return best;
}

OrbitSource tle(const std::string& line1, const std::string& line2) {
    return {OrbitSource::Kind::tle, line1 + "\n" + line2, {"bench", 1, 1}};
}

/// Invented: twelve worksites round a module with a truss and two panels, two relays and two ground stations.
Outing long_outing(const OrbitSource& elements) {
    Outing outing;
    outing.orbit = elements;
    outing.pet_zero = nearest(read_elements(elements).value().epoch) + Seconds{7200};
    const auto box = [](const char* name, Vec3 centre, Vec3 size) {
        return Solid{Solid::Shape::box, name, centre, size, {}, Metres{}, Metres{}};
    };
    const auto cylinder = [](const char* name, Vec3 centre, Vec3 axis, double radius, double length) {
        return Solid{Solid::Shape::cylinder, name, centre, {}, axis, Metres{radius}, Metres{length}};
    };
    outing.station.solids = {cylinder("module 1", {0, 0, 0}, {1, 0, 0}, 2.2, 12),
                             cylinder("module 2", {-10, 0, 0}, {1, 0, 0}, 2.2, 8),
                             box("truss", {0, 0, -4}, {3, 40, 3}),
                             box("panel 1", {0, 18, -12}, {6, 0.3, 24}),
                             box("panel 2", {0, -18, -12}, {6, 0.3, 24}),
                             cylinder("mast", {6, 0, -8}, {0, 0, 1}, 0.4, 10)};
    for (int i = 0; i < 12; ++i) {
        Worksite w;
        w.id = w.name = fmt::format("site {}", i + 1);
        w.position_station_m = {-5.0 + i, i % 2 ? 2.2 : -2.2, i % 3 - 1.0};
        w.normal_station = {0, i % 2 ? 1.0 : -1.0, 0};
        outing.station.worksites.push_back(w);
    }
    outing.coverage.relays = {{"Relay East", Degrees{85}, Degrees{100}}, {"Relay West", Degrees{-150}, std::nullopt}};
    outing.coverage.ground_stations = {{"Northfield", Degrees{52}, Degrees{0}, Metres{100}, Degrees{5}},
                                       {"Southgate", Degrees{-35}, Degrees{149}, Metres{600}, Degrees{5}}};
    return outing;
}

int run(const std::string& line1, const std::string& line2) {
    const OrbitSource source = tle(line1, line2);
    const Result<Orbit> orbit = orbit_of(source);
    if (!orbit) {
        fmt::print(stderr, "{}\n", print(orbit.errors().front()));
        return 2;
    }
    const Sgp4& model = orbit.value().model;
    // A day of states, one each minute: the elements and times bench/sky.mjs gives satellite.js.
    std::vector<double> minutes(1440);
    for (std::size_t i = 0; i < minutes.size(); ++i) minutes[i] = static_cast<double>(i);
    States states;
    double sink = 0;
    const double one = per_second(minutes.size(), [&] {
        for (double t : minutes) {
            const auto at = model.at(t);
            if (const State* s = std::get_if<State>(&at)) sink += s->position_teme_km.x;
        }
    });
    const double many = per_second(minutes.size(), [&] {
        model.fill(minutes, states);
        sink += states.x_km[7];
    });
    const Ephemeris ephemeris(orbit.value(), nearest(orbit.value().elements.epoch), 0, 86400);
    const double lit = per_second(minutes.size(), [&] {
        for (double t : minutes) sink += light_at(ephemeris.at(t * 60)) == Light::sun;
    });
    const Outing outing = long_outing(source);
    const double shadows = per_second(1, [&] { sink += shadow_times(ephemeris).sun.at(0).to_s; });
    const double windows = per_second(1, [&] { sink += windows_of(outing, outing.pet_zero).ok(); });

    model.fill(minutes, states);
    fmt::print("one_by_one {:.0f} states/s\n", one);
    fmt::print("several_at_once {:.0f} states/s\n", many);
    fmt::print("with_sun_and_shadow {:.0f} states/s\n", lit);
    fmt::print("shadow_times_of_a_day {:.3f} ms\n", 1e3 / shadows);
    fmt::print("windows_of_14_h_12_worksites {:.3f} ms\n", 1e3 / windows);
    fmt::print("last_state_x {:.9f} km\n", states.x_km.back());
    return sink == 0.125 ? 1 : 0;  // keeps the work from being left out
}

}  // namespace
}  // namespace handrail::sky

int main(int argc, char** argv) {
    // Invented orbit, 420 km, 51.6 degrees.
    std::string line1 = "1 90001U 00000A   30079.50000000  .00000000  00000-0  20000-4 0    14";
    std::string line2 = "2 90001  51.6000   0.0000 0005000  40.0000  10.0000 15.50000000    05";
    if (argc > 1) {
        std::ifstream in(argv[1]);
        std::getline(in, line1);
        std::getline(in, line2);
    }
    return handrail::sky::run(line1, line2);
}
