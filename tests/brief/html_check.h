#pragma once

#include <string>
#include <string_view>

namespace handrail::brief {

/// What keeps a page from being read by everyone and from standing alone: unclosed or crossed tags, a missing language,
/// title or main heading, table headings without scope, anything fetched from elsewhere. Empty when there is nothing.
std::string html_faults(std::string_view html);

}  // namespace handrail::brief
