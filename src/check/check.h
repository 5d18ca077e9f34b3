#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "outing/model.h"
#include "timeline/timeline.h"

/// The independent checker: every rule of docs/rules.md proved again from the outing and the timeline alone. It shares
/// no code with the planner beyond the model, the sky and the life-support functions.
namespace handrail {

enum class Severity : std::uint8_t {
    finding,  ///< the rule is broken
    note      ///< the rule holds, a wish does not
};
std::string_view word(Severity);

/// One broken or nearly broken rule.
struct Finding {
    std::string rule;  ///< its id in docs/rules.md
    Severity severity = Severity::finding;
    std::vector<Lane> lanes;  ///< in lane order; empty where no lane is to blame
    Pet at{};                 ///< when it is first broken
    double amount = 0;        ///< by how much, in `unit`; 0 where a rule has no measure
    std::string unit;         ///< "s", "m", "kg", "Wh", "L", "units", "steps"; empty without a measure
    std::string what;         ///< a sentence a tired person can act on
    std::string source;       ///< what says so: the outing file's line or the rule's own source
};

/// Where the record knows an item to be.
struct ItemFact {
    ItemId item{};
    enum class Where : std::uint8_t { loose, in_bag, in_hand, installed, lost } where = Where::loose;
    WorksiteId site{};  ///< loose, installed
    ItemId bag{};       ///< in_bag
    Crew carrier{};     ///< in_hand
};

/// What the live record changes about what a timeline owes. Empty for a plan made before egress.
struct CheckOptions {
    std::vector<TaskId> dropped;    ///< left out by the lead: only what they left open must still be closed up
    std::vector<Crew> unable;       ///< can do no more steps; only comes home
    std::vector<Lane> unavailable;  ///< arm, IV or ground from which nothing more can be had
    std::vector<ItemId> lost;       ///< need not return
    /// Items are where these say from `items_at` on, whatever the activities before did with them; what as-run
    /// activities did is then not judged.
    std::vector<ItemFact> items = {};
    Pet items_at{};
};

/// Every rule of docs/rules.md over the whole timeline, by time, then rule. As-run activities are facts: their
/// durations are not judged (step-time, translation-time, handling-time, the lengths of egress, clean-up and ingress,
/// and arm moves), everything else is. `windows` are those the timeline's PET zero gives. Thread-safe.
/// REQUIRES: the timeline's ids belong to the outing, as read_timeline() and the planner guarantee.
std::vector<Finding> check(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                           const CheckOptions& options = {});

/// One rule the checker knows.
struct RuleEntry {
    std::string_view id;      ///< as in docs/rules.md
    std::string_view title;   ///< for a list of rules
    std::string_view source;  ///< where the rule comes from
};
/// Every rule, in the order of docs/rules.md.
std::span<const RuleEntry> rule_registry();

/// True when any of them is a finding rather than a note.
bool any_broken(std::span<const Finding> findings);
/// "PET 01:35:00  EV1  tether  5.0 m over: <sentence> [source]": one finding a paragraph, and a closing line that
/// counts them.
std::string print_findings(std::span<const Finding> findings);
/// "handrail-findings" JSON, version 1: an object with `findings` (rule, severity, lanes, at_s, amount, unit, what,
/// source) and their counts.
std::string findings_json(std::span<const Finding> findings);

}  // namespace handrail
