#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "live/state.h"
#include "plan/planner.h"

namespace handrail::live {

/// How the day goes on from now under some choice: the planner's own decoder run from the present, with the past as it
/// was.
struct Forecast {
    bool possible = true;
    std::vector<std::string> reasons;  ///< why not
    std::optional<Timeline> timeline;  ///< past and future in one; for the checker, and to be adopted
    std::vector<AsRun> ahead;          ///< what has not begun yet, by start
    Pet finish{};                      ///< end of ingress; of what has happened when nothing is to come
};

/// How people come in.
enum class ComeIn : std::uint8_t {
    orderly,  ///< close up what is open, collect what must come back, home, clean-up, ingress
    at_once   ///< straight to the airlock and in; nothing is closed up, nothing collected
};

/// The adopted plan carried on in its order. After a stand-down: coming in as it says.
Forecast carry_on(const Outing& outing, const Day& day);
/// The adopted plan with some freedom. REQUIRES: nobody has begun clean-up.
Forecast carry_on_with(const Outing& outing, const Day& day, const plan::Freedom& freedom, const plan::Budget& budget);
Forecast come_in(const Outing& outing, const Day& day, ComeIn how);

/// True while there is still something to decide: nobody has begun clean-up, and the day has not been called off before
/// egress or closed.
bool can_replan(const Day& day);

}  // namespace handrail::live
