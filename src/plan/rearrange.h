#pragma once

#include <optional>

#include "plan/planner.h"

namespace handrail::plan {

/// What an edit touches: it may be moved through the order; everything else keeps its place in it.
struct Touched {
    std::optional<StepId> step;
    std::optional<TaskId> task;
};

/// The timeline decoded again in its own order, its own tasks and its own leads as far as the wishes leave them, with
/// only what is touched (and tasks demanded that were not in it) moved to where the whole ends best. No search: at most
/// `tries` decodes, so the same answer everywhere, within some milliseconds for forty tasks. Never fails: what cannot
/// be kept is broken, and the checker says so. Why tasks are left out is taken over from `old`.
Timeline rearrange(const Outing& outing, const WindowTable& windows, const Situation& situation, const Timeline& old,
                   const Wishes& wishes, const Touched& touched, int tries = 300);

/// Two wishes that cannot both hold (or one against the orders of the file), in a sentence; nothing when they can.
std::optional<std::string> contradiction(const Outing& outing, const Wishes& wishes);

/// The wishes that a timeline does not keep, in sentences: what a step is late or early by, who does what they should
/// not. Reads the timeline alone.
std::vector<std::string> unkept(const Outing& outing, const Timeline& timeline, const Wishes& wishes);

}  // namespace handrail::plan
