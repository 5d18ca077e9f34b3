#pragma once

#include <vector>

#include "check/check.h"
#include "live/forecast.h"

namespace handrail::live {

/// Rules that this forecast breaks from now on. What the past broke is no choice any more; what is owed at the end is.
/// `dropped`: tasks it leaves out on purpose. Besides the rules of docs/rules.md, three that only a running day has:
/// `closed-site` (somebody is at a worksite while it is closed), `alone` (one works on while the other cannot help) and
/// `prebreathe` (the depress began before the prebreathe was over).
std::vector<Finding> findings_ahead(const Outing& outing, const Day& day, const Forecast& forecast,
                                    const std::vector<TaskId>& dropped);

}  // namespace handrail::live
