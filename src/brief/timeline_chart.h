#pragma once

#include <optional>
#include <string>
#include <vector>

#include "brief/canvas.h"
#include "brief/document.h"
#include "live/status.h"
#include "outing/model.h"
#include "timeline/timeline.h"

namespace handrail::brief {

enum class SheetKind : std::uint8_t {
    a3,     ///< 420 × 297 mm, landscape
    a4,     ///< 297 × 210 mm, landscape
    screen  ///< 1920 pixels wide, as high as it needs
};

struct ChartOptions {
    SheetKind sheet = SheetKind::a3;
    std::optional<Pet> now;                    ///< draws the line between what has happened and what is planned
    const Timeline* planned_before = nullptr;  ///< this plan's times stand under the blocks, for comparison
    Stamp stamp{};
    Wording say{};
    const live::Status* day = nullptr;  ///< of a day: what is done counts, and that it was called off is said
    std::string warning{};              ///< a sentence the reader must see, or empty
};

/// The whole timeline as pages: an overview, then the outing in equal parts one under the other, each with its own PET
/// and UTC axis, the windows as bands, a lane for each of EV1, EV2, arm, IV and ground (the last three where they have
/// something to do); then the tasks with class, value and times, what was left out and why, and a legend.
/// `windows` are the outing's own and those computed. Same arguments, same drawing.
std::vector<Canvas> timeline_chart(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const ChartOptions& options = {});

}  // namespace handrail::brief
