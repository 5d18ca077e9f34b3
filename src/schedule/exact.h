#pragma once

#include <memory>
#include <vector>

#include "schedule/learner.h"
#include "schedule/project.h"

namespace handrail::schedule::detail {

/// A project put to the learning search: starts, choices of mode, what is done, the makespan and the value are its
/// variables. What it refutes is refuted for good; it can be asked again and again with tighter wishes.
class Exact : private Guide {
public:
    /// REQUIRES fault(project).empty().
    explicit Exact(const Project& project);

    using Outcome = Learner::Outcome;
    /// Wishes that only ever get tighter. False: nothing fulfils them.
    bool require_makespan(Time at_most);
    bool require_value(std::int64_t at_least);
    /// Looks for any schedule that fulfils the wishes, and the assumption that the makespan is at most `assumed`.
    Outcome search(Time assumed, const Learner::Budget& budget);
    /// Looks for a schedule within the wishes that keeps most of `from`: activities that end by `begin` stay, those
    /// that start at `end` or later come one period earlier, the others are free. Anything but `solution` says nothing
    /// about the project, except `impossible`.
    Outcome search_window(const Schedule& from, Time begin, Time end, const Learner::Budget& budget);
    /// After Outcome::solution.
    const Schedule& found() const { return found_; }

    /// No schedule within the wishes is shorter; none is worth more.
    Time makespan_bound() const { return learner_.low(end_); }
    std::int64_t value_bound() const { return value_ < 0 ? 0 : learner_.high(value_); }
    /// The search tries first what this schedule does.
    void follow(const Schedule& schedule);
    std::uint64_t conflicts() const { return learner_.conflicts(); }
    bool impossible() const { return impossible_; }

private:
    struct Choice {
        int start = -1;
        int present = -1;       ///< variable; -1: always done
        std::vector<int> mode;  ///< variable of each mode; empty where there is one mode and it is always done
        int duration = -1;      ///< variable; -1: the same in all modes
        Time same_duration = 0;
    };

    void add_activity(const Activity& activity, Time horizon);
    void add_modes(const Activity& activity, Choice& choice);
    int depending_on_mode(const Choice& choice, const std::vector<int>& amounts);
    void add_lag(const Lag& lag);
    void ends_by(const Choice& choice, int variable);
    void add_resource(int resource);
    void add_stock(int stock);
    void add_choice_rules();
    void add_value();
    void possible(bool yes) { impossible_ |= !yes; }
    bool is_done(const Choice& choice) const { return choice.present < 0 || learner_.holds(is_true(choice.present)); }
    void read_solution();
    Outcome search_assuming(std::span<const Fact> assumptions, const Learner::Budget& budget);

    std::optional<Fact> decide(const Learner& learner) override;
    bool prefers(Fact fact) override;

    const Project project_;
    Learner learner_;
    std::vector<Choice> choices_;
    std::vector<int> model_;   ///< value of each variable in the schedule to follow; empty: none
    std::vector<char> shape_;  ///< of each variable: whether a proposition
    int end_ = -1, value_ = -1;
    Schedule found_;
    bool impossible_ = false;
};

}  // namespace handrail::schedule::detail
