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
/// Of whatever limits a suit, as much more as moving hand over hand takes in that time.
Outing with_longer_suits(const Outing& outing, Seconds by);
Outing without_work_limits(const Outing& outing);
/// No task has a latest start or end.
Outing without_latest_times(const Outing& outing);

/// Conditions of the quiet periods in which nothing may run that takes one of these lanes.
std::vector<std::string> quiet_conditions(const Outing& outing, const std::vector<Lane>& lanes);
/// Of those in which a step may not run under one lead or the other.
std::vector<std::string> quiet_conditions(const Outing& outing, const Step& step);
/// What the steps of a task need lasts longer by so much at either end, what they must not have as much shorter.
WindowTable widened(const WindowTable& windows, const Outing& outing, TaskId task, Seconds by);

struct Relaxation {
    std::string rule;   ///< as in docs/rules.md
    std::string words;  ///< "without glove checks"
    Outing (*relax_plain)(const Outing&) = nullptr;
    std::string condition;  ///< instead: this condition no longer matters
    Outing relax(const Outing& outing) const;
};
/// Every relaxation that could matter to this outing.
std::vector<Relaxation> relaxations(const Outing& outing);

/// A stretch of a step in which a condition does not hold that it needs, or holds that it must not have.
struct Outside {
    StepId step{};
    std::string condition, worksite;  ///< as WindowTable has them
    bool needed = true;               ///< false: it must not hold
    Pet from{}, to{};                 ///< whole seconds, the stretch rounded up
};
std::vector<Outside> outside_conditions(const Outing& outing, const WindowTable& windows, const Activity& activity);
/// The windows with these stretches in them (needed) or cut out of them.
WindowTable with_stretches(const WindowTable& windows, const std::vector<Outside>& stretches);

}  // namespace handrail::plan::detail
