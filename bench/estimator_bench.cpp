// Does a forecast corrected by five readings beat the forecast made before the outing? Simulated outings whose wearer
// and suit differ from the model by known amounts; the error is that of the amount used by the end of ingress.
// Every outing is made from its number, so the table is the same on every machine.
#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <string>
#include <vector>

#include "lifesupport/simulate.h"

namespace handrail::lifesupport {
namespace {

constexpr int outings = 1000;
constexpr std::array consumables{Consumable::oxygen, Consumable::co2, Consumable::water, Consumable::battery};

/// The generic closed-loop suit (sources: demo/suits.toml).
SuitType suit() {
    SuitType made;
    made.oxygen = Kilograms{0.552};
    made.leak = KilogramsPerHour{0.005};
    made.co2_capacity = Kilograms{0.671};
    made.feedwater = Kilograms{4.54};
    made.battery = WattHours{426};
    made.electrical_load = Watts{60.8};
    made.reserve = Seconds{30 * 60};
    made.reserve_rate = Watts{205};
    return made;
}

/// 26 loads of 15 min, rates from ride to forced work (invented order; they average 200 kcal/h).
std::vector<Load> loads() {
    constexpr std::array kcal_per_hour{240, 225, 170, 190, 190, 105, 225, 270, 190, 170, 320, 105, 225,
                                       130, 190, 170, 190, 225, 270, 190, 105, 190, 170, 225, 170, 240};
    std::vector<Load> made;
    bool sunlit = true;
    for (std::size_t i = 0; i < kcal_per_hour.size(); ++i) {
        made.push_back(
            {pet(Seconds{static_cast<int>(i) * 900}), Seconds{900}, Watts{kcal_per_hour[i] * 1.163}, sunlit});
        sunlit = i % 5 < 3;
    }
    return made;
}

struct Case {
    std::string name;
    Noise truth;         ///< what the outings are made with; the filter always uses the stated noise
    bool leaks = false;  ///< 60 g/h more oxygen lost from PET 01:00 on
    int dropped = 0;     ///< every so many-th reading is missing
};

struct Errors {
    Amounts before{}, after{};  ///< sums of squares
    int inside = 0, asked = 0;  ///< values within the band that should hold 90 of 100
};

Errors run(const Case& one) {
    const SuitType type = suit();
    const auto planned = loads();
    const Noise stated;
    const Forecast prior = forecast(type, planned, stated);
    Errors errors;
    for (int number = 1; number <= outings; ++number) {
        SimulatedSuit truth(type, planned, one.truth, static_cast<std::uint64_t>(number));
        if (one.leaks) truth.leak_from(pet(Seconds{3600}), KilogramsPerHour{0.06});
        std::vector<Reading> readings;
        for (int i = 1; i <= 5; ++i)
            if (one.dropped == 0 || i % one.dropped != 0) readings.push_back(truth.reading(pet(Seconds{i * 1800})));
        const Estimate corrected = estimate(type, planned, readings, stated);
        const Forecast posterior = forecast(type, planned, corrected.state, stated);
        const Amounts used = truth.used(planned.back().end());
        for (Consumable c : consumables) {
            const std::size_t i = index(c);
            errors.before[i] += std::pow(prior.at_return().used[i] - used[i], 2);
            errors.after[i] += std::pow(posterior.at_return().used[i] - used[i], 2);
            errors.inside += std::abs(posterior.at_return().used[i] - used[i]) < band_90 * posterior.at_return().sd[i];
            ++errors.asked;
        }
    }
    return errors;
}

void print(const Case& one, const Errors& errors) {
    fmt::print("{:<34}", one.name);
    for (Consumable c : consumables) {
        const double scale = c == Consumable::battery ? 1 : 1000;
        const auto rms = [&](const Amounts& sums) { return scale * std::sqrt(sums[index(c)] / outings); };
        fmt::print(" {:>6.1f} > {:>5.1f}", rms(errors.before), rms(errors.after));
    }
    fmt::print("  {:>5.1f} %\n", 100.0 * errors.inside / errors.asked);
}

}  // namespace
}  // namespace handrail::lifesupport

int main() {
    using namespace handrail::lifesupport;
    const auto begin = std::chrono::steady_clock::now();
    fmt::print(
        "Error (root mean square) of the amount used by PET 06:30, forecast before the outing > after 5 readings,\n"
        "one each half hour; {} simulated outings a row. Last: how often the truth lies in the 90 % band.\n\n"
        "{:<34} {:>14} {:>14} {:>14} {:>14}  {:>7}\n",
        outings, "", "oxygen, g", "CO2, g", "water, g", "battery, Wh", "in band");
    Noise harder;
    harder.outing_mean = 0.25;
    Noise worse_gauges;
    worse_gauges.gauge = 0.03;
    worse_gauges.co2_gauge = 0.05;
    const std::vector<Case> cases{{"as the model states", {}},
                                  {"every second reading missing", {}, false, 2},
                                  {"wearers differ by 25 %, not 15 %", harder},
                                  {"gauges three times as noisy", worse_gauges},
                                  {"oxygen leak of 60 g/h from 01:00", {}, true}};
    for (const Case& one : cases) print(one, run(one));
    const auto took = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    fmt::print("\nestimator_bench; {:.2f} ms for each estimate and forecast.\n",
               1000 * took / (outings * static_cast<double>(cases.size())));
}
