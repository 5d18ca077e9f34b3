#pragma once

#include <atomic>
#include <memory>
#include <optional>
#include <thread>

#include "plan/bound.h"
#include "plan/route_bound.h"
#include "plan/search.h"

namespace handrail::plan::detail {

/// Bounds while a plan is searched for: the knapsacks at once, the route bound beside the search. With an iteration
/// budget the work on it is so many rounds, whatever the threads; otherwise what the time allows. With one thread it
/// takes its share before the search starts.
class Bounding {
public:
    Bounding(const Problem& problem, const Budget& budget, const std::atomic<bool>* stop);
    ~Bounding();

    /// Starts the work beside the search, or does it when there is one thread.
    void begin();
    /// What is left of the budget for the search.
    const Budget& left() const { return left_; }
    /// The value bound so far.
    double value();
    /// Knapsacks only: quick.
    Time finish(double missing);
    /// Waits for the rest of the work and notes its bounds in the timeline of the plan that was found.
    void note(const Found& found, PlanNote& note);

private:
    void work(int rounds);

    const Problem& problem_;
    Budget left_;
    const std::atomic<bool>* stop_;
    std::optional<double> knapsacks_;  ///< worked out when first asked for
    int rounds_ = 0;                   ///< 0: no route bound; negative: as many as the time allows
    std::unique_ptr<RouteBound> route_;
    std::atomic<double> value_;
    std::atomic<bool> halt_{false};
    std::jthread worker_;
    double asked_missing_ = -1;
    Time asked_finish_ = 0;
};

}  // namespace handrail::plan::detail
