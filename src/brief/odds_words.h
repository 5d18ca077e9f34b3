#pragma once

#include <string>

#include "brief/wording.h"
#include "risk/odds.h"

namespace handrail::brief {

/// What makes the end late: "the day as a whole", "B3 free the bolt", "the way to B3", "EV1's way home".
std::string driver_name(const Outing& outing, const risk::Driver& driver, const Wording& say);

}  // namespace handrail::brief
