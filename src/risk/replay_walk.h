#pragma once

#include <optional>

#include "risk/replay_lanes.h"

namespace handrail::risk::detail {

/// One batch on its way through a program. Common things are done for all lanes at once, rare ones (a trouble, a task
/// left out, starting home) lane by lane.
class Walk {
public:
    Walk(const Ground& ground, const Program& program, const Policy& policy, From from, LaneState& state, Ended& ended)
        : g_(ground), program_(program), policy_(policy), from_(from), s_(state), ended_(ended) {}

    /// False when no lane is left on its way.
    bool pass(const Node& node);
    /// Of the node passed last; of the way home: when clean-up began, when ingress ended.
    const Row& start() const { return begun_; }
    const Row& end(const Node& node) const;

    /// What the lanes leave out at a decision.
    struct Left {
        int decision = 0, task = 0, keep = 0;
    };
    /// Set where all lanes still on their way, and that is most of the batch, leave out the same at the node passed
    /// last: they are where they were before it, and go on in another program or are diverted.
    const std::optional<Left>& left_together() const { return left_; }
    void divert_all(const Left& left);

private:
    bool decide(const Node& node);
    bool leave_at(const Node& node, const Mask& mask, const Row& now, float gate, bool windowed);
    void too_little_left(const Decision& decision, const Row& now, Home::Need Home::*which, Mask& mask) const;
    void egress(const Node& node);
    void solo(const Node& node);
    bool unit(const Node& node);
    void ready(const Node& node);
    void settle_start(const Node& node);
    bool miss_windows(const Node& node);
    void spend(const Node& node);
    void strike(const Part& part, Row& spent);
    void occupy(const Part& part, const Row& spent);
    void home();

    float sunlit(float t) const;
    float used(std::size_t c, std::size_t k, float t, int i, float lit) const;
    float sampled(const Draw& draw, int i) const;
    void finish(int i, std::size_t row, float end);
    void start_home(int i, std::size_t decision);
    void divert(int i, int task, int keep);
    void divert_at(int i, int decision, int keep);

    const Ground& g_;
    const Program& program_;
    const Policy& policy_;
    From from_;
    LaneState& s_;
    Ended& ended_;

    Row start_, time_, last_, count_, begun_, finished_;
    std::array<Row, 2> last_of_, count_of_;  ///< glove checks of the unit at hand, by crew
    std::array<const Part*, 2> of_crew_{};   ///< whose part is whose
    bool windowed_ = false, any_lost_ = false;
    std::optional<Left> left_;
    Mask lost_;  ///< the task a lane must give up after this part, plus one
};

/// A lane's state at a decision, appended to `saved`; in replay.cpp.
void save_lane(const LaneState& state, const Decision& decision, int lane, std::vector<float>& saved);

}  // namespace handrail::risk::detail
