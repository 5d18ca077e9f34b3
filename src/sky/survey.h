#pragma once

#include <optional>
#include <string>
#include <vector>

#include "outing/model.h"
#include "sky/coverage.h"
#include "sky/shadow.h"
#include "sky/worksite_light.h"

namespace handrail::sky {

/// A stretch without coverage, and why each source was out of view in its middle.
struct Gap {
    Stretch when;
    std::string reason;
};

/// What the orbit says about a span of an outing: light, coverage and each worksite's light. Times in it are seconds
/// after PET zero.
struct Survey {
    Utc pet_zero;
    double from_s = 0, to_s = 0;
    Orbit orbit;
    std::vector<std::string> warnings;  ///< whole sentences; the age of the elements
    Degrees beta_start, beta_end;
    ShadowTimes shadow;
    std::vector<std::vector<WorksiteStretch>> worksites;  ///< by WorksiteId; only the station's daylight is covered
    std::vector<Link> links;                              ///< empty without ground stations and relays
    Stretches covered;
    std::vector<Gap> gaps;
};

/// REQUIRES: outing.orbit. Errors: the element set (read_elements, orbit_of), elements more than a year from PET zero,
/// an orbit that decays within the span, masks beyond 90 degrees, solids without size.
Result<Survey> survey(const Outing& outing, Utc pet_zero, Seconds from, Seconds to);

/// How many days the elements are older (positive) or younger than an instant.
double age_days(const Elements& elements, Utc t);
/// Elements this old are warned about. The error of SGP4 with published elements is some 1 km at the epoch and grows
/// by 1 to 3 km a day, mostly along the track (common practice, from memory; drag decides): 3 days are up to 10 km, a
/// little over a second of light and coverage.
inline constexpr double warn_age_days = 3;
/// Elements this far from PET zero say nothing about it any more: Handrail's choice.
inline constexpr double refuse_age_days = 366;

}  // namespace handrail::sky
