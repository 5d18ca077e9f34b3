#pragma once

#include "plan/problem.h"

namespace handrail::plan::detail {

/// Bounds from relaxations; each holds for every timeline that keeps the rules.
struct Bounds {
    double missing = 0;  ///< no plan leaves out less weight (Score::missing)
    double value = 0;    ///< no plan does optional tasks of more value
};
/// Value: the least of several fractional knapsacks. Crew seconds: both crew together have 2 × (limit − egress −
/// clean-up − ingress); required and started tasks take theirs first, and a task takes at least the likely seconds of
/// its crew steps under the better lead. Each consumable: both suits together have their capacity less reserve; egress,
/// clean-up and ingress take theirs, a task at least what its steps draw from the suit that draws less. Tasks whose own
/// chain cannot end in time are left out beforehand.
Bounds value_bound(const Problem& problem);
/// Finish: at least the work of the best way to have `missing` weight left out shared evenly by both crew, and at least
/// the longest chain of any task that must be done, from the airlock and back.
Time finish_bound(const Problem& problem, double missing);

}  // namespace handrail::plan::detail
