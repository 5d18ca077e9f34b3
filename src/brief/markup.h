#pragma once

#include <string>
#include <string_view>

namespace handrail::brief {

/// Text made fit for HTML and XML content and attributes; control characters that XML forbids become spaces.
std::string escape(std::string_view text);

}  // namespace handrail::brief
