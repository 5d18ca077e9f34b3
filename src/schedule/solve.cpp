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
// Of so many rounds the learning search spends one on the bound and, in large projects, most on windows.
constexpr std::uint64_t round_kinds = 4;
// A window is worth so many conflicts; projects this small need none, a first one has so many activities.
constexpr std::uint64_t conflicts_a_window = 250;
constexpr int whole_at_once = 45, first_window = 30;

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
            if (genetic_ && static_cast<int>(project_.activities.size()) > whole_at_once &&
                answer_.rounds % round_kinds > 1) {
                improve_windows();
            } else {
                learn();
            }
            if (genetic_ && !finished_) breed(schedules_a_round);
            ++answer_.rounds;
        }
        return conclude();
    }

private:
    bool out_of_time() const {
        return detail::thread_seconds() - began_ > effort_.cpu_seconds || (effort_.stop && effort_.stop());
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

    /// Stretches of good schedules, each searched whether it can give up a period.
    void improve_windows() {
        const std::uint64_t until = learning_->conflicts() + conflicts_a_round;
        while (!finished_ && learning_->conflicts() < until && !out_of_time()) {
            Schedule from = answer_.schedule;
            if (genetic_->best_makespan() == answer_.makespan) {
                const auto start = genetic_->any_best();
                from.start.assign(start.begin(), start.end());
            }
            std::vector<Time> sorted = from.start;
            std::ranges::sort(sorted);
            const int count = static_cast<int>(sorted.size()), size = std::min(window_, count - 1);
            const int first = random_.below(count - size);
            const Time end = first + size == count - 1 ? unlimited : sorted[first + size];
            const std::uint64_t before = learning_->conflicts();
            switch (learning_->search_window(from, sorted[first], end,
                                             {conflicts_a_window, [this] { return out_of_time(); }})) {
                case Exact::Outcome::solution:
                    genetic_->learn(learning_->found().start);
                    take(learning_->found());
                    break;
                case Exact::Outcome::impossible:
                    finished_ = true;
                    break;
                case Exact::Outcome::impossible_as_assumed:
                    if (learning_->conflicts() - before < conflicts_a_window / 4)
                        window_ = std::min(window_ + 1, count - 1);
                    break;
                case Exact::Outcome::out_of_budget:
                    window_ = std::max(window_ - 2, 10);
                    break;
            }
        }
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
    int window_ = first_window;
    detail::Random random_{effort_.seed};
    std::uint64_t earlier_conflicts_ = 0;
    bool found_ = false, finished_ = false, value_open_ = false;
};

}  // namespace

Answer solve(const Project& project, const Effort& effort) { return Solving(project, effort).run(); }

}  // namespace handrail::schedule
