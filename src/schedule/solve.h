#pragma once

#include <cstdint>
#include <functional>
#include <limits>

#include "schedule/project.h"

namespace handrail::schedule {

/// How long to search. The same project, seed and rounds give the same answer on any machine; the other limits only
/// decide when to stop asking.
struct Effort {
    std::uint64_t seed = 1;
    std::uint64_t rounds = std::numeric_limits<std::uint64_t>::max();  ///< a round is some 20 ms to 1 s
    double cpu_seconds = std::numeric_limits<double>::infinity();      ///< of the calling thread
    std::function<bool()> stop;                                        ///< asked every few milliseconds; may be empty
};

enum class Verdict {
    optimal,     ///< proved: nothing is worth more, and of what is worth as much nothing ends earlier
    feasible,    ///< a schedule, not proved best
    infeasible,  ///< proved: there is no schedule
    unknown      ///< neither schedule nor proof
};

struct Answer {
    Verdict verdict = Verdict::unknown;
    Schedule schedule;  ///< optimal and feasible only
    Time makespan = 0;
    Time makespan_bound = 0;  ///< no schedule of that value ends earlier
    std::int64_t value = 0;
    std::int64_t value_bound = 0;  ///< no schedule is worth more
    std::uint64_t schedules = 0, conflicts = 0, rounds = 0;
};

/// Most value first, then the earliest end. REQUIRES fault(project).empty().
Answer solve(const Project& project, const Effort& effort);

}  // namespace handrail::schedule
