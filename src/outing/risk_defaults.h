#pragma once

#include "outing/model.h"

/// How far an outing strays from its plan when its file says nothing. No published fit of orbital task times was found;
/// the values are anchored on outings on the lunar surface, where tasks ran 20 to 44 % over plan and overhead 27 %
/// (AIAA Space 2016, Apollo lunar surface EVA timeline execution, abstract). A programme's own records belong here:
/// `handrail learn`.
namespace handrail {

inline Risk default_risk() {
    Risk risk;
    // Work with tools skews right without an end, so log-normal; light work has ends one can name, so PERT (common
    // practice). Low and high are the step's own.
    for (WorkClass& work : risk.work) work.spread = Spread::pert;
    for (Effort effort : {Effort::tools, Effort::heavy, Effort::forced})
        risk.work[index(effort)].spread = Spread::log_normal;
    // Common practice for times without a range of their own.
    risk.translation = {1.15, 0.30};
    risk.handling = {1.10, 0.25};
    risk.airlock = {1.10, 0.25};
    // A slow day is slow for everybody: coefficient of variation 0.08 to 0.12, common practice.
    risk.day = 0.10;
    // From memory: half of the day's factor again for each person.
    risk.person = 0.05;
    // Consumables were predicted up to 20 % too low (NASA/TP-2017-219457): that is two standard deviations.
    risk.metabolic = 0.10;
    // Common practice.
    risk.confidence = Fraction{0.95};
    return risk;
}

}  // namespace handrail
