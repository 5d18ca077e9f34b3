#pragma once

#include <set>
#include <string>
#include <string_view>

namespace handrail::brief {

/// Without tags and style sheets, but with what a screen reader says of a picture.
std::string without_tags(const std::string& page);

/// A calendar's lines as they were before they were folded (RFC 5545, 3.1).
std::string unfolded(std::string calendar);

/// Every clock time in a text: "03:28", "-00:45"; of "03:28:10" the first two parts.
std::set<std::string> times_in(std::string_view text);
/// Every instant to the second: "2031-04-05T08:30:00Z", "00:15:10".
std::set<std::string> instants_in(const std::string& text);
/// Every share: "83 %", "> 99 %".
std::set<std::string> shares_in(const std::string& text);
/// What strings a JSON document holds, a line each.
std::string strings_of_json(const std::string& text);
/// Every amount in a text: "0.34 kg", "221 Wh".
std::set<std::string> amounts_in(const std::string& text);

}  // namespace handrail::brief
