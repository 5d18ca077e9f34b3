#include "schedule/solve.h"

#include <algorithm>
#include <cstdlib>
#include <optional>

#include "schedule/bounds.h"
#include "schedule/clock.h"
#include "schedule/exact.h"
#include "schedule/genetic.h"

namespace handrail::schedule {
namespace {

using detail::Exact;

// A round of either search is of the order of 50 ms for 60 activities.
constexpr std::uint64_t schedules_first = 2000, schedules_a_round = 20000;
constexpr std::uint64_t conflicts_a_round = 500;
// Of so many rounds the learning search spends one on the bound instead of a better schedule.
constexpr std::uint64_t round_kinds = 4;
// After so many rounds a bound that is still so far below (parts of the makespan) will not meet it soon: the quick
// search then makes so many times the schedules.
constexpr std::uint64_t rounds_for_proof = 8, rounds_when_hopeless = 2;
constexpr Time close_part = 50, hopeless_part = 20;
constexpr std::uint64_t far_from_proof_factor = 10;

/// One call of solve: both searches and what they know together.
class Solving {
public:
    Solving(const Project& project, const Effort& effort)
        : project_(project), effort_(effort), began_(detail::thread_seconds()) {
        learning_.emplace(project);
        if (const auto flat = detail::flatten(project)) {
            bound_ = detail::quick_bound(*flat);
            genetic_.emplace(*flat, effort.seed);
        }
        for (const Activity& activity : project.activities)
            if (activity.optional && activity.value > 0) value_open_ = true;
    }

    Answer run() {
        if (genetic_) breed(schedules_first);
        while (!finished_ && answer_.rounds < effort_.rounds && !out_of_time()) {
            learn();
            if (genetic_ && !finished_) breed(schedules_a_round * (far_from_proof() ? far_from_proof_factor : 1));
            ++answer_.rounds;
        }
        return conclude();
    }

private:
    bool out_of_time() const {
        return detail::thread_seconds() - began_ > effort_.cpu_seconds || (effort_.stop && effort_.stop());
    }

    /// A proof is no longer likely: the quick search gets most of the time.
    bool far_from_proof() const {
        const Time gap = answer_.makespan - bound_;
        return (answer_.rounds >= rounds_for_proof && gap > answer_.makespan / close_part) ||
               (answer_.rounds >= rounds_when_hopeless && gap > answer_.makespan / hopeless_part);
    }

    void breed(std::uint64_t schedules) {
        genetic_->run(schedules, std::max(bound_, learning_->makespan_bound()), [this] { return out_of_time(); });
        if (genetic_->best_makespan() == unlimited || (found_ && genetic_->best_makespan() >= answer_.makespan)) return;
        Schedule schedule;
        schedule.start.assign(genetic_->best().begin(), genetic_->best().end());
        schedule.mode.assign(schedule.start.size(), 0);
        take(schedule);
        learning_->follow(schedule);
    }

    void take(const Schedule& schedule) {
        found_ = true;
        answer_.schedule = schedule;
        answer_.makespan = makespan(project_, schedule);
        answer_.value = value(project_, schedule);
        if (value_open_) {
            if (!learning_->require_value(answer_.value + 1)) settle_value();
        } else if (answer_.makespan <= bound_ || !learning_->require_makespan(answer_.makespan - 1)) {
            finished_ = true;
        }
    }

    /// Nothing is worth more: from now on the makespan counts.
    void settle_value() {
        value_open_ = false;
        answer_.value_bound = answer_.value;
        earlier_conflicts_ += learning_->conflicts();
        learning_.emplace(project_);
        learning_->require_value(answer_.value);
        learning_->follow(answer_.schedule);
        finished_ = !learning_->require_makespan(answer_.makespan - 1);
    }

    void learn() {
        const bool ask_bound = found_ && !value_open_ && answer_.rounds % round_kinds == 0;
        const detail::Learner::Budget budget{conflicts_a_round, [this] { return out_of_time(); }};
        const Time assumed = ask_bound ? std::max(bound_, learning_->makespan_bound()) : unlimited;
        switch (learning_->search(assumed, budget)) {
            case Exact::Outcome::solution:
                if (genetic_) genetic_->learn(learning_->found().start);
                take(learning_->found());
                break;
            case Exact::Outcome::impossible:
                if (found_ && value_open_) {
                    settle_value();
                } else {
                    finished_ = true;
                }
                break;
            case Exact::Outcome::impossible_as_assumed:
            case Exact::Outcome::out_of_budget:
                break;
        }
        if (!finished_) bound_ = std::max(bound_, value_open_ ? 0 : learning_->makespan_bound());
    }

    Answer conclude() {
        answer_.conflicts = earlier_conflicts_ + learning_->conflicts();
        if (genetic_) answer_.schedules = genetic_->schedules();
        if (value_open_) answer_.value_bound = learning_->value_bound();
        if (!value_open_) answer_.makespan_bound = found_ && finished_ ? answer_.makespan : bound_;
        if (found_) answer_.verdict = finished_ ? Verdict::optimal : Verdict::feasible;
        if (!found_) answer_.verdict = finished_ ? Verdict::infeasible : Verdict::unknown;
        return answer_;
    }

    const Project& project_;
    const Effort& effort_;
    double began_;
    std::optional<Exact> learning_;
    std::optional<detail::Genetic> genetic_;
    Answer answer_;
    Time bound_ = 0;
    std::uint64_t earlier_conflicts_ = 0;
    bool found_ = false, finished_ = false, value_open_ = false;
};

}  // namespace

Answer solve(const Project& project, const Effort& effort) { return Solving(project, effort).run(); }

}  // namespace handrail::schedule
