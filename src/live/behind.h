#pragma once

#include <string>

#include "live/forecast.h"

namespace handrail::live {

/// How far a person is behind the adopted plan, and what cost (or gained) the most.
struct Behind {
    Seconds by{};       ///< negative: ahead
    std::string cause;  ///< "" when less than half a minute either way; a hold is only ever called a hold
};
Behind behind_of(const Outing& outing, const Day& day, const Forecast& forecast, Crew crew);

/// Where the plan has this activity, matched by step, or by kind for the four that occur once.
const Activity* planned_as(const Timeline& plan, const Activity& activity, Crew crew);

}  // namespace handrail::live
