#pragma once

#include <vector>

#include "brief/amounts.h"
#include "brief/sections.h"
#include "brief/wording.h"
#include "check/check.h"
#include "live/status.h"
#include "risk/odds.h"

namespace handrail::brief {

/// One page for whoever decides: time and consumables in hand, the odds and the decision gates, what the independent
/// checker finds, the steps that depend on light, coverage or another condition with the least to spare, the tasks,
/// what was left out and why. `findings` are check() of this plan; `odds`, if any, risk::odds_of(). The forecast is
/// that of full suits and no readings. With a day's `status` the page begins with how the day stands, and gates and
/// suits are the day's.
std::vector<Section> director_page(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const std::vector<Finding>& findings, const risk::Odds* odds = nullptr,
                                   const Wording& say = Wording{}, Units units = Units::metric,
                                   const live::Status* status = nullptr);

}  // namespace handrail::brief
