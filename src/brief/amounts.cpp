#include "brief/amounts.h"

#include <fmt/format.h>

#include <cmath>

namespace handrail::brief {
namespace {

// NIST SP 811 (2008), appendix B.8.
constexpr double kilograms_per_pound = 0.45359237, litres_per_cubic_foot = 28.316846592, metres_per_foot = 0.3048;

}  // namespace

std::string print_amount(lifesupport::Consumable c, double value, const Wording& say, Units units) {
    using lifesupport::Consumable;
    const bool us = units == Units::metric_and_us;
    switch (c) {
        case Consumable::oxygen:
        case Consumable::co2:
        case Consumable::water:
            return say.number(us ? fmt::format("{:.2f} kg ({:.2f} lb)", value, value / kilograms_per_pound)
                                 : fmt::format("{:.2f} kg", value));
        case Consumable::battery:
            return fmt::format("{:.0f} Wh", value);
        case Consumable::gas:
            return say.number(us ? fmt::format("{:.0f} L ({:.1f} cu ft)", value, value / litres_per_cubic_foot)
                                 : fmt::format("{:.0f} L", value));
    }
    return {};
}

std::string print_length(Metres length, const Wording& say, Units units) {
    const double m = length.value();
    return say.number(units == Units::metric_and_us ? fmt::format("{:.3g} m ({:.0f} ft)", m, m / metres_per_foot)
                                                    : fmt::format("{:.3g} m", m));
}

std::string print_in_hand(std::optional<Seconds> in_hand) {
    if (!in_hand) return "–";
    const auto minutes = std::chrono::floor<std::chrono::minutes>(*in_hand);
    return (minutes.count() < 0 ? "-" : "") + print_duration(std::chrono::abs(minutes));
}

std::string print_share(double share) {
    if (share > 0.99) return "> 99 %";
    if (share < 0.01) return "< 1 %";
    return fmt::format("{:.0f} %", 100 * share);
}

}  // namespace handrail::brief
