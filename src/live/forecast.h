#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "live/present.h"
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
    std::vector<Cannot> cannot;        ///< tasks that nothing can bring about any more
};

/// How people come in.
enum class ComeIn : std::uint8_t {
    orderly,  ///< close up what is open, collect what must come back, home, clean-up, ingress
    at_once   ///< straight to the airlock and in; nothing is closed up, nothing collected
};

/// The adopted plan carried on in its order. After a stand-down: coming in as it says. While one of the two can do
/// nothing more: both come in, because nobody works outside alone.
Forecast carry_on(const Outing& outing, const Day& day);
/// The adopted plan with some freedom. REQUIRES: nobody has begun clean-up.
Forecast carry_on_with(const Outing& outing, const Day& day, const plan::Freedom& freedom, const plan::Budget& budget);
/// Whoever can do nothing more is fetched by the partner and brought along, at the pace of a large item
/// (Rules::large_item_pace).
Forecast come_in(const Outing& outing, const Day& day, ComeIn how);
/// The crew member who is outside and can do nothing more, or stays in the airlock, while the other can work.
std::optional<Crew> needs_partner(const Day& day);
/// The adopted plan at the pace of the day so far (pace.h): what took longer goes on taking longer. For a time to
/// expect, not a timeline to adopt.
Forecast at_pace(const Outing& outing, const Day& day, const std::array<double, 2>& factors);

/// True while there is still something to decide: nobody has begun clean-up, and the day has not been called off before
/// egress or closed.
bool can_replan(const Day& day);

}  // namespace handrail::live
