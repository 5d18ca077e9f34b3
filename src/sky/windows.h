#pragma once

#include "outing/input_error.h"
#include "outing/model.h"
#include "sky/survey.h"

/// When which condition holds, for the planner, the checker and everyone after them.
namespace handrail::sky {

/// The conditions computed from an orbit:
///   daylight, penumbra, umbra   station-wide, each instant in exactly one of them; daylight is the whole disc of the
///   sun dark                        station-wide: penumbra and umbra lit, shadowed               per worksite,
///   together exactly the daylight; station-wide: daylight, nothing glare                       per worksite: the sun
///   is in the worker's face; station-wide: nothing coverage                    station-wide, when the outing names
///   ground stations or relays; notes say through which
/// A condition the outing file gives windows for is the file's alone: nothing is computed for it.
inline constexpr const char* computed_conditions[] = {"daylight", "penumbra", "umbra", "dark",
                                                      "lit",      "shadowed", "glare", "coverage"};

/// The windows from 2 h before to 12 h after PET zero, in PET of `pet_zero`: those of the outing's orbit, and those of
/// its file. The file's windows describe the world, so they stay where they are in UTC: when PET zero slips by d
/// against the planned one, they come d earlier in PET. Without an orbit, only the file's. Errors: see survey().
Result<WindowTable> windows_of(const Outing& outing, Utc pet_zero);

/// The file's windows alone, moved to this PET zero.
WindowTable file_windows(const Outing& outing, Utc pet_zero);
/// Adds a survey's windows for every condition that the file does not give.
void add_computed(WindowTable& table, const Outing& outing, const Survey& survey);

inline constexpr Seconds span_before{2 * 3600}, span_after{12 * 3600};

}  // namespace handrail::sky
