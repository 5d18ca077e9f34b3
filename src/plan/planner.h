#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "plan/situation.h"

namespace handrail::plan {

/// When to stop searching: whichever comes first. The same iterations and seed give the same timeline on any number of
/// threads; a wall-clock limit only decides when to stop asking.
struct Budget {
    std::uint64_t seed = 1;
    std::optional<std::uint64_t> iterations;
    std::optional<Milliseconds> time;
    int threads = 0;  ///< 0: one per core
};

struct Progress {
    double value = 0;
    Pet finish{};
    double value_bound = 0;
    std::uint64_t iterations = 0;
};

/// What the search may change.
struct Freedom {
    std::vector<TaskId> leave_out;              ///< must not be done (what is open there is still closed up)
    std::vector<TaskId> must_do;                ///< treated as required
    bool keep_order = false;                    ///< decode the given order once, search nothing
    bool come_in_now = false;                   ///< only close-ups, then home
    std::optional<Timeline> start_from;         ///< take order and roles from here
    std::vector<std::pair<TaskId, Crew>> lead;  ///< bind these
};

/// Why no plan exists: the required tasks that do not fit and the rules that stand in their way, in sentences.
struct NoPlan {
    std::vector<std::string> reasons;
};

/// Searches for the best timeline from `situation` on. Objective, in order: required tasks; value of the rest; wanted
/// margin kept; earliest finish; least waiting and distance. Thread-safe; `windows` must outlive the call.
/// `stop`, if given, ends the search within 20 ms of becoming true.
std::variant<Timeline, NoPlan> make_plan(const Outing& outing, const WindowTable& windows, const Situation& situation,
                                         const Budget& budget, const Freedom& freedom = {},
                                         const std::function<void(const Progress&)>& progress = {},
                                         const std::atomic<bool>* stop = nullptr);

/// The quickest way from one worksite to another for this crew member with their tether anchored at `anchor` and
/// carrying nothing larger than `load`: worksites in order, tether swaps included in the time.
struct Way {
    std::vector<WorksiteId> path;
    std::vector<WorksiteId> swaps;  ///< where the tether is re-anchored on the way, in order
    Seconds time{};
    WorksiteId anchor{};  ///< at the end
};
std::optional<Way> quickest_way(const Outing& outing, Crew crew, WorksiteId from, WorksiteId to, WorksiteId anchor,
                                SizeClass load);

}  // namespace handrail::plan
