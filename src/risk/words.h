#pragma once

#include <string>
#include <vector>

#include "risk/odds.h"

/// How the results are called, for tables, charts and JSON alike.
namespace handrail::risk {

/// "the day", "EV1's pace", "Swap the valve: free the bolt", "way to Swap the valve: free the bolt".
std::string name_of(const Outing& outing, const Driver& driver);
std::string_view word(Driver::What);
std::string_view word(StepRisk::For);
std::string_view word(Gate::Because);
/// A task of the plan on which the lead had better not count.
struct Unlikely {
    TaskId task{};
    std::string what;  ///< a sentence: how seldom it is done, and by how much its gate lies before its time in the plan
};
/// The tasks of the plan, required ones aside, that are done in less than one run in ten.
std::vector<Unlikely> unlikely(const Outing& outing, const Odds& odds);
/// "Swap the valve: free the bolt".
std::string name_of(const Outing& outing, StepId step);

}  // namespace handrail::risk
