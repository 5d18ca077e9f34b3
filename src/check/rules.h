#pragma once

#include "check/replay.h"
#include "check/report.h"

/// One function for each concern; together they are every rule of docs/rules.md, each written once.
namespace handrail::checking {

// space.cpp
void check_places(const Replay& replay, Report& report);      // place
void check_translations(Replay& replay, Report& report);      // route, translation-time
void check_tethers(Replay& replay, Report& report);           // tether
void check_partners(Replay& replay, Report& report);          // partner
void check_open_sites(const Replay& replay, Report& report);  // open-site

// arm.cpp
void check_arm(const Replay& replay, Report& report);        // arm
void check_arm_spans(const Replay& replay, Report& report);  // arm-span

// items.cpp: also fills the loads of the replay's stages
void check_items(Replay& replay, Report& report);  // item, capacity, returns

// time.cpp
void check_overlaps(const Replay& replay, Report& report);   // overlap
void check_way_out(const Replay& replay, Report& report);    // egress, egress-by
void check_way_in(const Replay& replay, Report& report);     // ingress, limit
void check_durations(const Replay& replay, Report& report);  // step-time, handling-time
void check_windows(const Replay& replay, Report& report);    // window
void check_voice(const Replay& replay, Report& report);      // voice

// hands.cpp
void check_gloves(const Replay& replay, Report& report);  // glove-check
void check_rests(const Replay& replay, Report& report);   // rest

// tasks.cpp
void check_who(const Replay& replay, Report& report);     // who
void check_orders(const Replay& replay, Report& report);  // order
void check_tasks(const Replay& replay, Report& report);   // whole-task, required, task-order, -needs, -not-with, -by

// demands.cpp
void check_arm_clears(const Replay& replay, Report& report);     // arm-clear
void check_watches(const Replay& replay, Report& report);        // watch
void check_inhibits(const Replay& replay, Report& report);       // inhibit
void check_quiet(const Replay& replay, Report& report);          // quiet
void check_interruptions(const Replay& replay, Report& report);  // interruption
void check_persons(const Replay& replay, Report& report);        // person-limit
void check_resources(const Replay& replay, Report& report);      // resource
void check_preferences(const Replay& replay, Report& report);    // preference (notes only)

// suits.cpp
void check_suits(Replay& replay, Report& report);  // consumable, turn-back

}  // namespace handrail::checking
