#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "check/check.h"
#include "live/stand_down.h"
#include "live/status.h"

/// The ways on from here. Computing them touches nothing; one becomes the plan only when the lead adopts it.
namespace handrail::live {

struct Option {
    std::string id;     ///< "carry-on", "leave-out:camera", "replan", "come-in", "abort" (docs/status.md, "Options")
    std::string title;  ///< "Carry on in order", "Leave out Replace the camera"
    Forecast forecast;
    std::vector<TaskId> done;           ///< tasks that will have been done
    std::vector<TaskId> left;           ///< tasks that will not
    std::vector<TaskId> dropped;        ///< tasks this option leaves out on purpose
    std::vector<TaskId> required_left;  ///< those of `left` that are required
    double value = 0;                   ///< of the wanted and get-ahead tasks done
    std::optional<Tightest> tightest;
    std::vector<std::string> changes;               ///< for whom, against carrying on: "EV1 goes to W3 instead of W5"
    std::vector<std::pair<ItemId, ItemId>> uses{};  ///< items that others stand in for: {lost, in its place}
    std::vector<Cannot> cannot{};                   ///< tasks that nothing can bring about any more
    std::vector<Finding> findings;                  ///< rules that would be broken from now on
    std::optional<OddsNow> odds;                    ///< filled by add_odds()
    /// Scrub, terminate or abort: what the lead would log to take this way, and its steps until everyone is in.
    std::optional<StandDownKind> stand_down{};
    std::optional<StandingDown> coming_in{};
};

/// How much thinking each free re-plan may cost; the same seed and iterations give the same options.
struct OptionBudget {
    std::uint64_t seed = 1;
    std::uint64_t iterations = 4000;
    /// A wall-clock limit for slow machines; only decides when to stop, so a result may then differ.
    std::optional<Milliseconds> time = Milliseconds{400};
};

/// Worked out on all cores; the same list on any number of them. Carry on first; then what could stand in for a lost
/// tool; re-planning freely and the same tasks in another order, where that is better; swapping roles; leaving out each
/// task that is still ahead; handing tasks over where that gains; coming in orderly and at once, and before egress
/// scrubbing the outing, with their steps. While one of the two can do nothing more: both come in, or the other goes on
/// alone. Empty when nothing is left to decide (can_replan()).
std::vector<Option> options_of(const Outing& outing, const Day& day, const OptionBudget& budget = {});

/// The one way on to look at first, its changes told against `instead_of`: carrying on in order, or re-planned where
/// that would end too late. For a day that is only supposed.
Option likeliest_way(const Outing& outing, const Day& day, const Forecast& instead_of);

/// Simulates each way on, with the same luck for all of them, leaving tasks out by likely times; some hundredths of a
/// second each. Coming in at once and scrubbing have no odds: they are not what the simulation plays.
void add_odds(const Outing& outing, const Day& day, std::vector<Option>& options);

/// The entry that takes this way on: the adopted plan, or the stand-down.
Body adoption(const Outing& outing, const Option& option);

/// {"position", "pet_s", "options": [...], "caution"}: see docs/status.md, "Options". `with_timelines` adds each whole
/// timeline, for `handrail adopt --from`.
enum class Timelines : std::uint8_t { left_out, included };
std::string options_json(const Outing& outing, const Day& day, const std::vector<Option>& options, Timelines timelines);
/// A table for people.
std::string print(const Outing& outing, const Day& day, const std::vector<Option>& options);

}  // namespace handrail::live
