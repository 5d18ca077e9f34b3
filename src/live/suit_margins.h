#pragma once

#include "live/status.h"

namespace handrail::live {

/// The tightest margin of a forecast, as tightest_of(suits_of()) has it, without working out when to turn back.
std::optional<Tightest> tightest_ahead(const Outing& outing, const Day& day, const Forecast& forecast);

}  // namespace handrail::live
