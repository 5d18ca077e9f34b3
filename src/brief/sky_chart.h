#pragma once

#include <vector>

#include "brief/canvas.h"
#include "brief/chart_footer.h"
#include "brief/sky_report.h"

namespace handrail::brief {

/// Light and coverage as A4 pages (landscape): under one PET and UTC axis the sun, coverage with numbered gaps, each
/// relay and ground station, the outing file's own windows, and every worksite (lit, shadowed, glare, dark); then the
/// gaps' reasons and a legend. Patterns and words say everything colour says. Same arguments, same drawing.
std::vector<Canvas> sky_chart(const SkySpan& span, const ChartOrigin& origin = {});

}  // namespace handrail::brief
