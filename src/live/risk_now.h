#pragma once

#include <optional>

#include "live/forecast.h"
#include "live/state.h"
#include "risk/odds.h"

namespace handrail::live {

/// The day going on as forecast, simulated: all that odds_now() tells a part of. None when nothing is left to decide or
/// the forecast is impossible.
std::optional<risk::Odds> simulate_now(const Outing& outing, const Day& day, const Forecast& forecast,
                                       const risk::Options& options);

}  // namespace handrail::live
