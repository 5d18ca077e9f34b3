#pragma once

#include <optional>
#include <string>
#include <vector>

#include "timeline/timeline.h"

/// Why each activity of a timeline starts when it does: read off the timeline itself, whoever made it.
namespace handrail::plan {

/// What an activity waits for.
enum class Cause : std::uint8_t {
    own_lane,    ///< what the same person (or arm) did before
    partner,     ///< the other crew member is still busy
    window,      ///< its conditions do not hold sooner
    order,       ///< a step that must end (and a gap that must pass) first
    task_order,  ///< a task that must end first
    item,        ///< something it uses is still in use
    arm,         ///< the arm is still busy or on its way
    inside,      ///< IV or ground are still busy
    hands,       ///< hands must rest
    held_back,   ///< a step that must follow it closely cannot start sooner
    voice,       ///< no voice loop is free
    resource,    ///< too much of a resource is in use
    wish,        ///< the outing file prefers it then
    nothing      ///< it could start sooner
};
std::string_view word(Cause);

/// One thing that an activity cannot start before.
struct Reason {
    Cause cause = Cause::nothing;
    Pet earliest{};                     ///< no start before this
    std::optional<std::size_t> before;  ///< index of the activity it waits for
    std::string condition;  ///< Cause::window: which, "no glare" for one that must end; resource: its name; wish: in
                            ///< which; arm: the worksite that must be clear while it moves, if that is why
};
/// "daylight begins", "glare ends" for the condition of a Cause::window.
std::string turn_of(const std::string& condition);

/// Everything that keeps activity `i` from starting sooner, latest first. `timeline` as put_in_order() leaves it.
std::vector<Reason> reasons_for_start(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                      std::size_t i);

/// A stretch in which a crew member has nothing to do.
struct Wait {
    Crew crew = Crew::ev1;
    Pet from{};
    Seconds length{};
    std::size_t next = 0;  ///< index of the activity waited for
    Reason reason;
    std::string what;  ///< a sentence
};
/// Every wait of at least `shortest`, by time. Glove checks put into a wait do not end it.
std::vector<Wait> waits(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                        Seconds shortest = Seconds{30});

/// One link of the critical chain.
struct ChainLink {
    std::size_t activity = 0;
    Reason reason;     ///< why it did not start sooner
    std::string what;  ///< a sentence
};
/// The activities that set the finish: each starts the moment the one before it allows. From egress, or from a window
/// that opens, to ingress; across both crew members, arm, IV and ground. Empty without an ingress.
std::vector<ChainLink> critical_chain(const Outing& outing, const WindowTable& windows, const Timeline& timeline);

}  // namespace handrail::plan
