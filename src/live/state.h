#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "lifesupport/estimator.h"
#include "live/entry.h"
#include "live/morning.h"
#include "outing/window.h"
#include "plan/situation.h"

/// The day so far: a fold over the journal. Same outing, windows, entries and moment: the same Day, byte for byte.
namespace handrail::live {

/// The windows when PET zero is at this instant, because light and coverage keep their UTC while the plan slips.
using WindowSource = std::function<WindowTable(Utc pet_zero)>;

/// A stretch in which work was stopped; without `to` it still is.
struct Hold {
    Position position{};
    Pet from{};
    std::optional<Pet> to;
    Visibility visibility = Visibility::console;
    std::string reason;
};
struct StoodDown {
    Position position{};
    StandDownKind kind{};
    Pet at{};
    Visibility visibility = Visibility::console;
    std::string reason;
};
struct Reading {
    Position position{};
    Crew crew{};
    lifesupport::Consumable consumable{};
    Pet at{};
    double left = 0;  ///< kg, Wh or L
    Visibility visibility = Visibility::console;
};
/// An entry that changed nothing, and why, in a sentence made from names only (no one's own words).
struct Unapplied {
    Position position{};
    Visibility visibility = Visibility::console;
    std::string why;
};
/// Why a task or step is not done, and who may read that.
struct Reason {
    Position position{};
    Visibility visibility = Visibility::console;
    std::string text;
};

/// A worksite at which nobody works for a while; without `to` until further notice.
struct Closure {
    Position position{};
    WorksiteId site{};
    Pet from{};
    std::optional<Pet> to;
    Visibility visibility = Visibility::console;
    std::string reason;
};
/// A condition that does not hold although it was foreseen; without `to` until further notice.
struct ConditionLoss {
    Position position{};
    std::string condition;
    Pet from{};
    std::optional<Pet> to;
    Visibility visibility = Visibility::console;
    std::string reason;
};

/// What is known about one activity that happened or is running.
struct AsRun {
    Activity activity;  ///< a running one lasts until its expected end
    bool running = false;
    bool assumed = false;      ///< nobody logged it: it follows from the plan and from what came after
    bool end_assumed = false;  ///< its end was not logged but follows from what came after
    std::optional<Pet> planned_start, planned_end;  ///< of a move between steps, in the plan it was taken from
    std::array<SizeClass, 2> load{SizeClass::small, SizeClass::small};  ///< by Crew: the largest item in hand
};

struct Day {
    Position position{};  ///< of the last entry there is, in force or not
    Utc now;
    Utc planned_pet_zero;      ///< by the plan in the journal's first entry
    Utc pet_zero;              ///< as logged; before that as expected (morning.h), never before now
    bool pet_running = false;  ///< PET zero has been logged
    Phase phase = Phase::planned;
    std::array<bool, 2> outside{};  ///< now; in the situation a running egress has already ended
    std::optional<Pet> clean_up_from, ingress_from;
    std::optional<Timeline> plan;  ///< the adopted one
    Position plan_position{};      ///< of the entry that adopted it
    std::optional<Timeline> first_plan;
    WindowTable windows;  ///< for `pet_zero`
    plan::Situation situation;
    std::vector<plan::ItemPlace> items;    ///< where they are now; in the situation running steps have already ended
    std::array<WorksiteId, 2> at, anchor;  ///< likewise
    std::vector<Pet> expected_end;         ///< by StepId: of running steps
    std::array<lifesupport::SuitState, 2> suit;     ///< what is believed of each suit now
    std::array<lifesupport::Estimate, 2> estimate;  ///< what was made of its readings
    std::vector<AsRun> as_run;                      ///< by start, then lane
    std::vector<Hold> holds;
    std::optional<StoodDown> stand_down;
    std::vector<Reading> readings;
    std::vector<std::optional<Reason>> dropped_because;                                   ///< by TaskId
    std::vector<std::optional<Reason>> skipped_because;                                   ///< by StepId
    std::array<Visibility, 2> able_visibility{Visibility::console, Visibility::console};  ///< of what made them unable
    std::vector<Seconds> delay;  ///< by StepId: how much longer it was said to take
    std::vector<Closure> closed;
    std::vector<ConditionLoss> lost_conditions;  ///< already taken out of `windows`
    std::vector<ItemId> stands_in;               ///< by ItemId: what serves in its place; itself where nothing does
    std::array<bool, 2> stays_inside{};          ///< back in the airlock while the other is still outside
    Morning morning;
    std::vector<Unapplied> unapplied;
    std::vector<bool> in_force;                ///< by entry: no later entry took it back or replaced it
    std::vector<Visibility> entry_visibility;  ///< by entry: never wider than what the entry corrects

    Pet pet_now() const { return situation.now; }
    const Hold* open_hold() const;
};

/// REQUIRES: entries are those of one journal from position 1 on. Entries that happened after `now` are left aside,
/// entries that cannot apply change nothing and are named in `unapplied`.
Day fold(const Outing& outing, const WindowSource& windows, std::span<const Recorded> entries, Utc now);

/// The moment to show: the clock, but never before the last thing known to have happened (a clock set back must not
/// hide entries).
Utc moment(std::span<const Recorded> entries, Utc clock);

/// Everything in the Day as JSON with sorted keys: equal days give equal bytes.
std::string to_json(const Outing& outing, const Day& day);

/// Names of the outing file back to ids; nothing when there is no such name. Case is ignored.
std::optional<StepId> find_step(const Outing& outing, std::string_view label);
std::optional<TaskId> find_task(const Outing& outing, std::string_view key);
std::optional<ItemId> find_item(const Outing& outing, std::string_view id);
std::optional<WorksiteId> find_worksite(const Outing& outing, std::string_view id);

}  // namespace handrail::live
