#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <vector>

#include "plan/choice.h"
#include "plan/decoder.h"
#include "plan/search.h"
#include "units/random.h"

namespace handrail::plan::detail {

/// False for a task that has begun or cannot be done: it is neither left out nor brought in.
bool may_drop(const Problem& problem, int task);

/// What the moves know of the outing beforehand; read by all chains.
struct Terrain {
    explicit Terrain(const Problem& problem);

    std::vector<int> tasks;                  ///< those that may be left out or brought in
    std::vector<int> rides;                  ///< steps that may be done with the arm or without
    std::vector<std::vector<int>> near;      ///< by task: the others, least way from where one ends to the next first
    std::vector<std::vector<int>> excludes;  ///< by task: never in the same outing, both ways
    std::vector<std::vector<int>> needed_by;
    std::vector<double> work;  ///< by task: crew seconds of its steps and a little more
    std::vector<double> rate;  ///< by task: value for a second of that
};

/// One cooling of a chain, in iterations; then it starts anew from its best.
inline constexpr std::uint64_t cooling_length = 4000;
/// So many tasks are brought in for one that needs them, one after another.
inline constexpr int most_needed = 3;

/// A search from one plan on: other choices of tasks that are made to fit, and an annealing walk over order and leads.
/// While something is broken or a required task left out, or none is, it walks over all of it. Its sequences hold only
/// units of tasks that are in.
class Chain {
public:
    Chain(const Problem& problem, const Terrain& terrain);
    /// Starts afresh, with nothing left of the last search; `walks`: it only walks.
    void begin(const Found& from, std::uint64_t seed, bool walks);
    /// The same from a child of two plans.
    void begin(const Found& mother, const Found& father, std::uint64_t seed, bool walks);
    void run(std::uint64_t iterations, const std::atomic<bool>& stop);
    const Found& best() const { return best_; }

private:
    void restart_from(const Found& found);
    double cost(const Score& score) const;
    /// What a sequence with that much left out may have if it is to cost no more than `cost`.
    Decoder::Most most_at(double cost, double missing) const;
    /// One trial; `penalty` is what a second of broken rules costs.
    void step(double temperature, double penalty);
    /// Begins a cooling, from the best plan.
    void warm_up();
    /// The current plan breaks nothing and owes nothing, and something is left out.
    bool may_choose() const;
    /// Tries another choice of tasks for such a plan; `share` of the time for that has passed.
    void choose(double share, double temperature, const std::atomic<bool>& stop);
    bool draw_choice(double share);
    bool put_in(const std::vector<std::uint8_t>& in);
    void take_if_it_fits(const std::atomic<bool>& stop);
    /// Looks for a better order of what is done.
    void settle_order(int trials, double temperature);
    void rebuild(double temperature, const std::atomic<bool>& stop);
    /// `decoded`: by decoder_, as the last one and to its end.
    void adopt(Sequence& sequence, const Score& score, bool decoded);
    void balance();
    void list_tasks();

    bool move(Sequence& s);
    bool move_block(Sequence& s);
    bool swap_blocks(Sequence& s);
    bool move_stretch(Sequence& s);
    bool move_run(Sequence& s);
    bool required_first(Found& trial);
    bool move_unit(Sequence& s);
    bool flip_lead(Sequence& s);
    bool add(Sequence& s);
    bool drop(Sequence& s);
    bool exchange(Sequence& s);
    bool change_ride(Sequence& s);

    /// Where a block goes and who leads it there.
    struct Spot {
        int place = 0, lead = 0;
    };
    Spot spot_for(const Sequence& s, int task);
    bool bring_in(Sequence& s, int task, Spot spot, int depth = 0);
    void take_out(Sequence& s, int task);
    void insert_block(Sequence& s, int task, int place);
    /// Takes the units of a task out of the order; returns where the first was, and leaves them in block_.
    int cut_block(Sequence& s, int task);
    int first_place(const Sequence& s, int task) const;
    int lead_for(int task, int wanted) const;
    int some_done();      ///< -1: none
    int some_left_out();  ///< -1: none
    bool flip(Sequence& s, int task);

    const Problem& problem_;
    const Terrain& terrain_;
    Decoder decoder_, builder_;
    Random random_;
    Found current_, best_;
    Choice choice_;
    Found before_;  ///< the current plan before another choice was tried
    Sequence trial_, without_, put_;
    Score trial_score_;
    bool never_chooses_ = false;
    bool walks_ = false;
    double walks_from_ = 0;             ///< share of a cooling from which on it walks
    bool keeps_choice_ = false;         ///< moves change neither what is done nor what is left out
    double wanted_weight_ = 0;          ///< of the optional tasks together: more is missing when a required one is
    double average_weight_ = 0;         ///< of one
    double most_missing_ = 0;           ///< that a choice may leave out
    std::vector<int> done_, left_out_;  ///< tasks of terrain_.tasks in current_
    std::vector<int> block_, candidates_, run_, moved_;
    double seconds_per_value_ = 0;
    double penalty_ = 0;  ///< of a second of broken rules, in cost()
    double price_ = 0;    ///< what it is on a walk; see balance()
    double current_cost_ = 0;
    int broken_streak_ = 0, sound_streak_ = 0;
    std::uint64_t count_ = 0, due_ = 0;  ///< iterations so far, and asked for
    std::uint64_t cooled_ = 0;           ///< so many whole coolings have passed
    std::uint64_t rebuild_at_ = 0;       ///< iteration
};

}  // namespace handrail::plan::detail
