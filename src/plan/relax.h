#pragma once

#include <string>
#include <vector>

#include "timeline/timeline.h"

/// An outing with one rule relaxed: what a what-if search works on.
namespace handrail::plan::detail {

Outing relaxed_limit(const Outing& outing);
Outing without_conditions(const Outing& outing);
Outing without_conditions(const Outing& outing, TaskId task);
Outing with_full_suits(const Outing& outing);

struct Relaxation {
    std::string rule;   ///< as in docs/rules.md
    std::string words;  ///< "without glove checks"
    Outing (*relax_plain)(const Outing&) = nullptr;
    std::string condition;  ///< instead: this condition no longer matters
    Outing relax(const Outing& outing) const;
};
/// Every relaxation that could matter to this outing.
std::vector<Relaxation> relaxations(const Outing& outing);

/// How much of a step lies outside what it needs, and of which condition the most.
struct Outside {
    Seconds by{0};
    std::string condition;  ///< "daylight", "no glare"
};
Outside outside_conditions(const Outing& outing, const WindowTable& windows, const Activity& activity);

}  // namespace handrail::plan::detail
