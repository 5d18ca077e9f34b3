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
    double value_bound = 0;  ///< no plan has more
    Pet finish_bound{};      ///< no plan of this value ends sooner
    std::uint64_t iterations = 0;

    /// How much of the bound is not reached, 0 to 1.
    double value_gap() const { return value_bound > 0 ? (value_bound - value) / value_bound : 0; }
};

/// What the lead has settled by hand. A plan keeps all of it or is not called one; the checker knows nothing of it.
struct Wishes {
    /// The step starts no sooner than `from` and no later than `to` (the same moment: pinned there).
    struct Start {
        StepId step{};
        Pet from{}, to{};
    };
    /// Where both are done, `first` ends before `then` starts.
    struct Before {
        StepId first{}, then{};
    };
    /// That person takes no part in the step.
    struct NotBy {
        StepId step{};
        Crew crew{};
    };
    std::vector<Start> starts;  ///< at most one a step
    std::vector<Before> before;
    std::vector<NotBy> not_by;
    std::vector<std::pair<TaskId, Crew>> lead;  ///< who leads; at most one a task
    std::vector<TaskId> leave_out, must_do;
    std::vector<WorksiteId> closed;  ///< nobody works there or passes; who is there may leave

    bool empty() const {
        return starts.empty() && before.empty() && not_by.empty() && lead.empty() && leave_out.empty() &&
               must_do.empty() && closed.empty();
    }
};

/// The plan that is to be kept as far as possible, and what leaving it costs. One change is: a task of it left out; a
/// task that is not in it; a task given to the other lead; a step in another order on its crew member's lane. What has
/// already happened never counts.
struct Keep {
    Timeline plan;
    Seconds price{300};  ///< so much later may the end be for one change less
    double worth = 0;    ///< so much value (of Task::value) is given up for one change less
};

/// What the search may change.
struct Freedom {
    std::vector<TaskId> leave_out;              ///< must not be done (what is open there is still closed up)
    std::vector<TaskId> must_do;                ///< treated as required
    bool keep_order = false;                    ///< decode the given order once, search nothing
    bool come_in_now = false;                   ///< only close-ups, then home
    std::optional<Timeline> start_from;         ///< take order and roles from here
    std::vector<std::pair<TaskId, Crew>> lead;  ///< bind these
    Wishes wishes{};                            ///< besides what stands above
    std::optional<Keep> keep{};
};

/// Why no plan exists: the required tasks that do not fit and the rules that stand in their way, in sentences.
struct NoPlan {
    std::vector<std::string> reasons;
};

/// Searches for the best timeline from `situation` on. Objective, in order: required tasks; value of the rest; wanted
/// margin kept; earliest finish, with required tasks early and clear of the end of their windows; least waiting and
/// distance. Thread-safe; `windows` must outlive the call.
/// `stop`, if given, ends the search within 20 ms of becoming true; reasons for what is left out are then not looked
/// for. With keep_order or come_in_now there is nothing to search and the bounds are the quick ones.
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
