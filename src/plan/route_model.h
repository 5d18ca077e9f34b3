#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "plan/least.h"

/// What a plan asks of each crew member's day when only sums and places count: how long they work, past which worksites
/// they must come, what they pick up, what their suit gives. Order, windows and waiting are left out, so that every
/// timeline that keeps the rules fits into it. route_bound.h finds how much value fits in at most.
namespace handrail::plan::detail {

/// What a day has so much of: seconds, then each consumable (as lifesupport::Amounts).
inline constexpr std::size_t day_uses = 1 + lifesupport::consumable_count;

/// A thing that a crew member's day may contain: their share of a task under one lead, or a pick-up.
struct DayPart {
    std::array<double, day_uses> uses{};
    std::uint32_t sites = 0;  ///< worksites they must come past; bits as in RouteModel
};

/// A task under one lead.
struct TaskChoice {
    int task = 0, lead = 0;
    std::array<int, 2> part{-1, -1};  ///< into RouteModel::parts of EV1 and EV2; -1: no share
    std::vector<double> shared{};     ///< seconds times amount, of each of RouteModel::shared
    /// By crew member: the items they use by themselves, neither where these lie at first nor at the airlock.
    std::array<std::vector<int>, 2> alone{};
};

/// Something that lies loose and must be picked up once, by either, before any of its users can be done elsewhere.
struct PickUp {
    std::array<int, 2> part{-1, -1};
    std::array<int, 2> further{-1, -1};  ///< parts: two more pick-ups or put-downs, anywhere; -1: none are asked for
    std::vector<int> users{};            ///< tasks
    bool always = false;                 ///< must come home in any case
};

/// A thing, or what is in one bag, that each of the two may use by themselves. It does not change hands for nothing:
/// with `each` and `less` so that at least each × (users among the two) - less pick-ups and put-downs are needed.
struct Shared {
    int pick_up = 0;
    int each = 1, less = 0;
    std::array<std::vector<int>, 2> choices{};  ///< by crew member: those in which they do
};

/// Tasks tied by `needs` and `not_with`, and which of their subsets are allowed (bits in the order of `tasks`).
struct TiedTasks {
    std::vector<int> tasks{};
    std::vector<std::uint32_t> allowed{};
};

class RouteModel {
public:
    /// `required_counts`: what is required is done (false for a plan that had to leave some of it out).
    RouteModel(const Problem& problem, bool required_counts);

    /// False when the day cannot be put this way (nobody goes out any more): then there is no bound from here.
    bool usable() const { return usable_; }
    /// What a crew member has of the day's `use` when the outing ends by `end`; infinite: no limit.
    double room(int crew, std::size_t use, Time end) const;
    double shared_room(std::size_t i, Time end) const;

    std::array<std::vector<DayPart>, 2> parts;
    std::vector<TaskChoice> choices;
    std::vector<std::vector<int>> choices_of;  ///< by task: into choices; empty when it cannot be done
    std::vector<PickUp> pick_ups;
    std::vector<Shared> shared_things;
    std::vector<std::vector<std::pair<int, int>>> picked_for;  ///< by task: pick-up, place among its users
    std::vector<TiedTasks> ties;                               ///< every task that can be done is in one
    /// What both crew members draw on (the one voice, the arm, IV, the ground, resources of the file): how much at
    /// once.
    std::vector<double> shared;
    std::vector<double> value;              ///< by task: what it adds; required ones add nothing
    std::array<std::vector<Time>, 2> tour;  ///< by set of sites: least walking and tether swaps past all of them
    std::array<std::array<double, day_uses>, 2> walk_rate{};  ///< drawn by a second of a tour; seconds: 1
    int sites = 0;

private:
    void read_sites();
    std::vector<Time> tour_of(int crew) const;
    void read_choices(const std::vector<Time>& home, bool required_counts);
    void read_pick_ups();
    void read_shared(int pick_up, int outer);
    void read_alone(TaskChoice& choice) const;
    void read_ties(bool required_counts);
    void add_step(const StepData& step, int crew, int lead, DayPart& part) const;
    Time talked_through(const StepData& step, int lead) const;
    double walked_by(const StepData& step, int crew) const;
    std::uint32_t bit(int site) const;
    bool walkable(int site, int anchor) const;

    const Problem& problem_;
    TaskSteps steps_;
    std::array<WayTable, 2> small_load_;  ///< where a route is for small items only
    std::array<const WayTable*, 2> ways_{};
    std::array<Time, 2> farthest_{};  ///< the longest of all ways
    std::vector<int> bit_of_, site_of_;
    std::array<Time, 2> begin_{};
    std::array<std::array<double, day_uses>, 2> capacity_{};
    Time unchecked_ = 0;
    bool usable_ = true, cut_off_ = false;
};

}  // namespace handrail::plan::detail
