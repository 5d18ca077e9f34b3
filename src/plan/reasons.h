#pragma once

#include <string>
#include <vector>

#include "plan/search.h"

/// Words for why something is not in a plan. Every sentence rests on a decode or a search that was really made.
namespace handrail::plan::detail {

/// Which required tasks and which rules stand in the way, from the least broken plan found.
std::vector<std::string> why_not(const Problem& problem, const Found& found, const WindowTable& windows,
                                 const Freedom& freedom);
/// Why one task is left out, from putting it at the end of the plan and looking at what breaks.
std::string brief_reason(const Problem& problem, const Found& found, int task, const Freedom& freedom);

}  // namespace handrail::plan::detail
