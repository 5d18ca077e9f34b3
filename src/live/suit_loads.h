#pragma once

#include <span>
#include <vector>

#include "lifesupport/forecast.h"
#include "live/state.h"

namespace handrail::live {

/// What one person's suit works at from PET zero until `until`: their activities and the waits between them, each
/// counted sunlit as docs/rules.md says ("Drawn"). In order and without overlap, as lifesupport wants it; where two
/// activities of one person overlap (a record with a slip in it), the earlier one keeps its time.
std::vector<lifesupport::Load> suit_loads(const Outing& outing, const WindowTable& windows,
                                          std::span<const AsRun> activities, Crew crew, Pet until);

/// The state of a suit at `until`, from its readings and loads; the state at PET zero is a full suit.
lifesupport::SuitState suit_at(const SuitType& suit, std::span<const lifesupport::Load> loads,
                               const lifesupport::Estimate& estimate, Pet until);

}  // namespace handrail::live
