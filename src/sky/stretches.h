#pragma once

#include <functional>
#include <vector>

namespace handrail::sky {

/// [from, to) in seconds after some start.
struct Stretch {
    double from_s = 0, to_s = 0;
};
using Stretches = std::vector<Stretch>;  ///< in order, apart from each other

/// How finely to look.
struct Search {
    double from_s = 0, to_s = 0;
    double step_s = 60;           ///< between two samples the function has at most one extremum
    double tolerance_s = 1.0e-3;  ///< of each end
};
/// Where a continuous function is positive. Samples every step, refines every extremum that might reach zero between
/// samples (so a stretch far shorter than a step is found) and every change of sign.
Stretches where_positive(const std::function<double(double)>& f, const Search& search);

Stretches intersection(const Stretches& a, const Stretches& b);
/// Joins stretches that overlap or touch.
Stretches joined(Stretches all);
/// What is left of [from, to).
Stretches complement(const Stretches& of, double from_s, double to_s);

}  // namespace handrail::sky
