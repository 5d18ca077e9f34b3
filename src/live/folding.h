#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "live/state.h"

/// Applies entries one after the other. What nobody logs (walks, tether swaps, pick-ups, glove checks between two
/// steps) is taken from the adopted plan as soon as a later entry shows that it must have happened; until then, up to
/// the present moment, it is assumed to go as planned and marked so.
namespace handrail::live::detail {

/// One crew member while folding. Between two logged facts they are where the last one left them.
struct Person {
    bool outside = false, inside_again = false, able = true;
    Pet free{};  ///< end of the last thing known or assumed
    WorksiteId at{}, anchor{};
    Pet checked_at{};
    std::optional<StepId> running;
};

/// Something done between two steps.
struct Move {
    ActivityKind kind = ActivityKind::translate;
    Seconds duration{};
    std::vector<WorksiteId> path;
    std::vector<ItemId> items;
    std::optional<std::size_t> planned;  ///< the activity of the plan it stands for
    std::optional<Pet> planned_start;
    Seconds wait{};  ///< planned between what came before it on this lane and its start
};

class Folding {
public:
    Folding(const Outing& outing, Day& day);

    /// `at` is the entry's moment in whole seconds of PET.
    void apply(const Recorded& recorded, Visibility visibility, Pet at);
    /// Brings everything to the present: running steps reach to their expected end, moves between steps go on as
    /// planned. Fills Day::situation, Day::items and Day::as_run. Call once, last.
    void finish();

private:
    struct Context {
        Position position{};
        Visibility visibility = Visibility::console;
        Pet at{};
        bool corrects = false;  ///< it names an entry before it
    };

    // One for each kind of entry.
    void on(const OutingOpened&, const Context&);
    void on(const PetZero&, const Context&);
    void on(const PhaseBegan&, const Context&);
    void on(const StepStarted&, const Context&);
    void on(const StepFinished&, const Context&);
    void on(const StepSkipped&, const Context&);
    void on(const StepUndone&, const Context&);
    void on(const StepDelayed&, const Context&);
    void on(const HoldBegan&, const Context&);
    void on(const Resumed&, const Context&);
    void on(const ItemPlaced&, const Context&);
    void on(const CrewPlaced&, const Context&);
    void on(const GlovesChecked&, const Context&);
    void on(const SuitReading&, const Context&);
    void on(const Note&, const Context&);
    void on(const Decision&, const Context&);
    void on(const PlanAdopted&, const Context&);
    void on(const TaskDropped&, const Context&);
    void on(const CrewAble&, const Context&);
    void on(const ArmAvailable&, const Context&);
    void on(const StandDown&, const Context&);
    void on(const Closed&, const Context&);
    void on(const Struck&, const Context&);
    void on(const ConditionChanged&, const Context&);
    void on(const WorksiteClosed&, const Context&);
    void on(const ItemReplaced&, const Context&);
    void on(const PetZeroExpected&, const Context&);
    void on(const OxygenBreathed&, const Context&);
    void on(const CrewInside&, const Context&);

    void cannot(const Context& context, std::string why);
    std::optional<StepId> step_named(const std::string& label, const Context& context);

    // Steps.
    Crew lead_for(const Step& step, std::optional<Crew> who) const;
    void start_step(const Step& step, Crew lead, Pet at, bool assumed);
    void finish_step(const Step& step, Pet at, bool assumed);
    void stop_running(Crew crew, Pet at);
    void apply_effects(const Step& step, std::vector<plan::ItemPlace>& items) const;
    void arrive_by_step(const Step& step, Person& person) const;
    Pet expected_end(StepId step) const;
    void back_to_work(Pet at);
    void begin_egress_if_needed();
    void end_egress(Pet at, bool assumed);
    void come_to_airlock(Pet at);
    void run_both(ActivityKind kind, Pet from, Pet to, bool assumed);

    // Between steps (folding_moves.cpp).
    void read_plan(const Timeline& timeline);
    std::optional<std::size_t> planned_on(Lane lane, StepId step) const;
    std::optional<std::size_t> next_planned(Lane lane) const;
    std::vector<Move> approach(Crew crew, std::optional<std::size_t> planned, std::optional<WorksiteId> site) const;
    void add_way(std::vector<Move>& moves, Crew crew, WorksiteId& place, WorksiteId& anchor, WorksiteId to) const;
    Move move_of(std::size_t planned, Lane lane) const;
    void squeeze(Crew crew, const std::vector<Move>& moves, Pet until);
    void go_on_until(Crew crew, Pet until);
    void arm_goes_on_until(Pet until);
    bool possible(const Move& move, Crew crew) const;
    /// Where somebody is has been said: a move that was only assumed ends there, and they are free.
    void break_off_move(Crew crew, Pet at);
    void make(Crew crew, const Move& move, Pet start, Seconds duration);
    std::optional<Pet> after_holds(Pet from) const;
    void bring_arm(WorksiteId to, Pet by);
    void record(AsRun run);
    SizeClass load_of(Crew crew) const;
    bool in_bag_of(ItemId item, Crew crew) const;

    static plan::ItemPlace carried_by(Crew crew);
    double tether_m(WorksiteId anchor, WorksiteId site) const;

    // The present (folding_present.cpp).
    void record_steps();
    void fill_crew(Crew crew);
    void finish_running_for_planner();

    const Outing& outing_;
    Day& day_;
    std::array<Person, 2> people_;
    std::vector<plan::ItemPlace> items_;
    std::vector<plan::StepStatus> steps_;
    std::vector<Pet> step_start_, step_end_;
    std::vector<std::optional<Crew>> step_lead_;  ///< by StepId, once started
    std::vector<std::optional<Crew>> task_lead_;
    std::vector<bool> dropped_, end_assumed_, start_assumed_;
    std::vector<std::array<SizeClass, 2>> step_load_;
    std::vector<bool> used_up_;  ///< by activity of the plan: happened, or overtaken by what came after
    bool arm_available_ = true;
    Pet arm_free_{};
    WorksiteId arm_at_{};
    std::optional<Pet> clean_up_from_, ingress_from_;
    std::vector<double> length_m_;  ///< worksite x worksite: shortest route length
};

}  // namespace handrail::live::detail
