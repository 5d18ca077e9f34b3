#pragma once

#include <span>
#include <string>

#include "brief/document.h"
#include "outing/model.h"
#include "timeline/timeline.h"

namespace handrail::brief {

/// A decision time: nobody is busy, and it ends when it begins.
struct CalendarMoment {
    std::string key;  ///< in the UID, the same from plan to plan: "gate-C"
    Pet at{};
    std::string what;
};
enum class CalendarState : std::uint8_t { confirmed, cancelled };

/// The outing for a calendar (iCalendar, RFC 5545): the whole outing, egress, each task in the plan, clean-up and
/// ingress, the decision times and the hard end, all in UTC. Names of tasks and nothing more detailed. DTSTAMP is the
/// time made, or the plan's PET zero when nobody said one; UIDs stay the same from plan to plan and SEQUENCE is the
/// journal position, so that a later calendar replaces the earlier one's events, or takes them back.
std::string calendar(const Outing& outing, const Timeline& timeline, const Stamp& stamp = {},
                     const Wording& say = Wording{}, std::span<const CalendarMoment> gates = {},
                     CalendarState state = CalendarState::confirmed);

}  // namespace handrail::brief
