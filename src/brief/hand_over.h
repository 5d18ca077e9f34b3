#pragma once

#include <span>
#include <vector>

#include "brief/amounts.h"
#include "brief/sections.h"
#include "brief/wording.h"
#include "check/check.h"
#include "live/status.h"

namespace handrail::brief {

/// What the lead going off shift hands to the one coming on: state, the last hour, open troubles, decisions and why,
/// the next decision times; of private entries nothing but how many there are. Everything is read as the console reads
/// it. `status.odds`, when there, adds odds and gates. `findings` are check() of the forecast from now on.
std::vector<Section> hand_over(const Outing& outing, const live::Status& status,
                               std::span<const live::Recorded> entries, const std::vector<Finding>& findings,
                               const Wording& say = Wording{}, Units units = Units::metric);

/// Parts of it that the flight director's page carries on the day.
Section day_state(const Outing& outing, const live::Status& status, const Wording& say);
Section day_gates(const Outing& outing, const live::Status& status, const Wording& say);
Section day_suits(const Outing& outing, const live::Status& status, const Wording& say, Units units);

}  // namespace handrail::brief
