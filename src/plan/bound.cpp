#include "plan/bound.h"

#include <algorithm>
#include <cmath>

#include "plan/least.h"

namespace handrail::plan::detail {
namespace {

struct Item {
    double value;
    double need;
    Time chain;  ///< the earliest end of the outing with it
};

/// Crew seconds a task takes at least.
Time work_of(const Problem& problem, const TaskData& task, const std::vector<int>& steps) {
    Time least = never;
    for (int lead = 0; lead < 2; ++lead) {
        if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
        Time sum = 0;
        for (const int s : steps) {
            const StepData& step = problem.steps[static_cast<std::size_t>(s)];
            sum += least_time(step, lead) * ((step.roles & 1) + ((step.roles >> 1) & 1));
        }
        least = std::min(least, sum);
    }
    return least == never ? 0 : least;
}

/// Least of one consumable that a task draws, whichever crew member is which.
double drawn_by(const Problem& problem, const TaskData& task, const std::vector<int>& steps, std::size_t consumable) {
    double least = 1e18;
    for (int lead = 0; lead < 2; ++lead) {
        if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
        double sum = 0;
        std::array<int, 2> crew{};
        for (const int s : steps) {
            const StepData& step = problem.steps[static_cast<std::size_t>(s)];
            const int count = problem.crew_of(step, lead, crew);
            for (int i = 0; i < count; ++i) {
                const auto& rate = problem.draw[static_cast<std::size_t>(crew[static_cast<std::size_t>(i)])]
                                               [static_cast<std::size_t>(step.effort)];
                double least_rate = std::min(rate[0][consumable], rate[1][consumable]);
                if (step.by_hand[static_cast<std::size_t>(lead)] >= 0) {
                    const auto& walk = problem.draw[static_cast<std::size_t>(crew[static_cast<std::size_t>(i)])]
                                                   [static_cast<std::size_t>(Effort::translate)];
                    least_rate = std::min({least_rate, walk[0][consumable], walk[1][consumable]});
                }
                sum += least_rate * least_time(step, lead);
            }
        }
        least = std::min(least, sum);
    }
    return least;
}

/// Seconds that one person works in a task at least, whoever leads it.
Time work_of_one(const Problem& problem, const TaskData& task, const std::vector<int>& steps, int c) {
    Time least = never;
    for (int lead = 0; lead < 2; ++lead) {
        if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
        Time sum = 0;
        std::array<int, 2> crew{};
        for (const int s : steps) {
            const StepData& step = problem.steps[static_cast<std::size_t>(s)];
            const int count = problem.crew_of(step, lead, crew);
            for (int i = 0; i < count; ++i)
                if (crew[static_cast<std::size_t>(i)] == c) sum += least_time(step, lead);
        }
        least = std::min(least, sum);
    }
    return least == never ? 0 : least;
}

/// What a task costs beyond its own steps, in crew seconds of both together and of each.
struct Extra {
    double both = 0;
    std::array<double, 2> each{};
};

/// Least time of the last stretch into a worksite: any walk that ends there has it.
Time way_in(const Problem& problem, int site, std::size_t c) {
    const Outing& outing = *problem.outing;
    Time least = never;
    for (const Route& route : outing.station.routes)
        if (static_cast<int>(index(route.a)) == site || static_cast<int>(index(route.b)) == site)
            least = std::min(
                least,
                static_cast<Time>(translation_time(outing.rules, outing.crew[c], route, SizeClass::small).count()));
    return least == never ? 0 : least;
}

bool works_at(const Problem& problem, const std::vector<int>& steps, int site, std::uint8_t roles) {
    return std::any_of(steps.begin(), steps.end(), [&](int s) {
        const StepData& step = problem.steps[static_cast<std::size_t>(s)];
        return step.at == site && (step.roles & roles) == roles && step.roles != 0;
    });
}

/// Walks: whoever works at a worksite must come to it, both if a step there takes both. Of the tasks that could share
/// that walk each takes its share, so that the sum is never more than what is walked.
void add_walks(const Problem& problem, const TaskSteps& steps, std::vector<Extra>& extra) {
    for (int site = 0; site < problem.worksites; ++site) {
        if (site == problem.airlock) continue;
        bool carried_there = false;  // a step that ends there brings people without a walk
        for (const StepData& step : problem.steps) carried_there |= step.to == site && step.at != site;
        for (const CrewSituation& crew : problem.situation->crew)
            carried_there |= crew.outside && static_cast<int>(index(crew.at)) == site;
        if (carried_there) continue;
        std::vector<std::size_t> any;
        std::vector<std::size_t> both;
        for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
            if (works_at(problem, steps[t], site, 0)) any.push_back(t);
            if (works_at(problem, steps[t], site, 3)) both.push_back(t);
        }
        const std::array<Time, 2> in{way_in(problem, site, 0), way_in(problem, site, 1)};
        for (std::size_t t : any)
            extra[t].both += static_cast<double>(std::min(in[0], in[1])) / static_cast<double>(any.size());
        for (std::size_t t : both) {
            extra[t].both += static_cast<double>(std::min(in[0], in[1])) / static_cast<double>(both.size());
            for (std::size_t c = 0; c < 2; ++c)
                extra[t].each[c] += static_cast<double>(in[c]) / static_cast<double>(both.size());
        }
    }
}

/// Pick-ups: what lies loose elsewhere must be picked up once, by itself or in its bag, unless a step takes or moves
/// it.
void add_pick_ups(const Problem& problem, const TaskSteps& steps, std::vector<Extra>& extra) {
    const Situation& now = *problem.situation;
    const std::vector<std::uint8_t> moved = moved_by_steps(problem);
    for (std::size_t outer = 0; outer < now.items.size(); ++outer) {
        if (moved[outer] || now.items[outer].where != ItemPlace::Where::loose) continue;
        const int site = static_cast<int>(index(now.items[outer].site));
        std::vector<std::size_t> users;
        for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
            bool uses = false;
            for (const int s : steps[t]) {
                const StepData& step = problem.steps[static_cast<std::size_t>(s)];
                if (step.at < 0 || step.at == site || step.roles == 0) continue;
                for (int item : step.at_hand) uses |= outermost(problem, item) == static_cast<int>(outer);
            }
            if (uses) users.push_back(t);
        }
        for (std::size_t t : users)
            extra[t].both += static_cast<double>(problem.pick_up) / static_cast<double>(users.size());
    }
}

/// The best value of whole items in `room`. Needs are rounded down to a two-thousandth part of the room, so the
/// result is never too low.
double best_value(const std::vector<Item>& items, double room) {
    if (room < 0) room = 0;
    constexpr int cells = 2000;
    const double cell = room > 0 ? room / cells : 1.0;
    std::vector<double> best(cells + 1, 0.0);
    for (const Item& item : items) {
        const double cells_needed = std::floor(item.need / cell + 1e-9);
        if (cells_needed > cells) continue;
        const int need = static_cast<int>(cells_needed);
        for (int at = cells; at >= need; --at)
            best[static_cast<std::size_t>(at)] =
                std::max(best[static_cast<std::size_t>(at)], best[static_cast<std::size_t>(at - need)] + item.value);
    }
    return best[cells];
}

/// One thing of which there is so much: crew time or a consumable.
struct Sack {
    std::vector<Item> items;  ///< optional tasks
    double fixed = 0;         ///< what everything else takes in any plan
    int people = 0;           ///< crew time of so many; 0: a consumable, of which there is
    double room = 0;
};

class Relaxed {
public:
    Relaxed(const Problem& problem, bool required_counts)
        : problem_(problem),
          steps_(steps_by_task(problem)),
          chains_(earliest_home(problem, steps_)),
          extra_(problem.tasks.size()),
          longest_(longest_unchecked(problem)),
          required_counts_(required_counts) {
        add_walks(problem, steps_, extra_);
        add_pick_ups(problem, steps_, extra_);
        time_sacks();
        consumable_sacks();
    }

    /// Most value that fits by `end`; negative when what must be done does not.
    double value_by(Time end) const {
        double most = 0;
        for (std::size_t t = 0; t < problem_.tasks.size(); ++t) {
            const TaskData& task = problem_.tasks[t];
            if (counts(task)) most += chains_[t] <= end ? task.value : 0;
            if (must(task) && chains_[t] > end && chains_[t] < never) return -1;
        }
        for (const Sack& sack : sacks_) {
            const double room = room_of(sack, end) - sack.fixed;
            if (room < -1e-6) return -1;
            std::vector<Item> in_time;
            for (const Item& item : sack.items)
                if (item.chain <= end) in_time.push_back(item);
            most = std::min(most, best_value(in_time, room));
        }
        return most;
    }
    Time chain(std::size_t task) const { return chains_[task]; }
    bool must(const TaskData& task) const { return required_counts_ && must_be_done(task); }

private:
    bool counts(const TaskData& task) const { return task.possible && task.optional; }
    double time_by(Time end) const {
        return unchecked_work(problem_, end - start_of_work(problem_) - problem_.clean_up - problem_.ingress, longest_);
    }
    double room_of(const Sack& sack, Time end) const {
        return sack.people > 0 ? sack.people * time_by(end) : sack.room;
    }
    template <class Need>
    Sack sack_of(int people, double room, Need&& need) const {
        Sack sack{{}, 0, people, room};
        for (std::size_t t = 0; t < problem_.tasks.size(); ++t) {
            const TaskData& task = problem_.tasks[t];
            if (counts(task) && chains_[t] <= problem_.limit) sack.items.push_back({task.value, need(t), chains_[t]});
            if (must(task)) sack.fixed += need(t);
        }
        return sack;
    }
    void time_sacks() {
        sacks_.push_back(sack_of(2, 0, [this](std::size_t t) {
            return static_cast<double>(work_of(problem_, problem_.tasks[t], steps_[t])) + extra_[t].both;
        }));
        for (int c = 0; c < 2; ++c)
            sacks_.push_back(sack_of(1, 0, [this, c](std::size_t t) {
                return static_cast<double>(work_of_one(problem_, problem_.tasks[t], steps_[t], c)) +
                       extra_[t].each[static_cast<std::size_t>(c)];
            }));
    }
    void consumable_sacks() {
        for (std::size_t consumable = 0; consumable < lifesupport::consumable_count; ++consumable) {
            double room = 0;
            for (std::size_t c = 0; c < 2; ++c) {
                const auto at = [&](Effort effort) {
                    const auto& rate = problem_.draw[c][static_cast<std::size_t>(effort)];
                    return std::min(rate[0][consumable], rate[1][consumable]);
                };
                const CrewSituation& crew = problem_.situation->crew[c];
                room += problem_.usable[c][consumable] - crew.used[consumable] - at(Effort::light) * problem_.clean_up -
                        at(Effort::airlock) * (problem_.ingress + (crew.outside ? 0 : problem_.egress));
            }
            if (!std::isfinite(room)) continue;
            sacks_.push_back(sack_of(0, room, [this, consumable](std::size_t t) {
                return drawn_by(problem_, problem_.tasks[t], steps_[t], consumable);
            }));
        }
    }

    const Problem& problem_;
    TaskSteps steps_;
    std::vector<Time> chains_;  ///< by task: the earliest end of the outing with it
    std::vector<Extra> extra_;
    std::vector<Sack> sacks_;
    Time longest_ = 0;  ///< longest stretch without a glove check
    bool required_counts_ = true;
};

}  // namespace

double settled_value(const Problem& problem) {
    double value = 0;
    for (const TaskData& task : problem.tasks)
        if (task.possible && !task.optional) value += task.value;
    return value;
}

Bounds value_bound(const Problem& problem, bool required_counts) {
    Bounds bounds;
    const double optional = std::max(0.0, Relaxed(problem, required_counts).value_by(problem.limit));
    bounds.value = optional + settled_value(problem);
    bounds.missing = problem.wanted_value - optional;
    return bounds;
}

bool misses_required(const Problem& problem, const std::vector<std::uint8_t>& in) {
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (problem.owed(static_cast<int>(t), in)) return true;
    return false;
}

Time finish_bound(const Problem& problem, double missing, bool required_counts) {
    const Relaxed relaxed(problem, required_counts);
    const double needed = problem.wanted_value - missing - 1e-9;
    Time never_before = start_of_work(problem) + problem.clean_up + problem.ingress;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
        const TaskData& task = problem.tasks[t];
        if (!task.possible || task.units.empty() || relaxed.chain(t) >= never) continue;
        // An optional task worth more than what may be left out is as good as required.
        if (relaxed.must(task) || (task.optional && task.value > missing + 1e-9))
            never_before = std::max(never_before, relaxed.chain(t));
    }
    // The earliest end that is not given up; those before it are.
    Time low = never_before;
    Time high = std::max(problem.limit, low);
    if (relaxed.value_by(high) < needed) return never_before;  // the plan asked about is not one that keeps the rules
    while (low < high) {
        const Time middle = low + (high - low) / 2;
        if (relaxed.value_by(middle) < needed)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

}  // namespace handrail::plan::detail
