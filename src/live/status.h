#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "lifesupport/turn_back.h"
#include "live/forecast.h"
#include "live/odds.h"
#include "live/pace.h"
#include "live/record.h"
#include "live/stand_down.h"
#include "live/state.h"

/// Everything the lead must be able to see in three seconds, and all that is drawn around it (docs/status.md).
namespace handrail::live {

struct NowDoing {
    AsRun run;
    std::optional<Pet> planned_start, planned_end;
};
struct ToCome {
    Activity activity;  ///< at its forecast time
    std::optional<Pet> planned_start;
};

struct ConsumableStatus {
    lifesupport::Consumable consumable{};
    double capacity = 0, used = 0, left = 0, left_at_return = 0, reserve = 0;  ///< in the consumable's unit
    std::optional<Seconds> in_hand;                                            ///< beyond the reserve at return
    std::optional<Pet> measured;                                               ///< last reading of it that was used
};
struct SuitStatus {
    std::optional<lifesupport::Consumable> limiting;
    std::optional<Seconds> in_hand;
    lifesupport::TurnBack terminate, abort;
    std::vector<ConsumableStatus> consumables;
};

struct PersonStatus {
    std::optional<NowDoing> now;
    std::vector<ToCome> next;  ///< at most three
    Seconds behind{};          ///< negative: ahead of the adopted plan
    std::string cause;
    SuitStatus suit;
    std::vector<ItemId> carries;
};

/// Whether a condition holds now and when that changes next.
struct ConditionStatus {
    bool known = false, now = false;
    std::optional<Pet> next;
};

enum class TaskProgress : std::uint8_t { to_do, running, partly, done, left_out };
std::string_view word(TaskProgress);
struct TaskStatus {
    TaskProgress progress = TaskProgress::to_do;
    std::optional<Crew> lead;
    std::optional<Pet> forecast_end;
    std::optional<Reason> reason;  ///< of one left out
};

struct Tightest {
    std::optional<Crew> crew;  ///< none: the hard end
    std::optional<lifesupport::Consumable> consumable;
    Seconds in_hand{};
};

struct Status {
    Day day;
    Forecast forecast;
    Pet planned_finish{};
    Seconds behind{}, finish_shift{};
    std::string cause;
    std::array<PersonStatus, 2> people;
    std::optional<Tightest> tightest;
    std::optional<Pet> terminate_by, abort_by;  ///< the pair comes home together
    ConditionStatus light, coverage;
    std::vector<TaskStatus> tasks;   ///< by TaskId
    std::vector<RecordLine> record;  ///< everything; each reader gets a part
    std::array<Pace, 2> pace;
    std::optional<Pet> finish_at_pace;        ///< where the day so far tells enough to say
    std::vector<Finding> findings;            ///< rules that the forecast breaks (findings.h)
    std::optional<StandingDown> coming_down;  ///< once the day has been called off
    std::optional<OddsNow> odds;              ///< left out by status_of(), which must be quick: see odds_now()
};

/// Pure: the same day gives the same status. `entries` are those the day was folded from.
Status status_of(const Outing& outing, std::span<const Recorded> entries, Day day);

/// The status document of docs/status.md for this reader. REQUIRES: console or medical; the public has a document of
/// its own (serve/public_feed.h).
std::string status_json(const Outing& outing, const Status& status, Reader reader);
/// The same in a dozen lines of text.
std::string print(const Outing& outing, const Status& status, Reader reader);

/// How tasks stand when the day goes on as forecast.
std::vector<TaskStatus> tasks_of(const Outing& outing, const Day& day, const Forecast& forecast);
/// What the suits have left when the day goes on as forecast; also the least margin of both and the hard end.
std::array<SuitStatus, 2> suits_of(const Outing& outing, const Day& day, const Forecast& forecast);
std::optional<Tightest> tightest_of(const Outing& outing, const Forecast& forecast,
                                    const std::array<SuitStatus, 2>& suits);
/// "EV2: CO2 removal", "the hard end".
std::string words(const Tightest& tightest);
/// "at Radiator root", "carried by EV1", "in Camera bag", "lost".
std::string words(const Outing& outing, const plan::ItemPlace& place);

}  // namespace handrail::live
