#include "lifesupport/metabolism.h"

#include <algorithm>
#include <array>
#include <iterator>

#include "units/parse.h"

namespace handrail::lifesupport {

double kilocalories_per_litre_oxygen(Fraction respiratory_quotient) {
    return weir_oxygen_kcal_per_litre + weir_co2_kcal_per_litre * respiratory_quotient.value();
}

Watts metabolic_rate(LitresPerMinute oxygen, LitresPerMinute co2) {
    const double kcal_per_minute = weir_oxygen_kcal_per_litre * oxygen.value() + weir_co2_kcal_per_litre * co2.value();
    return Watts{kcal_per_minute * 60 * 1.163};  // 1 kcal/h = 1.163 W
}

LitresPerMinute oxygen_uptake(Watts metabolic, Fraction respiratory_quotient) {
    return LitresPerMinute{kilocalories_per_hour(metabolic) / 60 / kilocalories_per_litre_oxygen(respiratory_quotient)};
}

KilogramsPerHour oxygen_flow(Watts metabolic, Fraction respiratory_quotient) {
    return KilogramsPerHour{oxygen_uptake(metabolic, respiratory_quotient).value() * 60 * oxygen_g_per_litre / 1000};
}

KilogramsPerHour co2_flow(Watts metabolic, Fraction respiratory_quotient) {
    return KilogramsPerHour{oxygen_uptake(metabolic, respiratory_quotient).value() * respiratory_quotient.value() * 60 *
                            co2_g_per_litre / 1000};
}

double sublimation_kj_per_kg(Celsius feedwater) {
    return 2834.0 - 334.0 - 4.187 * std::clamp(feedwater.value(), 0.0, 100.0);
}

KilogramsPerHour water_flow(Watts heat, Celsius feedwater) {
    constexpr double kj_per_watt_hour = 3.6;
    return KilogramsPerHour{std::max(0.0, heat.value()) * kj_per_watt_hour / sublimation_kj_per_kg(feedwater)};
}

InspiredCo2 inspired_co2(Watts metabolic) {
    struct Point {
        double btu_per_hour, mmhg, sd_mmhg;
    };
    static constexpr std::array measured{Point{btu_per_hour(Watts{122}), 4.75, 1.03}, Point{1000, 8.09, 1.39},
                                         Point{2000, 11.39, 1.26}, Point{3000, 14.36, 1.29}};
    const double rate = btu_per_hour(metabolic);
    if (rate <= measured.front().btu_per_hour) return {measured.front().mmhg, measured.front().sd_mmhg};
    if (rate >= measured.back().btu_per_hour) return {measured.back().mmhg, measured.back().sd_mmhg};
    const auto above = std::find_if(measured.begin(), measured.end(),
                                    [rate](const Point& point) { return rate < point.btu_per_hour; });
    const Point& low = *std::prev(above);
    const double share = (rate - low.btu_per_hour) / (above->btu_per_hour - low.btu_per_hour);
    return {low.mmhg + share * (above->mmhg - low.mmhg), low.sd_mmhg + share * (above->sd_mmhg - low.sd_mmhg)};
}

}  // namespace handrail::lifesupport
