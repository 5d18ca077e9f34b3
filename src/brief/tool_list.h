#pragma once

#include <vector>

#include "brief/sections.h"

namespace handrail::brief {

/// What goes out in which bag and in whose hands, where each item is after everything that happens to it, and what must
/// be back inside at ingress, with boxes to tick. Items that the plan never touches are listed by themselves.
std::vector<Section> tool_list(const Outing& outing, const Timeline& timeline);

}  // namespace handrail::brief
