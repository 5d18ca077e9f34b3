#pragma once

#include "schedule/flat.h"

namespace handrail::schedule::detail {

/// Longest chain by lags and durations alone.
Time critical_path(const Flat& flat);
/// The larger of the critical path and, over all resources and all sets of activities that no chain lets begin before
/// h or end within q of the end: h + their work / capacity + q (an energetic bound after Carlier and Latapie 1991).
Time quick_bound(const Flat& flat);

}  // namespace handrail::schedule::detail
