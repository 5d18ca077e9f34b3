#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "risk/random.h"
#include "risk/simulate.h"

/// The replay as one would write it down: one run, one step after the other, no lanes, no masks. The fast one must
/// agree with it.
namespace handrail::risk::detail::slow {

struct Result {
    float finish = 0;
    std::vector<std::uint8_t> done;
    bool reserve_kept = true;
};

class Run {
public:
    Run(const Ground& ground, Programs& programs, const Factors& factors, const Policy& policy, std::uint64_t seed,
        std::uint32_t run)
        : g_(ground), programs_(programs), policy_(policy) {
        Stream stream(seed, run);
        for (int s = 0; s < ground.model->slots().count; ++s) raw_.push_back(stream.next());
        const Slots& slots = ground.model->slots();
        const auto z = [&](int slot) { return normal_quantile(unit(raw_[static_cast<std::size_t>(slot)])); };
        const std::array deviates{z(slots.day), z(slots.person[0]), z(slots.person[1])};
        std::array<double, 3> logs = factors.mean;
        for (std::size_t i = 0; i < 3; ++i)
            for (std::size_t k = 0; k <= i; ++k) logs[i] += factors.spread[i][k] * deviates[k];
        factor_ = {1.0f, static_cast<float>(std::exp(logs[0] + logs[1])),
                   static_cast<float>(std::exp(logs[0] + logs[2])), 0};
        factor_[3] = std::max(factor_[1], factor_[2]);
        for (std::size_t c = 0; c < 2; ++c)
            metabolic_[c] = static_cast<float>(std::exp(
                factors.metabolic_mean[c] + factors.metabolic_sigma[c] * std::clamp(z(slots.metabolic[c]), -4.2, 4.2)));
    }

    Result go() {
        Kept kept = programs_.whole().kept;
        for (;;) {
            const auto less = attempt(programs_.at(kept));
            if (!less) return result_;
            auto& keeps = kept[static_cast<std::size_t>(less->first)];
            keeps = std::min(keeps, static_cast<std::uint8_t>(less->second));
        }
    }

private:
    using Less = std::pair<int, int>;  // task, how many of its steps are kept

    float draw(const Draw& d) const {
        return (d.offset + d.scale * QuantileTable::look_up(d.table, raw_[static_cast<std::size_t>(d.slot)])) *
               factor_[d.mask];
    }
    float lit(float t) const {
        float cell = std::clamp(t / Ground::sunlit_step, 0.0f, static_cast<float>(g_.sunlit.size() - 2));
        const auto k = static_cast<std::size_t>(cell);
        return g_.sunlit[k] + (g_.sunlit[k + 1] - g_.sunlit[k]) * (cell - static_cast<float>(k));
    }
    float used(std::size_t c, std::size_t k, float t) const {
        const Suit& s = g_.suits[c];
        return s.base[k] + s.rate[k] * (t - s.from) +
               metabolic_[c] * s.per_watt[k] * (s.rest_watts * (t - s.from) + excess_[c]) +
               s.lit[k] * (lit(t) - lit(s.from));
    }
    /// Glove checks that fall due before something of this length can be done at `start`.
    void checks(std::size_t c, float& start, float length, float& last, int& count) const {
        last = checked_[c];
        count = 0;
        if (g_.check_every <= 0) return;
        float free = free_[c];
        while (start + length > last + g_.check_every && count < 24) {
            if (last == start && length > g_.check_every) break;
            const float due = last + g_.check_every;
            float at = std::max(free, start - g_.check);
            if (at > due) at = std::max(free, due);
            last = free = at + g_.check;
            start = std::max(start, free);
            ++count;
        }
    }
    void commit_checks(std::size_t c, float last, int count) {
        checked_[c] = last;
        excess_[c] += static_cast<float>(count) * g_.check_excess[c];
    }
    /// The first allowed start, or none.
    static std::optional<float> window(const Program& p, Range ranges, float start) {
        if (ranges.empty()) return start;
        for (int r = ranges.first; r < ranges.last; ++r) {
            const auto& range = p.starts[static_cast<std::size_t>(r)];
            if (start <= static_cast<float>(range.to)) return std::max(start, static_cast<float>(range.from));
        }
        return std::nullopt;
    }
    Less nothing_left() const { return {-1, 0}; }

    void come_home(const Program& p, std::size_t row, float at_airlock) {
        const float clean_up = draw(g_.clean_up_draw);
        const float ingress = draw(g_.ingress_draw);
        result_.finish = at_airlock + clean_up + ingress;
        result_.done = p.done[row];
        result_.reserve_kept = true;
        for (std::size_t c = 0; c < 2; ++c) {
            excess_[c] += clean_up * g_.clean_up_excess[c] + ingress * g_.ingress_excess[c];
            for (std::size_t k = 0; k < static_cast<std::size_t>(g_.suits[c].count); ++k)
                if (used(c, k, result_.finish) > g_.suits[c].usable[k]) result_.reserve_kept = false;
        }
    }

    /// What to leave out before this decision; a task of -1: nothing; none: the run went home.
    std::optional<Less> decide(const Program& p, const Decision& d, std::size_t number) {
        if (d.must) return nothing_left();
        float now = 0;
        for (std::size_t c = 0; c < 2; ++c)
            if (d.crew >> c & 1u) now = std::max(now, free_[c]);
        std::optional<float> start = now + d.approach;
        std::size_t node = static_cast<std::size_t>(d.node);
        while (p.nodes[node].op != Op::unit) ++node;
        for (int i = p.nodes[node].parts.first; i < p.nodes[node].parts.last && start; ++i)
            start = window(p, p.parts[static_cast<std::size_t>(i)].starts, *start);
        float gate = d.first && d.optional ? d.latest_whole : never;
        if (d.first && !policy_.gate.empty()) gate = std::min(gate, policy_.gate[static_cast<std::size_t>(d.task)]);
        const bool gated = d.first && !policy_.gate.empty();
        bool stop = now > gate || !start || (!gated && *start > (policy_.sure ? d.latest_sure : d.latest_start));
        for (std::size_t c = 0; c < 2; ++c) {
            if (!(d.crew >> c & 1u)) continue;
            const Home::Need& need = policy_.sure && !gated ? d.home[c].sure : d.home[c].likely;
            const Suit& suit = g_.suits[c];
            for (std::size_t k = 0; k < static_cast<std::size_t>(suit.count); ++k)
                stop = stop || used(c, k, now) + need.seconds * (suit.rate[k] + std::max(0.0f, suit.lit[k])) +
                                       need.watt_s * suit.per_watt[k] * metabolic_[c] >
                                   suit.usable[k];
        }
        if (!stop) return nothing_left();
        if (d.first && (d.optional || now > gate)) return Less{d.task, 0};
        if (!start) return Less{d.task, d.number};
        float at_airlock = 0;
        for (std::size_t c = 0; c < 2; ++c) {
            const float pace = factor_[c + 1];
            const float close_up = d.home[c].close_up * pace;
            const float way = d.home[c].way * draw(g_.home_draw[c]);
            excess_[c] += d.home[c].close_up_excess * pace + way * g_.way_excess[c];
            at_airlock = std::max(at_airlock, free_[c] + close_up + way);
        }
        come_home(p, number, at_airlock);
        return std::nullopt;
    }

    /// Nothing: the run is home, result_ says how. Else what must be left out first.
    std::optional<Less> attempt(const Program& p) {
        free_ = p.begin.free;
        checked_ = p.begin.checked;
        heavy_ = p.begin.heavy;
        heavy_until_ = p.begin.heavy_until;
        excess_ = p.begin.excess;
        float arm = p.begin.arm, iv = p.begin.iv, ground = p.begin.ground, voice = p.begin.voice;
        std::vector<float> ends = p.planned_end;
        for (const Node& node : p.nodes) {
            if (node.decision >= 0 && policy_.drop) {
                const auto number = static_cast<std::size_t>(node.decision);
                const auto less = decide(p, p.decisions[number], number);
                if (!less) return std::nullopt;
                if (less->first >= 0) return less;
            }
            float start = 0;
            const auto wait = [&] {
                for (int w = node.waits.first; w < node.waits.last; ++w) {
                    const Wait& one = p.waits[static_cast<std::size_t>(w)];
                    start = std::max(start, ends[static_cast<std::size_t>(one.end)] + one.gap);
                }
            };
            float last = 0;
            int count = 0;
            if (node.op == Op::egress) {
                start = std::max(free_[0], free_[1]);
                const float time = draw(node.draw);
                for (std::size_t c = 0; c < 2; ++c) {
                    free_[c] = checked_[c] = start + time;
                    excess_[c] += g_.ingress_excess[c] * time;
                }
            } else if (node.op == Op::solo) {
                const std::size_t c = node.crew;
                start = free_[c];
                wait();
                checks(c, start, node.planned, last, count);
                const float time = draw(node.draw);
                commit_checks(c, last, count);
                excess_[c] += node.excess * time;
                free_[c] = start + time;
                if (node.end >= 0) ends[static_cast<std::size_t>(node.end)] = free_[c];
            } else if (node.op == Op::home) {
                start = std::max(free_[0], free_[1]);
                for (int round = 0; round < 4; ++round)
                    for (std::size_t c = 0; c < 2; ++c) checks(c, start, 0, last, count);
                for (std::size_t c = 0; c < 2; ++c) {
                    float at = start;
                    checks(c, at, 0, last, count);
                    commit_checks(c, last, count);
                }
                come_home(p, p.decisions.size(), start);
                return std::nullopt;
            } else {
                const auto less = unit_at(p, node, ends, arm, iv, ground, voice);
                if (less) return less;
            }
        }
        return std::nullopt;
    }

    std::optional<Less> unit_at(const Program& p, const Node& node, std::vector<float>& ends, float& arm, float& iv,
                                float& ground, float& voice) {
        float start = node.floor;
        for (int w = node.waits.first; w < node.waits.last; ++w) {
            const Wait& one = p.waits[static_cast<std::size_t>(w)];
            start = std::max(start, ends[static_cast<std::size_t>(one.end)] + one.gap);
        }
        std::vector<const Part*> parts;
        for (int i = node.parts.first; i < node.parts.last; ++i) parts.push_back(&p.parts[static_cast<std::size_t>(i)]);
        for (const Part* part : parts) {
            for (std::size_t c = 0; c < 2; ++c)
                if (part->crew >> c & 1u) start = std::max(start, free_[c]);
            if (part->arm) start = std::max(start, arm + part->arm_move);
            if (part->iv) start = std::max(start, iv);
            if (part->ground) start = std::max(start, ground);
            if (g_.one_voice && part->crew) start = std::max(start, voice);
        }
        for (;;) {
            const float was = start;
            for (const Part* part : parts) {
                const auto allowed = window(p, part->starts, start);
                if (!allowed) return Less{parts.front()->task, parts.front()->number};
                start = *allowed;
            }
            for (const Part* part : parts)
                for (std::size_t c = 0; c < 2; ++c) {
                    if (!(part->crew >> c & 1u)) continue;
                    if (part->heavy && heavy_[c] > 0 && heavy_[c] + part->planned > g_.heavy_limit &&
                        start - heavy_until_[c] < g_.rest)
                        start = heavy_until_[c] + g_.rest;
                    float last = 0;
                    int count = 0;
                    checks(c, start, part->planned, last, count);
                }
            if (start == was || node.alone) break;
        }
        std::optional<Less> lost;
        for (const Part* part : parts) {
            float time = draw(part->draw);
            for (std::size_t c = 0; c < 2; ++c)
                if (part->crew >> c & 1u) excess_[c] += part->excess[c] * time;
            for (int t = part->troubles.first; t < part->troubles.last; ++t) {
                const TroubleAt& trouble = p.troubles[static_cast<std::size_t>(t)];
                const std::uint32_t raw = raw_[static_cast<std::size_t>(trouble.slot)];
                if (raw >= trouble.below) continue;
                const double u = (raw + 0.5) / trouble.below;
                const float extra =
                    trouble.offset + trouble.scale * QuantileTable::look_up(trouble.table, QuantileTable::bits_of(u));
                time += extra;
                for (std::size_t c = 0; c < 2; ++c)
                    if (part->crew >> c & 1u) excess_[c] += trouble.excess[c] * extra;
                if (trouble.gives_up && part->rest_droppable && policy_.drop && !lost)
                    lost = Less{part->task, part->number + 1};
            }
            const float end = start + time;
            ends[static_cast<std::size_t>(part->end)] = end;
            for (std::size_t c = 0; c < 2; ++c) {
                if (!(part->crew >> c & 1u)) continue;
                float at = start;
                float last = 0;
                int count = 0;
                checks(c, at, part->planned, last, count);
                // A single step's start already holds its check: what is due was counted when it moved.
                commit_checks(c, last, count);
                if (part->heavy) {
                    if (start - heavy_until_[c] >= g_.rest) heavy_[c] = 0;
                    heavy_[c] += time;
                    heavy_until_[c] = end;
                }
                free_[c] = end;
            }
            if (part->arm) arm = end;
            if (part->iv) iv = end;
            if (part->ground) ground = end;
            if (part->crew) voice = end;
        }
        return lost;
    }

    const Ground& g_;
    Programs& programs_;
    const Policy& policy_;
    std::vector<std::uint32_t> raw_;
    std::array<float, 4> factor_{};
    std::array<float, 2> metabolic_{};
    std::array<float, 2> free_{}, checked_{}, heavy_{}, heavy_until_{}, excess_{};
    Result result_;
};

}  // namespace handrail::risk::detail::slow
