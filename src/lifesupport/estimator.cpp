#include "lifesupport/estimator.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "lifesupport/detail/state_matrix.h"

namespace handrail::lifesupport {

using namespace detail;

namespace {

/// A value this many standard deviations from what was believed is called far (from memory). On a right model one
/// value in 16,000 is.
constexpr double far = 4.0;

/// The factor that a large unforeseen draw is put down to: oxygen to a leak, CO2 to the ratio, and so on.
FactorIndex cause_of(Consumable c) {
    switch (c) {
        case Consumable::oxygen:
            return leak_factor;
        case Consumable::co2:
            return co2_factor;
        case Consumable::water:
            return heat_factor;
        case Consumable::battery:
            return electrical_factor;
        case Consumable::gas:
            return metabolic_factor;
    }
    return metabolic_factor;
}

/// One value: number of its reading and consumable.
using ValueKey = std::pair<std::size_t, Consumable>;

bool has(const JudgedValue& value, Remark remark) {
    return std::find(value.remarks.begin(), value.remarks.end(), remark) != value.remarks.end();
}

class Filter {
public:
    Filter(const SuitType& suit, std::span<const Load> loads, const SuitState& begin, const Noise& noise,
           const std::set<ValueKey>& contradicted)
        : suit_(suit), loads_(loads), noise_(noise), contradicted_(contradicted), full_(capacity(suit)) {
        result_.state = begin;
        started_ = begin.at;
    }

    void take(const Reading& reading, std::size_t number, bool late) {
        bool any = false;
        for (Consumable c : all_consumables)
            if (const auto& left = reading.left[index(c)]) any |= take(reading.at, c, *left, number, late);
        if (any) {
            ++result_.used;
            result_.last_used = reading.at;
        }
    }

    /// A surprising fall that was believed and that a later value rises above; none when there is none.
    const std::optional<ValueKey>& contradiction() const { return contradiction_; }
    Estimate result() && { return std::move(result_); }

private:
    struct Accepted {
        Pet at{};
        double left = 0;
        std::size_t reading = 0;
        bool surprising = false;
    };
    struct Seen {
        Pet at{};
        double left = 0;
    };

    bool take(Pet at, Consumable c, double left, std::size_t number, bool late) {
        JudgedValue value{number, at, c, left, std::nullopt, 0, {}};
        if (late) value.remarks.push_back(Remark::out_of_order);
        judge_alone(value);
        if (value.used()) judge_against_belief(value);
        const bool used = value.used();
        if (used) {
            accepted_[index(c)] = Accepted{at, left, number, has(value, Remark::far_below)};
            correct(value);
        } else if (has(value, Remark::rises) && accepted_[index(c)]->surprising && !contradiction_) {
            contradiction_ = ValueKey{accepted_[index(c)]->reading, c};
        }
        seen_[index(c)] = Seen{at, left};
        result_.values.push_back(std::move(value));
        return used;
    }

    /// What the value, the suit type and the values before it say.
    void judge_alone(JudgedValue& value) const {
        const std::size_t i = index(value.consumable);
        const double sd = gauge_sd(suit_, value.consumable, noise_);
        if (!std::isfinite(full_[i])) {
            value.remarks.push_back(Remark::not_carried);
        } else if (!std::isfinite(value.found) || value.found < 0 || value.found > full_[i] + far * sd) {
            value.remarks.push_back(Remark::impossible);
        } else if (value.at < started_) {
            value.remarks.push_back(Remark::before_start);
        } else if (loads_.empty() || value.at > loads_.back().end()) {
            value.remarks.push_back(Remark::after_end);
        } else if (seen_[i] && seen_[i]->at == value.at) {
            value.remarks.push_back(seen_[i]->left == value.found ? Remark::repeated : Remark::conflicting);
        } else if (contradicted_.contains({value.reading, value.consumable})) {
            value.remarks.push_back(Remark::contradicted);
        } else if (accepted_[i] && value.found > accepted_[i]->left) {
            const double noise_of_two = std::sqrt(2.0) * sd;
            value.remarks.push_back(value.found - accepted_[i]->left > 3 * noise_of_two ? Remark::rises
                                                                                        : Remark::rises_in_noise);
        }
    }

    void judge_against_belief(JudgedValue& value) {
        advance_to(value.at);
        const double sd = gauge_sd(suit_, value.consumable, noise_);
        const double spread = result_.state.sd_used(value.consumable);
        value.expected = full_[index(value.consumable)] - result_.state.used[index(value.consumable)];
        value.sd = std::hypot(spread, sd);
        const double off = (value.found - *value.expected) / value.sd;
        if (off > far) {
            value.remarks.push_back(Remark::far_above);
        } else if (off < -far) {
            value.remarks.push_back(Remark::far_below);
            widen(value);
        }
        const Pet before = result_.last_used.value_or(started_);
        if (off <= far && value.at - before > noise_.stale_after) value.remarks.push_back(Remark::after_gap);
    }

    void advance_to(Pet at) {
        for (const Load& load : loads_) {
            if (load.end() <= result_.state.at) continue;
            if (load.start >= at) break;
            result_.state = advance(suit_, result_.state, load, std::min(at, load.end()), noise_);
        }
        result_.state.at = std::max(result_.state.at, at);
    }

    /// A loss that the model did not hold possible is believed at once, as something lost between the two values. Only
    /// when the next value is far below again is it put down to a cause that goes on (a leak), begun at the value
    /// before: one bad reading must not become a draw for the rest of the outing.
    void widen(const JudgedValue& value) {
        const std::size_t c = index(value.consumable);
        const double surprise = value.found - *value.expected;
        StateVector direction = StateVector::Zero();
        direction(c) = surprise;
        if (accepted_[c] && accepted_[c]->surprising) {
            const double time = std::chrono::duration<double>(value.at - accepted_[c]->at).count();
            const FactorIndex cause = cause_of(value.consumable);
            if (const double effect = slope(value.at, value.consumable, cause) * time; effect > 0)
                direction(consumable_count + cause) = surprise / effect;
        }
        store(matrix(result_.state) + direction * direction.transpose(), result_.state);
    }

    /// How much one unit of a factor adds to the draw per second, by the load running at `at`.
    double slope(Pet at, Consumable c, FactorIndex factor) const {
        const auto running =
            std::find_if(loads_.begin(), loads_.end(), [at](const Load& load) { return load.end() >= at; });
        if (running == loads_.end()) return 0;
        Factors more = result_.state.factors;
        // Every draw is linear in each factor, so a difference over one unit is the slope.
        switch (factor) {
            case metabolic_factor:
                more.metabolic += 1;
                break;
            case step_factor:
                more.step += 1;
                break;
            case co2_factor:
                more.co2_ratio += 1;
                break;
            case heat_factor:
                more.extra_heat += Watts{1};
                break;
            case electrical_factor:
                more.electrical += 1;
                break;
            case leak_factor:
                more.leak += KilogramsPerHour{1};
                break;
        }
        return expected_draw(suit_, more, running->metabolic, running->sunlit)[index(c)] -
               expected_draw(suit_, result_.state.factors, running->metabolic, running->sunlit)[index(c)];
    }

    void correct(const JudgedValue& value) {
        const std::size_t c = index(value.consumable);
        const double noise = gauge_sd(suit_, value.consumable, noise_);
        StateMatrix covariance = matrix(result_.state);
        const double spread = covariance(c, c) + noise * noise;
        if (spread <= 0) return;  // a gauge without noise on an amount already known
        const StateVector gain = covariance.col(c) / spread;
        // The gauge shows what is left: less found than expected is more used.
        const double surprise = (full_[c] - value.found) - result_.state.used[c];
        move(gain * surprise);
        covariance -= gain * covariance.row(c);
        store(covariance, result_.state);
    }

    void move(const StateVector& by) {
        SuitState& state = result_.state;
        for (std::size_t c = 0; c < consumable_count; ++c) state.used[c] = std::max(0.0, state.used[c] + by(c));
        const auto of = [&by](FactorIndex factor) { return by(consumable_count + factor); };
        // Held where a living person and a working suit can be, so that wild readings never make a draw negative.
        state.factors.metabolic = std::clamp(state.factors.metabolic + of(metabolic_factor), 0.2, 4.0);
        state.factors.step = std::clamp(state.factors.step + of(step_factor), -0.9 * state.factors.metabolic, 4.0);
        state.factors.co2_ratio = std::clamp(state.factors.co2_ratio + of(co2_factor), 0.5, 3.0);
        state.factors.extra_heat += Watts{of(heat_factor)};
        state.factors.electrical = std::clamp(state.factors.electrical + of(electrical_factor), 0.2, 5.0);
        state.factors.leak = KilogramsPerHour{std::max(0.0, state.factors.leak.value() + of(leak_factor))};
    }

    const SuitType& suit_;
    std::span<const Load> loads_;
    const Noise& noise_;
    const std::set<ValueKey>& contradicted_;
    std::optional<ValueKey> contradiction_;
    Amounts full_;
    Pet started_{};
    std::array<std::optional<Accepted>, consumable_count> accepted_;
    std::array<std::optional<Seen>, consumable_count> seen_;
    Estimate result_;
};

}  // namespace

bool excludes(Remark remark) {
    switch (remark) {
        case Remark::repeated:
        case Remark::conflicting:
        case Remark::not_carried:
        case Remark::impossible:
        case Remark::before_start:
        case Remark::after_end:
        case Remark::rises:
        case Remark::far_above:
        case Remark::contradicted:
            return true;
        case Remark::out_of_order:
        case Remark::rises_in_noise:
        case Remark::far_below:
        case Remark::after_gap:
            return false;
    }
    return true;
}

std::string_view word(Remark remark) {
    switch (remark) {
        case Remark::repeated:
            return "the same value a second time";
        case Remark::conflicting:
            return "another value for the same time";
        case Remark::not_carried:
            return "this suit does not carry it";
        case Remark::impossible:
            return "a gauge cannot show this";
        case Remark::before_start:
            return "before the forecast begins";
        case Remark::after_end:
            return "after the last activity of the timeline";
        case Remark::rises:
            return "rises where it cannot";
        case Remark::far_above:
            return "far more than believed possible";
        case Remark::contradicted:
            return "far less than believed possible, and a later value rises above it";
        case Remark::out_of_order:
            return "logged late";
        case Remark::rises_in_noise:
            return "rises, within the gauge's noise";
        case Remark::far_below:
            return "far less than believed possible";
        case Remark::after_gap:
            return "the first after a gap";
    }
    return {};
}

bool JudgedValue::used() const { return std::none_of(remarks.begin(), remarks.end(), excludes); }

std::string sentence(const JudgedValue& value) {
    std::string text = fmt::format("{} {} {:.4g} {}", print_pet(value.at), word(value.consumable), value.found,
                                   unit(value.consumable));
    for (std::size_t i = 0; i < value.remarks.size(); ++i)
        text += fmt::format("{}{}", i == 0 ? ": " : ", ", word(value.remarks[i]));
    if (value.expected) text += fmt::format(" (expected {:.4g})", *value.expected);
    return text + (value.used() ? "; used." : "; not used.");
}

bool Estimate::stale(Pet now, const Noise& noise) const { return now - last_used.value_or(Pet{}) > noise.stale_after; }

Estimate estimate(const SuitType& suit, std::span<const Load> loads, std::span<const Reading> readings,
                  const SuitState& begin, const Noise& noise) {
    std::vector<bool> late(readings.size(), false);
    for (std::size_t i = 0; i < readings.size(); ++i)
        late[i] = std::any_of(readings.begin(), readings.begin() + static_cast<std::ptrdiff_t>(i),
                              [&](const Reading& earlier) { return earlier.at > readings[i].at; });
    std::vector<std::size_t> in_time(readings.size());
    std::iota(in_time.begin(), in_time.end(), std::size_t{0});
    std::stable_sort(in_time.begin(), in_time.end(),
                     [&](std::size_t a, std::size_t b) { return readings[a].at < readings[b].at; });
    std::set<ValueKey> contradicted;
    for (;;) {
        Filter filter(suit, loads, begin, noise, contradicted);
        for (std::size_t i : in_time) filter.take(readings[i], i, late[i]);
        if (!filter.contradiction()) return std::move(filter).result();
        contradicted.insert(*filter.contradiction());
    }
}

Estimate estimate(const SuitType& suit, std::span<const Load> loads, std::span<const Reading> readings,
                  const Noise& noise) {
    return estimate(suit, loads, readings, unread(suit, loads.empty() ? Pet{} : loads.front().start, noise), noise);
}

double gauge_sd(const SuitType& suit, Consumable consumable, const Noise& noise) {
    const double full = capacity(suit)[index(consumable)];
    if (!std::isfinite(full)) return 0;
    return full * (consumable == Consumable::co2 ? noise.co2_gauge : noise.gauge);
}

}  // namespace handrail::lifesupport
