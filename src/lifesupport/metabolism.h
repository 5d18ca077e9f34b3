#pragma once

#include "units/quantity.h"

/// From metabolic rate to gas, heat and water. Every formula carries its source; docs/margins.md explains them.
namespace handrail::lifesupport {

/// Weir, J. Physiol. 109 (1949): E [kcal/min] = 3.941 VO2 + 1.106 VCO2, litres per minute at STPD; the term for urinary
/// nitrogen is left out.
inline constexpr double weir_oxygen_kcal_per_litre = 3.941;
inline constexpr double weir_co2_kcal_per_litre = 1.106;
/// Mass of a litre at STPD: molar masses 31.998 and 44.0095 g/mol over 22.414 L/mol (ideal gas).
inline constexpr double oxygen_g_per_litre = 31.998 / 22.414;
inline constexpr double co2_g_per_litre = 44.0095 / 22.414;

/// Energy per litre of oxygen at a respiratory quotient VCO2/VO2: 3.941 + 1.106 RQ kcal (Weir 1949).
double kilocalories_per_litre_oxygen(Fraction respiratory_quotient);
/// Metabolic rate from measured gas exchange, STPD (Weir 1949).
Watts metabolic_rate(LitresPerMinute oxygen, LitresPerMinute co2);
/// Oxygen uptake at a metabolic rate, STPD: VO2 = E / k(RQ).
LitresPerMinute oxygen_uptake(Watts metabolic, Fraction respiratory_quotient);
/// Oxygen consumed by the person, leak not included.
KilogramsPerHour oxygen_flow(Watts metabolic, Fraction respiratory_quotient);
/// Carbon dioxide breathed out: VCO2 = RQ VO2.
KilogramsPerHour co2_flow(Watts metabolic, Fraction respiratory_quotient);

/// Heat carried off per kilogram of feedwater that enters as liquid and leaves as vapour over ice, in kJ/kg:
/// 2834 (ice to vapour) - 334 (liquid to ice) - 4.187 T (cooling the feed to 0 °C), textbook physics.
/// The temperature is held between 0 and 100 °C: outside it the feed is not liquid.
double sublimation_kj_per_kg(Celsius feedwater);
/// Feedwater used to carry off this much heat; none when the suit loses more heat than it makes.
KilogramsPerHour water_flow(Watts heat, Celsius feedwater);

/// Carbon dioxide breathed in behind a working scrubber, in mmHg, and its scatter between people.
struct InspiredCo2 {
    double mmhg, sd_mmhg;
};
/// Straight lines between the time-weighted means of 19 people at rest, 1000, 2000 and 3000 BTU/h (Inspired CO2 in the
/// EMU, Aerospace Medicine and Human Performance 91, 2020, abstract). Rest is placed at 122 W (from memory). Held at
/// the first and last mean outside that range: nothing was measured there.
InspiredCo2 inspired_co2(Watts metabolic);

}  // namespace handrail::lifesupport
