#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "outing/model.h"

namespace handrail::lifesupport {

enum class Consumable : std::uint8_t { oxygen, co2, water, battery, gas };
inline constexpr std::size_t consumable_count = 5;
std::string_view word(Consumable);

/// Amounts of every consumable: oxygen, CO2 and water in kg, battery in Wh, open-loop gas in litres at 1 atm.
/// Plain numbers, because the planner adds millions of them; the index is the Consumable.
using Amounts = std::array<double, consumable_count>;

inline constexpr std::array all_consumables{Consumable::oxygen, Consumable::co2, Consumable::water, Consumable::battery,
                                            Consumable::gas};
/// "kg", "Wh" or "L": what the numbers of this consumable count.
std::string_view unit(Consumable);

/// What one second draws at this metabolic rate. `sunlit` picks the heat leak. Never negative; nothing is drawn of a
/// consumable that this type does not carry.
/// Oxygen and CO2: Weir (1949) with the suit type's respiratory quotient, plus leak; water: heat to reject (metabolic,
/// electrical, leaking in) over the latent heat of sublimation; battery: mean electrical load; open-loop gas: in
/// proportion to the metabolic rate. The formulas and their sources: metabolism.h.
Amounts draw_per_second(const SuitType& suit, Watts metabolic, bool sunlit);
/// What a full suit has; a consumable that does not limit this type is infinity.
Amounts capacity(const SuitType& suit);
/// What must be left at return: SuitType::reserve at SuitType::reserve_rate, counted sunlit.
Amounts reserve(const SuitType& suit);
/// Metabolic rate of an effort for a person: Rules::effort_watts times their factor.
Watts metabolic_rate(const Rules& rules, const CrewMember& person, Effort effort);

}  // namespace handrail::lifesupport
