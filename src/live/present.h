#pragma once

#include <optional>
#include <string>
#include <vector>

#include "check/check.h"
#include "live/state.h"

namespace handrail::live {

/// A task that cannot be done any more, and what stands in its way. Names only, nobody's own words.
struct Cannot {
    TaskId task{};
    std::string why;
};

/// The outing as it stands now, for the planner, the checker and the simulation: items that stand in for lost ones,
/// steps that were said to take longer, closed worksites, and tasks left out because nothing can bring them about.
/// REQUIRES: outing and day outlive it.
class Present {
public:
    Present(const Outing& outing, const Day& day);
    Present(const Present&) = delete;
    Present& operator=(const Present&) = delete;

    const Outing& outing() const { return changed_ ? *changed_ : outing_; }
    const WindowTable& windows() const { return closed_windows_ ? *closed_windows_ : day_.windows; }
    const plan::Situation& situation() const { return situation_; }
    /// In task order.
    const std::vector<Cannot>& cannot() const { return cannot_; }
    /// What a timeline from here on owes, given that these tasks are left out on purpose.
    CheckOptions facts(const std::vector<TaskId>& dropped) const;

private:
    Outing& change();
    void take_substitutes();
    void take_delays();
    void close_worksites();
    void leave_out_what_cannot_be();
    std::string hindrance(const Step& step) const;
    bool window_left(const Step& step) const;

    const Outing& outing_;
    const Day& day_;
    std::optional<Outing> changed_;
    std::optional<WindowTable> closed_windows_;
    plan::Situation situation_;
    std::vector<Cannot> cannot_;
};

}  // namespace handrail::live
