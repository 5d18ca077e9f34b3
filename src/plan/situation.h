#pragma once

#include <array>
#include <optional>
#include <vector>

#include "lifesupport/consumption.h"
#include "timeline/timeline.h"

namespace handrail::plan {

/// Where an item is: exactly one of these holds.
struct ItemPlace {
    enum class Where : std::uint8_t { loose, in_bag, carried, installed, lost } where = Where::loose;
    WorksiteId site{};  ///< loose, installed
    ItemId bag{};       ///< in_bag
    Crew carrier{};     ///< carried (in hand; what is in a carried bag stays in_bag)
};

struct CrewSituation {
    bool outside = false;         ///< egress has ended
    bool inside_again = false;    ///< ingress has ended
    bool able = true;             ///< can do steps; false: only comes home, helped by the partner
    Pet free_at{};                ///< end of what they are doing now
    WorksiteId at{}, anchor{};    ///< where they are (or will be at free_at), where their tether is anchored
    Pet checked_at{};             ///< end of the last glove check (or of egress)
    Seconds heavy{0};             ///< hand-heavy work since the last break
    Pet heavy_until{};            ///< when the last hand-heavy step ended
    lifesupport::Amounts used{};  ///< drawn from the suit until free_at
};

enum class StepStatus : std::uint8_t { to_do, running, done, skipped };

/// The state of an outing at a moment, from which a timeline can be decoded forward. Before egress it is initial().
struct Situation {
    Pet now{};
    std::array<CrewSituation, 2> crew;
    bool arm_available = true;
    Pet arm_free_at{}, iv_free_at{}, ground_free_at{};
    WorksiteId arm_at{};
    std::vector<ItemPlace> items;           ///< by ItemId
    std::vector<StepStatus> steps;          ///< by StepId
    std::vector<Pet> step_start, step_end;  ///< by StepId; as run for done, as expected for running
    std::vector<std::optional<Crew>> lead;  ///< by TaskId: bound by what has already been done
    std::vector<bool> dropped;              ///< by TaskId: the lead has left it out; only its close-ups remain
    std::vector<Activity> as_run;           ///< everything so far, in order
};

/// Everyone inside at PET zero, every item where the outing file puts it.
Situation initial(const Outing& outing);

}  // namespace handrail::plan
