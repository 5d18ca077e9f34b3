#pragma once

#include "outing/model.h"
#include "timeline/timeline.h"

/// An invented outing with an invented plan, made without the planner, that has one of everything a document must show:
/// shared and separate steps, arm rides, steps of IV, waits, small activities, cautions, private and public words,
/// tasks of each class and one left out.
namespace handrail::brief {

struct Invented {
    Outing outing;
    Timeline timeline;
};
Invented invented();

/// Stands in fields that no public document may quote.
inline constexpr const char* crew_marker = "CREW-ONLY-WORDS";

}  // namespace handrail::brief
