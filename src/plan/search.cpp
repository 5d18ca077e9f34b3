#include "plan/search.h"

#include <algorithm>
#include <chrono>
#include <limits>
#include <memory>
#include <mutex>
#include <numeric>
#include <thread>

#include "plan/chain.h"
#include "plan/population.h"

namespace handrail::plan::detail {
namespace {

using Clock = std::chrono::steady_clock;

/// So many chains run at once at most, each on a thread of its own if there are as many.
constexpr std::size_t most_chains = 4;
/// Iterations of a chain between two looks at what it has found.
constexpr std::uint64_t round_length = 500;

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

namespace {

/// Whether repair() would change nothing: true for most of what the moves make.
bool in_sequence(const Problem& problem, const std::vector<int>& order, std::vector<int>& place) {
    place.assign(problem.units.size(), -1);
    const int n = static_cast<int>(order.size());
    for (int i = 0; i < n; ++i) place[static_cast<std::size_t>(order[static_cast<std::size_t>(i)])] = i;
    int span = -1;  // whose units stand before place i
    for (int i = 0; i < n; ++i) {
        const Unit& unit = problem.units[static_cast<std::size_t>(order[static_cast<std::size_t>(i)])];
        for (int before : unit.before)
            if (place[static_cast<std::size_t>(before)] > i) return false;
        if (unit.span >= 0 && unit.span != span) {
            int next = i;
            for (int other : problem.spans[static_cast<std::size_t>(unit.span)])
                if (const int at = place[static_cast<std::size_t>(other)]; at >= 0 && at != next++) return false;
        }
        span = unit.span;
    }
    return true;
}

}  // namespace

void repair(const Problem& problem, std::vector<int>& order) {
    thread_local std::vector<int> place;
    if (in_sequence(problem, order, place)) return;
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

void keep_done(const Problem& problem, Sequence& sequence) {
    std::erase_if(sequence.order, [&](int u) {
        return !sequence.in[static_cast<std::size_t>(problem.units[static_cast<std::size_t>(u)].task)];
    });
}

Found construct(const Problem& problem, const std::atomic<bool>* stop) {
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
        decoder.expect(found.sequence);
        const TaskData& data = problem.tasks[static_cast<std::size_t>(task)];
        if (stop && stop->load() && data.optional && !data.started) continue;
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

/// Adds the units of `all` that are missing in `order`: predecessors first where that leaves the others as they are.
void complete(const Problem& problem, const std::vector<int>& all, std::vector<int>& order) {
    std::vector<std::uint8_t> known(problem.units.size(), 0);
    for (int unit : order) known[static_cast<std::size_t>(unit)] = 1;
    std::vector<int> whole = order;
    for (int unit : all)
        if (!known[static_cast<std::size_t>(unit)]) whole.push_back(unit);
    std::vector<int> repaired = whole;
    repair(problem, repaired);
    std::vector<int> kept = repaired;
    std::erase_if(kept, [&](int unit) { return !known[static_cast<std::size_t>(unit)]; });
    order = kept == order ? repaired : whole;
}

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
        const Time began = static_cast<Time>(since_zero(activity.start).count());
        const std::size_t lead = index(timeline.lead_of(static_cast<TaskId>(step.task)).value_or(Crew::ev1));
        const bool did_not_wait =
            step.wish >= 0 && problem.wished_start(static_cast<int>(index(*activity.step)), lead, began) > began;
        if ((step.by_hand[0] >= 0 && !activity.on(Lane::arm)) || did_not_wait)
            sequence.by_hand[index(*activity.step)] = 1;
        Time& first = start[static_cast<std::size_t>(step.unit)];
        first = std::min(first, began);
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
    const std::vector<int> all = sequence.order;
    keep_done(problem, sequence);
    std::stable_sort(sequence.order.begin(), sequence.order.end(), [&](int a, int b) {
        return start[static_cast<std::size_t>(a)] < start[static_cast<std::size_t>(b)];
    });
    repair(problem, sequence.order);
    complete(problem, all, sequence.order);
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
        decoder.expect(found.sequence);
        found.score = decoder.decode(found.sequence);
        for (bool gained = true; gained;) {
            gained = false;
            for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
                if (!found.sequence.in[t]) continue;
                found.sequence.gather[t] ^= 1;
                const Score score = decoder.decode(found.sequence);
                if (better(score, found.score)) {
                    found.score = score;
                    decoder.expect(found.sequence);
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

namespace {

/// Chains at work on several threads, and the best that any of them has found so far.
class Search {
public:
    Search(const Problem& problem, const Found& start, const Budget& budget,
           const std::function<void(const Found&)>& progress, const std::atomic<bool>* stop, std::atomic<bool>& halt)
        : problem_(problem),
          start_(start),
          terrain_(problem),
          population_(budget.seed),
          progress_(progress),
          stop_(stop),
          halt_(halt),
          left_(budget.iterations.value_or(std::numeric_limits<std::uint64_t>::max())),
          told_(start),
          best_(start) {
        const int threads = budget.threads > 0 ? budget.threads : static_cast<int>(std::thread::hardware_concurrency());
        chains_.resize(std::clamp<std::size_t>(static_cast<std::size_t>(threads), 1, most_chains));
    }

    Found run() {
        while (!halt_ && left_ > 0) {
            const std::vector<Population::Birth> births = population_.next(most_chains, left_);
            for (const Population::Birth& birth : births) left_ -= birth.length;
            std::vector<Found> found(births.size());
            std::atomic<std::size_t> next{0};
            {
                std::vector<std::jthread> others;
                for (std::size_t w = 1; w < std::min(chains_.size(), births.size()); ++w)
                    others.emplace_back([&, w] { work(w, births, next, found); });
                work(0, births, next, found);
            }
            for (const Found& each : found)
                if (!each.sequence.order.empty() && better(each.score, best_.score)) best_ = each;
            tell();
            if (halt_) break;
            population_.take(births, std::move(found));
        }
        best_.iterations = spent_;
        return best_;
    }

private:
    void work(std::size_t worker, const std::vector<Population::Birth>& births, std::atomic<std::size_t>& next,
              std::vector<Found>& found) {
        for (std::size_t i = next++; i < births.size() && !halt_; i = next++) {
            const Population::Birth& birth = births[i];
            if (!chains_[worker]) chains_[worker] = std::make_unique<Chain>(problem_, terrain_);
            Chain& chain = *chains_[worker];
            const std::vector<Found>& members = population_.members();
            const Found& from = birth.mother < 0 ? start_ : members[static_cast<std::size_t>(birth.mother)];
            if (birth.father < 0)
                chain.begin(from, birth.seed, birth.walks);
            else
                chain.begin(from, members[static_cast<std::size_t>(birth.father)], birth.seed, birth.walks);
            for (std::uint64_t left = birth.length; left > 0 && !halt_;) {
                const std::uint64_t round = std::min(left, round_length);
                chain.run(round, halt_);
                left -= round;
                note(chain.best(), round);
                if (worker == 0) tell();
            }
            found[i] = chain.best();
        }
    }
    void note(const Found& found, std::uint64_t iterations) {
        const std::scoped_lock lock(mutex_);
        spent_ += iterations;
        if (!better(found.score, told_.score)) return;
        told_ = found;
        told_.iterations = spent_;
        news_ = true;
    }
    /// Progress is told on the caller's own thread.
    void tell() {
        if (!progress_) return;
        Found found;
        {
            const std::scoped_lock lock(mutex_);
            if (!news_) return;
            news_ = false;
            found = told_;
        }
        progress_(found);
        if (stop_ && stop_->load()) halt_ = true;
    }

    const Problem& problem_;
    const Found& start_;
    const Terrain terrain_;
    Population population_;
    const std::function<void(const Found&)>& progress_;
    const std::atomic<bool>* stop_;
    std::atomic<bool>& halt_;
    std::vector<std::unique_ptr<Chain>> chains_;  ///< by thread
    std::uint64_t left_;
    std::mutex mutex_;
    std::uint64_t spent_ = 0;
    bool news_ = false;
    Found told_, best_;
};

}  // namespace

Found search(const Problem& problem, const Found& start, const Budget& budget,
             const std::function<void(const Found&)>& progress, const std::atomic<bool>* stop) {
    const auto begin = Clock::now();
    const auto out_of_time = [&] { return budget.time && Clock::now() - begin >= *budget.time; };
    std::atomic<bool> halt{false};
    // Watches the clock and the caller's flag, so that chains end within a few milliseconds of either.
    std::jthread watch([&](const std::stop_token& done) {
        while (!done.stop_requested() && !halt.load()) {
            if ((stop && stop->load()) || out_of_time()) halt.store(true);
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
        }
    });
    Found best = Search(problem, start, budget, progress, stop, halt).run();
    complete(problem, start.sequence.order, best.sequence.order);
    return best;
}

}  // namespace handrail::plan::detail
