#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "plan/planner.h"

/// The outing as the search sees it: plain indices and flat tables, because the decoder runs a hundred thousand times a
/// second. Built once for each search; never changed afterwards, so any number of threads may read it.
namespace handrail::plan::detail {

/// Whole seconds of PET.
using Time = std::int32_t;
inline constexpr Time never = 1'000'000'000;

/// One stretch of a way: a walk along routes, or a tether swap.
struct Leg {
    bool swap = false;
    Time time = 0;
    std::uint32_t path_from = 0, path_to = 0;  ///< walk: places in WayTable::path_pool; swap: path_from only
};

/// Quickest ways for one crew member and one load class, tether included. A state is (worksite, anchor); see `state()`.
class WayTable {
public:
    WayTable() = default;
    /// `closed`: by worksite; no way leads there, ways may lead out of it.
    WayTable(const Outing& outing, Crew crew, SizeClass load, const std::vector<WorksiteId>& anchors,
             const std::vector<double>& length_m, const std::vector<bool>& closed);
    Time time(int from_state, int to_state) const { return time_[cell(from_state, to_state)]; }
    /// The legs of the quickest way, in order; empty when already there or unreachable.
    std::span<const Leg> legs(int from_state, int to_state) const;
    /// How the legs' times run, without their paths: what the decoder needs.
    std::span<const Time> leg_times(int from_state, int to_state) const;
    const std::vector<WorksiteId>& paths() const { return path_pool_; }
    Time longest_leg() const {
        return leg_times_.empty() ? 0 : *std::max_element(leg_times_.begin(), leg_times_.end());
    }
    std::vector<WorksiteId> path(const Leg& leg) const;

private:
    std::size_t cell(int from, int to) const {
        return static_cast<std::size_t>(from) * states_ + static_cast<std::size_t>(to);
    }
    std::size_t states_ = 0;
    std::vector<Time> time_;
    std::vector<std::uint32_t> first_leg_;  ///< into legs_, by cell; [cell, cell + 1)
    std::vector<Leg> legs_;
    std::vector<Time> leg_times_;
    std::vector<WorksiteId> path_pool_;
};

/// Allowed starts of a step: closed stretches [from, to], in order.
struct StartRange {
    Time from, to;
};

struct StepData {
    int task = 0, unit = 0;
    int at = -1, to = -1;                           ///< worksites; -1: none
    std::array<Time, 2> duration{};                 ///< by lead
    std::array<std::vector<StartRange>, 2> starts;  ///< by lead; empty vector and `windowed` false: any time
    bool windowed = false;
    std::array<Time, 2> by_hand{-1, -1};                   ///< by lead: a ride done hand over hand; -1: not possible
    std::array<std::vector<StartRange>, 2> hand_starts{};  ///< by lead: for that
    std::vector<std::pair<int, double>> uses{};            ///< resource, amount
    int continues = -1, next_part = -1;                    ///< steps: parts of one that may be interrupted
    std::vector<int> lets_in{};                            ///< with `continues`: tasks
    std::vector<int> stows{}, hands_over{};
    int bag = -1;                            ///< stows into it
    Time pin_from = -never, pin_to = never;  ///< the lead wants it to start between these
    int wish = -1;                           ///< into Problem::wishes: may be waited for (Sequence::by_hand); -1: none
    int kept_rank = -1;                      ///< place on its crew's lanes in the plan to be kept; -1: not there
    std::uint8_t roles = 0;                  ///< bit Role::lead, bit Role::helper
    bool iv = false, ground = false, arm = false, ride = false, heavy = false, opens = false, close_up = false;
    Effort effort = Effort::tools;
    std::vector<int> needs, takes, leaves, installs, moves;
    std::vector<int> at_hand;  ///< needs and installs and leaves, each once
};

/// Steps that start together are one unit; most units hold one step. The unit is what the search orders.
struct Unit {
    std::vector<int> steps;
    std::vector<int> before;  ///< units that come before this one
    int task = 0;             ///< of its first step
    int span = -1;            ///< into Problem::spans; -1: none
};

struct Link {
    int before, after;  ///< steps
    Time gap, within;   ///< within < 0: none
};

struct TaskData {
    std::vector<int> units;  ///< in file order, those still to be done
    bool optional = true;
    bool possible = true;  ///< false: something it needs is lost, unable or gone
    bool started = false;  ///< some steps are already done
    double value = 0;
    std::array<bool, 2> lead_allowed{true, true};
    Time starts_by = never, ends_by = never;
    bool kept_in = false;  ///< in the plan to be kept, led by kept_lead
    int kept_lead = -1;
    std::vector<int> after, needs, not_with, instead_of;
};

/// A wish about one task and what keeping it is worth, in seconds of finish.
struct WishData {
    int task = 0;
    int lead = -1;
    Time ends_by = never, starts_after = -never;
    /// By step of the task: starts that keep it inside its condition, by lead. Empty: no condition.
    std::vector<std::pair<int, std::array<std::vector<StartRange>, 2>>> starts{};
    Time worth = 0;
};

class Problem {
public:
    /// The first moment from `start` on at which a step with a wish keeps it as far as waiting can; `start` where that
    /// would be later than the wish is worth.
    Time wished_start(int step, std::size_t lead, Time start) const;
    Problem(const Outing& outing, const WindowTable& windows, const Situation& situation, const Freedom& freedom);

    const Outing* outing;
    const Situation* situation;

    int worksites = 0, airlock = 0;
    std::vector<WorksiteId> anchors;              ///< anchors[0] is the airlock
    std::vector<double> length_m;                 ///< worksite × worksite, shortest route length, any load
    std::array<std::array<WayTable, 2>, 2> ways;  ///< by crew, by load (0: up to medium, 1: large)
    std::vector<Time> partner_time;               ///< worksite × worksite
    bool partner_matters = false;
    std::vector<StepData> steps;
    std::vector<Unit> units;
    /// By item: the steps that take it from where it starts. Until one of them it is built in, whatever else calls for
    /// it to come back.
    std::vector<std::vector<int>> takers;
    std::vector<TaskData> tasks;
    /// Runs of units that stay together in the order: from a task's first to its last step with the arm, and from
    /// opening a worksite to closing it up. Unit numbers in file order.
    std::vector<std::vector<int>> spans;
    std::vector<std::vector<int>> links_into;  ///< by step: indices into links whose `after` it is
    std::vector<Link> links;
    std::vector<double> capacity;  ///< by resource
    std::vector<WishData> wishes;
    std::vector<std::uint8_t> clear;  ///< by worksite: nobody may be there while the arm moves
    bool clears = false;
    std::array<Time, 2> work_limit{never, never}, heavy_total{never, never};  ///< by crew
    std::vector<Window> daylight;
    bool daylight_known = false;
    std::array<std::array<std::array<lifesupport::Amounts, 2>, effort_count>, 2>
        draw;                                                    ///< crew, effort, sunlit: per second
    std::array<lifesupport::Amounts, 2> usable;                  ///< capacity minus reserve
    std::array<std::vector<lifesupport::Amounts>, 2> home_draw;  ///< by crew, by state: way home, clean-up, ingress
    std::vector<Time> arm_time;                                  ///< worksite × worksite

    Time limit = 0, margin = 0, egress = 0, ingress = 0, clean_up = 0, egress_by = never;
    Time check_every = 0, check = 0, heavy_limit = 0, rest = 0, pick_up = 0, swap = 0, partner_within = 0;
    bool one_voice = false;
    double reach_m = 0;
    double wanted_value = 0;  ///< of all optional tasks that could be done
    bool keeps = false;       ///< a plan is to be kept; a change costs so much:
    Time change_price = 0;
    double change_worth = 0;

    int state(int worksite, int anchor) const { return worksite * static_cast<int>(anchors.size()) + anchor; }
    int anchor_index(WorksiteId site) const;  ///< 0 when the site is no anchor
    double tether_m(int anchor, int worksite) const {
        return length_m[index(anchors[static_cast<std::size_t>(anchor)]) * static_cast<std::size_t>(worksites) +
                        static_cast<std::size_t>(worksite)];
    }
    Time arm_move(int from, int to) const { return arm_time[static_cast<std::size_t>(from * worksites + to)]; }
    int crew_of(const StepData& step, int lead, std::array<int, 2>& crew) const {
        int count = 0;
        if (step.roles & 1) crew[static_cast<std::size_t>(count++)] = lead;
        if (step.roles & 2) crew[static_cast<std::size_t>(count++)] = 1 - lead;
        return count;
    }
    /// A required task that is not done and whose alternatives are not done either.
    bool owed(int task, const std::vector<std::uint8_t>& in) const {
        const TaskData& data = tasks[static_cast<std::size_t>(task)];
        if (data.optional || data.started || in[static_cast<std::size_t>(task)]) return false;
        for (int other : data.instead_of)
            if (in[static_cast<std::size_t>(other)] || tasks[static_cast<std::size_t>(other)].started) return false;
        return true;
    }

private:
    void read_station(const Freedom& freedom);
    void read_suits();
    void read_steps(const WindowTable& windows, const Freedom& freedom);
    void read_tasks(const Freedom& freedom);
    void read_links(const Freedom& freedom);
    void read_spans();
    void read_kept(const Keep& keep);
    void read_demands(const WindowTable& windows);
};

/// Starts t ≥ 0 for which [t, t + duration) lies in every `during` list and touches no `not_during` list.
std::vector<StartRange> allowed_starts(const std::vector<std::vector<Window>>& during,
                                       const std::vector<std::vector<Window>>& not_during, Time duration);

}  // namespace handrail::plan::detail
