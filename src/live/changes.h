#pragma once

#include <string>
#include <vector>

#include "live/forecast.h"

namespace handrail::live {

/// True when the task will have been done, wholly, if the day goes on like this.
bool will_be_done(const Day& day, const Forecast& forecast, const Task& task);
/// True when at least one of its steps is still to come.
bool any_ahead(const Outing& outing, const Forecast& forecast, TaskId task);
/// What changes for whom when the day goes on as `then` instead of as `now`: "EV1 goes to Radiator root instead of
/// Mast, takes Camera bag", "Mend the lamp is left out", "both are in 20 min sooner".
std::vector<std::string> changes_of(const Outing& outing, const Day& day, const Forecast& now, const Forecast& then);

}  // namespace handrail::live
