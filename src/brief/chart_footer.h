#pragma once

#include <string>

#include "brief/canvas.h"
#include "brief/wording.h"
#include "outing/model.h"

namespace handrail::brief {

/// What a chart on sheets of its own says of itself.
struct ChartOrigin {
    Wording say{};
    std::string identity{};  ///< a line: plan, position, check code, version; empty: made without a plan
    std::string warning{};   ///< a sentence the reader must see, or empty
};

/// How high the footer is.
inline constexpr double chart_footer_height = 30;
/// Caution, warning, identity and the outing's note, in points, along the lower edge of `area`.
void draw_chart_footer(Canvas& canvas, const Outing& outing, const ChartOrigin& origin, Box area);

}  // namespace handrail::brief
