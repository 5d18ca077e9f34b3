#pragma once

#include <span>
#include <vector>

#include "brief/amounts.h"
#include "brief/sections.h"
#include "brief/wording.h"
#include "live/close_out.h"

namespace handrail::brief {

/// The report of a day that is over, however it ended: done, partly done and left with reasons; as run against the
/// plan; items and where they are; consumables planned against measured; decisions; what the times say for the next
/// plan. Read as the console reads it; of private entries nothing but how many there are.
/// REQUIRES: `status` and `close_out` were made from the same entries.
std::vector<Section> close_out_report(const Outing& outing, const live::Status& status,
                                      std::span<const live::Recorded> entries, const live::CloseOut& close_out,
                                      const Wording& say = Wording{}, Units units = Units::metric);

}  // namespace handrail::brief
