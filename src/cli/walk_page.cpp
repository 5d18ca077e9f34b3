#include "cli/walk_page.h"

#include <algorithm>

#include "brief/walk_through.h"
#include "serve/assets.h"

namespace handrail::cli {

std::optional<std::string> walk_page(const Outing& outing, std::string_view walk) {
    const auto assets = serve::console_assets();
    const auto script = std::ranges::find(assets, "/walk/walk.js", &serve::Asset::path);
    const auto style = std::ranges::find(assets, "/walk/walk.css", &serve::Asset::path);
    if (script == assets.end() || style == assets.end()) return std::nullopt;
    return brief::walk_through_page(outing, walk, script->body, style->body);
}

}  // namespace handrail::cli
