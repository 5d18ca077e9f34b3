#pragma once

#include <string>

#include "outing/model.h"
#include "timeline/timeline.h"

namespace handrail::brief {

/// The outing for a calendar (iCalendar, RFC 5545): the whole outing, egress, each task in the plan, clean-up and
/// ingress, and the hard end, all in UTC. Names of tasks and nothing more detailed. DTSTAMP is the plan's PET zero, so
/// that the same plan gives the same bytes.
std::string calendar(const Outing& outing, const Timeline& timeline);

}  // namespace handrail::brief
