#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "schedule/learner.h"

namespace handrail::schedule::detail {

/// One shared resource: nothing may be demanded above its capacity. Reasons from the parts of activities that are
/// certain whatever their start ("time-table"), period by period, and explains each step by one period (Schutt et al.
/// 2011, pointwise explanations).
class Timetable : public Propagator {
public:
    struct Use {
        int start;  ///< variable
        int duration, demand;
        std::optional<Fact> present;  ///< counts only where this holds; nothing: always
    };
    Timetable(std::vector<Use> uses, int capacity);
    /// Everything whose change can matter to the uses.
    static std::vector<Side> sides(const std::vector<Use>& uses);

    bool propagate(Learner& learner) override;

private:
    struct Step {
        int from, to, height;
    };
    bool build(Learner& learner);
    bool push_right(Learner& learner, const Use& use);
    bool push_left(Learner& learner, const Use& use);
    bool refuse_if_nowhere(Learner& learner, const Use& use);
    bool counts(const Learner& learner, const Use& use) const { return !use.present || learner.holds(*use.present); }
    void blame(const Learner& learner, int time, int needed, const Use* except);

    std::vector<Use> uses_;
    int capacity_;
    std::vector<std::pair<int, int>> events_;  ///< time, change of height
    std::vector<Step> steps_;
    int highest_ = 0;
    std::vector<Fact> because_;
    std::vector<const Use*> covering_;
};

}  // namespace handrail::schedule::detail
