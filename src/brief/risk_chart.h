#pragma once

#include <vector>

#include "brief/canvas.h"
#include "risk/odds.h"

namespace handrail::brief {

/// Two landscape A4 pages: how likely (end time, odds of each task) and why (drivers, gates).
std::vector<Canvas> risk_chart(const Outing& outing, const risk::Odds& odds);

}  // namespace handrail::brief
