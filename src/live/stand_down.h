#pragma once

#include <optional>
#include <string>
#include <vector>

#include "live/forecast.h"

/// Standing down: who does what next until everyone is in and the hatch is closed, what must be closed up, and what is
/// still outside.
namespace handrail::live {

struct HomeStep {
    std::string who;        ///< "EV1", "EV2", "both", "arm", ...
    std::optional<Pet> at;  ///< as forecast; none: in its turn
    std::string what;       ///< "Close the panel", "translate to Airlock", "Gloves off"
    bool done = false;
};
struct OpenSite {
    WorksiteId site{};
    std::vector<StepId> close_up;    ///< still to be done there, of the task that opened it
    bool closed_on_the_way = false;  ///< the way home does all of them
};
struct ItemOutside {
    ItemId item{};
    bool must_return = false, comes_in = false;
};

struct StandingDown {
    std::vector<OpenSite> open;
    std::vector<ItemOutside> outside;  ///< what must come back and is not in yet, what is in hand, and what is lost
    std::vector<HomeStep> steps;       ///< in order, to the last step back of the outing file
};

/// Whether a step takes it from where it starts and none has yet: it is still built in, and nobody comes to fetch it.
bool waits_for_its_step(const Outing& outing, const Day& day, ItemId item);

/// For a scrub, a terminate, an abort, or simply coming in: what `forecast` means step by step.
StandingDown standing_down(const Outing& outing, const Day& day, const Forecast& forecast);
/// A few lines of text.
std::string print(const Outing& outing, const Day& day, const StandingDown& down);

}  // namespace handrail::live
