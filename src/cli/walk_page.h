#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "outing/model.h"

namespace handrail::cli {

/// The walk-through as one page, with the player that was built into this program; nothing where it was built without.
std::optional<std::string> walk_page(const Outing& outing, std::string_view walk);

}  // namespace handrail::cli
