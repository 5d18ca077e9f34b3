#pragma once

#include "risk/odds.h"
#include "risk/simulate.h"

/// One plan made ready for replaying, and the parts of Odds that are computed from it.
namespace handrail::risk::detail {

/// Owns everything the programs point into; neither copied nor moved.
struct Setup {
    Setup(const Outing& outing, const WindowTable& windows, const plan::Situation& situation, const Timeline& timeline,
          const Risk& risk, const plan::Freedom& freedom = {});
    Setup(const Outing& outing, const WindowTable& windows, const plan::Situation& situation, const Sequence& sequence,
          const Risk& risk, const plan::Freedom& freedom = {});
    Setup(const Setup&) = delete;
    Setup& operator=(const Setup&) = delete;

    plan::Situation situation;
    Problem problem;
    Model model;
    Factors factors;
    Ground ground;
    Sequence sequence;
    Programs programs;
};

/// What the steps already done say about the day and the people.
Factors evidence(const Outing& outing, const plan::Situation& situation, const Model& model);

/// By run: what it is worth. Not home in time with the reserves: nothing. Else the wanted and get-ahead tasks done, and
/// all required tasks done count for as much as all of the others together, and one more.
std::vector<double> worth_by_run(const Setup& setup, const Runs& runs);

struct Gates {
    Policy policy;            ///< with every gate
    std::vector<Gate> table;  ///< in the order in which they come up
};
/// From the last decision back to the first, each under the gates that follow it.
Gates solve_gates(Setup& setup, const Options& options);

/// Drivers, criticality, waiting and the end times if nothing is left out.
void explain(Setup& setup, const Options& options, Odds& odds);

}  // namespace handrail::risk::detail
