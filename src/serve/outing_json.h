#pragma once

#include <string>

#include "outing/model.h"

namespace handrail::serve {

/// What does not change during the day (Outing in docs/openapi.json): names, worksites, routes and steps. Lengths in
/// metres, positions in the station frame.
std::string outing_json(const Outing& outing);

}  // namespace handrail::serve
