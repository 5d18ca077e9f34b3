#pragma once

#include <vector>

#include "lifesupport/forecast.h"

namespace handrail::lifesupport {

/// The generic closed-loop suit. Capacities: EMU handbook 2.1.3, 2.5.2.3, 2.1.4 and BVAD 5.2.2, read second-hand;
/// battery: SAE 1999-01-1998, abstract; reserve of 30 min at 700 BTU/h: ISS EVA Suit Water Intrusion Mishap
/// Investigation Report, 2013, section 3.
inline SuitType generic_suit() {
    SuitType suit;
    suit.id = "generic";
    suit.pressure = KiloPascal{29.65};
    suit.oxygen = Kilograms{0.55202};
    suit.leak = KilogramsPerHour{0.005};
    suit.co2_capacity = Kilograms{0.67132};
    suit.feedwater = Kilograms{4.5359};
    suit.battery = WattHours{425.6};
    suit.electrical_load = Watts{60.8};
    suit.secondary_oxygen = Seconds{30 * 60};
    suit.reserve = Seconds{30 * 60};
    suit.reserve_rate = Watts{205.15};
    return suit;
}

inline Watts btu_rate(double btu) { return Watts{btu * 0.29307107}; }
inline Pet minute(int m) { return pet(Seconds{m * 60}); }

inline Load steady(Watts rate, Seconds length, Pet from = {}) { return Load{from, length, rate, true}; }

/// An ordinary outing of 390 min: the default task classes in the shares that average 200.5 kcal/h (reference notes on
/// life support, 1.3; from memory).
inline std::vector<Load> ordinary_outing() {
    struct Part {
        double kcal_per_hour;
        int minutes;
    };
    constexpr std::array parts{Part{240, 22}, Part{225, 25}, Part{170, 30}, Part{190, 40}, Part{105, 15}, Part{225, 15},
                               Part{270, 25}, Part{320, 20}, Part{190, 35}, Part{105, 20}, Part{225, 15}, Part{130, 20},
                               Part{170, 30}, Part{190, 35}, Part{225, 20}, Part{240, 23}};
    std::vector<Load> loads;
    Pet at{};
    bool sunlit = true;
    for (const Part& part : parts) {
        loads.push_back(Load{at, Seconds{part.minutes * 60}, Watts{part.kcal_per_hour * 1.163}, sunlit});
        at = loads.back().end();
        sunlit = !sunlit;
    }
    return loads;
}

}  // namespace handrail::lifesupport
