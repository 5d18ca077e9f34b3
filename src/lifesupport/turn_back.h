#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "lifesupport/consumption.h"

/// The last moment to start home, from what one suit has, what it draws meanwhile and what coming home takes. Where the
/// person is and which way leads home is for the caller to say.
namespace handrail::lifesupport {

/// One part of coming home: close-up, way, clean-up, ingress.
struct HomePart {
    std::string name;
    Seconds duration{};
    Watts metabolic;
};

enum class TurnBackKind : std::uint8_t {
    terminate,  ///< an orderly end: close-up, way, clean-up, ingress, reserve kept
    abort       ///< straight in; the reserve may be used, and secondary oxygen carries the breathing part of the way
};
/// What sets the last moment.
enum class TurnBackLimit : std::uint8_t { oxygen, co2, water, battery, gas, hard_end };
std::string_view word(TurnBackKind);
std::string_view word(TurnBackLimit);

struct TurnBackQuestion {
    Pet now{};
    Amounts used{};               ///< drawn so far
    Amounts draw{};               ///< per second until the person starts home
    std::vector<HomePart> home;   ///< in order; for an abort only what cannot be dropped
    std::optional<Pet> hard_end;  ///< ingress ends by then (Rules::limit)
};

struct TurnBack {
    TurnBackKind kind{};
    /// Start home by then, to the second, rounded down. Before `now` when it has passed; a consumable that is short and
    /// yet draws nothing puts it one second before `now`. None when nothing limits.
    std::optional<Pet> at;
    std::optional<TurnBackLimit> limit;
    Seconds home{};  ///< how long coming home takes
    /// The last moment by each consumable alone, in its order.
    std::array<std::optional<Pet>, consumable_count> by_consumable;
    std::optional<Pet> by_hard_end;
    /// Secondary oxygen less the way straight in; negative: the way is longer than the supply. Only for an abort of a
    /// suit that has such a supply.
    std::optional<Seconds> secondary_in_hand;
};

/// used + draw × (t - now) + home + reserve <= capacity for every consumable, and t + home <= hard end (docs/rules.md,
/// rule `turn-back`; coming home is counted sunlit). `factors`-corrected draws come in through `draw`; `home_scale`
/// multiplies the metabolic rates of the way home by the wearer's estimated factor.
/// Abort: no reserve is kept, and oxygen and CO2 removal (which the open flow of the secondary supply takes over) need
/// last only for the part of the way that the supply does not cover.
TurnBack turn_back(const SuitType& suit, TurnBackKind kind, const TurnBackQuestion& question, double home_scale = 1.0);
/// The pair comes home together: the earlier of the two; none when neither is limited.
std::optional<Pet> pair_turn_back(std::span<const TurnBack> both);

/// The farthest a worksite may be along the way home when everything must fit the secondary oxygen:
/// d = v (secondary - close-up - ingress), never negative (common practice, "reach rule").
Metres reach_within(MetresPerSecond speed, Seconds supply, Seconds close_up_and_ingress);

}  // namespace handrail::lifesupport
