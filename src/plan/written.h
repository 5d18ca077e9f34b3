#pragma once

#include "plan/search.h"

namespace handrail::plan::detail {

/// Value of the optional tasks that a sequence does.
double value_of(const Problem& problem, const Sequence& sequence);
/// The decoded plan as everybody reads it, with its bounds noted; why something is left out is not said yet.
Timeline timeline_of(const Problem& problem, const Found& found);

}  // namespace handrail::plan::detail
