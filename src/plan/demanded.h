#pragma once

#include "plan/planner.h"

namespace handrail::plan::detail {

/// The same with the alternatives of what must be done left out: where one of two is demanded, the other will not do.
/// Alternatives that have been begun, or are demanded too, stay.
Freedom without_alternatives(const Outing& outing, const Situation& situation, Freedom freedom);

}  // namespace handrail::plan::detail
