#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "rehearse/rehearsal.h"

/// A lead without hands: logs every call at once and decides by one simple stated rule. For tests, benchmarks and
/// comparing plans; nobody should be led by it.
namespace handrail::rehearse {

enum class Policy : std::uint8_t {
    press_on,  ///< carries on in order, whatever happens; starts home at the last moment that is enough with the
               ///< outing's confidence
    follow,    ///< the same; and when the forecast no longer ends in time, takes the best plan for what is left
    adapt      ///< the same; and takes a better plan after each task done, when there is one
};
std::string_view word(Policy policy);
std::optional<Policy> policy_named(std::string_view word);

/// What coming home takes from now: planned, and with the outing's confidence; and when to start for it at the latest
/// (hard end and suits).
struct Homeward {
    bool possible = false;
    Seconds planned{}, sure{};
    std::optional<Pet> start_by;  ///< by the hard end
};
Homeward homeward(const Rehearsal& rehearsal, const live::Day& day);
/// The same by the suits: their own turn-back, less what the way home may take longer.
std::optional<Pet> suits_start_by(const Rehearsal& rehearsal, const live::Day& day, const Homeward& home);

/// How much thinking a re-plan may cost.
struct AutoBudget {
    std::uint64_t iterations = 200;
};
/// Leads the rehearsal to its end, writing into its own journal in memory.
void lead_automatically(Rehearsal& rehearsal, Policy policy, const AutoBudget& budget = {});

}  // namespace handrail::rehearse
