#pragma once

#include <optional>
#include <string>
#include <vector>

#include "check/check.h"
#include "rehearse/rehearsal.h"
#include "risk/odds.h"

/// What a rehearsal shows afterwards: what was reached against the best that was possible, what was decided too late,
/// which margins were touched.
namespace handrail::rehearse {

/// Tasks done and what they are worth.
struct Reached {
    int required = 0;  ///< required tasks done
    double value = 0;  ///< of the wanted and get-ahead tasks done
    std::vector<TaskId> tasks;
};

/// A decision against the moment at which it should have been made.
struct Late {
    std::string what;  ///< a sentence
    Pet at{}, by{};
};

struct Delay {
    Seconds mean{}, longest{};
    std::string longest_call;
    int recorded = 0, never = 0;  ///< calls to record: found in the journal, or not
};

struct Debrief {
    Level level = Level::none;
    std::uint64_t seed = 0;
    bool inside = false;
    Pet in_at{}, limit{};
    Seconds wanted_margin{};
    std::array<std::optional<Seconds>, 2> suit_left;  ///< beyond the reserve, at the mean draw; none: nothing limits it
    int required_in_all = 0;
    double value_in_all = 0;
    Reached reached, best;
    std::vector<Struck> struck;
    std::vector<Befallen> befallen;
    Seconds late_start{}, private_talk{};
    std::vector<Late> late;
    Delay recording;
    std::vector<Finding> findings;  ///< rules that what really happened broke
    /// Why home was late or a reserve touched although it was started in time: nobody could have known.
    std::optional<std::string> impossible;

    Seconds margin() const { return std::chrono::floor<Seconds>(limit - in_at); }
    /// In before the hard end, both suits with their reserves.
    bool intact() const;
};

struct DebriefOptions {
    std::uint64_t iterations = 3000;  ///< of the search for the best plan in hindsight
    int threads = 0;
    std::vector<risk::Gate> gates;  ///< the decision times that were agreed; may be empty
};
/// REQUIRES: rehearsal.over(), or it has been broken off: then `inside` is false.
Debrief debrief(const Rehearsal& rehearsal, const DebriefOptions& options);

std::string print(const Outing& outing, const Debrief& debrief);
std::string to_markdown(const Outing& outing, const Debrief& debrief);
std::string to_json(const Outing& outing, const Debrief& debrief);

}  // namespace handrail::rehearse
