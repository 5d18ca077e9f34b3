#pragma once

#include <vector>

#include "brief/canvas.h"
#include "brief/chart_footer.h"
#include "risk/odds.h"

namespace handrail::brief {

/// Two landscape A4 pages: how likely (end time, odds of each task) and why (drivers, gates). Same arguments, same
/// drawing.
std::vector<Canvas> risk_chart(const Outing& outing, const risk::Odds& odds, const ChartOrigin& origin = {});

}  // namespace handrail::brief
