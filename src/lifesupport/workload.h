#pragma once

#include <optional>
#include <span>
#include <vector>

#include "lifesupport/forecast.h"

/// How hard an outing works its person, against what a suit is designed to carry.
namespace handrail::lifesupport {

/// Time-weighted mean metabolic rate; none without time.
std::optional<Watts> mean_rate(std::span<const Load> loads);

struct HardestStretch {
    Pet from{};
    Watts mean;
};
/// The stretch of this length with the highest mean rate; time without a load counts as none. The whole of it when the
/// loads last less; none without loads. REQUIRES loads in order, not overlapping.
std::optional<HardestStretch> hardest_stretch(std::span<const Load> loads, Seconds length);

/// A rate a suit is designed to carry for a time.
struct DesignRate {
    Seconds length;
    Watts rate;
};
/// Mean for 7 h, peak for 1 h, peak for 15 min: 1000, 1600 and 2000 BTU/h (ISS EVA Suit Water Intrusion Mishap
/// Investigation Report, 2013, section 3).
inline constexpr std::array design_rates{DesignRate{Seconds{7 * 3600}, Watts{293.071}},
                                         DesignRate{Seconds{3600}, Watts{468.914}},
                                         DesignRate{Seconds{15 * 60}, Watts{586.142}}};

}  // namespace handrail::lifesupport
