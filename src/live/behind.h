#pragma once

#include <string>

#include "live/forecast.h"

namespace handrail::live {

/// How far a person is behind the adopted plan, and what cost (or gained) the most.
struct Behind {
    Seconds by{};       ///< whole minutes, by the clocks of plan and day; negative: ahead; 0 within half a minute
    std::string cause;  ///< "" when `by` is 0; a hold is only ever called a hold
};
Behind behind_of(const Outing& outing, const Day& day, const Forecast& forecast, Crew crew);

/// Where the plan has this activity, matched by step, or by kind for the four that occur once.
const Activity* planned_as(const Timeline& plan, const Activity& activity, Crew crew);

}  // namespace handrail::live
