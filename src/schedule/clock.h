#pragma once

#include <ctime>

namespace handrail::schedule::detail {

/// CPU time of the calling thread in seconds: the machine is shared, so elapsed time would measure the neighbours.
inline double thread_seconds() {
    std::timespec now{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace handrail::schedule::detail
