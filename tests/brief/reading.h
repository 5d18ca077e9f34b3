#pragma once

#include <set>
#include <string>
#include <string_view>

namespace handrail::brief {

/// Without tags and style sheets, but with what a screen reader says of a picture.
std::string without_tags(const std::string& page);

/// Every clock time in a text: "03:28", "-00:45"; of "03:28:10" the first two parts.
std::set<std::string> times_in(std::string_view text);
/// Every amount in a text: "0.34 kg", "221 Wh".
std::set<std::string> amounts_in(const std::string& text);

}  // namespace handrail::brief
