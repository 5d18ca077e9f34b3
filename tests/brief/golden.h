#pragma once

#include <string>

namespace handrail::brief {

/// Compares with the approved tests/data/golden/<name>. A differing document is written to build/golden/<name> beside
/// it; scripts/accept-golden takes the new ones over after somebody has looked at them.
void expect_golden(const std::string& name, const std::string& content);

}  // namespace handrail::brief
