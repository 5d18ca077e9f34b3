#pragma once

#include <atomic>
#include <string>
#include <vector>

#include "plan/search.h"

/// Words for why something is not in a plan. Every sentence rests on a decode or a search that was really made.
namespace handrail::plan::detail {

/// Which required tasks and which rules stand in the way, from the least broken plan found.
std::vector<std::string> why_not(const Problem& problem, const Found& found, const WindowTable& windows,
                                 const Freedom& freedom, const std::atomic<bool>* stop = nullptr);
/// Why one task is left out, from putting it at so many places of the plan and looking at what breaks in the best.
std::string brief_reason(const Problem& problem, const Found& found, int task, const Freedom& freedom, int places);
/// Why the item cannot be had for the step, and what in the outing file would change that: which item and where,
/// whether it takes two people or is too large. Part of a sentence.
std::string why_not_brought(const Problem& problem, const Sequence& sequence, const Decoder::MissingItem& missing);
/// An item of the task too large for every way to where a step wants it, from where it now lies, while somebody
/// empty-handed could go; nothing when there is none.
std::optional<Decoder::MissingItem> held_up_by_size(const Problem& problem, int task);
/// How many places of the order each of so many left-out tasks is tried at, so that all of them together take a
/// fraction of a second whatever the size of the outing.
int places_to_try(const Problem& problem, std::size_t left_out);

}  // namespace handrail::plan::detail
