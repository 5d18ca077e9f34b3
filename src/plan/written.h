#pragma once

#include "plan/search.h"

namespace handrail::plan::detail {

/// Value of the optional tasks that a sequence does.
double value_of(const Problem& problem, const Sequence& sequence);
enum class Bounded : std::uint8_t { no, yes };
/// The decoded plan as everybody reads it, with its bounds noted if they are wanted (they cost as much as hundreds of
/// decodes); why something is left out is not said yet.
Timeline timeline_of(const Problem& problem, const Found& found, Bounded bounded = Bounded::yes);

}  // namespace handrail::plan::detail
