#include <array>

#include "check/check.h"

namespace handrail {
namespace {

// "Common practice": how two-person EVAs are commonly run; no single document is quoted. Limits themselves are the
// outing's data, and their defaults name their sources where they are defined (src/outing/rules_defaults.h).
constexpr std::array registry{
    RuleEntry{"overlap", "One lane does one activity at a time", "nobody is in two places at once"},
    RuleEntry{"egress", "Both go out together, first of all", "outing rules: egress; two-person rule, common practice"},
    RuleEntry{"egress-by", "Egress ends by its latest time", "outing rules: egress_by"},
    RuleEntry{"ingress", "Both clean up and come in together, last of all",
              "outing rules: clean_up, ingress; two-person rule, common practice"},
    RuleEntry{"limit", "The hatch is closed by the hard end", "outing rules: limit, margin"},
    RuleEntry{"place", "A crew member is where an activity starts", "nobody is in two places at once"},
    RuleEntry{"route", "Translations follow routes that permit what is carried", "outing station: routes"},
    RuleEntry{"translation-time", "Translations last as long as the person needs",
              "outing crew: speed; outing rules: pace, large_item_pace"},
    RuleEntry{"tether", "The safety tether reaches and is anchored where it may be",
              "outing rules: tether, tether_swap; make before break, common practice"},
    RuleEntry{"step-time", "Steps last as long as planned", "outing steps: likely duration, experience factor"},
    RuleEntry{"handling-time", "Handling, glove checks and rests last as long as the rules say",
              "outing rules: pick_up, glove_check, rest"},
    RuleEntry{"who", "Steps are on the lanes their roles give, under one lead", "outing tasks: lead; steps: who"},
    RuleEntry{"order", "Orders between steps hold", "outing steps: after, within, together"},
    RuleEntry{"whole-task", "A task is done whole or not at all", "outing tasks: steps"},
    RuleEntry{"required", "Required tasks are there", "outing tasks: class"},
    RuleEntry{"task-order", "Tasks keep their order", "outing tasks: after"},
    RuleEntry{"task-needs", "A task comes with those it needs", "outing tasks: needs"},
    RuleEntry{"task-not-with", "Tasks that exclude each other are not both there", "outing tasks: not_with"},
    RuleEntry{"task-by", "Tasks keep their latest start and end", "outing tasks: starts_by, ends_by"},
    RuleEntry{"window", "Steps keep to their windows", "outing steps: during, not_during"},
    RuleEntry{"item", "Items are where an activity needs them",
              "outing items; steps: needs, takes, leaves, installs, moves"},
    RuleEntry{"capacity", "Nobody and no bag holds too much", "outing crew: carry; items: holds"},
    RuleEntry{"arm", "The arm is where it is used, in reach and in time", "outing station: arm"},
    RuleEntry{"arm-clear", "Nobody is where the arm sweeps", "outing station: arm, clears"},
    RuleEntry{"arm-span", "Who is at work with the arm stays with it", "nobody is left on the arm; common practice"},
    RuleEntry{"glove-check", "Gloves are checked often enough", "outing rules: glove_check_every"},
    RuleEntry{"rest", "Hand-heavy work is broken by rest", "outing rules: heavy_limit, rest"},
    RuleEntry{"open-site", "An open worksite is not left alone", "outing steps: opens, close_up"},
    RuleEntry{"consumable", "Each suit lasts until the hatch is closed, reserve kept",
              "outing suits: capacities, reserve"},
    RuleEntry{"turn-back", "Each can come home at any moment, reserve kept",
              "outing suits: capacities, reserve; outing rules: limit"},
    RuleEntry{"partner", "Partners stay within reach of each other", "outing rules: partner_within"},
    RuleEntry{"voice", "No more steps run than can be talked through", "outing rules: voice_loops"},
    RuleEntry{"watch", "What must be watched is watched from its first to its last moment",
              "outing steps: watched_from"},
    RuleEntry{"inhibit", "Inhibits are confirmed before and released after", "outing steps: inhibits"},
    RuleEntry{"quiet", "No step runs in a quiet period", "outing rules: quiet"},
    RuleEntry{"interruption", "Only what may interrupt a step does", "outing steps: interrupt"},
    RuleEntry{"person-limit", "Nobody works longer than they may", "outing crew: work_limit, heavy_total"},
    RuleEntry{"resource", "No more of a resource is used than there is", "outing resources: capacity"},
    RuleEntry{"preference", "Wishes are kept where they can be", "outing: prefer"},
    RuleEntry{"returns", "What must come back is back", "outing items: returns"},
};

}  // namespace

std::span<const RuleEntry> rule_registry() { return registry; }

}  // namespace handrail
