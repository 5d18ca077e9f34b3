#include "plan/chain.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "plan/crossing.h"

namespace handrail::plan::detail {
namespace {

/// Every so many iterations a chain takes some tasks out and builds up again from there.
constexpr std::uint64_t rebuild_every = 100;
/// Other choices are tried in the first part of a cooling; then it walks, which ends with a better order.
constexpr double choosing_share = 0.8;
constexpr double hottest_s = 240;
constexpr double coldest_s = 3;
/// What a second of broken rules costs at least and at most, in seconds of finish, and how long a chain stays on one
/// side of the rules before the price changes.
constexpr double least_penalty = 5, most_penalty = 2000;
constexpr double first_penalty = 60;
constexpr int patience = 60;

}  // namespace

bool may_drop(const Problem& problem, int task) {
    const TaskData& data = problem.tasks[static_cast<std::size_t>(task)];
    return data.possible && !data.started && !data.units.empty();
}

Terrain::Terrain(const Problem& problem) {
    const std::size_t n = problem.tasks.size();
    for (std::size_t t = 0; t < n; ++t)
        if (may_drop(problem, static_cast<int>(t))) tasks.push_back(static_cast<int>(t));
    for (std::size_t s = 0; s < problem.steps.size(); ++s)
        if (problem.steps[s].by_hand[0] >= 0 || problem.steps[s].wish >= 0) rides.push_back(static_cast<int>(s));
    excludes.resize(n);
    needed_by.resize(n);
    std::vector<int> first(n, -1), last(n, -1);
    for (std::size_t t = 0; t < n; ++t) {
        const TaskData& task = problem.tasks[t];
        for (int other : task.not_with) {
            excludes[t].push_back(other);
            excludes[static_cast<std::size_t>(other)].push_back(static_cast<int>(t));
        }
        for (int other : task.needs) needed_by[static_cast<std::size_t>(other)].push_back(static_cast<int>(t));
        double work_s = 60;
        for (int unit : task.units)
            for (int s : problem.units[static_cast<std::size_t>(unit)].steps) {
                const StepData& step = problem.steps[static_cast<std::size_t>(s)];
                work_s += step.duration[0] * ((step.roles & 1) + ((step.roles >> 1) & 1));
                if (step.roles == 0 || step.at < 0) continue;
                if (first[t] < 0) first[t] = step.at;
                last[t] = step.to;
            }
        work.push_back(work_s);
        rate.push_back(task.value / work_s);
    }
    constexpr std::size_t nearest = 12;
    for (std::size_t t = 0; t < n; ++t) {
        std::vector<std::pair<Time, int>> ways;
        for (int other : tasks) {
            const std::size_t o = static_cast<std::size_t>(other);
            if (o == t || first[t] < 0 || first[o] < 0) continue;
            const auto way = [&](int a, int b) {
                return problem.partner_time[static_cast<std::size_t>(a * problem.worksites + b)];
            };
            ways.emplace_back(std::min(way(last[o], first[t]), way(last[t], first[o])), other);
        }
        std::sort(ways.begin(), ways.end());
        // All at the same distance as the last one stay in: none is nearer than the other.
        std::size_t kept = std::min(ways.size(), nearest);
        while (kept > 0 && kept < ways.size() && ways[kept].first == ways[kept - 1].first) ++kept;
        near.emplace_back();
        for (std::size_t i = 0; i < kept; ++i) near.back().push_back(ways[i].second);
    }
}

Chain::Chain(const Problem& problem, const Terrain& terrain)
    : problem_(problem),
      terrain_(terrain),
      decoder_(problem),
      builder_(problem),
      random_(0),
      choice_(problem, terrain) {
    double smallest = 1e18;
    double sum = 0;
    int optional = 0;
    for (int t : terrain.tasks)
        if (decoder_.weight(t) > 0) {
            smallest = std::min(smallest, decoder_.weight(t));
            if (!problem.tasks[static_cast<std::size_t>(t)].optional) continue;
            sum += decoder_.weight(t);
            ++optional;
        }
    wanted_weight_ = sum;
    average_weight_ = optional > 0 ? sum / optional : 0;
    // The least task is worth an hour of finish time to the annealing; the best plan itself is compared in strict
    // order.
    seconds_per_value_ = smallest < 1e18 ? 3600.0 / smallest : 0;
}

void Chain::begin(const Found& from, std::uint64_t seed, bool walks) {
    never_chooses_ = walks;
    random_ = Random(seed);
    penalty_ = price_ = first_penalty;
    broken_streak_ = sound_streak_ = 0;
    count_ = due_ = cooled_ = 0;
    rebuild_at_ = rebuild_every - 1;
    best_ = from;
    keep_done(problem_, best_.sequence);
}

void Chain::begin(const Found& mother, const Found& father, std::uint64_t seed, bool walks) {
    penalty_ = price_ = first_penalty;
    random_ = Random(~seed);
    begin(crossed(
              problem_, builder_, mother, father, [this](const Score& score) { return cost(score); }, random_),
          seed, walks);
}

void Chain::run(std::uint64_t iterations, const std::atomic<bool>& stop) {
    due_ += iterations;
    while (count_ < due_ && !stop.load(std::memory_order_relaxed)) {
        if (count_ == 0 || count_ / cooling_length > cooled_) warm_up();
        const double share = static_cast<double>(count_ % cooling_length) / cooling_length;
        if (walks_from_ > 0 && !walks_ && share >= walks_from_) {
            restart_from(best_);
            price_ = first_penalty;
            walks_ = true;
        }
        const double cooled = walks_ ? (share - walks_from_) / (1 - walks_from_) : share / walks_from_;
        const double temperature = hottest_s * std::pow(coldest_s / hottest_s, cooled);
        if (count_ >= rebuild_at_) {
            rebuild(temperature, stop);
            rebuild_at_ = count_ + rebuild_every;
            ++count_;
        } else if (!walks_ && may_choose()) {
            choose(cooled, temperature, stop);
        } else {
            step(temperature, price_);
            balance();
            ++count_;
        }
    }
}

bool Chain::may_choose() const {
    return current_.score.violation == 0 && current_.score.missing <= wanted_weight_ && !left_out_.empty();
}

void Chain::warm_up() {
    restart_from(best_);
    cooled_ = count_ / cooling_length;
    walks_from_ = may_choose() && !never_chooses_ ? choosing_share : 0;
    walks_ = walks_from_ == 0;
}

void Chain::restart_from(const Found& found) {
    if (better(found.score, best_.score)) best_ = found;
    current_ = found;
    current_cost_ = cost(found.score);
    decoder_.expect_decoded(current_.sequence, true);
    list_tasks();
}

double Chain::cost(const Score& score) const {
    return score.soft_finish() + 2.0 * score.shortfall + 0.02 * static_cast<double>(score.idle) +
           penalty_ * static_cast<double>(score.violation) + seconds_per_value_ * score.loss();
}

Decoder::Most Chain::most_at(double cost, double missing) const {
    const double room = cost - seconds_per_value_ * missing;
    return {static_cast<std::int64_t>(room / penalty_), room, penalty_};
}

void Chain::adopt(Sequence& sequence, const Score& score, bool decoded) {
    std::swap(current_.sequence, sequence);
    current_.score = score;
    current_cost_ = cost(score);
    decoder_.expect_decoded(current_.sequence, !decoded);
    list_tasks();
    if (better(score, best_.score)) best_ = current_;
}

void Chain::list_tasks() {
    done_.clear();
    left_out_.clear();
    for (int t : terrain_.tasks) (current_.sequence.in[static_cast<std::size_t>(t)] ? done_ : left_out_).push_back(t);
}

void Chain::step(double temperature, double penalty) {
    if (penalty != penalty_) {
        penalty_ = penalty;
        current_cost_ = cost(current_.score);
    }
    trial_ = current_.sequence;
    if (!move(trial_)) return;
    repair(problem_, trial_.order);
    // Drawn before decoding, so that decoding can end as soon as the trial is too bad to be taken.
    const double most_cost = current_cost_ - temperature * std::log(1 - random_.unit());
    const Decoder::Most most = most_at(most_cost, decoder_.missing(trial_.in));
    if (most.cost >= 0) {
        const Score score = decoder_.decode(trial_, most);
        if (score.violation <= most.violation && cost(score) <= most_cost) adopt(trial_, score, true);
    }
}

/// Strategic oscillation: spend about half the time on either side of what the rules allow.
void Chain::balance() {
    if (current_.score.violation > 0) {
        ++broken_streak_;
        sound_streak_ = 0;
    } else {
        ++sound_streak_;
        broken_streak_ = 0;
    }
    if (broken_streak_ >= patience && price_ < most_penalty) {
        price_ *= 2;
        broken_streak_ = 0;
    } else if (sound_streak_ >= patience && price_ > least_penalty) {
        price_ /= 2;
        sound_streak_ = 0;
    }
}

/// Takes some tasks that lie together out of the best plan, then puts them and others back one by one, each time the
/// one of the most value at the best of some places, as long as nothing breaks.
void Chain::rebuild(double temperature, const std::atomic<bool>& stop) {
    if (done_.empty()) return;
    Found trial = best_;
    const auto in_trial = [&](int t) { return trial.sequence.in[static_cast<std::size_t>(t)] != 0; };
    std::vector<int>& pool = candidates_;
    pool.clear();
    constexpr int most_removed = 8;
    // One task, and others next to it in the order or near it on the station.
    const std::vector<int>& order = trial.sequence.order;
    if (order.empty()) return;
    const int n = static_cast<int>(order.size());
    const int middle = random_.below(n);
    const int wanted = 1 + random_.below(most_removed);
    const auto take = [&](int task) {
        if (!may_drop(problem_, task) || std::find(pool.begin(), pool.end(), task) != pool.end()) return;
        pool.push_back(task);
    };
    const auto task_at = [&](int i) {
        return problem_.units[static_cast<std::size_t>(order[static_cast<std::size_t>(i)])].task;
    };
    take(task_at(middle));
    const int seed_task = task_at(middle);
    const std::vector<int>& near = terrain_.near[static_cast<std::size_t>(seed_task)];
    for (int tries = 0; tries < 12 && static_cast<int>(pool.size()) < wanted; ++tries) {
        if (random_.below(2) || near.empty()) {
            take(task_at(std::clamp(middle + random_.below(17) - 8, 0, n - 1)));
        } else {
            const int task = near[static_cast<std::size_t>(random_.below(static_cast<int>(near.size())))];
            if (in_trial(task)) take(task);
        }
    }
    if (random_.below(4) == 0 && required_first(trial)) {
        pool.clear();
        const std::vector<int>& late = trial.sequence.order;
        for (int i = n - 1; i >= 0 && trial.score.violation > 0; --i) {
            const int task = problem_.units[static_cast<std::size_t>(late[static_cast<std::size_t>(i)])].task;
            if (!in_trial(task) || !may_drop(problem_, task)) continue;
            if (pool.size() == 2 * most_removed) return;
            pool.push_back(task);
            trial.sequence.in[static_cast<std::size_t>(task)] = 0;
            trial.score = builder_.decode(trial.sequence);
        }
        if (trial.score.violation > 0) return;
        for (int task : pool) trial.sequence.in[static_cast<std::size_t>(task)] = 1;
    }
    const std::vector<int> removed = pool;
    for (int task : removed)
        if (in_trial(task)) take_out(trial.sequence, task);
    for (int tries = 0; tries < 8 && pool.size() < removed.size() + 5; ++tries) {
        int task = -1;
        if (!near.empty() && random_.below(2))
            task = near[static_cast<std::size_t>(random_.below(static_cast<int>(near.size())))];
        else
            task = some_left_out();
        if (task >= 0 && !in_trial(task)) take(task);
    }
    trial.score = builder_.decode(trial.sequence);
    for (std::size_t rounds = removed.size() + 2; rounds > 0; --rounds) {
        builder_.expect_decoded(trial.sequence, true);
        Found best_here = trial;
        bool found = false;
        for (int task : pool) {
            if (in_trial(task)) continue;
            if (stop.load(std::memory_order_relaxed)) return;  // hundreds of decodes may be left
            constexpr int places = 4;
            for (int attempt = 0; attempt < places; ++attempt) {
                trial_ = trial.sequence;
                if (!bring_in(trial_, task, spot_for(trial_, task))) continue;
                const double missing = builder_.missing(trial_.in);
                if (missing > best_here.score.missing) continue;
                repair(problem_, trial_.order);
                const Score score = builder_.decode(trial_, Decoder::Most{trial.score.violation});
                if (better(score, best_here.score)) {
                    best_here.sequence = trial_;
                    best_here.score = score;
                    found = true;
                }
            }
        }
        if (!found) break;
        trial = std::move(best_here);
    }
    const double most_cost = current_cost_ - temperature * std::log(1 - random_.unit());
    if (better(trial.score, best_.score)) best_ = trial;
    if (cost(trial.score) <= most_cost) adopt(trial.sequence, trial.score, false);
}

/// Required work before the rest, all of it or one task: step by step the search does not get there, because halfway
/// more is left out. False when nothing changes.
bool Chain::required_first(Found& trial) {
    const std::vector<int> before = trial.sequence.order;
    int only = -1;
    if (random_.below(2)) {
        std::vector<int>& required = run_;
        required.clear();
        for (std::size_t t = 0; t < problem_.tasks.size(); ++t)
            if (!problem_.tasks[t].optional && trial.sequence.in[t]) required.push_back(static_cast<int>(t));
        if (required.empty()) return false;
        only = required[static_cast<std::size_t>(random_.below(static_cast<int>(required.size())))];
    }
    std::stable_partition(trial.sequence.order.begin(), trial.sequence.order.end(), [&](int unit) {
        const int task = problem_.units[static_cast<std::size_t>(unit)].task;
        return only >= 0 ? task == only : !problem_.tasks[static_cast<std::size_t>(task)].optional;
    });
    repair(problem_, trial.sequence.order);
    if (trial.sequence.order == before) return false;
    trial.score = builder_.decode(trial.sequence);
    return true;
}

}  // namespace handrail::plan::detail
