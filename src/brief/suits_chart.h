#pragma once

#include <array>
#include <optional>
#include <vector>

#include "brief/amounts.h"
#include "brief/canvas.h"
#include "brief/chart_footer.h"
#include "lifesupport/estimator.h"
#include "timeline/timeline.h"

namespace handrail::brief {

/// What the chart shows of one suit.
struct SuitCurve {
    lifesupport::Forecast plan;                ///< before the outing
    std::optional<lifesupport::Forecast> now;  ///< from the last reading on
    std::vector<lifesupport::JudgedValue> readings;
};

/// One A4 sheet: for both suits, side by side, a panel for each consumable with the share left against PET, the 90 %
/// band, the reserve, the hard end, and the readings (unused ones as crosses). Throws FontMissing.
Canvas suits_chart(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                   const std::array<SuitCurve, 2>& suits, const ChartOrigin& origin = {}, Units units = Units::metric);

}  // namespace handrail::brief
