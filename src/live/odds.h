#pragma once

#include <optional>
#include <span>
#include <vector>

#include "live/forecast.h"
#include "live/state.h"
#include "units/quantity.h"

/// How likely the rest of the day comes true, from what has happened so far (docs/risk.md).
namespace handrail::live {

struct TaskOdds {
    TaskId task{};
    double done = 0;
};
/// A decision agreed by simulation: begin this task until then, or leave it out.
struct NextGate {
    TaskId task{};
    std::optional<Pet> begin_until;  ///< none: at no time that can come up
    Pet planned{}, start_home_by{};

    /// When it is decided at the latest: a task to be left out in any case is decided when it would come up.
    Pet decided_by() const { return begin_until.value_or(planned); }
};
struct OddsNow {
    Position position{};            ///< of the last entry they rest on
    double required = 0, home = 0;  ///< all required tasks done; in time with both suits' reserves
    double error = 0;               ///< the larger standard error of the two
    Pet finish_p10{}, finish_p50{}, finish_p90{};
    std::vector<TaskOdds> tasks;   ///< those still ahead
    std::optional<NextGate> gate;  ///< the first of `gates`
    std::vector<NextGate> gates;   ///< the earliest deadline first
};

/// Simulates the day going on as forecast; some tenths of a second with gates, some hundredths without. None when
/// nothing is left to decide or the forecast is impossible. What took longer or shorter than planned so far counts as
/// evidence about the day and the people. Times only: nothing private comes in, and none comes out.
enum class WithGates : std::uint8_t { no, yes };
/// Without gates tasks are left out by likely times, and home is started early enough for the wanted confidence.
/// `threads`: 0 one a core.
std::optional<OddsNow> odds_now(const Outing& outing, const Day& day, const Forecast& forecast, WithGates gates,
                                int threads = 0);

}  // namespace handrail::live
