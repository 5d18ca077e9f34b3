#include "risk/replay_walk.h"

#include <algorithm>

namespace handrail::risk::detail {

float Walk::sunlit(float t) const {
    const float cell = std::clamp(t / Ground::sunlit_step, 0.0f, static_cast<float>(g_.sunlit.size() - 2));
    const auto k = static_cast<std::size_t>(cell);
    return g_.sunlit[k] + (g_.sunlit[k + 1] - g_.sunlit[k]) * (cell - static_cast<float>(k));
}

float Walk::used(std::size_t c, std::size_t k, float t, int i, float lit) const {
    const Suit& suit = g_.suits[c];
    const float passed = t - suit.from;
    return suit.base[k] + suit.rate[k] * passed +
           s_.metabolic[c][i] * suit.per_watt[k] * (suit.rest_watts * passed + s_.excess[c][i]) + suit.lit[k] * lit;
}

/// One lane's time, as sample() gives it.
float Walk::sampled(const Draw& draw, int i) const {
    return (draw.offset + draw.scale * QuantileTable::look_up(draw.table, s_.bits(draw.slot, i))) *
           s_.factor[draw.mask][i];
}

void Walk::finish(int i, std::size_t row, float end) {
    Outcome outcome;
    outcome.program = &program_;
    outcome.run = s_.run[static_cast<std::size_t>(i)];
    outcome.row = static_cast<std::uint16_t>(row);
    outcome.finish = end;
    for (std::size_t c = 0; c < 2; ++c) {
        const Suit& suit = g_.suits[c];
        const float lit = sunlit(end) - sunlit(suit.from);
        float left = never;
        for (std::size_t k = 0; k < static_cast<std::size_t>(suit.count); ++k) {
            const float drawn = used(c, k, end, i, lit);
            if (drawn > suit.usable[k]) outcome.reserve_kept = false;
            if (suit.per_reserve[k] > 0) left = std::min(left, (suit.full[k] - drawn) / suit.per_reserve[k]);
        }
        outcome.suit_left[c] = left;
    }
    ended_.outcomes.push_back(outcome);
    s_.active[i] = 0;
}

void Walk::divert(int i, int task, int keep) {
    ended_.diverted.push_back({&program_, s_.run[static_cast<std::size_t>(i)], static_cast<std::int16_t>(task),
                               static_cast<std::int16_t>(keep), -1, 0});
    s_.active[i] = 0;
}

void Walk::divert_at(int i, int d, int keep) {
    const Decision& decision = program_.decisions[static_cast<std::size_t>(d)];
    ended_.diverted.push_back({&program_, s_.run[static_cast<std::size_t>(i)], static_cast<std::int16_t>(decision.task),
                               static_cast<std::int16_t>(keep), d, ended_.saved.size()});
    save_lane(s_, decision, i, ended_.saved);
    s_.active[i] = 0;
}

void Walk::divert_all(const Left& left) {
    for (int i = 0; i < n; ++i)
        if (s_.active[i]) divert_at(i, left.decision, left.keep);
}

/// Straight home from where both are before decision d: close-ups, the ways, clean-up and ingress.
void Walk::start_home(int i, std::size_t d) {
    const Decision& decision = program_.decisions[d];
    float at_airlock = 0;
    for (std::size_t c = 0; c < 2; ++c) {
        const Home& home = decision.home[c];
        const float pace = s_.factor[c + 1][i];
        const float close_up = home.close_up * pace;
        const float way = home.way * sampled(g_.home_draw[c], i);
        s_.excess[c][i] += home.close_up_excess * pace + way * g_.way_excess[c];
        at_airlock = greater(at_airlock, s_.free[c][i] + close_up + way);
    }
    const float clean_up = sampled(g_.clean_up_draw, i);
    const float ingress = sampled(g_.ingress_draw, i);
    for (std::size_t c = 0; c < 2; ++c)
        s_.excess[c][i] += clean_up * g_.clean_up_excess[c] + ingress * g_.ingress_excess[c];
    finish(i, d, at_airlock + clean_up + ingress);
}

/// Lanes whose suits would not last through the step and the way home, at their wearer's own rate: by then the readings
/// have told it.
void Walk::too_little_left(const Decision& decision, const Row& now, Home::Need Home::*which, Mask& mask) const {
    for (std::size_t c = 0; c < 2; ++c) {
        if (!(decision.crew >> c & 1u)) continue;
        const Home::Need& need = decision.home[c].*which;
        std::int32_t look = 0;
        for (int i = 0; i < n; ++i) look |= now[i] > need.sure_until ? -1 : 0;
        if (look == 0) continue;
        const Suit& suit = g_.suits[c];
        const float lit_from = sunlit(suit.from);
        for (int i = 0; i < n; ++i) {
            const float lit = sunlit(now[i]) - lit_from;
            for (std::size_t k = 0; k < static_cast<std::size_t>(suit.count); ++k) {
                const float coming = need.seconds * (suit.rate[k] + greater(0.0f, suit.lit[k])) +
                                     need.watt_s * suit.per_watt[k] * s_.metabolic[c][i];
                if (used(c, k, now[i], i, lit) + coming > suit.usable[k]) mask[i] = -1;
            }
        }
    }
}

/// Go on, leave the task out, or start home. False when no lane goes on.
bool Walk::decide(const Node& node) {
    const Decision& decision = program_.decisions[static_cast<std::size_t>(node.decision)];
    if (decision.must) return true;
    Row now;
    if (decision.crew == 3)
        for (int i = 0; i < n; ++i) now[i] = greater(s_.free[0][i], s_.free[1][i]);
    else
        now = s_.free[decision.crew - 1];
    // Would the step, begun as soon as one can be there, still leave the way home?
    for (int i = 0; i < n; ++i) start_[i] = now[i] + decision.approach;
    bool windowed = false;
    const Node* unit = &node;
    while (unit->op != Op::unit) ++unit;
    for (int p = unit->parts.first; p < unit->parts.last; ++p) {
        const Range ranges = program_.parts[static_cast<std::size_t>(p)].starts;
        if (ranges.empty()) continue;
        windowed = true;
        into_window(program_, ranges, Otherwise::none, start_);
    }
    // A gate's question is what happens when the task is begun.
    const bool asked = from_.begin && from_.decision == node.decision;
    float gate = never;
    if (decision.first && decision.optional && !asked) gate = decision.latest_whole;
    if (decision.first && !policy_.gate.empty() && !asked)
        gate = std::min(gate, policy_.gate[static_cast<std::size_t>(decision.task)]);
    // Where a gate is agreed, the gate decides, not the rule for a single step.
    const bool gated = decision.first && !policy_.gate.empty();
    const float latest = asked || gated ? never : policy_.sure ? decision.latest_sure : decision.latest_start;
    Mask mask;
    for (int i = 0; i < n; ++i)
        mask[i] = (now[i] > gate ? -1 : 0) | (start_[i] > latest ? -1 : 0) | (start_[i] == never ? -1 : 0);
    too_little_left(decision, now, policy_.sure && !asked && !gated ? &Home::sure : &Home::likely, mask);
    for (int i = 0; i < n; ++i) mask[i] &= s_.active[i];
    if (!any(mask)) return true;
    return leave_at(node, mask, now, gate, windowed);
}

/// The lanes of the mask leave the task or the rest of it out, or start home. False when no lane goes on.
bool Walk::leave_at(const Node& node, const Mask& mask, const Row& now, float gate, bool windowed) {
    const Decision& decision = program_.decisions[static_cast<std::size_t>(node.decision)];
    const bool asked = from_.begin && from_.decision == node.decision;
    constexpr int straight_home = -1;
    const auto keeps = [&](int i) {
        if (!asked && decision.first && (decision.optional || now[i] > gate)) return 0;
        return windowed && start_[i] == never ? decision.number : straight_home;
    };
    // With fewer than this it is better to join others who leave out the same later.
    constexpr int most = n * 3 / 4;
    int active = 0, alike = 0, keep = straight_home;
    for (int i = 0; i < n; ++i) {
        active += s_.active[i] ? 1 : 0;
        if (!mask[i]) continue;
        const int kept = keeps(i);
        if (alike == 0) keep = kept;
        alike += kept == keep ? 1 : 0;
    }
    if (alike == active && active >= most && keep != straight_home) {
        left_ = {node.decision, decision.task, keep};
        return false;
    }
    for (int i = 0; i < n; ++i) {
        if (!mask[i]) continue;
        if (const int kept = keeps(i); kept != straight_home)
            divert_at(i, node.decision, kept);
        else
            start_home(i, static_cast<std::size_t>(node.decision));
    }
    return any(s_.active);
}

void Walk::egress(const Node& node) {
    sample(node.draw, s_.raw, s_.factor, time_);
    for (int i = 0; i < n; ++i) begun_[i] = greater(s_.free[0][i], s_.free[1][i]) + s_.late[i];
    for (std::size_t c = 0; c < 2; ++c)
        for (int i = 0; i < n; ++i) {
            s_.free[c][i] = s_.checked[c][i] = begun_[i] + time_[i];
            s_.excess[c][i] += g_.ingress_excess[c] * time_[i];
        }
}

void Walk::solo(const Node& node) {
    const std::size_t c = node.crew;
    sample(node.draw, s_.raw, s_.factor, time_);
    begun_ = s_.free[c];
    if (!node.waits.empty()) wait_for(program_, node.waits, s_.ends, begun_);
    if (s_.any_hold) past_hold(s_.hold_from, s_.hold_to, begun_);
    fit(g_, s_.free[c], s_.checked[c], node.planned, begun_, last_, count_);
    for (int i = 0; i < n; ++i) {
        s_.free[c][i] = begun_[i] + time_[i];
        s_.checked[c][i] = last_[i];
        s_.excess[c][i] += node.excess * time_[i] + count_[i] * g_.check_excess[c];
    }
    if (node.end >= 0) s_.ends[static_cast<std::size_t>(node.end)] = s_.free[c];
}

/// When everything and everybody a unit needs is there, and how long its parts take.
void Walk::ready(const Node& node) {
    begun_.fill(node.floor);
    if (!node.waits.empty()) wait_for(program_, node.waits, s_.ends, begun_);
    of_crew_ = {};
    windowed_ = false;
    const auto after = [&](const Row& free, float gap) {
        for (int i = 0; i < n; ++i) begun_[i] = greater(begun_[i], free[i] + gap);
    };
    for (int p = node.parts.first; p < node.parts.last; ++p) {
        const Part& part = program_.parts[static_cast<std::size_t>(p)];
        sample(part.draw, s_.raw, s_.factor, s_.part_time[static_cast<std::size_t>(p - node.parts.first)]);
        windowed_ = windowed_ || !part.starts.empty();
        for (std::size_t c = 0; c < 2; ++c) {
            if (!(part.crew >> c & 1u)) continue;
            of_crew_[c] = &part;
            after(s_.free[c], 0);
        }
        if (part.arm) after(s_.arm, part.arm_move);
        if (part.iv) after(s_.iv, 0);
        if (part.ground) after(s_.ground, 0);
        if (g_.one_voice && part.crew != 0) after(s_.voice, 0);
    }
}

/// Windows, holds, rests and glove checks move the start until it suits them all.
void Walk::settle_start(const Node& node) {
    for (int round = 0; round < 24; ++round) {
        const Row was = begun_;
        if (windowed_)
            for (int p = node.parts.first; p < node.parts.last; ++p) {
                const Range ranges = program_.parts[static_cast<std::size_t>(p)].starts;
                if (!ranges.empty())
                    into_window(program_, ranges, policy_.drop ? Otherwise::none : Otherwise::at_once, begun_);
            }
        if (s_.any_hold) past_hold(s_.hold_from, s_.hold_to, begun_);
        for (std::size_t c = 0; c < 2; ++c) {
            if (!of_crew_[c]) continue;
            const Part& part = *of_crew_[c];
            if (part.heavy)
                for (int i = 0; i < n; ++i) {
                    const float heavy = s_.heavy[c][i];
                    const float rested = s_.heavy_until[c][i] + g_.rest;
                    const bool tired = (heavy > 0) & (heavy + part.planned > g_.heavy_limit) & (begun_[i] < rested);
                    begun_[i] = tired ? rested : begun_[i];
                }
            fit(g_, s_.free[c], s_.checked[c], part.planned, begun_, last_of_[c], count_of_[c]);
        }
        if (node.alone && !s_.any_hold) return;
        std::int32_t moved = 0;
        for (int i = 0; i < n; ++i) moved |= begun_[i] != was[i] ? -1 : 0;
        if (moved == 0) return;
    }
}

/// Lanes for which there is no window left give the task up here. False when no lane goes on.
bool Walk::miss_windows(const Node& node) {
    const Part& part = program_.parts[static_cast<std::size_t>(node.parts.first)];
    for (int i = 0; i < n; ++i)
        if (begun_[i] == never && s_.active[i]) divert(i, part.task, part.number);
    return any(s_.active);
}

/// Troubles of one part, lane by lane: they are rare.
void Walk::strike(const Part& part, Row& spent) {
    for (int t = part.troubles.first; t < part.troubles.last; ++t) {
        const TroubleAt& trouble = program_.troubles[static_cast<std::size_t>(t)];
        const auto& raw = s_.raw[static_cast<std::size_t>(trouble.slot)];
        for (int i = 0; i < n; ++i) {
            if (raw[i] >= trouble.below) continue;
            // Given that it happens, the same number is uniform again.
            const double u = (raw[i] + 0.5) / trouble.below;
            const float extra =
                trouble.offset + trouble.scale * QuantileTable::look_up(trouble.table, QuantileTable::bits_of(u));
            spent[i] += extra;
            for (std::size_t c = 0; c < 2; ++c)
                if (part.crew >> c & 1u) s_.excess[c][i] += trouble.excess[c] * extra;
            if (trouble.gives_up && part.rest_droppable && policy_.drop && s_.active[i]) {
                lost_[i] = part.task + 1;
                any_lost_ = true;
            }
        }
    }
}

/// The part takes its people and things until its end.
void Walk::occupy(const Part& part, const Row& spent) {
    Row& end = s_.ends[static_cast<std::size_t>(part.end)];
    for (int i = 0; i < n; ++i) end[i] = begun_[i] + spent[i];
    for (std::size_t c = 0; c < 2; ++c) {
        if (!(part.crew >> c & 1u)) continue;
        if (part.heavy)
            for (int i = 0; i < n; ++i) {
                const bool rested = begun_[i] >= s_.heavy_until[c][i] + g_.rest;
                s_.heavy[c][i] = (rested ? 0.0f : s_.heavy[c][i]) + spent[i];
                s_.heavy_until[c][i] = end[i];
            }
        s_.free[c] = end;
    }
    if (part.arm) s_.arm = end;
    if (part.iv) s_.iv = end;
    if (part.ground) s_.ground = end;
    if (part.crew != 0) s_.voice = end;
}

void Walk::spend(const Node& node) {
    for (std::size_t c = 0; c < 2; ++c) {
        if (!of_crew_[c]) continue;
        for (int i = 0; i < n; ++i) {
            s_.checked[c][i] = last_of_[c][i];
            s_.excess[c][i] += count_of_[c][i] * g_.check_excess[c];
        }
    }
    lost_.fill(0);
    any_lost_ = false;
    for (int p = node.parts.first; p < node.parts.last; ++p) {
        const Part& part = program_.parts[static_cast<std::size_t>(p)];
        Row& spent = s_.part_time[static_cast<std::size_t>(p - node.parts.first)];
        for (std::size_t c = 0; c < 2; ++c)
            if (part.crew >> c & 1u)
                for (int i = 0; i < n; ++i) s_.excess[c][i] += part.excess[c] * spent[i];
        if (!part.troubles.empty()) strike(part, spent);
        occupy(part, spent);
        if (any_lost_)
            for (int i = 0; i < n; ++i)
                if (lost_[i] == part.task + 1 && s_.active[i]) divert(i, part.task, part.number + 1);
    }
}

bool Walk::unit(const Node& node) {
    ready(node);
    settle_start(node);
    if (windowed_ && policy_.drop && !miss_windows(node)) return false;
    spend(node);
    return !any_lost_ || any(s_.active);
}

void Walk::home() {
    for (int i = 0; i < n; ++i) begun_[i] = greater(s_.free[0][i], s_.free[1][i]);
    if (s_.any_hold) past_hold(s_.hold_from, s_.hold_to, begun_);
    for (int round = 0; round < 4; ++round) {
        const Row was = begun_;
        for (std::size_t c = 0; c < 2; ++c) fit(g_, s_.free[c], s_.checked[c], 0, begun_, last_of_[c], count_of_[c]);
        if (begun_ == was) break;
    }
    for (std::size_t c = 0; c < 2; ++c) {
        Row at = begun_;
        fit(g_, s_.free[c], s_.checked[c], 0, at, last_, count_);
        for (int i = 0; i < n; ++i) s_.excess[c][i] += count_[i] * g_.check_excess[c];
    }
    finished_ = begun_;
    const auto both = [&](const Draw& draw, const std::array<float, 2>& excess) {
        sample(draw, s_.raw, s_.factor, time_);
        for (int i = 0; i < n; ++i) finished_[i] += time_[i];
        for (std::size_t c = 0; c < 2; ++c)
            for (int i = 0; i < n; ++i) s_.excess[c][i] += excess[c] * time_[i];
    };
    both(g_.clean_up_draw, g_.clean_up_excess);
    both(g_.ingress_draw, g_.ingress_excess);
    for (int i = 0; i < n; ++i)
        if (s_.active[i]) finish(i, program_.decisions.size(), finished_[i]);
}

const Row& Walk::end(const Node& node) const {
    switch (node.op) {
        case Op::solo:
            return s_.free[node.crew];
        case Op::egress:
            return s_.free[0];
        case Op::unit:
            return s_.ends[static_cast<std::size_t>(program_.parts[static_cast<std::size_t>(node.parts.last - 1)].end)];
        case Op::home:
            return finished_;
    }
    return finished_;
}

bool Walk::pass(const Node& node) {
    if (node.decision >= 0 && policy_.drop && !decide(node)) return false;
    switch (node.op) {
        case Op::egress:
            egress(node);
            return true;
        case Op::solo:
            solo(node);
            return true;
        case Op::unit:
            return unit(node);
        case Op::home:
            home();
            return false;
    }
    return false;
}

}  // namespace handrail::risk::detail
