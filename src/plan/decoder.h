#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "plan/problem.h"

/// Turns an order of units, the choice of tasks and of leads into a timeline: each unit in turn starts as early as its
/// people, items, arm, windows and orders allow, and everything that follows from it (ways, tether swaps, fetching,
/// glove checks, rests) is put in. The search calls this a hundred thousand times, so the state is flat and reused.
namespace handrail::plan::detail {

/// What the search decides.
struct Sequence {
    std::vector<int> order;            ///< every unit that may be done, predecessors first
    std::vector<std::uint8_t> lead;    ///< by task: 0 EV1, 1 EV2
    std::vector<std::uint8_t> in;      ///< by task
    std::vector<std::uint8_t> gather;  ///< by task: fetch what its later steps need before its first one
    /// By step: do a ride without the arm where that is possible; do not wait for what the file prefers. May be empty.
    std::vector<std::uint8_t> by_hand{};
};

/// What can be wrong with a decoded plan; the amount is in seconds (or stands for them).
enum class Broken : std::uint8_t {
    limit,
    egress_by,
    window,
    within,
    task_by,
    item,
    capacity,
    tether,
    consumable,
    turn_back,
    open_site,
    partner,
    choice,
    clash,
    wish,
    resource,
    interrupted,
    arm_clear,
    person
};
inline constexpr std::size_t broken_count = 19;
/// What a thing that cannot be repaired by a little more time counts for, in seconds: more than any outing lasts.
inline constexpr std::int64_t hopeless = 100'000;
/// What leaving a task unfinished for another one counts like, in seconds of finish time: coming back to half-done work
/// costs attention that no duration shows (from memory).
inline constexpr Time interruption_s = 180;
/// How much longer work may take than its likely time, as a share of what has passed: on the lunar surface tasks ran 20
/// to 44 % over plan (AIAA Space 2016, Apollo lunar surface EVA timeline execution, abstract).
inline constexpr double overrun = 0.3;

struct Score {
    std::array<std::int64_t, broken_count> broken{};
    std::int64_t violation = 0;  ///< sum of broken
    double missing = 0;          ///< weight of the tasks that are left out
    Time finish = 0;             ///< end of ingress
    Time shortfall = 0;          ///< of the wanted margin
    std::int64_t idle = 0;       ///< waiting and translating of both crew
    int interruptions = 0;       ///< how often someone left a task of theirs unfinished for another
    int changes = 0;             ///< against the plan that is to be kept
    Time price = 0;              ///< of the changes and of wishes not kept, as later finish
    double paid = 0;             ///< of the changes, as value
    Time required_end = 0;       ///< when the last required task ends
    Time required_wait = 0;      ///< what missing a window would cost the required tasks, by how likely it is

    /// What the search compares as the finish: a minute sooner done with the required tasks, or less exposed to a
    /// missed window, is worth a minute of finish.
    Time soft_finish() const { return finish + interruption_s * interruptions + price + required_end + required_wait; }
    /// What it compares as what is left out.
    double loss() const { return missing + paid; }
};
/// Objective of the plan, best first: nothing broken; required tasks, then value; margin; finish, with interruptions
/// and how exposed the required tasks are counted; waiting and distance.
bool better(const Score& a, const Score& b);

class Decoder {
public:
    explicit Decoder(const Problem& problem);
    /// Never more than `most` of violation is looked for: beyond it decoding may end at once, and the score says no
    /// more than that the violation is larger than `most`.
    Score decode(const Sequence& sequence, std::int64_t most = no_limit);
    static constexpr std::int64_t no_limit = 1'000'000'000'000'000;
    /// What a sequence may have at most to be of interest. Its cost is its finish, twice the shortfall of the margin,
    /// and `penalty` for each second of violation.
    struct Most {
        std::int64_t violation = 0;
        double cost = 1e18, penalty = 0;
    };
    /// The same, and it may also end when the sequence is likely to cost more: where it goes on like the expected one,
    /// it is taken to come home as much later as it is late there, less the waiting that is left.
    Score decode(const Sequence& sequence, const Most& most);
    /// The sequences decoded from now on are likely to begin like this one: what it begins with is then not placed
    /// again. Only makes decoding faster.
    void expect(const Sequence& sequence);
    /// The same for the sequence that was decoded last, to its end, or (`anew`) for any: then where people are at which
    /// time is known as well, for decode() with Most.
    void expect_decoded(const Sequence& sequence, bool anew);
    /// When each step started in the last decode (or in the one before, if it ended early); -never: not at all.
    const std::vector<Time>& step_starts() const { return now_.step_start; }
    /// The same as decode(), writing the activities down; as-run ones come first.
    Score record(const Sequence& sequence, std::vector<Activity>& activities);
    /// Weight of a task in Score::missing: optional tasks their value, required ones more than all of those together.
    double weight(int task) const { return weight_[static_cast<std::size_t>(task)]; }
    /// Score::missing of a choice of tasks (by task).
    double missing(const std::vector<std::uint8_t>& in) const;
    /// Items that could not be had and by which step, from the last decode (for explanations).
    struct MissingItem {
        int step, item;
    };
    const std::vector<MissingItem>& missing_items() const { return now_.missing_items; }

private:
    struct CrewState {
        Time free = 0;
        int site = 0, anchor = 0;
        Time checked = 0;
        Time heavy = 0, heavy_until = 0;
        int hand_units = 0, hand_large = 0;
        bool outside = false, inside_again = false, able = true;
        lifesupport::Amounts used{};
        lifesupport::Amounts close_up{};  ///< still to be drawn for closing up what they hold open
        int task = -1;                    ///< of the last step they did
        int kept_rank = -1;               ///< furthest place reached in the plan to be kept
        int part = -1;                    ///< step: the part that must come next, other work between or not
        Time work = 0, heavy_work = 0;    ///< of all their steps so far
        Time waited = 0;                  ///< so far
    };
    struct ItemState {
        ItemPlace::Where where = ItemPlace::Where::loose;
        int site = 0, holder = 0;  ///< holder: bag or crew
        Time free = 0;
    };
    struct Stay {
        int site;
        Time from, to;
    };
    struct Open {
        int task, site;
        Time from, until;  ///< until: never while open
    };
    struct Checks {
        std::array<Time, 24> at;  ///< the first `count`; the others are not set, that would take as long as the checks
        int count = 0;
    };
    /// How a step is done: with the arm, or hand over hand.
    struct Mode {
        Time duration = 0;
        bool arm = false, ride = false;
        const std::vector<StartRange>* starts = nullptr;
    };
    /// The work of a unit's steps of one task.
    struct TaskWork {
        int task = 0;
        std::array<std::array<Time, 2>, 2> by_lead{};  ///< by lead, by crew
    };
    struct Taken {
        Time from, to;
        double amount;
    };
    struct Sweep {
        Time from, to;
        unsigned riders;  ///< by crew
    };
    /// What changes while units are placed; copied whole to come back to a place in the order.
    struct State {
        std::array<CrewState, 2> crew;
        std::vector<ItemState> items;
        std::vector<Time> step_start, step_end, task_start, task_end;
        std::vector<std::vector<Taken>> taken;  ///< by resource
        std::vector<Sweep> sweeps;              ///< moves of the arm's tip
        std::vector<std::uint8_t> placed;       ///< by unit
        std::array<std::vector<Stay>, 2> stays;
        std::vector<Open> open;
        std::vector<std::array<int, 2>> own_steps_left;  ///< by task, by role
        Time arm_free = 0, iv_free = 0, ground_free = 0, voice_free = 0;
        int arm_site = 0;
        Score score;
        std::vector<MissingItem> missing_items;
    };
    /// When the two are free before a place in the order, and how long they have waited by then.
    struct Mark {
        std::array<Time, 2> free{}, waited{};
    };
    /// One crew member's share of the unit being placed.
    struct Part {
        int step = -1;
    };

    Score run(const Sequence& sequence);
    void set_first();
    /// How many units at the front of the order are placed as in base_.
    std::size_t common_with_base(const Sequence& sequence);
    bool comparable_with_base(const Sequence& sequence) const;
    void list_work();  ///< into work_
    void count_work(const Sequence& sequence);
    void go_out();
    /// Places the units from `from` on; false: a step must be held back, or the violation is too large.
    bool place_from(std::size_t from, std::size_t common, const Sequence& sequence);
    bool too_much(std::size_t place, std::size_t places) const;
    /// The same by what the expected sequence goes on to do.
    Time likely_finish(std::size_t place, std::size_t places) const;
    Mark mark() const;
    void find_same_end(const Sequence& sequence);
    void place_unit(int unit, const Sequence& sequence);
    bool gather(int unit, const Sequence& sequence, std::array<Part, 2>& parts);
    void fetch_for(int step, const Sequence& sequence);
    void gather_for(int step, const Sequence& sequence);
    bool fits_in_hand(int crew, int item) const;
    Time earliest(int unit, const Sequence& sequence, const std::array<Part, 2>& parts, Time ready);
    void apply(int step, Time start, const Sequence& sequence);
    /// Whether it is still built in where it started: whoever comes past cannot just pick it up.
    bool waits_for_its_step(std::size_t item) const;
    void go_home();
    void judge(const Sequence& sequence);

    Time fit(const CrewState& crew, Time ready, Time duration, Checks& checks) const;
    /// Puts an activity on a crew lane at `start` (checks first), draws the suit down, and moves the free time.
    void commit(int crew, Time start, Time duration, Effort effort, const Checks& checks);
    Time solo(int crew, Time ready, Time duration, Effort effort);
    bool go(int crew, int target_state);
    int target_state(int crew, const StepData& step, bool ride) const;
    const Mode& mode_of(int step, const Sequence& sequence) const {
        const auto at = static_cast<std::size_t>(step);
        const bool chosen = at < sequence.by_hand.size() && sequence.by_hand[at] != 0;
        return modes_[4 * at + 2 * sequence.lead[static_cast<std::size_t>(problem_.steps[at].task)] + (chosen ? 1 : 0)];
    }
    void list_modes();  ///< into modes_
    /// Fills uses_ with what the steps of a unit use together; returns how long, 0 when they use nothing (or too much).
    Time sum_uses(const Unit& unit, const Sequence& sequence);
    /// The first moment from `start` on from which there is room for uses_ for so long.
    Time room_for(Time start, Time duration) const;
    void judge_demands(const Sequence& sequence);
    /// How late, and how near the end of their windows, the required tasks stand.
    void judge_required(const Sequence& sequence);
    Time way_time(int crew, int state) const;
    bool pick_up(int crew, int item, int keep_for_step);
    bool make_room(int crew, int units, int keep_for_step);
    void put_down(int crew, int item);
    void draw(int crew, Effort effort, Time start, Time duration);
    bool lit(Time start, Time duration) const;
    void leave_site(int crew, Time at);
    void arrive(int crew, int site, Time at);
    void check_turn_back(int crew);

    int top(int item) const;
    Time available(int item) const;
    bool at_hand(int item, unsigned crew_mask, int site) const;
    bool needed_by(int item, int step) const;
    void used_until(int item, Time end);
    void into_hand(int item, int crew, Time at);
    void out_of_hand(int item);
    void loose_at(int item, int site, Time at);
    void stow(const StepData& step, Time at);
    void note(ActivityKind kind, std::initializer_list<Lane> lanes, Time start, Time duration,
              std::vector<WorksiteId> path = {}, std::vector<ItemId> items = {}, int step = -1);
    void brake(Broken what, std::int64_t amount);

    int state_of(const CrewState& crew) const { return problem_.state(crew.site, crew.anchor); }

    const Problem& problem_;
    std::vector<double> weight_;
    std::vector<Mode> modes_;  ///< by step, by lead, by Sequence::by_hand
    std::vector<std::pair<std::int64_t, std::int64_t>> daylight_ms_;

    State now_, first_;
    /// With `base_` as the sequence: the state before its place 0, `stride_`, 2 × `stride_`, ...; `saved_count_` are
    /// valid.
    std::vector<State> saved_;
    std::size_t saved_count_ = 0, stride_ = 1;
    Sequence base_;
    std::vector<std::uint8_t> differs_;  ///< by task: decided otherwise than in `base_`
    std::vector<std::vector<int>> tasks_of_unit_;
    std::vector<TaskWork> work_;
    std::vector<std::size_t> first_work_;         ///< by unit: its first in work_; one more at the end
    std::array<std::vector<Time>, 2> work_left_;  ///< by crew, by place: of the steps from there on
    Most most_{};                                 ///< beyond which decoding ends
    bool guesses_ = false;                        ///< whether it may do so by likely_finish()
    std::vector<Mark> marks_, base_marks_;        ///< by place; the last: at home. Of the last decode, of base_
    std::size_t same_end_ = 0;                    ///< so many units at the end of the order are those of base_

    std::vector<Time> not_before_;
    std::vector<std::pair<int, double>> uses_;
    std::vector<std::uint8_t> helper_in_task_;
    std::vector<int> required_steps_;            ///< of required tasks
    std::vector<std::array<int, 2>> own_steps_;  ///< by task, by role: steps still to be done
    std::size_t held_back_ = 0;                  ///< place in the order of the step that retry_ is about
    bool retry_ = false, may_retry_ = true;
    std::vector<Activity>* record_ = nullptr;
};

}  // namespace handrail::plan::detail
