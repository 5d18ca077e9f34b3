#include "lifesupport/consumption.h"

#include <limits>

#include "lifesupport/metabolism.h"

namespace handrail::lifesupport {
namespace {

constexpr double seconds_per_hour = 3600.0;

}  // namespace

std::string_view word(Consumable consumable) {
    switch (consumable) {
        case Consumable::oxygen:
            return "oxygen";
        case Consumable::co2:
            return "CO2 removal";
        case Consumable::water:
            return "feedwater";
        case Consumable::battery:
            return "battery";
        case Consumable::gas:
            return "breathing gas";
    }
    return {};
}

std::string_view unit(Consumable consumable) {
    switch (consumable) {
        case Consumable::oxygen:
        case Consumable::co2:
        case Consumable::water:
            return "kg";
        case Consumable::battery:
            return "Wh";
        case Consumable::gas:
            return "L";
    }
    return {};
}

Amounts draw_per_second(const SuitType& suit, Watts metabolic, bool sunlit) {
    Amounts draw{};
    if (suit.oxygen)
        draw[index(Consumable::oxygen)] =
            (oxygen_flow(metabolic, suit.respiratory_quotient) + suit.leak).value() / seconds_per_hour;
    if (suit.co2_capacity)
        draw[index(Consumable::co2)] = co2_flow(metabolic, suit.respiratory_quotient).value() / seconds_per_hour;
    if (suit.feedwater) {
        // All metabolic power becomes heat in the suit: mechanical work is a few per cent and mostly returns as heat
        // (common practice).
        const Watts heat = metabolic + suit.electrical_load + (sunlit ? suit.heat_leak_sunlit : suit.heat_leak_dark);
        draw[index(Consumable::water)] = water_flow(heat, suit.feedwater_temperature).value() / seconds_per_hour;
    }
    if (suit.battery) draw[index(Consumable::battery)] = suit.electrical_load.value() / seconds_per_hour;
    if (suit.breathing_gas)
        draw[index(Consumable::gas)] = suit.ventilation_per_watt_100.value() * (metabolic.value() / 100.0) / 60.0;
    return draw;
}

Amounts capacity(const SuitType& suit) {
    constexpr double unlimited = std::numeric_limits<double>::infinity();
    Amounts full;
    full.fill(unlimited);
    if (suit.oxygen) full[index(Consumable::oxygen)] = suit.oxygen->value();
    if (suit.co2_capacity) full[index(Consumable::co2)] = suit.co2_capacity->value();
    if (suit.feedwater) full[index(Consumable::water)] = suit.feedwater->value();
    if (suit.battery) full[index(Consumable::battery)] = suit.battery->value();
    if (suit.breathing_gas) full[index(Consumable::gas)] = suit.breathing_gas->value();
    return full;
}

Amounts reserve(const SuitType& suit) {
    Amounts kept = draw_per_second(suit, suit.reserve_rate, true);
    for (double& amount : kept) amount *= static_cast<double>(suit.reserve.count());
    return kept;
}

Watts metabolic_rate(const Rules& rules, const CrewMember& person, Effort effort) {
    return rules.effort_watts[index(effort)] * person.metabolic_factor;
}

}  // namespace handrail::lifesupport
