#pragma once

#include <string>

#include "outing/model.h"

namespace handrail::brief {

/// What must never be found in anything handed out.
inline constexpr const char* planted_marker = "PLANTED-4471";

/// Puts the marker into every text of the outing that was not written for everyone.
inline void plant(Outing& outing) {
    const std::string m = planted_marker;
    for (Worksite& site : outing.station.worksites) site.id += m;
    for (Solid& solid : outing.station.solids) solid.name = m;
    if (outing.station.arm) outing.station.arm->operator_name = m;
    for (SuitType& suit : outing.suits) suit.id = suit.name = m;
    outing.iv_name = m;
    for (Item& item : outing.items) {
        item.id += m;
        item.name += m;
    }
    for (Task& task : outing.tasks) task.key += m;
    for (Step& step : outing.steps) {
        step.label += m;
        step.name += m;
        step.crew_words = step.picture = m;
        step.hazards = {{m, m}};
        step.during.push_back(m);
    }
    for (GroundStation& station : outing.coverage.ground_stations) station.name = m;
    for (RelaySatellite& relay : outing.coverage.relays) relay.name = m;
    outing.doffing = {m};
    if (outing.prebreathe) outing.prebreathe->protocol = m;
    for (KnownPerson& person : outing.risk.people) person.name = m;
    for (Trouble& trouble : outing.risk.troubles) trouble.name = m;
}

/// Makes every text of the outing that somebody typed a word of no language. Names by which journals and plans refer to
/// things stay.
inline void mute(Outing& outing) {
    const std::string q = "Qx";
    outing.name = outing.note = outing.about = outing.iv_name = q;
    for (Worksite& site : outing.station.worksites) site.name = site.about = q;
    for (Solid& solid : outing.station.solids) solid.name = q;
    if (outing.station.arm) outing.station.arm->operator_name = q;
    for (CrewMember& person : outing.crew) person.name = person.about = q;
    for (SuitType& suit : outing.suits) suit.name = q;
    for (Item& item : outing.items) item.name = q;
    for (Task& task : outing.tasks) task.name = task.why = q;
    for (Step& step : outing.steps) {
        step.name = step.crew_words = step.public_words = step.picture = q;
        step.hazards = {{q, q}};
    }
    for (GroundStation& station : outing.coverage.ground_stations) station.name = q;
    for (RelaySatellite& relay : outing.coverage.relays) relay.name = q;
    for (std::string& step : outing.doffing) step = q;
    for (Trouble& trouble : outing.risk.troubles) trouble.name = q;
}

}  // namespace handrail::brief
