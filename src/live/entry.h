#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "lifesupport/consumption.h"
#include "outing/outing.h"

/// What the journal of a day holds. An entry says one thing that happened or was decided; it is never changed, only
/// corrected by a later entry. Everything is named as in the outing file (step labels, item ids, worksite ids), so
/// that a journal can be read without Handrail. docs/journal-format.md describes the text form.
namespace handrail::live {

/// Place of an entry in its journal: 1, 2, 3, ...; 0 is the journal before its first entry.
enum class Position : std::uint64_t {};
constexpr std::uint64_t number(Position p) { return static_cast<std::uint64_t>(p); }

/// Who may read an entry's words. Ordered: each level is narrower than the one before.
enum class Visibility : std::uint8_t { everyone, console, medical };
/// Whom a view is made for. Console sees everything but medical content; the public sees what is marked for it.
enum class Reader : std::uint8_t { everyone, console, medical };
constexpr bool may_read(Reader reader, Visibility visibility) {
    return static_cast<int>(visibility) <= static_cast<int>(reader);
}

/// The day in order. `planned` is before anyone has begun; `closed` is after the close-out.
enum class Phase : std::uint8_t {
    planned,
    suit_up,
    prebreathe,
    depress,
    egress,  ///< from PET zero until both are outside
    work,
    clean_up,
    ingress,
    repress,  ///< from the hatch closed behind everyone
    post,
    closed
};
enum class StandDownKind : std::uint8_t {
    scrub,      ///< called off before egress
    terminate,  ///< orderly early end: close-ups, then home
    abort       ///< come in at once
};

/// First entry of every journal: which outing, and the plan in force.
struct OutingOpened {
    std::string outing, fingerprint, path;
    Utc pet_zero;                     ///< planned
    std::string timeline;             ///< timeline JSON, whole
    std::vector<OutingText> sources;  ///< the outing file and its includes; the first is the outing file
};
/// The suits went to battery power; the moment is the entry's `happened`.
struct PetZero {};
/// The day enters a phase. `work` is egress done, `repress` is ingress done.
struct PhaseBegan {
    Phase phase = Phase::suit_up;
};
struct StepStarted {
    std::string step;
    std::optional<Crew> crew;  ///< who, where the entry said so; otherwise as bound by the plan
};
struct StepFinished {
    std::string step;
};
struct StepSkipped {
    std::string step, reason;
};
/// The step goes back to not having happened.
struct StepUndone {
    std::string step;
};
/// A step, running or still to come, will take this much longer than was thought.
struct StepDelayed {
    std::string step;
    Seconds by{};
    std::string reason;
};
struct HoldBegan {
    std::string reason;
};
struct Resumed {};
/// Where an item is from now on.
struct ItemPlaced {
    enum class Where : std::uint8_t { loose, in_bag, carried, installed, lost } where = Where::loose;
    std::string item;
    std::string place;  ///< worksite, bag or "EV1"/"EV2"; empty when lost
};
/// Where a crew member is from now on; `anchor` if their tether moved too.
struct CrewPlaced {
    Crew crew{};
    std::string worksite;
    std::optional<std::string> anchor;
};
struct GlovesChecked {
    Crew crew{};
};
/// What a suit's gauge says is left. In thousandths of the consumable's unit (g, mWh, mL), so that an entry holds no
/// fractions.
struct SuitReading {
    Crew crew{};
    lifesupport::Consumable consumable{};
    std::int64_t left_thousandths = 0;
};
struct Note {
    std::string text;
};
struct Decision {
    std::string text;
};
/// The lead chose a way on. From here the timeline given is the plan.
struct PlanAdopted {
    std::string option, title;         ///< id and words of the option, as offered
    std::string timeline;              ///< timeline JSON, whole
    std::vector<std::string> dropped;  ///< tasks left out by it
    /// Items that stand in for others from here on, as in ItemReplaced: {item, by}.
    std::vector<std::pair<std::string, std::string>> uses{};
};
struct TaskDropped {
    std::string task, reason;
};
/// Unable: does no steps from now on, only comes home, helped by the partner.
struct CrewAble {
    Crew crew{};
    bool able = false;
    std::string reason;
};
struct ArmAvailable {
    bool available = false;
    std::string reason;
};
struct StandDown {
    StandDownKind kind = StandDownKind::terminate;
    std::string reason;
};
struct Closed {
    std::string text;
};
/// A condition that steps wait for ("coverage") does not hold from now on, whatever was foreseen, until the moment
/// named or until it is said to hold again.
struct ConditionChanged {
    std::string condition;
    bool holds = false;
    std::optional<Utc> until;  ///< only where it does not hold
    std::string reason;
};
/// Nobody works at a worksite from now on (sharp edges, leak, thruster), until the moment named or until it is open
/// again.
struct WorksiteClosed {
    std::string worksite;
    bool closed = true;
    std::optional<Utc> until;  ///< only where it is closed
    std::string reason;
};
/// From now on `by` serves wherever a step needs `item`.
struct ItemReplaced {
    std::string item, by;
};
/// PET zero is expected at this instant, later than planned.
struct PetZeroExpected {
    Utc at;
    std::string reason;
};
/// During prebreathe: the mask or helmet is off (a break), or on again.
struct OxygenBreathed {
    Crew crew{};
    bool on = false;
    std::string reason;
};
/// One of the two is back in the airlock and stays there while the other is still outside.
struct CrewInside {
    Crew crew{};
};
/// Takes back the entry named in Entry::corrects and puts nothing in its place.
struct Struck {};

using Body = std::variant<OutingOpened, PetZero, PhaseBegan, StepStarted, StepFinished, StepSkipped, StepUndone,
                          StepDelayed, HoldBegan, Resumed, ItemPlaced, CrewPlaced, GlovesChecked, SuitReading, Note,
                          Decision, PlanAdopted, TaskDropped, CrewAble, ArmAvailable, StandDown, Closed, Struck,
                          ConditionChanged, WorksiteClosed, ItemReplaced, PetZeroExpected, OxygenBreathed, CrewInside>;

struct Entry {
    Utc logged, happened;
    Pet pet{};  ///< of `happened`, by the PET zero known to the writer; the fold goes by `happened`
    std::string author;
    Visibility visibility = Visibility::console;
    std::optional<Position> corrects;  ///< this entry stands in place of that earlier one
    Body body;
};
/// An entry and where it stands.
struct Recorded {
    Position position{};
    Entry entry;
    std::string hash;  ///< of the chain up to and with this entry, hex
};

std::string_view word(Visibility);
std::string_view word(Reader);
std::string_view word(Phase);
std::string_view word(StandDownKind);
std::string_view word(ItemPlaced::Where);
/// "step_started": the kind an entry carries in its text form.
std::string_view kind(const Body& body);

/// True when every text in the entry is valid UTF-8 and every time has a year of four digits, which is what the text
/// form can carry.
bool can_be_written(const Entry& entry);
/// The entry as canonical JSON (RFC 8785): sorted keys, no spaces, integers only, UTF-8. Equal entries give equal
/// bytes. REQUIRES: can_be_written(entry).
std::string to_json(const Entry& entry);
/// Reads what to_json() wrote; otherwise a sentence that says what is wrong.
std::variant<Entry, std::string> read_entry(std::string_view json);

}  // namespace handrail::live
