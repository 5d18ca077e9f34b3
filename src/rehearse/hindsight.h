#pragma once

#include "rehearse/debrief.h"

namespace handrail::rehearse::detail {

/// The outing with the times it really takes: what a lead who knew the day beforehand would have planned with. Steps
/// take their drawn time with every delay that strikes them; people walk as fast as they did on average; a late start
/// lengthens egress, a private talk shortens the day; tasks in which something is lost cannot be done. What a mishap
/// forbade from its moment on is forbidden, as an unwanted condition of the steps it concerns.
struct Hindsight {
    Outing outing;
    WindowTable windows;
    std::vector<TaskId> impossible;
};
Hindsight in_hindsight(const Rehearsal& rehearsal);

/// The best plan for it that the search finds.
Reached best_possible(const Rehearsal& rehearsal, std::uint64_t iterations, int threads);

}  // namespace handrail::rehearse::detail
