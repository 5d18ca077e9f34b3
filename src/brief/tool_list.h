#pragma once

#include <vector>

#include "brief/sections.h"
#include "brief/wording.h"
#include "live/state.h"

namespace handrail::brief {

/// What goes out in which bag and in whose hands, where each item is after everything that happens to it, and what must
/// be back inside at ingress, with boxes to tick. Items that the plan never touches are listed by themselves. With a
/// day: where the record has items elsewhere than the plan the day began with has them by now.
std::vector<Section> tool_list(const Outing& outing, const Timeline& timeline, const Wording& say = Wording{},
                               const live::Day* day = nullptr);
/// A row an item: size, bag, where at first and at the end, whether it must come back.
Grid tool_table(const Outing& outing, const Timeline& timeline, const Wording& say);

}  // namespace handrail::brief
