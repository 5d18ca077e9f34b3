#pragma once

#include <optional>
#include <string>

#include "brief/wording.h"
#include "lifesupport/consumption.h"
#include "units/quantity.h"

/// Quantities as documents print them: metric, with US customary units in brackets for readers who ask.
namespace handrail::brief {

enum class Units : std::uint8_t { metric, metric_and_us };

/// "0.52 kg" or "0.52 kg (1.15 lb)"; "212 Wh"; "1240 L (43.8 cu ft)".
std::string print_amount(lifesupport::Consumable c, double value, const Wording& say, Units units);
/// "17 m" or "17 m (56 ft)".
std::string print_length(Metres length, const Wording& say, Units units);
/// "1 h 25 min", "-5 min": to the minute, always towards less; "–" for none.
std::string print_in_hand(std::optional<Seconds> in_hand);
/// "83 %"; "> 99 %" and "< 1 %" rather than a certainty that no simulation gives.
std::string print_share(double share);

}  // namespace handrail::brief
