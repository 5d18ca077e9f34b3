#pragma once

#include <string>

#include "rehearse/crew.h"

/// What the parts of the crew have in common.
namespace handrail::rehearse::detail {

inline bool has_crew(const Activity& activity) { return activity.on(Lane::ev1) || activity.on(Lane::ev2); }
inline Crew one_of(const Activity& activity) { return activity.on(Lane::ev1) ? Crew::ev1 : Crew::ev2; }

inline bool is_heavy(const Step& step) { return step.effort == Effort::tools || step.effort == Effort::forced; }

inline std::string who_of(const Activity& activity) {
    std::string who;
    for (const Lane lane : activity.lanes)
        if (lane == Lane::ev1 || lane == Lane::ev2) who += (who.empty() ? "" : " and ") + std::string(word(lane));
    if (who.empty() && !activity.lanes.empty()) who = word(activity.lanes.back());
    return who;
}

}  // namespace handrail::rehearse::detail
