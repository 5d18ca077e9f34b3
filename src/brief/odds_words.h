#pragma once

#include <string>
#include <vector>

#include "brief/wording.h"
#include "risk/odds.h"

namespace handrail::brief {

/// What makes the end late: "the day as a whole", "B3 free the bolt", "the way to B3", "EV1's way home".
std::string driver_name(const Outing& outing, const risk::Driver& driver, const Wording& say);

/// What the end hangs on, largest first. Egress, clean-up and ingress have one name for the reader and are one driver:
/// first-order shares of independent times add up.
std::vector<risk::Driver> told_drivers(const risk::Odds& odds);

}  // namespace handrail::brief
