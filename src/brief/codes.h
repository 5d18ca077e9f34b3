#pragma once

#include <string>

#include "outing/model.h"
#include "timeline/timeline.h"

/// Short names that are the same on every document made from a plan.
namespace handrail::brief {

/// "A", "B", ..., "Z", "AA", ... in the outing file's order, without I and O (read as 1 and 0).
std::string task_code(TaskId task);
/// "B3": the third step of task B, counted in the outing file's order.
std::string step_code(const Outing& outing, StepId step);

/// "4f2a-91c0": the start of a SHA-256 over the timeline and the outing's fingerprint. Two printed documents belong
/// together when their plan ids are the same.
std::string plan_id(const Outing& outing, const Timeline& timeline);

}  // namespace handrail::brief
