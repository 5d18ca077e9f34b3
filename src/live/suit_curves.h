#pragma once

#include <string>

#include "live/status.h"

/// The course of both suits over the day, for curves: as believed so far, as forecast with its uncertainty, as planned.
namespace handrail::live {

/// {"position", "pet_s", "crew": [{"id", "consumables": [{"id", "unit", "capacity", "reserve", "course", "planned",
/// "readings"}]}], "caution"}. `course` holds columns of equal length: `pet_s`, `left` and the 90 % band `low` to
/// `high`, with a step wherever a reading changed what is believed; `planned` holds `pet_s` and `left` by the plan the
/// day began with. `readings` are those this reader may see, each with what was done with it.
std::string suit_curves_json(const Outing& outing, const Status& status, Reader reader);

}  // namespace handrail::live
