#include "plan/search.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <memory>
#include <numeric>
#include <thread>

namespace handrail::plan::detail {
namespace {

using Clock = std::chrono::steady_clock;

constexpr int chain_count = 4;
/// Iterations of one chain between two exchanges.
constexpr std::uint64_t round_length = 250;
/// One cooling, in iterations of a chain; then it starts anew from the best.
constexpr std::uint64_t cooling_length = 4000;
/// Every so many iterations a chain takes some tasks out and builds up again from there.
constexpr std::uint64_t rebuild_every = 100;
constexpr double hottest_s = 240;
constexpr double coldest_s = 3;

bool may_drop(const Problem& problem, int task) {
    const TaskData& data = problem.tasks[static_cast<std::size_t>(task)];
    return data.possible && !data.started && !data.units.empty();
}

class Chain {
public:
    Chain(const Problem& problem, const Found& start, std::uint64_t seed)
        : problem_(problem), decoder_(problem), random_(seed), current_(start), best_(start) {
        double smallest = 1e18;
        for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
            if (!may_drop(problem, static_cast<int>(t))) continue;
            tasks_.push_back(static_cast<int>(t));
            if (decoder_.weight(static_cast<int>(t)) > 0)
                smallest = std::min(smallest, decoder_.weight(static_cast<int>(t)));
        }
        for (std::size_t s = 0; s < problem.steps.size(); ++s)
            if (problem.steps[s].by_hand[0] >= 0) rides_.push_back(static_cast<int>(s));
        // The least task is worth an hour of finish time to the annealing; the best plan itself is compared in strict
        // order.
        seconds_per_value_ = smallest < 1e18 ? 3600.0 / smallest : 0;
        current_cost_ = cost(current_.score);
    }

    void run(std::uint64_t iterations, const std::atomic<bool>& stop) {
        for (std::uint64_t i = 0; i < iterations && !stop.load(std::memory_order_relaxed); ++i) {
            if (count_ % cooling_length == 0 && count_ > 0) restart_from(best_);
            if (count_ % rebuild_every == rebuild_every - 1)
                rebuild();
            else
                step();
            ++count_;
        }
    }

    const Found& best() const { return best_; }
    std::uint64_t count() const { return count_; }

    void restart_from(const Found& found) {
        current_ = found;
        current_cost_ = cost(found.score);
        if (better(found.score, best_.score)) best_ = found;
    }

private:
    double cost(const Score& score) const {
        return score.soft_finish() + 2.0 * score.shortfall + 0.02 * static_cast<double>(score.idle) +
               penalty_ * static_cast<double>(score.violation) + seconds_per_value_ * score.loss();
    }

    void step() {
        const double share = static_cast<double>(count_ % cooling_length) / cooling_length;
        const double temperature = hottest_s * std::pow(coldest_s / hottest_s, share);
        trial_ = current_.sequence;
        if (!move(trial_)) return;
        repair(problem_, trial_.order);
        const Score score = decoder_.decode(trial_);
        const double trial_cost = cost(score);
        if (trial_cost <= current_cost_ || random_.unit() < std::exp((current_cost_ - trial_cost) / temperature)) {
            std::swap(current_.sequence, trial_);
            current_.score = score;
            current_cost_ = trial_cost;
            if (better(score, best_.score)) best_ = current_;
        }
        // Strategic oscillation: spend about half the time on either side of what the rules allow.
        (current_.score.violation > 0 ? broken_streak_ : sound_streak_) += 1;
        if (current_.score.violation > 0)
            sound_streak_ = 0;
        else
            broken_streak_ = 0;
        constexpr int patience = 60;
        if (broken_streak_ >= patience && penalty_ < 2000) adjust(2.0, broken_streak_);
        if (sound_streak_ >= patience && penalty_ > 5) adjust(0.5, sound_streak_);
    }

    /// Takes one to three tasks out of the best plan, then puts left-out tasks back in random order, each at the place
    /// and under the lead that breaks nothing and ends soonest: what no single exchange can reach.
    void rebuild() {
        if (tasks_.empty()) return;
        Found trial = best_;
        for (int i = 1 + random_.below(3); i > 0; --i) {
            const int task = any_task(trial.sequence, true);
            if (task >= 0) trial.sequence.in[static_cast<std::size_t>(task)] = 0;
        }
        trial.score = decoder_.decode(trial.sequence);
        candidates_.clear();
        for (int task : tasks_)
            if (!trial.sequence.in[static_cast<std::size_t>(task)]) candidates_.push_back(task);
        for (std::size_t i = candidates_.size(); i > 1; --i)
            std::swap(candidates_[i - 1], candidates_[static_cast<std::size_t>(random_.below(static_cast<int>(i)))]);
        constexpr std::size_t most_candidates = 6;
        constexpr int places = 8;
        if (candidates_.size() > most_candidates) candidates_.resize(most_candidates);
        for (int task : candidates_) {
            Found best_here = trial;
            for (int attempt = 0; attempt < places; ++attempt) {
                trial_ = trial.sequence;
                trial_.in[static_cast<std::size_t>(task)] = 1;
                if (attempt % 2) flip(trial_, task);
                place_block(trial_, task, random_.below(static_cast<int>(trial_.order.size()) + 1));
                repair(problem_, trial_.order);
                const Score score = decoder_.decode(trial_);
                if (better(score, best_here.score)) {
                    best_here.sequence = trial_;
                    best_here.score = score;
                }
            }
            trial = std::move(best_here);
        }
        const double trial_cost = cost(trial.score);
        if (better(trial.score, best_.score)) best_ = trial;
        if (trial_cost <= current_cost_) {
            current_ = std::move(trial);
            current_cost_ = trial_cost;
        }
    }

    void adjust(double factor, int& streak) {
        penalty_ *= factor;
        streak = 0;
        current_cost_ = cost(current_.score);
    }

    bool move(Sequence& s) {
        if (s.order.empty()) return false;
        switch (random_.below(11)) {
            case 0:
            case 1:
            case 2:
                return move_block(s);
            case 3:
                return swap_blocks(s);
            case 4:
            case 5:
                return move_unit(s);
            case 6:
            case 7:
                return flip_lead(s);
            case 8:
                if (!rides_.empty() && random_.below(2)) return change_ride(s);
                return toggle(s);
            default:
                return exchange(s);
        }
    }

    int any_task(const Sequence& s, bool in) {
        // A few tries keep this simple and cheap; -1 when luck or the choice runs out.
        for (int i = 0; i < 8; ++i) {
            if (tasks_.empty()) return -1;
            const int task = tasks_[static_cast<std::size_t>(random_.below(static_cast<int>(tasks_.size())))];
            if ((s.in[static_cast<std::size_t>(task)] != 0) == in) return task;
        }
        return -1;
    }

    int task_at_random(const Sequence& s) {
        return problem_
            .units[static_cast<std::size_t>(
                s.order[static_cast<std::size_t>(random_.below(static_cast<int>(s.order.size())))])]
            .task;
    }

    /// Takes all units of a task out of the order and puts them, together, at `place` of what is left.
    void place_block(Sequence& s, int task, int place) {
        block_.clear();
        const auto end = std::stable_partition(s.order.begin(), s.order.end(), [&](int u) {
            return problem_.units[static_cast<std::size_t>(u)].task != task;
        });
        block_.assign(end, s.order.end());
        s.order.erase(end, s.order.end());
        place = std::min(place, static_cast<int>(s.order.size()));
        s.order.insert(s.order.begin() + place, block_.begin(), block_.end());
    }

    bool move_block(Sequence& s) {
        const int task = task_at_random(s);
        place_block(s, task, random_.below(static_cast<int>(s.order.size()) + 1));
        if (random_.below(4) == 0) flip(s, task);
        return true;
    }

    bool swap_blocks(Sequence& s) {
        const int a = task_at_random(s);
        const int b = task_at_random(s);
        if (a == b) return false;
        const auto first_of = [&](int task) {
            return static_cast<int>(
                std::find_if(s.order.begin(), s.order.end(),
                             [&](int u) { return problem_.units[static_cast<std::size_t>(u)].task == task; }) -
                s.order.begin());
        };
        const int place_a = first_of(a);
        const int place_b = first_of(b);
        place_block(s, a, place_b);
        place_block(s, b, place_a);
        return true;
    }

    bool move_unit(Sequence& s) {
        const int n = static_cast<int>(s.order.size());
        const int from = random_.below(n);
        const int reach = 1 + random_.below(6);
        const int to = std::clamp(from + (random_.below(2) ? reach : -reach), 0, n - 1);
        if (from == to) return false;
        const int unit = s.order[static_cast<std::size_t>(from)];
        s.order.erase(s.order.begin() + from);
        s.order.insert(s.order.begin() + to, unit);
        return true;
    }

    bool flip(Sequence& s, int task) {
        const TaskData& data = problem_.tasks[static_cast<std::size_t>(task)];
        if (!data.lead_allowed[0] || !data.lead_allowed[1]) return false;
        s.lead[static_cast<std::size_t>(task)] ^= 1;
        return true;
    }

    bool flip_lead(Sequence& s) {
        const int task = task_at_random(s);
        if (!flip(s, task)) return false;
        if (random_.below(2)) place_block(s, task, random_.below(static_cast<int>(s.order.size()) + 1));
        return true;
    }

    bool toggle(Sequence& s) {
        if (tasks_.empty()) return false;
        const int task = tasks_[static_cast<std::size_t>(random_.below(static_cast<int>(tasks_.size())))];
        s.in[static_cast<std::size_t>(task)] ^= 1;
        if (s.in[static_cast<std::size_t>(task)]) {
            place_block(s, task, random_.below(static_cast<int>(s.order.size()) + 1));
            if (random_.below(2)) flip(s, task);
        }
        return true;
    }

    /// A ride done hand over hand, or the other way round.
    bool change_ride(Sequence& s) {
        s.by_hand.resize(problem_.steps.size(), 0);
        s.by_hand[static_cast<std::size_t>(
            rides_[static_cast<std::size_t>(random_.below(static_cast<int>(rides_.size())))])] ^= 1;
        return true;
    }

    bool exchange(Sequence& s) {
        const int out = any_task(s, true);
        const int in = any_task(s, false);
        if (out < 0 || in < 0) return false;
        s.in[static_cast<std::size_t>(out)] = 0;
        s.in[static_cast<std::size_t>(in)] = 1;
        place_block(s, in, random_.below(static_cast<int>(s.order.size()) + 1));
        if (random_.below(2)) flip(s, in);
        return true;
    }

    const Problem& problem_;
    Decoder decoder_;
    Random random_;
    Found current_, best_;
    Sequence trial_;
    std::vector<int> tasks_;  ///< those that may be left out
    std::vector<int> rides_;  ///< steps that may be done with the arm or without
    std::vector<int> block_, candidates_;
    double seconds_per_value_ = 0;
    double penalty_ = 60;
    double current_cost_ = 0;
    int broken_streak_ = 0, sound_streak_ = 0;
    std::uint64_t count_ = 0;
};

std::vector<int> all_units(const Problem& problem, const std::vector<int>& task_order) {
    std::vector<int> order;
    for (int task : task_order)
        for (int unit : problem.tasks[static_cast<std::size_t>(task)].units) order.push_back(unit);
    repair(problem, order);
    return order;
}

/// The earliest moment a task's first windowed step may start: tasks with early, narrow windows go first.
Time first_chance(const Problem& problem, int task) {
    Time first = never;
    for (int unit : problem.tasks[static_cast<std::size_t>(task)].units)
        for (int s : problem.units[static_cast<std::size_t>(unit)].steps) {
            const StepData& step = problem.steps[static_cast<std::size_t>(s)];
            if (step.windowed && !step.starts[0].empty()) first = std::min(first, step.starts[0].back().to);
        }
    return std::min(first, problem.tasks[static_cast<std::size_t>(task)].starts_by);
}

}  // namespace

void repair(const Problem& problem, std::vector<int>& order) {
    // Depth-first: a unit is preceded by those of its predecessors that were not placed yet, and a span, once begun, is
    // placed to its end.
    thread_local std::vector<std::uint8_t> state;
    thread_local std::vector<int> result;
    thread_local std::vector<int> stack;
    state.assign(problem.units.size(), 0);
    for (int unit : order) state[static_cast<std::size_t>(unit)] = 1;
    result.clear();
    const auto place_with_predecessors = [&](int first) {
        stack.assign(1, first);
        while (!stack.empty()) {
            const int unit = stack.back();
            int waiting = -1;
            for (int before : problem.units[static_cast<std::size_t>(unit)].before)
                if (state[static_cast<std::size_t>(before)] == 1) {
                    waiting = before;
                    break;
                }
            if (waiting >= 0) {
                stack.push_back(waiting);
                if (stack.size() > problem.units.size() + 1) return false;  // a cycle: read_outing refuses those
                continue;
            }
            stack.pop_back();
            if (state[static_cast<std::size_t>(unit)] == 1) {
                state[static_cast<std::size_t>(unit)] = 2;
                result.push_back(unit);
            }
        }
        return true;
    };
    for (int first : order) {
        if (state[static_cast<std::size_t>(first)] != 1) continue;
        const int span = problem.units[static_cast<std::size_t>(first)].span;
        if (span < 0) {
            if (!place_with_predecessors(first)) return;
            continue;
        }
        // What must come before any unit of the span comes before the span, so that nothing has to break into it.
        for (int unit : problem.spans[static_cast<std::size_t>(span)])
            for (int before : problem.units[static_cast<std::size_t>(unit)].before)
                if (problem.units[static_cast<std::size_t>(before)].span != span &&
                    state[static_cast<std::size_t>(before)] == 1)
                    if (!place_with_predecessors(before)) return;
        for (int unit : problem.spans[static_cast<std::size_t>(span)])
            if (state[static_cast<std::size_t>(unit)] == 1 && !place_with_predecessors(unit)) return;
    }
    if (result.size() == order.size()) order = result;
}

Found construct(const Problem& problem) {
    Decoder decoder(problem);
    const std::size_t n = problem.tasks.size();
    std::vector<int> tasks;
    for (std::size_t t = 0; t < n; ++t)
        if (problem.tasks[t].possible && !problem.tasks[t].units.empty()) tasks.push_back(static_cast<int>(t));
    const auto work = [&](int task) {
        double sum = 1;
        for (int unit : problem.tasks[static_cast<std::size_t>(task)].units)
            for (int s : problem.units[static_cast<std::size_t>(unit)].steps) {
                const StepData& step = problem.steps[static_cast<std::size_t>(s)];
                sum += step.duration[0] * ((step.roles & 1) + ((step.roles >> 1) & 1));
            }
        return sum;
    };
    std::stable_sort(tasks.begin(), tasks.end(), [&](int a, int b) {
        const auto rank = [&](int t) {
            const TaskData& data = problem.tasks[static_cast<std::size_t>(t)];
            return data.started ? 0 : data.optional ? 2 : 1;
        };
        if (rank(a) != rank(b)) return rank(a) < rank(b);
        if (rank(a) == 2)
            return problem.tasks[static_cast<std::size_t>(a)].value / work(a) >
                   problem.tasks[static_cast<std::size_t>(b)].value / work(b);
        return first_chance(problem, a) < first_chance(problem, b);
    });
    Found found;
    found.sequence.order = all_units(problem, tasks);
    found.sequence.lead.assign(n, 0);
    found.sequence.in.assign(n, 0);
    found.sequence.gather.assign(n, 1);
    for (std::size_t t = 0; t < n; ++t) found.sequence.lead[t] = problem.tasks[t].lead_allowed[0] ? 0 : 1;
    found.score = decoder.decode(found.sequence);
    for (int task : tasks) {
        const TaskData& data = problem.tasks[static_cast<std::size_t>(task)];
        Found best = found;
        bool any = false;
        for (int lead = 0; lead < 2; ++lead) {
            if (!data.lead_allowed[static_cast<std::size_t>(lead)]) continue;
            Found trial = found;
            trial.sequence.in[static_cast<std::size_t>(task)] = 1;
            trial.sequence.lead[static_cast<std::size_t>(task)] = static_cast<std::uint8_t>(lead);
            trial.score = decoder.decode(trial.sequence);
            if (!any || better(trial.score, best.score)) best = trial;
            any = true;
        }
        // A required task is always tried, unless an alternative of it is in already.
        const bool needed = data.started || problem.owed(task, found.sequence.in);
        const bool keep = needed || best.score.violation <= found.score.violation;
        if (any && keep) found = std::move(best);
    }
    return found;
}

namespace {

/// True when every lane does its steps in the order in which they were placed: nobody has rearranged the timeline
/// since.
bool placed_as_told(const Timeline& timeline) {
    std::vector<const Activity*> by_place;
    for (const StepId step : timeline.note.order)
        for (const Activity& activity : timeline.activities)
            if (activity.kind == ActivityKind::step && activity.step == step && !activity.as_run)
                by_place.push_back(&activity);
    for (const Lane lane : all_lanes) {
        Pet last = Pet::min();
        for (const Activity* activity : by_place) {
            if (!activity->on(lane)) continue;
            if (activity->start < last) return false;
            last = activity->start;
        }
    }
    return !by_place.empty();
}

Sequence sequence_of(const Problem& problem, const Timeline& timeline) {
    const std::size_t n = problem.tasks.size();
    Sequence sequence;
    sequence.lead.assign(n, 0);
    sequence.in.assign(n, 0);
    sequence.gather.assign(n, 1);
    std::vector<Time> start(problem.units.size(), never);
    sequence.by_hand.assign(problem.steps.size(), 0);
    for (const Activity& activity : timeline.activities) {
        if (activity.kind != ActivityKind::step || !activity.step) continue;
        const StepData& step = problem.steps[index(*activity.step)];
        if (step.by_hand[0] >= 0 && !activity.on(Lane::arm)) sequence.by_hand[index(*activity.step)] = 1;
        Time& first = start[static_cast<std::size_t>(step.unit)];
        first = std::min(first, static_cast<Time>(since_zero(activity.start).count()));
        if (problem.tasks[static_cast<std::size_t>(step.task)].possible)
            sequence.in[static_cast<std::size_t>(step.task)] = 1;
    }
    if (placed_as_told(timeline))
        for (std::size_t i = 0; i < timeline.note.order.size(); ++i)
            start[static_cast<std::size_t>(problem.steps[index(timeline.note.order[i])].unit)] = static_cast<Time>(i);
    for (std::size_t t = 0; t < n; ++t) {
        const TaskData& task = problem.tasks[t];
        const auto lead = timeline.lead_of(static_cast<TaskId>(t));
        sequence.lead[t] = lead ? static_cast<std::uint8_t>(index(*lead)) : 0;
        if (!task.lead_allowed[sequence.lead[t]]) sequence.lead[t] ^= 1;
        if (task.possible && task.started) sequence.in[t] = 1;
        for (int unit : task.units) sequence.order.push_back(unit);
    }
    std::stable_sort(sequence.order.begin(), sequence.order.end(), [&](int a, int b) {
        return start[static_cast<std::size_t>(a)] < start[static_cast<std::size_t>(b)];
    });
    repair(problem, sequence.order);
    return sequence;
}

}  // namespace

Found taken_from(const Problem& problem, const Timeline& timeline) {
    Decoder decoder(problem);
    Found best;
    best.sequence = sequence_of(problem, timeline);
    best.score = decoder.decode(best.sequence);
    Found found = best;
    for (const std::uint8_t first : {std::uint8_t{1}, std::uint8_t{0}}) {
        found.sequence.gather.assign(problem.tasks.size(), first);
        found.score = decoder.decode(found.sequence);
        for (bool gained = true; gained;) {
            gained = false;
            for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
                if (!found.sequence.in[t]) continue;
                found.sequence.gather[t] ^= 1;
                const Score score = decoder.decode(found.sequence);
                if (better(score, found.score)) {
                    found.score = score;
                    gained = true;
                } else {
                    found.sequence.gather[t] ^= 1;
                }
            }
        }
        if (better(found.score, best.score)) best = found;
    }
    return best;
}

Found search(const Problem& problem, const Found& start, const Budget& budget,
             const std::function<void(const Found&)>& progress, const std::atomic<bool>* stop) {
    const auto begin = Clock::now();
    const auto out_of_time = [&] { return budget.time && Clock::now() - begin >= *budget.time; };
    std::vector<std::unique_ptr<Chain>> chains;
    for (int i = 0; i < chain_count; ++i)
        chains.push_back(
            std::make_unique<Chain>(problem, start, budget.seed * 1000003u + static_cast<std::uint64_t>(i)));
    const int threads = std::clamp(
        budget.threads > 0 ? budget.threads : static_cast<int>(std::thread::hardware_concurrency()), 1, chain_count);

    std::atomic<bool> halt{false};
    // Watches the clock and the caller's flag, so that a long round ends within a few milliseconds of either.
    std::jthread watch([&](const std::stop_token& done) {
        while (!done.stop_requested() && !halt.load()) {
            if ((stop && stop->load()) || out_of_time()) halt.store(true);
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
        }
    });
    Found best = start;
    std::uint64_t spent = 0;
    for (std::uint64_t round = 0; !halt.load(); ++round) {
        std::uint64_t length = round_length;
        if (budget.iterations) {
            const std::uint64_t left = *budget.iterations > spent ? *budget.iterations - spent : 0;
            length = std::min(length, (left + chain_count - 1) / chain_count);
        }
        if (length == 0) break;
        std::vector<std::jthread> workers;
        for (int w = 1; w < threads; ++w)
            workers.emplace_back([&, w] {
                for (int i = w; i < chain_count; i += threads) chains[static_cast<std::size_t>(i)]->run(length, halt);
            });
        for (int i = 0; i < chain_count; i += threads) chains[static_cast<std::size_t>(i)]->run(length, halt);
        workers.clear();

        spent = 0;
        const Chain* leader = nullptr;
        Chain* last = nullptr;
        for (const auto& chain : chains) {
            spent += chain->count();
            if (!leader || better(chain->best().score, leader->best().score)) leader = chain.get();
            if (!last || better(last->best().score, chain->best().score)) last = chain.get();
        }
        if (better(leader->best().score, best.score)) {
            best = leader->best();
            best.iterations = spent;
            if (progress) progress(best);
        }
        // Every 16 rounds the chain that lags most takes over the best plan.
        if (round % 16 == 15 && last != leader) last->restart_from(leader->best());
    }
    best.iterations = spent;
    return best;
}

}  // namespace handrail::plan::detail
