#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "check/check.h"
#include "check/ways.h"

/// The timeline told again, the way docs/rules.md defines it: who is where, anchored where, carrying what.
namespace handrail::checking {

/// An activity as one crew member lives it.
struct Stage {
    const Activity* activity = nullptr;
    WorksiteId before{};         ///< where the activities before have left them
    WorksiteId at{};             ///< where the activity happens: what it says, else `before`
    WorksiteId after{};          ///< where it leaves them
    WorksiteId anchor_before{};  ///< of their tether
    WorksiteId anchor_after{};
    SizeClass load_before = SizeClass::small;  ///< largest in hand; small when the hands are empty
    SizeClass load_after = SizeClass::small;
};

/// A worksite that a step has left unsafe, and the steps of its task that make it safe again.
struct Opening {
    StepId opener{};
    WorksiteId site{};
    Pet opened{};
    std::vector<StepId> close_ups;  ///< those that end at that worksite, in file order
    std::optional<Pet> closed;      ///< end of the last of them, if it is on the timeline
};

/// Everything the rules look at. Built once a check; the rules only read it.
struct Replay {
    Replay(const Outing& outing, const WindowTable& windows, const Timeline& timeline, const CheckOptions& options);

    const Outing& outing;
    const WindowTable& windows;
    const Timeline& timeline;
    const CheckOptions& options;
    Ways ways;

    std::vector<const Activity*> activities;              ///< by start
    std::array<std::vector<const Activity*>, 5> on_lane;  ///< by Lane, by start
    std::array<std::vector<Stage>, 2> crew;               ///< by Crew, by start
    std::vector<std::vector<const Activity*>> runs;       ///< by StepId: every time the step is on the timeline
    std::vector<Crew> lead;                               ///< by TaskId: bound, else fixed, else EV1
    std::vector<Opening> openings;                        ///< in step order
    const Activity* egress = nullptr;                     ///< the first one
    const Activity* clean_up = nullptr;                   ///< the last one
    const Activity* ingress = nullptr;                    ///< the last one

    const std::vector<Stage>& of(Crew c) const { return crew[index(c)]; }
    std::vector<Stage>& of(Crew c) { return crew[index(c)]; }
    const Activity* first_run(StepId step) const;
    bool dropped(TaskId task) const;
    bool unable(Crew c) const;
    /// The suited crew in an activity: for a step the bound ones in the order lead, helper if those are on its lanes;
    /// else whoever of the crew is on its lanes.
    std::vector<Crew> crew_of(const Activity& activity) const;
    /// Where the activity happens if it says so.
    std::optional<WorksiteId> start_site(const Activity& activity) const;
    std::optional<WorksiteId> end_site(const Activity& activity) const;
    /// Where it happens and where it ends: what it says, else where its first crew member is.
    std::optional<WorksiteId> happens_at(const Activity& activity) const;
    std::optional<WorksiteId> ends_at(const Activity& activity) const;
    /// Where a crew member's finished activities have left them by `t`.
    WorksiteId place_at(Crew c, Pet t) const;
    const std::string& site_name(WorksiteId site) const { return outing.worksite(site).name; }
    /// The close-ups this crew member still has part in at `t`, of worksites open by then; each once, in step order.
    std::vector<StepId> close_ups_left(Crew c, Pet t) const;
    /// A ride, unless it may be done hand over hand and the arm is not on its lanes.
    bool rides_the_arm(const Activity& activity) const;
    /// The title in quotes.
    std::string named(const Activity& activity) const;

private:
    void follow(Crew c);
    void find_openings();
};

/// "EV1" and the like for messages.
std::string name(Crew c);

}  // namespace handrail::checking
