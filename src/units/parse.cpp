#include "units/parse.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <span>
#include <vector>

namespace handrail {
namespace {

struct UnitName {
    std::string_view name;
    double factor;
    double offset = 0.0;
};

// Factors: NIST SP 811 (2008), appendix B.8, unless said otherwise.
constexpr UnitName length_units[] = {{"m", 1},     {"cm", 0.01},   {"mm", 0.001},
                                     {"km", 1000}, {"ft", 0.3048}, {"in", 0.0254}};
constexpr UnitName speed_units[] = {
    {"m/s", 1}, {"cm/s", 0.01}, {"m/min", 1.0 / 60}, {"km/h", 1 / 3.6}, {"ft/s", 0.3048}};
constexpr UnitName pressure_units[] = {{"kPa", 1},   {"Pa", 0.001},     {"hPa", 0.1},       {"mbar", 0.1},
                                       {"bar", 100}, {"psi", 6.894757}, {"psia", 6.894757}, {"mmHg", 0.1333224}};
constexpr UnitName mass_units[] = {{"kg", 1}, {"g", 0.001}, {"lb", 0.45359237}};
constexpr UnitName mass_flow_units[] = {{"kg/h", 1}, {"g/h", 0.001}, {"g/min", 0.06}, {"lb/h", 0.45359237}};
constexpr UnitName power_units[] = {
    {"W", 1}, {"kW", 1000}, {"kcal/h", 1.163}, {"BTU/h", 0.29307107}, {"Btu/h", 0.29307107}};
constexpr UnitName energy_units[] = {{"Wh", 1},       {"W h", 1},         {"kWh", 1000},  {"J", 1.0 / 3600},
                                     {"kJ", 1 / 3.6}, {"MJ", 1000 / 3.6}, {"kcal", 1.163}};
constexpr UnitName angle_units[] = {{"deg", 1}, {"°", 1}, {"rad", 57.295779513082321}};
constexpr UnitName volume_units[] = {{"L", 1}, {"l", 1}, {"mL", 0.001}, {"ft3", 28.316847}};
constexpr UnitName volume_flow_units[] = {{"L/min", 1}, {"l/min", 1}, {"L/h", 1.0 / 60}, {"cm3/min", 0.001}};
constexpr UnitName temperature_units[] = {{"°C", 1}, {"degC", 1}, {"K", 1, -273.15}};
constexpr UnitName fraction_units[] = {{"%", 0.01}, {"", 1}};
constexpr UnitName duration_units[] = {{"h", 3600},     {"hour", 3600}, {"hours", 3600}, {"min", 60},   {"minute", 60},
                                       {"minutes", 60}, {"s", 1},       {"sec", 1},      {"seconds", 1}};

std::string_view trim(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
    while (!text.empty() && blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && blank(text.back())) text.remove_suffix(1);
    return text;
}

/// Reads a finite number from the front of `text` and removes it.
std::optional<double> take_number(std::string_view& text) {
    std::string_view digits = text;
    if (!digits.empty() && digits.front() == '+') digits.remove_prefix(1);
    double value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc{} || !std::isfinite(value)) return std::nullopt;
    text = std::string_view(end, static_cast<std::size_t>(digits.data() + digits.size() - end));
    return value;
}

std::string unit_list(std::span<const UnitName> units) {
    std::string list;
    for (const UnitName& unit : units) {
        if (unit.name.empty()) continue;
        if (!list.empty()) list += ", ";
        list += unit.name;
    }
    return list;
}

template <class Q>
Parsed<Q> parse_quantity(std::string_view text, std::string expected, std::span<const UnitName> units) {
    std::string_view rest = trim(text);
    const std::optional<double> number = take_number(rest);
    if (!number) return ParseError{std::move(expected), std::string(text), "write a number and its unit"};
    rest = trim(rest);
    const auto unit = std::ranges::find(units, rest, &UnitName::name);
    if (unit != units.end()) return Q{*number * unit->factor + unit->offset};
    if (rest.empty()) return ParseError{std::move(expected), std::string(text), "add the unit: " + unit_list(units)};
    return ParseError{std::move(expected), std::string(text),
                      fmt::format("'{}' is not a unit that fits here; use one of {}", rest, unit_list(units))};
}

/// Reads exactly `width` digits from the front.
std::optional<int> take_digits(std::string_view& text, std::size_t width) {
    if (text.size() < width) return std::nullopt;
    int value = 0;
    for (std::size_t i = 0; i < width; ++i) {
        if (text[i] < '0' || text[i] > '9') return std::nullopt;
        value = value * 10 + (text[i] - '0');
    }
    text.remove_prefix(width);
    return value;
}

bool take(std::string_view& text, char c) {
    if (text.empty() || text.front() != c) return false;
    text.remove_prefix(1);
    return true;
}

}  // namespace

Parsed<Seconds> parse_duration(std::string_view text) {
    const std::string expected = "a time such as \"25 min\" or \"1 h 25 min\"";
    const auto fail = [&](std::string remedy) { return ParseError{expected, std::string(text), std::move(remedy)}; };
    std::string_view rest = trim(text);
    if (rest.empty()) return fail("write a number and its unit");
    double total = 0;
    double smallest_unit = 1e9;
    while (!rest.empty()) {
        const std::optional<double> number = take_number(rest);
        if (!number) return fail("write a number and its unit");
        if (std::signbit(*number) && *number != 0) return fail("a time cannot be negative");
        rest = trim(rest);
        const auto name_end = std::ranges::find_if(rest, [](char c) { return (c >= '0' && c <= '9') || c == ' '; });
        const std::string_view name = rest.substr(0, static_cast<std::size_t>(name_end - rest.begin()));
        if (name.empty()) return fail("add the unit: h, min or s");
        const auto unit = std::ranges::find(duration_units, name, &UnitName::name);
        if (unit == std::end(duration_units))
            return fail(fmt::format("'{}' is not a unit of time; use h, min or s", name));
        if (unit->factor >= smallest_unit) return fail("write the larger unit first, each once");
        smallest_unit = unit->factor;
        total += *number * unit->factor;
        rest = trim(rest.substr(name.size()));
    }
    constexpr double longest_s = 366.0 * 86400;
    if (total > longest_s) return fail("a time here is at most a year");
    return Seconds{std::llround(total)};
}

Parsed<Pet> parse_pet(std::string_view text) {
    const auto fail = [&] {
        return ParseError{"a PET such as \"02:40\" or \"02:40:30\"", std::string(text), "write hh:mm or hh:mm:ss"};
    };
    std::string_view rest = trim(text);
    if (rest.starts_with("PET")) rest = trim(rest.substr(3));
    if (rest.ends_with("PET")) rest = trim(rest.substr(0, rest.size() - 3));
    const bool negative = take(rest, '-');
    if (!negative) take(rest, '+');
    const std::size_t colon = rest.find(':');
    if (colon == std::string_view::npos || colon == 0 || colon > 3) return fail();
    const auto hours = take_digits(rest, colon);
    if (!hours || !take(rest, ':')) return fail();
    const auto minutes = take_digits(rest, 2);
    if (!minutes || *minutes > 59) return fail();
    int seconds = 0;
    if (take(rest, ':')) {
        const auto read = take_digits(rest, 2);
        if (!read || *read > 59) return fail();
        seconds = *read;
    }
    if (!rest.empty()) return fail();
    const Seconds total{*hours * 3600LL + *minutes * 60LL + seconds};
    return Pet{negative ? -total : total};
}

Parsed<Utc> parse_utc(std::string_view text) {
    using namespace std::chrono;
    const auto fail = [&](std::string remedy) {
        return ParseError{"a UTC instant such as \"2031-04-05T08:30:00Z\"", std::string(text), std::move(remedy)};
    };
    std::string_view rest = trim(text);
    const auto y = take_digits(rest, 4);
    if (!y || !take(rest, '-')) return fail("write it as YYYY-MM-DDThh:mm:ssZ (ISO 8601)");
    const auto mo = take_digits(rest, 2);
    if (!mo || !take(rest, '-')) return fail("write it as YYYY-MM-DDThh:mm:ssZ (ISO 8601)");
    const auto d = take_digits(rest, 2);
    if (!d || !(take(rest, 'T') || take(rest, ' '))) return fail("write it as YYYY-MM-DDThh:mm:ssZ (ISO 8601)");
    const auto h = take_digits(rest, 2);
    if (!h || !take(rest, ':')) return fail("write it as YYYY-MM-DDThh:mm:ssZ (ISO 8601)");
    const auto mi = take_digits(rest, 2);
    if (!mi) return fail("write it as YYYY-MM-DDThh:mm:ssZ (ISO 8601)");
    int s = 0;
    int ms = 0;
    if (take(rest, ':')) {
        const auto read = take_digits(rest, 2);
        if (!read) return fail("write it as YYYY-MM-DDThh:mm:ssZ (ISO 8601)");
        s = *read;
        if (take(rest, '.')) {
            int place = 100;
            while (!rest.empty() && rest.front() >= '0' && rest.front() <= '9') {
                ms += (rest.front() - '0') * place;
                place /= 10;
                rest.remove_prefix(1);
            }
        }
    }
    if (!take(rest, 'Z') || !rest.empty()) return fail("end it with Z: Handrail keeps UTC only");
    const year_month_day date{year{*y}, month{static_cast<unsigned>(*mo)}, day{static_cast<unsigned>(*d)}};
    if (!date.ok()) return fail("there is no such day");
    if (*h > 23 || *mi > 59 || s > 60) return fail("there is no such time of day");
    return Utc{sys_days{date} + hours{*h} + minutes{*mi} + seconds{s} + milliseconds{ms}};
}

Parsed<Metres> parse_length(std::string_view text) {
    return parse_quantity<Metres>(text, "a length such as \"17 m\"", length_units);
}
Parsed<MetresPerSecond> parse_speed(std::string_view text) {
    return parse_quantity<MetresPerSecond>(text, "a speed such as \"0.2 m/s\"", speed_units);
}
Parsed<KiloPascal> parse_pressure(std::string_view text) {
    return parse_quantity<KiloPascal>(text, "a pressure such as \"29.6 kPa\"", pressure_units);
}
Parsed<Kilograms> parse_mass(std::string_view text) {
    return parse_quantity<Kilograms>(text, "a mass such as \"0.55 kg\"", mass_units);
}
Parsed<KilogramsPerHour> parse_mass_flow(std::string_view text) {
    return parse_quantity<KilogramsPerHour>(text, "a mass flow such as \"5 g/h\"", mass_flow_units);
}
Parsed<Watts> parse_power(std::string_view text) {
    return parse_quantity<Watts>(text, "a power such as \"61 W\"", power_units);
}
Parsed<WattHours> parse_energy(std::string_view text) {
    return parse_quantity<WattHours>(text, "an energy such as \"426 Wh\"", energy_units);
}
Parsed<Degrees> parse_angle(std::string_view text) {
    return parse_quantity<Degrees>(text, "an angle such as \"10 deg\"", angle_units);
}
Parsed<Litres> parse_volume(std::string_view text) {
    return parse_quantity<Litres>(text, "a volume such as \"12 L\"", volume_units);
}
Parsed<LitresPerMinute> parse_volume_flow(std::string_view text) {
    return parse_quantity<LitresPerMinute>(text, "a volume flow such as \"30 L/min\"", volume_flow_units);
}
Parsed<Celsius> parse_temperature(std::string_view text) {
    return parse_quantity<Celsius>(text, "a temperature such as \"20 °C\"", temperature_units);
}
Parsed<Fraction> parse_fraction(std::string_view text) {
    return parse_quantity<Fraction>(text, "a share such as \"26.5 %\"", fraction_units);
}

}  // namespace handrail
