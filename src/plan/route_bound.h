#pragma once

#include <atomic>
#include <memory>
#include <vector>

#include "plan/route_model.h"

/// The most value that fits into two days as RouteModel puts them. How it is found is told in
/// docs/how-the-planner-thinks.md (Lagrangian bound, then branch and bound on the tasks).
namespace handrail::plan::detail {

class RouteBound {
public:
    explicit RouteBound(const Problem& problem, bool required_counts = true);
    ~RouteBound();

    /// Works on the bound for so many rounds (one round: one set of prices tried); what has been reached is kept. The
    /// same rounds in all give the same bound, in however many calls. `stop` ends it sooner.
    void improve(int rounds, const std::atomic<bool>* stop = nullptr);
    /// No plan has more, settled_value() included; infinite when nothing is known.
    double value() const;
    /// No plan of at least this value (settled_value() included) ends sooner; works on it for so many rounds.
    Time finish(double value, int rounds, const std::atomic<bool>* stop = nullptr) const;
    int rounds() const;     ///< so far
    bool finished() const;  ///< more rounds would change nothing

private:
    class Work;
    std::unique_ptr<Work> work_;
};

}  // namespace handrail::plan::detail
