#pragma once

#include <span>
#include <string>
#include <string_view>

namespace handrail::detail {

/// The candidate that was probably meant, or empty: fewest typing slips (insert, delete, replace, swap neighbours),
/// at most a third of the letters, capitals ignored.
std::string_view nearest(std::string_view written, std::span<const std::string_view> candidates);

/// `did you mean "tether"?`, or `otherwise` when nothing is near.
std::string did_you_mean(std::string_view written, std::span<const std::string_view> candidates, std::string otherwise);

}  // namespace handrail::detail
