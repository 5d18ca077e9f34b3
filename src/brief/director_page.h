#pragma once

#include <vector>

#include "brief/sections.h"
#include "check/check.h"

namespace handrail::brief {

/// One page for whoever decides: time and consumables in hand, what the independent checker finds, the steps that
/// depend on light, coverage or another condition with the least to spare, the tasks, what was left out and why.
/// `findings` are check() of this plan. The forecast is that of full suits and no readings.
std::vector<Section> director_page(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const std::vector<Finding>& findings);

}  // namespace handrail::brief
