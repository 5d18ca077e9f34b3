#pragma once

#include "plan/problem.h"

namespace handrail::plan::detail {

/// Bounds from relaxations; each holds for every timeline that keeps the rules.
struct Bounds {
    double missing = 0;  ///< no plan leaves out less weight (Score::missing)
    double value = 0;    ///< no plan has more value, settled_value() included
};

/// Value: the least of several knapsacks, each task whole or not at all. Crew seconds: both together, and each person
/// alone, have the time between egress and clean-up less the glove checks that must fall into it; a task takes at least
/// the work of its crew steps under the better lead, its share of the walks to its worksites and of the pick-ups of
/// what it needs. Each consumable: both suits together have their capacity less reserve; egress, clean-up and ingress
/// take theirs, a task at least what its steps draw. Tasks whose own chain cannot end in time are left out beforehand.
/// `required_counts` false: also for a plan that had to leave out something required.
Bounds value_bound(const Problem& problem, bool required_counts = true);
/// Of what is not for the plan to choose: tasks that are begun or demanded.
double settled_value(const Problem& problem);
/// Finish: the earliest end by which those knapsacks can still hold everything that must be done and optional tasks
/// that leave out no more than `missing` (found by bisection: an end is given up when they cannot), and at least the
/// chain of steps and windows of any task that must be done, or whose weight is more than `missing`.
Time finish_bound(const Problem& problem, double missing, bool required_counts = true);
/// The plan leaves out something required (which only a plan from the middle of an outing may).
bool misses_required(const Problem& problem, const std::vector<std::uint8_t>& in);

}  // namespace handrail::plan::detail
