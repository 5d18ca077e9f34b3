#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "outing/window.h"
#include "units/quantity.h"
#include "units/time.h"

/// The outing: one EVA with everything needed to plan it, exactly as its file says it, cross-references resolved.
/// A value of type Outing has passed every check of read_outing(): ids are in range, durations are ordered and
/// positive, orders are free of cycles, every worksite can be reached. Nobody checks that again.
namespace handrail {

enum class WorksiteId : std::uint32_t {};
enum class ItemId : std::uint32_t {};
enum class TaskId : std::uint32_t {};
/// Counts all steps of the outing, task after task.
enum class StepId : std::uint32_t {};
enum class SuitTypeId : std::uint32_t {};
enum class ResourceId : std::uint32_t {};
enum class InhibitId : std::uint32_t {};
/// The two suited crew members.
enum class Crew : std::uint8_t { ev1, ev2 };
inline constexpr std::array both_crew{Crew::ev1, Crew::ev2};

template <class Id>
constexpr std::size_t index(Id id) {
    return static_cast<std::size_t>(id);
}
constexpr Crew partner(Crew c) { return c == Crew::ev1 ? Crew::ev2 : Crew::ev1; }

/// A row of the timeline: something that does one thing at a time.
enum class Lane : std::uint8_t { ev1, ev2, arm, iv, ground };
inline constexpr std::array all_lanes{Lane::ev1, Lane::ev2, Lane::arm, Lane::iv, Lane::ground};
constexpr Lane lane_of(Crew c) { return c == Crew::ev1 ? Lane::ev1 : Lane::ev2; }
/// Whose place in a step: lead and helper are bound to EV1 and EV2 by the planner, task by task.
enum class Role : std::uint8_t { lead, helper, arm, iv, ground };
/// small and medium are carried freely, large slows its carrier, oversize moves only by a step that says so.
enum class SizeClass : std::uint8_t { small, medium, large, oversize };
/// How hard a step works its person; rates are the outing's data (Rules::effort_watts).
enum class Effort : std::uint8_t { rest, ride, light, tools, translate, heavy, airlock, forced };
inline constexpr std::size_t effort_count = 8;
enum class TaskClass : std::uint8_t { required, wanted, get_ahead };
/// How quickly a handrail route can be followed (Rules::pace_factor).
enum class Pace : std::uint8_t { easy, normal, careful };
enum class ArmUse : std::uint8_t { none, ride, hold };

/// "EV1", "arm", "lead", "large", ...: the words of the outing file.
std::string_view word(Lane);
std::string_view word(Crew);
std::string_view word(Role);
std::string_view word(SizeClass);
std::string_view word(Effort);
std::string_view word(TaskClass);
std::string_view word(Pace);
std::string_view word(ArmUse);

/// Where in which file something was written, for messages.
struct SourcePlace {
    std::string file;
    int line = 0, column = 0;
};

/// 0 < low <= likely <= high.
struct Duration3 {
    Seconds low, likely, high;
};

/// Station frame: x forward (along the velocity in LVLH with no rotation), y to the right, z towards the Earth. Metres.
struct Vec3 {
    double x = 0, y = 0, z = 0;
};

struct Worksite {
    std::string id, name;
    Vec3 position_station_m;
    Vec3 normal_station{0, 0, -1};  ///< outward, unit length
    bool anchor = false;            ///< a safety tether may be anchored here
    std::string about;              ///< words for the public
};

/// A handrail route between two worksites, both ways.
struct Route {
    WorksiteId a, b;
    Metres length;
    Pace pace = Pace::normal;
    SizeClass largest = SizeClass::large;  ///< the largest item that may be carried along it
};

/// Axis-aligned box or a cylinder along an axis, in the station frame; for shadows and drawing.
struct Solid {
    enum class Shape : std::uint8_t { box, cylinder } shape = Shape::box;
    std::string name;
    Vec3 centre_station_m;
    Vec3 size_station_m;    ///< box: edge lengths; cylinder: unused
    Vec3 axis_station;      ///< cylinder: unit vector; box: unused
    Metres radius, length;  ///< cylinder
};

struct Arm {
    std::string name;
    Vec3 base_station_m;
    Metres reach;
    MetresPerSecond speed;      ///< tip, with or without a rider: the slower one
    Seconds setup;              ///< start, stop and clearance calls of each move
    WorksiteId parked;          ///< where the tip is at PET zero
    std::string operator_name;  ///< who inside flies it
    /// Nobody but who rides may be at these while the tip moves.
    std::vector<WorksiteId> clears{};
};

/// Station attitude relative to LVLH, or held inertially at the given rotation from TEME.
struct Attitude {
    enum class Hold : std::uint8_t { lvlh, inertial } hold = Hold::lvlh;
    Degrees yaw, pitch, roll;  ///< rotations about z, then y, then x
};

struct Station {
    std::string name;
    WorksiteId airlock;
    std::vector<Worksite> worksites;
    std::vector<Route> routes;
    std::vector<Solid> solids;
    std::optional<Arm> arm;
    Attitude attitude;
    Degrees glare_within{20};  ///< the sun this near a worker's line of sight is in their face
};

/// Orbit elements as they came; sky reads and checks them.
struct OrbitSource {
    enum class Kind : std::uint8_t { tle, omm_kvn, omm_xml } kind = Kind::tle;
    std::string text;   ///< the whole text of the element set
    SourcePlace place;  ///< of its first line
};
struct GroundStation {
    std::string name;
    Degrees latitude, longitude;
    Metres height;
    Degrees mask;  ///< lowest elevation, 0 to 90
};
struct RelaySatellite {
    std::string name;
    Degrees longitude;  ///< geostationary, east positive
    std::optional<Degrees>
        cone;  ///< half-angle about the station's zenith within which the antenna sees; none: all round
};
struct Coverage {
    std::vector<GroundStation> ground_stations;
    std::vector<RelaySatellite> relays;
};

/// What a suit carries. An absent quantity does not limit this type (a pool umbilical has no oxygen tank).
/// Sources of the generic values stand in demo/suits.toml and docs/margins.md.
struct SuitType {
    std::string id, name;
    enum class Kind : std::uint8_t { closed_loop, open_loop, umbilical } kind = Kind::closed_loop;
    std::optional<KiloPascal> pressure;
    std::optional<Kilograms> oxygen;  ///< primary
    KilogramsPerHour leak;            ///< oxygen lost to leaks
    std::optional<Kilograms> co2_capacity;
    std::optional<Kilograms> feedwater;
    std::optional<WattHours> battery;
    Watts electrical_load;                     ///< mean
    std::optional<Litres> breathing_gas;       ///< open loop: free gas at 1 atm
    LitresPerMinute ventilation_per_watt_100;  ///< open loop: gas used per 100 W of metabolic rate
    Fraction respiratory_quotient{0.85};
    Celsius feedwater_temperature{20};
    Watts heat_leak_sunlit, heat_leak_dark;  ///< into the suit (negative: out of it)
    Seconds secondary_oxygen{0};             ///< how long the emergency supply lasts
    Seconds reserve{0};                      ///< time kept in hand at return
    Watts reserve_rate;                      ///< metabolic rate at which the reserve is counted
};

struct CrewMember {
    std::string name;
    SuitTypeId suit{};
    double metabolic_factor = 1.0;         ///< multiplies Rules::effort_watts
    double experience_factor = 1.0;        ///< multiplies step durations
    MetresPerSecond speed{0.2};            ///< hand over hand on a route of normal pace with no large item
    int carry = 4;                         ///< how many size units: small 1, medium 2, large 4
    std::optional<Seconds> work_limit{};   ///< of all their steps together; none: no limit
    std::optional<Seconds> heavy_total{};  ///< of their hand-heavy steps (tools, forced) together
    std::string about;                     ///< words for the public
};

struct Item {
    std::string id, name;
    SizeClass size = SizeClass::small;
    std::optional<WorksiteId> at;  ///< where it starts, unless in a bag
    std::optional<ItemId> in;      ///< the bag it starts in
    int holds = 0;                 ///< bags: size units they can hold
    bool returns = false;          ///< must be back inside at the end
    bool two_people = false;       ///< too large for one: handled only in steps of both
};

/// Something of which only so much can be had at once: power on a bus, data links, voice loops for the ground.
struct Resource {
    std::string id, name, unit;
    double capacity = 0;
};
/// How much of it a step takes from its start to its end.
struct ResourceUse {
    ResourceId resource{};
    double amount = 0;
};

/// Something that the ground switches off so that it cannot hurt (a heater, an antenna): commanded, confirmed by IV,
/// and released after the last step of the task that wants it. Its steps are made when the file is read.
struct Inhibit {
    std::string id, name;
    Seconds command{180}, confirm{60}, release{120};
    std::vector<std::string> during{};  ///< conditions for command and release, such as coverage
};

/// After `before` (its end, or its start for `starts_together`) the step `after` starts no sooner than `gap` and no
/// later than `within`.
struct Order {
    StepId before, after;
    Seconds gap{0};
    std::optional<Seconds> within;
    bool starts_together = false;  ///< both start at the same moment; gap and within unused
};

struct Hazard {
    std::string what, control;
};

/// The smallest thing placed on the timeline.
struct Step {
    StepId id{};
    TaskId task{};
    std::string label;  ///< "valve.3": the task's id and the step's number or own id
    std::string name;
    std::vector<Role> who;         ///< sorted, no role twice, never empty
    std::optional<WorksiteId> at;  ///< where the crew in `who` must be when it starts; none: wherever they are
    std::optional<WorksiteId> to;  ///< where they (and the arm tip when riding) are when it ends, if elsewhere
    Duration3 duration;
    Effort effort = Effort::tools;
    ArmUse arm = ArmUse::none;     ///< ride, hold: the arm lane is taken and its tip is at `at`
    std::vector<ItemId> needs;     ///< at the worksite, or carried by someone in `who` (in hand or in a bag)
    std::vector<ItemId> takes;     ///< at `at` (loose or installed); carried by the step's first crew member after it
    std::vector<ItemId> leaves;    ///< carried; loose at the end worksite after it
    std::vector<ItemId> installs;  ///< carried or at the worksite; fixed at the end worksite after it
    std::vector<ItemId> moves;     ///< from `at` to `to` with the crew of this step, whatever their size
    std::vector<std::string> during;      ///< conditions that must hold all through it
    std::vector<std::string> not_during;  ///< conditions that must not hold at any moment of it
    bool opens = false;                   ///< leaves the worksite unsafe until a close-up step of this task
    bool close_up = false;                ///< makes the worksite safe again
    std::optional<Seconds> by_hand{};     ///< ride: how long it takes hand over hand instead; none: the arm is needed
    std::vector<ItemId> stows{};          ///< at hand or at `at`; in the bag `into` after it
    std::optional<ItemId> into{};
    std::vector<ItemId> hands_over{};  ///< carried by one of the two; carried by the other after it
    std::vector<ResourceUse> uses{};
    std::vector<InhibitId> inhibits{};                            ///< must be in place and confirmed all through it
    std::optional<InhibitId> commands{}, confirms{}, releases{};  ///< a step made for an inhibit
    std::optional<StepId> watches{};    ///< a step made to watch that one: lasts as long as it
    std::optional<StepId> continues{};  ///< the part before this one, of a step that may be interrupted
    std::vector<TaskId> lets_in{};      ///< with `continues`: whose steps may come between
    std::vector<Hazard> hazards;
    std::string crew_words, public_words, picture;
    SourcePlace place;
};

struct Task {
    TaskId id{};
    std::string key, name;
    TaskClass task_class = TaskClass::wanted;
    double value = 1;
    std::optional<Crew> lead;               ///< fixed by the file; none: the planner binds it
    std::vector<StepId> steps;              ///< in file order; each comes after the one before unless it says otherwise
    std::vector<TaskId> after;              ///< if both are done, those end before this starts
    std::vector<TaskId> needs;              ///< done only together with those
    std::vector<TaskId> not_with;           ///< never in the same outing
    std::vector<TaskId> instead_of{};       ///< alternatives, each way: one of them is enough where one is required
    std::optional<Pet> starts_by, ends_by;  ///< latest start, latest end
    std::string why;                        ///< words for the public
    SourcePlace place;
};

/// Operational limits. Each default names its source in rules_defaults.h; the file may override any of them.
struct Rules {
    Seconds limit{};              ///< hard end: PET by which the hatch is closed (end of ingress)
    Seconds margin{};             ///< wanted between planned end and limit; the planner keeps it if it can
    Seconds egress{}, ingress{};  ///< both crew, at the airlock
    Seconds clean_up{};           ///< inventory at the airlock before ingress, both crew
    Metres tether{};              ///< safety tether reach along the route from its anchor
    Seconds tether_swap{};
    Seconds pick_up{};  ///< picking up or putting down one item or bag, tethered
    Seconds glove_check_every{}, glove_check{};
    Seconds heavy_limit{}, rest{};        ///< after so much hand-heavy work (tools, forced) without a break: a rest
    Seconds partner_within{};             ///< either crew member can reach the other in this time
    std::optional<Pet> egress_by{};       ///< latest egress (end of the egress activity)
    Fraction large_item_pace{};           ///< speed with a large item, as a share of the normal one
    std::array<double, 3> pace_factor{};  ///< by Pace: multiplies a person's speed
    std::array<Watts, effort_count> effort_watts{};
    int voice_loops = 2;  ///< how many crew steps IV can talk through at once (1: the crew take turns)
    /// No step that takes one of the lanes runs at any moment of the condition.
    struct Quiet {
        std::string condition;
        std::vector<Lane> lanes;
    };
    std::vector<Quiet> quiet{};
};

/// What is wished and not required. A plan that does not keep it may end so much later for keeping it. One thing each:
/// exactly one of lead, during, ends_by and starts_after is there.
struct Preference {
    TaskId task{};
    std::optional<Crew> lead{};
    std::string during{};  ///< all crew steps of the task in it
    std::optional<Pet> ends_by{}, starts_after{};
    Seconds worth{};
    SourcePlace place{};
};

struct PrebreatheStage {
    std::string name;
    Seconds duration;
    KiloPascal pressure;                       ///< ambient pressure at the end of the stage
    std::optional<KiloPascal> pressure_start;  ///< if it ramps; else constant
    Fraction oxygen;                           ///< share of O2 breathed
    bool exercise = false;
};
/// Payback of a break in prebreathe is a rule held as data, never computed from the tissue.
struct BreakRule {
    Seconds up_to;         ///< a break no longer than this
    double payback = 2;    ///< minutes repaid per minute of break
    bool restart = false;  ///< start again instead
};
struct Prebreathe {
    std::string protocol;             ///< its name
    bool validated_exercise = false;  ///< an exercise protocol: followed or not, never judged by R
    std::vector<PrebreatheStage> stages;
    Seconds half_time{360 * 60};
    Fraction nitrogen_in_air{0.79};
    KiloPascal cabin{101.35};
    std::optional<double> limit_r;  ///< the largest R at depress the outing's rules accept
    std::vector<BreakRule> breaks;
    Seconds after_break{0};  ///< least time on oxygen after the last break
};

/// Which distribution a step's low, likely and high describe. log_normal: low and high are the 10th and 90th
/// percentiles; pert: the ends of a PERT distribution with its peak at likely; none: the likely time, always.
enum class Spread : std::uint8_t { log_normal, pert, none };
/// A log-normal share of the planned time: its median, and the standard deviation of its logarithm.
struct Scatter {
    double median = 1, sigma = 0;
    double weight = 20;                     ///< how many observations it stands for when more are learned
    std::vector<std::string> sources = {};  ///< where it comes from; empty: a default
};
/// How long one class of work takes. With `share` its times are planned time × share; without it they follow the
/// step's own low, likely and high.
struct WorkClass {
    Spread spread = Spread::log_normal;
    std::optional<Scatter> share;
};
/// How one person's times compare with what their experience factor says, as learned from past outings.
struct KnownPerson {
    std::string name;
    double factor = 1, sigma = 0;  ///< median, and the standard deviation of its logarithm
    std::vector<std::string> sources = {};
};
/// Something that goes wrong now and then.
struct Trouble {
    enum class Kind : std::uint8_t {
        delay,       ///< a step takes longer: a stuck fastener, a connector that does not mate
        lost,        ///< something is lost: extra time, and the rest of the task is left (close-ups are still done)
        late_start,  ///< egress starts that much later
        hold         ///< at some moment nobody starts anything new for so long
    } kind = Kind::delay;
    std::string name;
    Fraction probability;           ///< of each step in `steps`; for late_start and hold: of the outing
    Duration3 extra{};              ///< PERT
    Effort effort = Effort::tools;  ///< what the extra time is worked at (delay, lost)
    std::vector<StepId> steps;      ///< delay, lost
};
/// How the outing may run otherwise than planned. The defaults and their sources: risk_defaults.h.
struct Risk {
    std::array<WorkClass, effort_count> work;  ///< steps, by effort
    Scatter translation, handling,
        airlock;                      ///< translations and swaps; pick-ups and put-downs; egress, clean-up, ingress
    double day = 0;                   ///< coefficient of variation of a factor shared by everybody's work, mean 1
    double person = 0;                ///< of a factor of each person's own, mean 1
    double metabolic = 0;             ///< of a factor on each person's metabolic rate, mean 1
    std::vector<KnownPerson> people;  ///< instead of `person` for those named
    std::vector<Trouble> troubles;
    /// What a time from a pool run is multiplied by before it counts as a time in flight, by effort.
    std::array<double, effort_count> pool_to_flight{1, 1, 1, 1, 1, 1, 1, 1};
    Fraction confidence{0.95};  ///< of coming home in time with the reserves, at a decision gate
};

struct Outing {
    std::string name, about;  ///< about: words for the public
    std::string note;         ///< "invented" and the like
    Utc pet_zero;             ///< planned
    Station station;
    std::optional<OrbitSource> orbit;
    Coverage coverage;
    WindowTable windows;  ///< as given in the file or its CSV; sky adds the computed ones
    std::vector<SuitType> suits;
    std::array<CrewMember, 2> crew;
    std::string iv_name;
    std::vector<Item> items;
    std::vector<Task> tasks;
    std::vector<Step> steps;
    std::vector<Order> orders;  ///< all of them: file order, after, within, together
    std::vector<Resource> resources{};
    std::vector<Inhibit> inhibits{};
    std::vector<Preference> preferences{};
    Rules rules;
    Risk risk;
    std::optional<Prebreathe> prebreathe;
    std::vector<std::string> doffing;  ///< steps back after repress, in order
    std::string fingerprint;           ///< SHA-256 over the file and its includes, in hex

    const Worksite& worksite(WorksiteId id) const { return station.worksites[index(id)]; }
    const Item& item(ItemId id) const { return items[index(id)]; }
    const Task& task(TaskId id) const { return tasks[index(id)]; }
    const Step& step(StepId id) const { return steps[index(id)]; }
    const CrewMember& person(Crew c) const { return crew[index(c)]; }
    const SuitType& suit_of(Crew c) const { return suits[index(person(c).suit)]; }
};

/// Size units an item takes of a person's or a bag's capacity; oversize items cannot be carried.
constexpr int size_units(SizeClass size) {
    return size == SizeClass::small ? 1 : size == SizeClass::medium ? 2 : size == SizeClass::large ? 4 : 1000;
}
/// How long this person needs along a route carrying nothing larger than `load`, to the second, rounded up.
Seconds translation_time(const Rules& rules, const CrewMember& person, const Route& route, SizeClass load);
/// The suited crew in a step when `lead` leads its task, in the order lead, helper; empty for arm, IV or ground steps.
std::vector<Crew> crew_in(const Step& step, Crew lead);
/// Every lane a step takes when `lead` leads its task, in lane order; arm use takes the arm lane too.
std::vector<Lane> lanes_of(const Step& step, Crew lead);
/// How long a step is planned for (one that watches: as long as the watched one): the likely duration times the slowest
/// participant's experience factor, to the second, rounded up. Steps without suited crew keep the likely duration.
Seconds planned_duration(const Outing& outing, const Step& step, Crew lead);
/// The same for a ride that is done hand over hand instead (Step::by_hand).
Seconds by_hand_duration(const Outing& outing, const Step& step, Crew lead);
/// Straight-line arm move between two worksites, set-up included; nothing for the same worksite.
Seconds arm_move_time(const Station& station, WorksiteId from, WorksiteId to);
/// True when the worksite lies within the arm's reach of its base.
bool arm_reaches(const Station& station, WorksiteId site);

/// The caution every plan, page and document carries.
inline constexpr std::string_view caution =
    "Handrail is a planning aid. Certified consumables computations, flight rules, the flight surgeon and the flight "
    "director govern.";

}  // namespace handrail
