#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "risk/program.h"

/// Inside of compile(): the plan as the decoder writes it down, piece by piece, becomes nodes. compile.cpp places
/// things, compile_decisions.cpp works out what is known before each unit.
namespace handrail::risk::detail {

using plan::detail::Decoder;
using plan::detail::Link;
using plan::detail::StepData;
using plan::detail::Unit;

inline float seconds(Pet t) { return static_cast<float>(since_zero(t).count()); }
inline float seconds(Seconds s) { return static_cast<float>(s.count()); }

/// A sum of independent times, all multiplied by one factor.
struct Total {
    double mean = 0, variance = 0;
    void add(const Draw& draw) {
        mean += draw.mean;
        variance += draw.variance;
    }
    /// From the log-normal with the same mean and variance: Var = (1 + cv²)(mean² + variance) - mean².
    double quantile(double p, double cv) const {
        if (mean <= 0) return 0;
        const double all = (1 + cv * cv) * (mean * mean + variance) - mean * mean;
        const double log_variance = std::log1p(all / (mean * mean));
        return mean * std::exp(-log_variance / 2 + std::sqrt(log_variance) * normal_quantile(p));
    }
};

class Compiler {
public:
    Compiler(const Ground& ground, const Problem& problem, const Sequence& sequence, const Kept& kept)
        : ground_(ground), problem_(problem), outing_(*problem.outing), sequence_(sequence) {
        program_.kept = kept;
    }
    Program run();

private:
    struct ItemTrack {
        int bag = -1;
        std::array<int, 3> end{-1, -1, -1};  ///< last use by EV1, EV2, anyone else
    };
    struct Open {
        int task, site;
    };

    void begin();
    void solo(const Activity& activity, int unit_step);
    bool rest_droppable(const StepData& step, int number) const;
    Range troubles_of(std::size_t step);
    Part part_of(const Activity& activity);
    Node unit_of(const std::vector<const Activity*>& steps);
    void place(const std::vector<const Activity*>& approach, const std::vector<const Activity*>& steps);
    Decision decide(int unit, const std::vector<const Activity*>& approach, const std::vector<const Activity*>& steps);
    void finish_decision(Decision& decision, const std::vector<const Activity*>& approach,
                         const std::vector<const Activity*>& steps);
    void home(const std::vector<const Activity*>& approach);
    void settle(const Activity& activity);
    void settle_step(const Activity& activity);
    void outcomes();

    int new_end(float planned);
    void wait(int end, float gap = 0);
    void wait_for_item(int item, unsigned crew);
    void used(int item, unsigned crew, int end);
    int top(int item) const;
    Effort effort_of(const Activity& activity, int crew) const;
    float excess(int crew, Effort effort) const;
    double close_up_seconds(int crew, double& excess_ws) const;
    float home_quantile(double confidence, const Decision& decision, float step_mean, float step_variance,
                        const std::array<float, 2>& close_up, const std::array<float, 2>& way) const;
    void worked(unsigned crew, const Draw& draw, float planned);
    Home::Need need(std::size_t c, const std::vector<const Activity*>& approach,
                    const std::vector<const Activity*>& steps, double close_up, double excess_ws, float way) const;
    float sure_until(std::size_t c, const Home::Need& need) const;
    int role_of(int step, int crew) const { return crew == sequence_.lead[task_of(step)] ? 0 : 1; }
    std::size_t task_of(int step) const {
        return static_cast<std::size_t>(problem_.steps[static_cast<std::size_t>(step)].task);
    }

    const Ground& ground_;
    const Problem& problem_;
    const Outing& outing_;
    const Sequence& sequence_;
    Program program_;

    Snapshot state_, before_;
    std::array<int, 2> site_{}, anchor_{}, large_{}, last_step_{-1, -1};
    std::array<int, 2> site_before_{}, anchor_before_{};
    std::vector<ItemTrack> items_;
    std::vector<std::uint8_t> carried_;  ///< by item: 1 + crew when in hand
    std::vector<int> step_end_;          ///< by step: end slot, -1: not placed
    std::vector<Open> open_;
    std::vector<std::uint8_t> placed_;  ///< by step
    int arm_site_ = 0;
    std::array<Total, 2> work_;  ///< by crew: everything done so far
    std::array<float, 2> work_planned_{};
};

}  // namespace handrail::risk::detail
