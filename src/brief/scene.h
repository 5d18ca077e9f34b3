#pragma once

#include <string>

#include "outing/model.h"

/// What the map is drawn from, as JSON texts: the station itself, and the light on it. The console, the walk-through
/// and the public page draw from the same two. Positions in metres in the station frame, times in PET seconds.
namespace handrail::brief {

/// How worksites are called. A file's ids are its author's own shorthand, so what is handed out numbers them instead.
enum class SiteKeys : std::uint8_t { ids, numbers };
/// "truss-root", or "w3".
std::string site_key(const Outing& outing, WorksiteId site, SiteKeys keys);

/// {"name", "airlock", "worksites": [{"id", "name", "about", "at_m": [x, y, z], "outward", "anchor"}],
/// "routes": [{"a", "b", "length_m"}], "solids": [{"shape": "box", "at_m", "size_m"} or {"shape": "cylinder", "at_m",
/// "axis", "radius_m", "length_m"}], "arm": null or {"name", "base_m", "reach_m", "parked"}}. All its words are public.
std::string scene_json(const Outing& outing, SiteKeys keys);

/// {"pet_zero", "daylight": null or [[from_s, to_s]], "sites": {key: {"lit": [...], "glare": [...]}}, "sun": null or
/// {"from_s", "step_s", "toward": [x, y, z, x, y, z, ...]}} for [from, to). `daylight` is null where nobody knows,
/// `sites` holds the worksites whose own light is known. Glare is for the crew, so numbered scenes have none.
std::string light_json(const Outing& outing, const WindowTable& windows, Utc pet_zero, Pet from, Pet to, SiteKeys keys);

}  // namespace handrail::brief
