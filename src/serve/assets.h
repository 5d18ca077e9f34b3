#pragma once

#include <span>
#include <string_view>

namespace handrail::serve {

/// A file of the built page, embedded in the program. The table is fixed at build time, so no request can name
/// anything else: there are no paths to traverse.
struct Asset {
    std::string_view path;          ///< "/", "/assets/index-4f2a.js"
    std::string_view content_type;  ///< with charset
    std::string_view etag;          ///< strong, quoted
    std::string_view body;
    std::string_view gzip;  ///< the same compressed; empty where that gains nothing
    bool immutable;         ///< its name changes with its content
};

/// Every file of the page; only the notice that it was not built where web/dist was missing at build time.
std::span<const Asset> console_assets();
/// False when web/dist was missing at build time.
bool console_built();

}  // namespace handrail::serve
