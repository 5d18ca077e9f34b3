#pragma once

#include <cstdint>
#include <span>
#include <string_view>

/// What goes wrong in a rehearsal beside what the outing's own [risk] says. docs/rehearsal.md shows the table.
namespace handrail::rehearse {

enum class Practice : std::uint8_t {
    stuck,
    lost_tool,
    late_start,
    private_talk,
    unable,
    arm_lost,
    no_coverage,
    hazard
};

/// One line of the table: how often at each level, and for how long.
struct PracticeRate {
    Practice what{};
    std::string_view words;
    double medium = 0, severe = 0;  ///< probability: of each step for stuck and lost_tool, else of the outing
    int low_min = 0, likely_min = 0, high_min = 0;  ///< how long it costs (PERT) or lasts
    double for_good = 0;                            ///< share of the cases in which it does not come back at all
    std::string_view source;
};
std::span<const PracticeRate> practice_rates();
const PracticeRate& practice_rate(Practice what);

/// Multiplies the spread of the day's and the people's factors at level severe: a day that is unlike the plan.
inline constexpr double severe_spread = 1.5;  // chosen for practice

}  // namespace handrail::rehearse
