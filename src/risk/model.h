#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <memory>
#include <vector>

#include "outing/model.h"
#include "risk/distribution.h"

/// What is drawn in a run: which numbers, from which distributions. One Model serves every plan of an outing, and its
/// draws are numbered by what they belong to (a step, a person, the day), never by the order of a plan: two plans
/// compared with the same seed meet the same luck.
namespace handrail::risk {

/// What is known about the factors on everybody's times before the run: the logarithms of the day's factor, EV1's and
/// EV2's are jointly normal. Without evidence they are independent, each factor with mean 1.
struct Factors {
    std::array<double, 3> mean{};                   ///< of the logarithms: day, EV1, EV2
    std::array<std::array<double, 3>, 3> spread{};  ///< lower triangle L, covariance L Lᵀ
    std::array<double, 2> metabolic_mean{};         ///< of the logarithm, EV1, EV2
    std::array<double, 2> metabolic_sigma{};
};
Factors prior(const Outing& outing, const Risk& risk);
/// The factors once it is known that the logarithms, weighted so and summed, came to `seen` with this variance of the
/// measurement (the Kalman update; exact for normal variables).
Factors given(const Factors& factors, const std::array<double, 3>& weights, double seen, double variance);

namespace detail {

inline constexpr int no_slot = -1;

/// Where each draw stands in a run's stream.
struct Slots {
    int day = 0;
    std::array<int, 2> person{}, metabolic{}, home{};
    int egress = 0, clean_up = 0, ingress = 0;
    struct ForTrouble {
        int happens = no_slot, when = no_slot;
    };
    std::vector<ForTrouble> outing_trouble;             ///< by trouble; late starts and holds only
    std::vector<int> step;                              ///< by step: its own time
    std::vector<std::array<int, 2>> way;                ///< by step and role (lead, helper): getting there
    std::vector<std::vector<int>> step_trouble;         ///< by step, in the order of `troubles_of`
    std::vector<std::vector<std::size_t>> troubles_of;  ///< by step: which troubles can strike
    int count = 0;
};

/// One random time: (offset + scale × table) × the factor of `mask`.
struct Draw {
    const float* table = nullptr;
    int slot = 0;
    float offset = 0, scale = 0;
    float mean = 0, variance = 0;  ///< of the time before the factors, seconds
    std::uint8_t mask = 0;         ///< whose factors: bit 0 EV1, bit 1 EV2; none: the time stands by itself
};

class Model {
public:
    Model(const Outing& outing, const Risk& risk);

    const Outing& outing() const { return *outing_; }
    const Risk& risk() const { return risk_; }
    const Slots& slots() const { return slots_; }

    /// A step's own time when `lead` leads its task.
    Draw step(const Step& step, Crew lead) const;
    /// A translation, swap, pick-up or put-down on the way to a step (`slot` from Slots::way or Slots::home).
    Draw way(Seconds planned, const Scatter& scatter, int slot, Crew crew) const;
    Draw airlock(Seconds planned, int slot) const;
    const QuantileTable& extra(std::size_t trouble) const { return *extra_[trouble]; }

private:
    Draw around(double planned, const Scatter& scatter, int slot, std::uint8_t mask) const;
    const QuantileTable* log_normal(double median, double sigma) const;
    const QuantileTable* beta(double alpha, double beta) const;

    const Outing* outing_;
    Risk risk_;
    Slots slots_;
    // Filled by the constructor only; afterwards any thread may read.
    std::map<std::array<double, 3>, std::unique_ptr<QuantileTable>> tables_;
    std::vector<const QuantileTable*> extra_;
    void remember(const Step& step);
    void add_log_normal(double median, double sigma);
    void add_beta(double alpha, double beta);
};

}  // namespace detail
}  // namespace handrail::risk
