#pragma once

#include <string>

#include "risk/odds.h"

/// How the results are called, for tables, charts and JSON alike.
namespace handrail::risk {

/// "the day", "EV1's pace", "Swap the valve: free the bolt", "way to Swap the valve: free the bolt".
std::string name_of(const Outing& outing, const Driver& driver);
std::string_view word(Driver::What);
std::string_view word(StepRisk::For);
std::string_view word(Gate::Because);
/// "Swap the valve: free the bolt".
std::string name_of(const Outing& outing, StepId step);

}  // namespace handrail::risk
