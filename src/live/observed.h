#pragma once

#include "live/state.h"

/// What a day's record says about how long things take.
namespace handrail::live {

/// The as-run timeline of what was logged from its start to its end: activities that are still running, or whose start
/// or end only follows from the plan, are left out. Time in which work was held is taken off the durations (holds on
/// record are already merged into one stretch each); nothing of a hold but its length is read.
Timeline observed(const Outing& outing, const Day& day);

}  // namespace handrail::live
