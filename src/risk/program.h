#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "plan/decoder.h"
#include "risk/model.h"

/// A plan compiled for replaying: flat lists in the order in which the planner's decoder places things. A run walks
/// down the list once; every start is the latest of what it waits for, so the list is a topological order.
namespace handrail::risk::detail {

using plan::detail::Problem;
using plan::detail::Sequence;

inline constexpr float never = std::numeric_limits<float>::infinity();
inline constexpr std::uint8_t all_steps = 255;

/// How many of each task's steps are still done, in file order; afterwards only its close-ups. By task.
using Kept = std::vector<std::uint8_t>;

struct Wait {
    int end;    ///< slot in the run's list of ends
    float gap;  ///< after it
};
/// A list inside one of the program's pools: [first, last).
struct Range {
    int first = 0, last = 0;
    bool empty() const { return first == last; }
};

struct TroubleAt {
    int slot = 0;
    std::uint32_t below = 0;  ///< it happens when the draw is below this
    const float* table = nullptr;
    float offset = 0, scale = 0;
    std::array<float, 2> excess{};  ///< W above rest during the extra time, by crew
    bool gives_up = false;
};

/// A step within its unit.
struct Part {
    int step = 0, task = 0, number = 0;  ///< number: place in its task
    std::uint8_t crew = 0;               ///< bit 0 EV1, bit 1 EV2
    bool arm = false, iv = false, ground = false, heavy = false, close_up = false;
    bool rest_droppable = false;  ///< the task has later steps that can be left
    Draw draw;
    float planned = 0, arm_move = 0;
    std::array<float, 2> excess{};
    Range troubles, starts;
    int end = -1;
};

enum class Op : std::uint8_t { solo, unit, egress, home };
struct Node {
    Op op = Op::solo;
    ActivityKind kind = ActivityKind::step;  ///< of a solo
    std::uint8_t crew = 0;                   ///< solo: 0 or 1
    bool alone = true;                       ///< one pass settles the start: one crew member at most, no window
    Draw draw;                               ///< solo, egress
    float planned = 0, excess = 0, floor = 0;
    Range waits, parts;
    int end = -1, decision = -1;
};

/// What one crew member would need to come home from here, and what they need to do the next step and then come home.
struct Home {
    float close_up = 0, way = 0;  ///< planned seconds
    float close_up_excess = 0;    ///< W s above rest
    /// Doing the next step and coming home: planned, and with the wanted confidence (then both grow alike).
    struct Need {
        float seconds = 0;
        float watt_s = 0;      ///< metabolic energy at factor one
        float sure_until = 0;  ///< before this moment no suit can be too low for it
    } likely, sure;
};

/// The planned state before a node, from which a gate's question is asked.
struct Snapshot {
    std::array<float, 2> free{}, checked{}, heavy{}, heavy_until{}, excess{};
    float arm = 0, iv = 0, ground = 0, voice = 0;
};

/// Before each unit that has crew: go on, leave the task out, or start home.
struct Decision {
    int node = 0, unit = 0, task = 0, number = 0;
    int ends = 0;           ///< end slots taken before it
    std::uint8_t crew = 0;  ///< who works on the unit
    bool first = false;     ///< nothing of the task has been done
    bool optional = false;
    bool must = false;           ///< a close-up: done whatever the clock says
    float planned = 0;           ///< the planned moment: when the later of those concerned is free
    float approach = 0;          ///< planned seconds of ways and handling before the unit
    float planned_start = 0;     ///< of the unit
    float latest_start = never;  ///< of the unit, so that it and the way home fit the limit at planned times
    float latest_sure = never;   ///< the same with the wanted confidence, by the times' means and variances
    float home_sure = never;     ///< of this moment, so that starting home now is in time with that confidence
    float work_mean = 0, work_planned = 0,
          work_variance = 0;     ///< of what `previous_crew` has done until here, no factors
    float latest_whole = never;  ///< of this moment, so that the whole task and the way home fit
    std::array<Home, 2> home;
    Snapshot before;
    int previous_step = -1;  ///< of the first of them, for "at the end of step X"; -1: egress
    int previous_crew = 0;
};

struct Program {
    std::vector<Node> nodes;
    std::vector<Part> parts;
    std::vector<Wait> waits;
    std::vector<plan::detail::StartRange> starts;
    std::vector<TroubleAt> troubles;
    std::vector<Decision> decisions;
    std::vector<float> planned_end;  ///< by end slot
    struct Running {
        Draw draw;
        float start = 0;
        double outlived = 0;  ///< share of the distribution that is shorter than what has already passed
        std::uint8_t crew = 0;
        bool arm = false, iv = false, ground = false;
        int end = -1;
    };
    std::vector<Running> running;  ///< steps begun before the program starts
    Snapshot begin;
    Snapshot before_home;  ///< before the way home
    int home_node = 0;
    float planned_finish = 0;
    float whole_finish = 0;  ///< the same when nothing is left out
    bool outside = false;    ///< egress is past

    /// What is achieved when the run goes home at decision d; the last row: everything.
    std::vector<std::vector<std::uint8_t>> done;
    std::vector<float> value;
    std::vector<std::uint8_t> required;

    Kept kept;
    int left_item_step = -1;  ///< a step for which an item is out of reach; -1: none
};

/// True when both programs do the same before that node: a run may change from one to the other there.
bool same_until(const Program& a, const Program& b, int node);

/// One suit's stock: drawn by t is base + rate × (t - from) + metabolic factor × per_watt × (rest × (t - from) +
/// excess)
/// + lit × sunlit seconds. Exact, because every draw is affine in the metabolic rate (consumption.h).
struct Suit {
    int count = 0;  ///< of consumables that limit it
    std::array<int, lifesupport::consumable_count> which{};
    std::array<float, lifesupport::consumable_count> base{}, rate{}, per_watt{}, lit{}, usable{}, full{}, per_reserve{};
    float rest_watts = 0, from = 0;
};

/// Everything the programs of one simulation share.
struct Ground {
    const Model* model = nullptr;
    const Problem* problem = nullptr;
    std::array<Suit, 2> suits;
    std::vector<float> sunlit;  ///< seconds of daylight from PET zero to k × sunlit_step
    static constexpr float sunlit_step = 32;
    float limit = 0, margin = 0, clean_up = 0, ingress = 0;
    Draw clean_up_draw, ingress_draw;
    std::array<Draw, 2> home_draw;  ///< scale 1
    std::array<float, 2> check_excess{}, way_excess{}, clean_up_excess{}, ingress_excess{};
    float check_every = 0, check = 0, heavy_limit = 0, rest = 0;
    float now = 0;
    bool one_voice = false;
    double confidence = 0.95;
    /// At which a step is still begun. Stricter than the wanted confidence: a run asks this before step after step, and
    /// home is late when one of them misleads it. A third of the doubt leaves a task's own gate in charge of when it is
    /// begun (on the demo; with a half, gates hang on a hundredth of a per cent).
    double step_confidence = 0.983;
    double factor_cv = 0;      ///< coefficient of variation of day and person together
    float most_metabolic = 1;  ///< the largest metabolic factor a run can have
};

Ground ground_of(const Model& model, const Problem& problem, const Factors& factors);
/// The plan that follows from this order when tasks keep only some of their steps. `less`: a copy of the ground's
/// problem to write into, the same one for many calls.
Program compile(const Ground& ground, const Sequence& sequence, const Kept& kept, Problem& less);

}  // namespace handrail::risk::detail
