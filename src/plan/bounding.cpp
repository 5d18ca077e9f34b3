#include "plan/bounding.h"

#include <algorithm>
#include <chrono>
#include <limits>

namespace handrail::plan::detail {
namespace {

using Clock = std::chrono::steady_clock;

/// A round costs about as much as two or three iterations of the search: so many iterations for each, so that the bound
/// takes some tenth of the time.
constexpr std::uint64_t iterations_for_a_round = 16;
/// A search shorter than this is not asked how good it could be.
constexpr std::uint64_t least_iterations = 8000;
constexpr Milliseconds shortest_time{200};
constexpr int most_rounds = 20'000;
/// Rounds between two looks at the clock.
constexpr int at_once = 20;
/// With one thread and a time budget: one part in so many is the bound's.
constexpr int share_of_time = 8;
constexpr int finish_rounds = 300;

}  // namespace

Bounding::Bounding(const Problem& problem, const Budget& budget, const std::atomic<bool>* stop)
    : problem_(problem), left_(budget), stop_(stop), value_(std::numeric_limits<double>::infinity()) {
    if (budget.iterations && *budget.iterations >= least_iterations)
        rounds_ = static_cast<int>(std::min<std::uint64_t>(*budget.iterations / iterations_for_a_round, most_rounds));
    if (!budget.iterations && budget.time && *budget.time >= shortest_time) rounds_ = -1;
}

Bounding::~Bounding() { halt_.store(true); }

void Bounding::work(int rounds) {
    while (rounds > 0 && !route_->finished() && !halt_.load() && !(stop_ && stop_->load())) {
        route_->improve(std::min(rounds, at_once), &halt_);
        rounds -= at_once;
        value_.store(route_->value());
    }
}

void Bounding::begin() {
    if (rounds_ == 0) return;
    const bool alone = left_.threads == 1 || (left_.threads <= 0 && std::thread::hardware_concurrency() <= 1);
    if (!alone) {
        worker_ = std::jthread([this] {
            route_ = std::make_unique<RouteBound>(problem_);
            work(rounds_ > 0 ? rounds_ : most_rounds);
        });
        return;
    }
    const auto begin = Clock::now();
    route_ = std::make_unique<RouteBound>(problem_);
    if (rounds_ > 0) {
        work(rounds_);
    } else {
        const auto until = begin + *left_.time / share_of_time;
        while (Clock::now() < until && !route_->finished() && !(stop_ && stop_->load())) work(at_once);
    }
    if (left_.time) {
        const auto spent = std::chrono::duration_cast<Milliseconds>(Clock::now() - begin);
        left_.time = std::max(*left_.time - spent, Milliseconds{0});
    }
}

double Bounding::value() {
    if (!knapsacks_) knapsacks_ = value_bound(problem_).value;
    return std::min(*knapsacks_, value_.load());
}

Time Bounding::finish(double missing) {
    if (missing != asked_missing_) asked_finish_ = finish_bound(problem_, missing);
    asked_missing_ = missing;
    return asked_finish_;
}

void Bounding::note(const Found& found, PlanNote& note) {
    if (rounds_ < 0) halt_.store(true);
    if (worker_.joinable()) worker_.join();
    if (!route_ || misses_required(problem_, found.sequence.in)) return;
    note.value_bound = value();
    const Time finish =
        std::max(finish_bound(problem_, found.score.missing), route_->finish(note.value, finish_rounds, stop_));
    note.finish_bound = pet(Seconds{finish});
    note.proven = note.value >= *note.value_bound - 1e-9 && found.score.finish <= finish;
}

}  // namespace handrail::plan::detail
