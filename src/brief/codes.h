#pragma once

#include <cstdint>
#include <optional>
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

/// "K7QF-3M2P": printed on every document, made from the plan id and the journal position it was made at (none: from
/// the plan alone), so that `handrail brief --verify` can tell whether a sheet of paper is still in force.
/// 40 bits of a SHA-256 in the letters and digits that are not mistaken for one another (RFC 4648 base32 without I, O,
/// and with 8 and 9 for them).
std::string document_code(const std::string& plan, std::optional<std::uint64_t> position);

}  // namespace handrail::brief
