#pragma once

#include <atomic>

#include "risk/odds.h"

/// The plan that does best when times are as uncertain as they are, not when everything takes its likely time.
namespace handrail::risk {

/// What a plan is worth under its gates. A run that is not home in time with the reserves is worth nothing; in the
/// others each required task missing outweighs every optional one.
struct Worth {
    double expected = 0, error = 0;
    Share required, home;
    double value = 0;  ///< of wanted and get-ahead tasks
};

struct RobustBudget {
    std::uint64_t seed = 1;
    int candidates = 400;  ///< plans looked at; the same plan on any machine
    int threads = 0;
};
struct RobustPlan {
    Timeline timeline;
    Worth start, best;  ///< of the plan begun with and of the plan found, in runs that neither search nor gates saw
    double gain = 0, gain_error = 0;  ///< best less start, run by run with the same luck, less what its changes cost
    int changes = 0;                  ///< more (fewer: negative) of them against the plan to be kept than `start` has
    int looked_at = 0, kept_to_the_end = 0;
};

/// What the lead has settled. Every plan looked at keeps the wishes; a task that must be done counts as required. With
/// `keep`, each change against that plan takes Keep::worth off what a plan is worth (Keep::price, in finish, plays no
/// part: here nothing is compared by when it ends).
struct Settled {
    plan::Wishes wishes{};
    std::optional<plan::Keep> keep{};
};

/// Starts from `start` (the best plan on likely times), looks at orders, choices and leads near it, each judged by the
/// same simulated outings, then solves the gates of the best few and compares those on fresh runs. Never worse than
/// `start` in those runs: then `start` itself is returned. `start` must keep what is settled.
RobustPlan robust_plan(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
                       const Timeline& start, const RobustBudget& budget, const Settled& settled = {},
                       const std::atomic<bool>* stop = nullptr);
/// What a plan is worth in `runs` runs of this seed, its gates solved beforehand with another.
Worth worth_of(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
               const Timeline& timeline, const Options& options);

}  // namespace handrail::risk
