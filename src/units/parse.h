#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "units/quantity.h"
#include "units/time.h"

namespace handrail {

/// Why a text is not the quantity that was asked for. Place and field are added by the reader that knows them.
struct ParseError {
    std::string expected;  ///< a length such as "17 m"
    std::string found;     ///< the text as it stood
    std::string remedy;    ///< what to do, a whole sentence without its full stop
};
template <class T>
using Parsed = std::variant<T, ParseError>;

/// "25 min", "1 h 25 min", "90 s", "1.5 h". Never negative; rounded to the second.
Parsed<Seconds> parse_duration(std::string_view text);
/// "00:35", "00:35:10", "00:35 PET", "PET 00:35", "-00:30 PET".
Parsed<Pet> parse_pet(std::string_view text);
/// ISO 8601 extended UTC: "2031-04-05T08:30:00Z", optional fraction, space instead of T accepted. A leap second
/// (":60") is read as the next second.
Parsed<Utc> parse_utc(std::string_view text);

Parsed<Metres> parse_length(std::string_view text);                ///< m, cm, mm, km, ft, in
Parsed<MetresPerSecond> parse_speed(std::string_view text);        ///< m/s, cm/s, m/min, km/h, ft/s
Parsed<KiloPascal> parse_pressure(std::string_view text);          ///< kPa, Pa, hPa, mbar, bar, psi, mmHg
Parsed<Kilograms> parse_mass(std::string_view text);               ///< kg, g, lb
Parsed<KilogramsPerHour> parse_mass_flow(std::string_view text);   ///< kg/h, g/h, g/min, lb/h
Parsed<Watts> parse_power(std::string_view text);                  ///< W, kW, kcal/h, BTU/h
Parsed<WattHours> parse_energy(std::string_view text);             ///< Wh, kWh, J, kJ, MJ, kcal
Parsed<Degrees> parse_angle(std::string_view text);                ///< deg, °, rad
Parsed<Litres> parse_volume(std::string_view text);                ///< L, l, mL, ft3
Parsed<LitresPerMinute> parse_volume_flow(std::string_view text);  ///< L/min, L/h, cm3/min
Parsed<Celsius> parse_temperature(std::string_view text);          ///< °C, degC, K
Parsed<Fraction> parse_fraction(std::string_view text);            ///< %, or a bare number from 0 to 1

/// 1 kcal/h = 1.163 W (definition of kcal(IT), 4186.8 J).
constexpr double kilocalories_per_hour(Watts power) { return power.value() / 1.163; }
/// 1 BTU/h = 0.29307107 W (definition of Btu(IT)).
constexpr double btu_per_hour(Watts power) { return power.value() / 0.29307107; }

}  // namespace handrail
