#include "risk/replay.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include "risk/random.h"

// Deliberately plain loops over `lanes` elements: each is one vector statement. Rare things (a trouble, a task left
// out, starting home) are handled lane by lane.
namespace handrail::risk::detail {
namespace {

constexpr int n = lanes;
using Row = std::array<float, n>;

void copy(Row& to, float value) { to.fill(value); }
float greater(float a, float b) { return a > b ? a : b; }

bool any(const std::array<std::int32_t, n>& mask) {
    std::int32_t sum = 0;
    for (int i = 0; i < n; ++i) sum |= mask[i];
    return sum != 0;
}

/// The table's quantiles at the lanes' random bits; QuantileTable::look_up, lane by lane.
void look_up(const float* table, const std::uint32_t* raw, Row& value) {
    alignas(64) std::array<std::int32_t, n> place;
    alignas(64) Row rest;
    for (int i = 0; i < n; ++i) {
        const auto m = static_cast<std::int32_t>(raw[i] & 0x7fffffffu);
        float f = static_cast<float>(m);
        f = f > 65536.0f ? f : 65536.0f;
        std::int32_t bits = 0;
        std::memcpy(&bits, &f, sizeof bits);
        const std::int32_t upper = -static_cast<std::int32_t>(raw[i] >> 31) & QuantileTable::half;
        place[i] = (bits >> 18) - QuantileTable::first + upper;
        rest[i] = static_cast<float>(bits & 0x3ffff) * 0x1.0p-18f;
    }
    for (int i = 0; i < n; ++i) {
        const float* at = table + place[i];
        value[i] = at[0] + (at[1] - at[0]) * rest[i];
    }
}

}  // namespace

namespace {

std::size_t first_node_of(const Program& program, From from) {
    if (from.decision < 0) return 0;
    const auto d = static_cast<std::size_t>(from.decision);
    return static_cast<std::size_t>(d < program.decisions.size() ? program.decisions[d].node : program.home_node);
}

}  // namespace

struct Replayer::State {
    alignas(64) std::array<Row, 2> free, checked, heavy, heavy_until, excess, metabolic;
    alignas(64) Row arm, iv, ground, voice;
    alignas(64) std::array<Row, 4> factor;
    alignas(64) Row hold_from, hold_to, late;
    alignas(64) std::array<std::int32_t, n> active;
    bool any_hold = false;
    std::vector<std::array<std::uint32_t, n>> raw;  ///< by slot
    std::vector<Row> ends;
    std::vector<Row> part_time;  ///< by part of the unit at hand
    std::array<std::uint32_t, n> run{};
};

Replayer::Replayer(const Ground& ground, const Factors& factors, std::uint64_t seed)
    : ground_(ground), factors_(factors), seed_(seed), state_(std::make_unique<State>()) {
    state_->raw.resize(static_cast<std::size_t>(ground.model->slots().count));
    state_->part_time.resize(8);
}
Replayer::~Replayer() = default;

std::span<const std::uint32_t> Replayer::raw(int slot) const { return state_->raw[static_cast<std::size_t>(slot)]; }

/// Every number of the runs, and the factors and troubles that belong to a run as a whole.
void Replayer::draw(const Program& program, std::span<const std::uint32_t> runs) {
    State& s = *state_;
    alignas(64) std::array<std::uint32_t, n> s0, s1, s2, s3;
    for (int i = 0; i < n; ++i) {
        // Lanes without a run repeat the last one and are never looked at.
        const std::size_t at = std::min(static_cast<std::size_t>(i), runs.size() - 1);
        s.run[static_cast<std::size_t>(i)] = runs[at];
        s.active[i] = static_cast<std::size_t>(i) < runs.size() ? -1 : 0;
        const Stream stream(seed_, runs[at]);
        s0[i] = stream.s0;
        s1[i] = stream.s1;
        s2[i] = stream.s2;
        s3[i] = stream.s3;
    }
    for (auto& row : s.raw)
        for (int i = 0; i < n; ++i) {  // Stream::next
            const std::uint32_t sum = s0[i] + s3[i];
            row[i] = ((sum << 7) | (sum >> 25)) + s0[i];
            const std::uint32_t t = s1[i] << 9;
            s2[i] ^= s0[i];
            s3[i] ^= s1[i];
            s1[i] ^= s2[i];
            s0[i] ^= s3[i];
            s2[i] ^= t;
            s3[i] = (s3[i] << 11) | (s3[i] >> 21);
        }

    const Slots& slots = ground_.model->slots();
    const auto bits = [&](int slot, int i) { return s.raw[static_cast<std::size_t>(slot)][static_cast<std::size_t>(i)]; };
    for (int i = 0; i < n; ++i) {
        const std::array z{normal_quantile(unit(bits(slots.day, i))), normal_quantile(unit(bits(slots.person[0], i))),
                           normal_quantile(unit(bits(slots.person[1], i)))};
        std::array<double, 3> logarithm = factors_.mean;
        for (std::size_t a = 0; a < 3; ++a)
            for (std::size_t b = 0; b <= a; ++b) logarithm[a] += factors_.spread[a][b] * z[b];
        s.factor[0][i] = 1;
        s.factor[1][i] = static_cast<float>(std::exp(logarithm[0] + logarithm[1]));
        s.factor[2][i] = static_cast<float>(std::exp(logarithm[0] + logarithm[2]));
        s.factor[3][i] = greater(s.factor[1][i], s.factor[2][i]);  // together they go at the slower one's pace
        for (std::size_t c = 0; c < 2; ++c) {
            const double deviate = std::clamp(normal_quantile(unit(bits(slots.metabolic[c], i))), -4.2, 4.2);
            s.metabolic[c][i] =
                static_cast<float>(std::exp(factors_.metabolic_mean[c] + factors_.metabolic_sigma[c] * deviate));
        }
    }

    copy(s.late, 0);
    copy(s.hold_from, never);
    copy(s.hold_to, never);
    s.any_hold = false;
    const auto& troubles = ground_.model->risk().troubles;
    for (std::size_t t = 0; t < troubles.size(); ++t) {
        const Slots::ForTrouble& slot = slots.outing_trouble[t];
        if (slot.happens == no_slot) continue;
        const double p = troubles[t].probability.value();
        const auto low = static_cast<float>(troubles[t].extra.low.count());
        const float width = static_cast<float>(troubles[t].extra.high.count()) - low;
        for (int i = 0; i < n; ++i) {
            const double u = unit(bits(slot.happens, i));
            if (u >= p) continue;
            const float extra = low + width * ground_.model->extra(t).at(QuantileTable::bits_of(u / p));
            if (troubles[t].kind == Trouble::Kind::late_start) {
                s.late[i] += extra;
                continue;
            }
            // One hold a run: the last one named wins, which matters only when two strike.
            s.hold_from[i] = static_cast<float>(unit(bits(slot.when, i))) * program.planned_finish;
            s.hold_to[i] = s.hold_from[i] + extra;
            s.any_hold = true;
        }
    }
}

void Replayer::begin(const Program& program, From from) {
    State& s = *state_;
    const Snapshot* at = &program.begin;
    float shift = 0;
    if (from.decision >= 0) {
        const auto d = static_cast<std::size_t>(from.decision);
        at = d < program.decisions.size() ? &program.decisions[d].before : &program.before_home;
        shift = from.shift;
    }
    for (std::size_t c = 0; c < 2; ++c) {
        copy(s.free[c], at->free[c] + shift);
        copy(s.checked[c], at->checked[c] + shift);
        copy(s.heavy[c], at->heavy[c]);
        copy(s.heavy_until[c], at->heavy_until[c] + shift);
        copy(s.excess[c], at->excess[c]);
    }
    copy(s.arm, at->arm + shift);
    copy(s.iv, at->iv + shift);
    copy(s.ground, at->ground + shift);
    copy(s.voice, at->voice + shift);
    if (s.ends.size() < program.planned_end.size()) s.ends.resize(program.planned_end.size());
    for (std::size_t e = 0; e < program.planned_end.size(); ++e) copy(s.ends[e], program.planned_end[e] + shift);
    if (from.decision >= 0) return;
    for (const Program::Running& running : program.running) {
        const auto& raw = s.raw[static_cast<std::size_t>(running.draw.slot)];
        for (int i = 0; i < n; ++i) {
            const double p = running.outlived + (1 - running.outlived) * QuantileTable::probability_of(raw[i]);
            const float time = running.draw.offset +
                               running.draw.scale * QuantileTable::look_up(running.draw.table, QuantileTable::bits_of(p));
            const float end = greater(ground_.now, running.start + time * s.factor[running.draw.mask][i]);
            s.ends[static_cast<std::size_t>(running.end)][i] = end;
            for (std::size_t c = 0; c < 2; ++c)
                if (running.crew >> c & 1u) s.free[c][i] = end;
            if (running.arm) s.arm[i] = end;
            if (running.iv) s.iv[i] = end;
            if (running.ground) s.ground[i] = end;
        }
    }
}

namespace {

template <class State, class Visit>
void each_number(State& s, Visit visit) {
    for (std::size_t c = 0; c < 2; ++c)
        for (auto* row : {&s.free[c], &s.checked[c], &s.heavy[c], &s.heavy_until[c], &s.excess[c]}) visit(*row);
    for (auto* row : {&s.arm, &s.iv, &s.ground, &s.voice}) visit(*row);
}
constexpr std::size_t numbers_besides_ends = 14;

}  // namespace

std::size_t saved_size(const Decision& decision) {
    return numbers_besides_ends + static_cast<std::size_t>(decision.ends);
}

void Replayer::save(const Decision& decision, int lane, std::vector<float>& saved) const {
    const auto i = static_cast<std::size_t>(lane);
    each_number(*state_, [&](const Row& row) { saved.push_back(row[i]); });
    for (std::size_t e = 0; e < static_cast<std::size_t>(decision.ends); ++e) saved.push_back(state_->ends[e][i]);
}

void Replayer::load(Resume resume) {
    const std::size_t size = saved_size(*resume.decision);
    const std::size_t count = resume.saved.size() / size;
    for (std::size_t i = 0; i < count; ++i) {
        const float* at = resume.saved.data() + i * size;
        each_number(*state_, [&](Row& row) { row[i] = *at++; });
        for (std::size_t e = 0; e < static_cast<std::size_t>(resume.decision->ends); ++e) state_->ends[e][i] = *at++;
    }
}

namespace {

/// Glove checks before something of `planned` seconds: Decoder::fit for all lanes. `start` moves; `last` is the end of
/// the last check, `count` how many there were.
void fit(const Ground& ground, const Row& free_row, const Row& checked, float planned, Row& start, Row& last, Row& count) {
    last = checked;
    copy(count, 0);
    if (ground.check_every <= 0) return;
    const float every = ground.check_every;
    const float check = ground.check;
    // A step longer than the time between checks may follow its check at once.
    const float unless = planned > every ? 0.0f : -never;
    alignas(64) Row free = free_row;
    for (int round = 0; round < 24; ++round) {
        // Nearly always nothing is due (any more).
        std::int32_t due_now = 0;
        for (int i = 0; i < n; ++i) {
            const float over = start[i] + planned - (last[i] + every);
            due_now |= over > 0 ? -1 : 0;
        }
        if (due_now == 0) return;
        std::int32_t again = 0;
        for (int i = 0; i < n; ++i) {
            const float due = last[i] + every;
            const float over = start[i] + planned - due;
            const float since = start[i] - last[i];
            const float need = over > 0 ? (since != unless ? 1.0f : 0.0f) : 0.0f;
            const float early = greater(free[i], start[i] - check);
            const float late = greater(free[i], due);
            const float at = early > due ? late : early;
            const float after = at + check;
            const float moved = greater(start[i], after);
            last[i] = need > 0 ? after : last[i];
            free[i] = need > 0 ? after : free[i];
            start[i] = need > 0 ? moved : start[i];
            count[i] += need;
            again |= need > 0 ? -1 : 0;
        }
        if (again == 0) return;
    }
}

void sample(const Draw& draw, const std::vector<std::array<std::uint32_t, n>>& raw, const std::array<Row, 4>& factor,
            Row& time) {
    look_up(draw.table, raw[static_cast<std::size_t>(draw.slot)].data(), time);
    const Row& by = factor[draw.mask];
    for (int i = 0; i < n; ++i) time[i] = (draw.offset + draw.scale * time[i]) * by[i];
}

void wait_for(const Program& program, Range waits, const std::vector<Row>& ends, Row& start) {
    for (int w = waits.first; w < waits.last; ++w) {
        const Wait& wait = program.waits[static_cast<std::size_t>(w)];
        const Row& end = ends[static_cast<std::size_t>(wait.end)];
        for (int i = 0; i < n; ++i) start[i] = greater(start[i], end[i] + wait.gap);
    }
}

/// The first allowed start at or after each lane's; `otherwise` where there is none left.
enum class Otherwise : std::uint8_t { never, at_once };
void into_window(const Program& program, Range ranges, Otherwise otherwise, Row& start) {
    alignas(64) Row best;
    copy(best, never);
    for (int r = ranges.last - 1; r >= ranges.first; --r) {
        const auto from = static_cast<float>(program.starts[static_cast<std::size_t>(r)].from);
        const auto to = static_cast<float>(program.starts[static_cast<std::size_t>(r)].to);
        for (int i = 0; i < n; ++i) {
            const float inside = greater(start[i], from);
            best[i] = start[i] <= to ? inside : best[i];
        }
    }
    if (otherwise == Otherwise::never) start = best;
    else
        for (int i = 0; i < n; ++i) start[i] = best[i] == never ? start[i] : best[i];
}

void past_hold(const Row& from, const Row& to, Row& start) {
    for (int i = 0; i < n; ++i) {
        const bool held = start[i] >= from[i] && start[i] < to[i];
        start[i] = held ? to[i] : start[i];
    }
}

}  // namespace

template <bool traced>
void Replayer::batch(const Program& program, const Policy& policy, std::span<const std::uint32_t> runs, From from,
                     Resume resume, Ended& ended, Trace* trace) {
    State& s = *state_;
    const Ground& g = ground_;
    draw(program, runs);
    begin(program, from);
    if (resume.decision) load(resume);
    for (const Node& node : program.nodes)
        if (static_cast<std::size_t>(node.parts.last - node.parts.first) > s.part_time.size())
            s.part_time.resize(static_cast<std::size_t>(node.parts.last - node.parts.first));

    const auto sunlit = [&](float t) {
        const float cell = std::clamp(t / Ground::sunlit_step, 0.0f, static_cast<float>(g.sunlit.size() - 2));
        const auto k = static_cast<std::size_t>(cell);
        return g.sunlit[k] + (g.sunlit[k + 1] - g.sunlit[k]) * (cell - static_cast<float>(k));
    };
    const auto used = [&](std::size_t c, std::size_t k, float t, float excess, float metabolic, float lit) {
        const Suit& suit = g.suits[c];
        const float passed = t - suit.from;
        return suit.base[k] + suit.rate[k] * passed +
               metabolic * suit.per_watt[k] * (suit.rest_watts * passed + excess) + suit.lit[k] * lit;
    };
    const auto finish = [&](int i, std::size_t row, float end) {
        Outcome outcome;
        outcome.run = s.run[static_cast<std::size_t>(i)];
        outcome.row = static_cast<std::uint16_t>(row);
        outcome.finish = end;
        for (std::size_t c = 0; c < 2; ++c) {
            const Suit& suit = g.suits[c];
            const float lit = sunlit(end) - sunlit(suit.from);
            float left = never;
            for (std::size_t k = 0; k < static_cast<std::size_t>(suit.count); ++k) {
                const float drawn = used(c, k, end, s.excess[c][i], s.metabolic[c][i], lit);
                if (drawn > suit.usable[k]) outcome.reserve_kept = false;
                if (suit.per_reserve[k] > 0) left = std::min(left, (suit.full[k] - drawn) / suit.per_reserve[k]);
            }
            outcome.suit_left[c] = left;
        }
        ended.outcomes.push_back(outcome);
        s.active[i] = 0;
    };
    const auto divert = [&](int i, int task, int keep) {
        ended.diverted.push_back({s.run[static_cast<std::size_t>(i)], static_cast<std::int16_t>(task),
                                  static_cast<std::int16_t>(keep), -1, 0});
        s.active[i] = 0;
    };
    const auto divert_at = [&](int i, int d, int keep) {
        const Decision& decision = program.decisions[static_cast<std::size_t>(d)];
        ended.diverted.push_back({s.run[static_cast<std::size_t>(i)], static_cast<std::int16_t>(decision.task),
                                  static_cast<std::int16_t>(keep), d, ended.saved.size()});
        save(decision, i, ended.saved);
        s.active[i] = 0;
    };
    // Straight home from where both are before decision d: close-ups, the ways, clean-up and ingress.
    const auto start_home = [&](int i, std::size_t d) {
        const Decision& decision = program.decisions[d];
        float at_airlock = 0;
        for (std::size_t c = 0; c < 2; ++c) {
            const Home& home = decision.home[c];
            const auto at = [&](const Draw& draw) {
                return QuantileTable::look_up(draw.table, s.raw[static_cast<std::size_t>(draw.slot)][static_cast<std::size_t>(i)]);
            };
            const float pace = s.factor[c + 1][i];
            const float close_up = home.close_up * pace;
            const float way = home.way * at(g.home_draw[c]) * pace;
            s.excess[c][i] += home.close_up_excess * pace + way * g.way_excess[c];
            at_airlock = greater(at_airlock, s.free[c][i] + close_up + way);
        }
        const auto both = [&](const Draw& draw) {
            return draw.scale * s.factor[3][i] *
                   QuantileTable::look_up(draw.table, s.raw[static_cast<std::size_t>(draw.slot)][static_cast<std::size_t>(i)]);
        };
        const float clean_up = both(g.clean_up_draw);
        const float ingress = both(g.ingress_draw);
        for (std::size_t c = 0; c < 2; ++c)
            s.excess[c][i] += clean_up * g.clean_up_excess[c] + ingress * g.ingress_excess[c];
        finish(i, d, at_airlock + clean_up + ingress);
    };

    alignas(64) Row start, time, last, count, wanted;
    alignas(64) std::array<Row, 2> last_of, count_of;
    alignas(64) std::array<std::int32_t, n> mask;
    const std::size_t first_node =
        resume.decision ? static_cast<std::size_t>(resume.decision->node) : first_node_of(program, from);
    for (std::size_t at = first_node; at < program.nodes.size(); ++at) {
        const Node& node = program.nodes[at];
        if constexpr (traced) {
            trace->free[at] = s.free;
        }
        if (node.decision >= 0 && policy.drop) {
            const auto d = static_cast<std::size_t>(node.decision);
            const Decision& decision = program.decisions[d];
            if (!decision.must) {
                alignas(64) Row now;
                if (decision.crew == 3)
                    for (int i = 0; i < n; ++i) now[i] = greater(s.free[0][i], s.free[1][i]);
                else now = s.free[decision.crew - 1];
                // Would the step, begun as soon as one can be there, still leave the way home?
                for (int i = 0; i < n; ++i) start[i] = now[i] + decision.approach;
                bool windowed = false;
                const Node* unit = &node;
                while (unit->op != Op::unit) ++unit;
                for (int p = unit->parts.first; p < unit->parts.last; ++p) {
                    const Range ranges = program.parts[static_cast<std::size_t>(p)].starts;
                    if (ranges.empty()) continue;
                    windowed = true;
                    into_window(program, ranges, Otherwise::never, start);
                }
                const bool asked = from.begin && from.decision == node.decision;
                float gate = never;
                if (decision.first && decision.optional) gate = decision.latest_whole;
                if (decision.first && !policy.gate.empty())
                    gate = std::min(gate, policy.gate[static_cast<std::size_t>(decision.task)]);
                if (asked) gate = never;
                const float latest = asked ? never : policy.sure ? decision.latest_sure : decision.latest_start;
                for (int i = 0; i < n; ++i) mask[i] = (now[i] > gate ? -1 : 0) | (start[i] > latest ? -1 : 0);
                for (std::size_t c = 0; c < 2; ++c) {
                    if (!(decision.crew >> c & 1u)) continue;
                    const Home& home = decision.home[c];
                    std::int32_t look = 0;
                    for (int i = 0; i < n; ++i) look |= now[i] > home.sure_until ? -1 : 0;
                    if (look == 0) continue;
                    const float lit_from = sunlit(g.suits[c].from);
                    for (int i = 0; i < n; ++i) {
                        const float lit = sunlit(now[i]) - lit_from;
                        std::int32_t over = 0;
                        for (std::size_t k = 0; k < static_cast<std::size_t>(g.suits[c].count); ++k)
                            over |= used(c, k, now[i], s.excess[c][i], s.metabolic[c][i], lit) > home.most_used[k] ? -1 : 0;
                        mask[i] |= over;
                    }
                }
                for (int i = 0; i < n; ++i) mask[i] &= s.active[i];
                if (any(mask)) {
                    for (int i = 0; i < n; ++i) {
                        if (!mask[i]) continue;
                        const bool by_gate = now[i] > gate;
                        const bool no_window = windowed && start[i] == never;
                        if (!asked && decision.first && (decision.optional || by_gate)) divert_at(i, node.decision, 0);
                        else if (no_window && !asked) divert_at(i, node.decision, decision.number);
                        else start_home(i, d);
                    }
                    if (!any(s.active)) return;
                }
            }
        }
        switch (node.op) {
            case Op::egress: {
                sample(node.draw, s.raw, s.factor, time);
                for (int i = 0; i < n; ++i) start[i] = greater(s.free[0][i], s.free[1][i]) + s.late[i];
                for (std::size_t c = 0; c < 2; ++c)
                    for (int i = 0; i < n; ++i) {
                        s.free[c][i] = s.checked[c][i] = start[i] + time[i];
                        s.excess[c][i] += g.ingress_excess[c] * time[i];
                    }
                break;
            }
            case Op::solo: {
                const std::size_t c = node.crew;
                sample(node.draw, s.raw, s.factor, time);
                start = s.free[c];
                if (!node.waits.empty()) wait_for(program, node.waits, s.ends, start);
                if (s.any_hold) past_hold(s.hold_from, s.hold_to, start);
                fit(g, s.free[c], s.checked[c], node.planned, start, last, count);
                for (int i = 0; i < n; ++i) {
                    s.free[c][i] = start[i] + time[i];
                    s.checked[c][i] = last[i];
                    s.excess[c][i] += node.excess * time[i] + count[i] * g.check_excess[c];
                }
                if (node.end >= 0) s.ends[static_cast<std::size_t>(node.end)] = s.free[c];
                break;
            }
            case Op::unit: {
                copy(start, node.floor);
                if (!node.waits.empty()) wait_for(program, node.waits, s.ends, start);
                std::array<const Part*, 2> of_crew{};
                unsigned crew = 0;
                bool windowed = false;
                for (int p = node.parts.first; p < node.parts.last; ++p) {
                    const Part& part = program.parts[static_cast<std::size_t>(p)];
                    sample(part.draw, s.raw, s.factor, s.part_time[static_cast<std::size_t>(p - node.parts.first)]);
                    windowed = windowed || !part.starts.empty();
                    for (std::size_t c = 0; c < 2; ++c) {
                        if (!(part.crew >> c & 1u)) continue;
                        of_crew[c] = &part;
                        crew |= 1u << c;
                        for (int i = 0; i < n; ++i) start[i] = greater(start[i], s.free[c][i]);
                    }
                    if (part.arm)
                        for (int i = 0; i < n; ++i) start[i] = greater(start[i], s.arm[i] + part.arm_move);
                    if (part.iv)
                        for (int i = 0; i < n; ++i) start[i] = greater(start[i], s.iv[i]);
                    if (part.ground)
                        for (int i = 0; i < n; ++i) start[i] = greater(start[i], s.ground[i]);
                    if (g.one_voice && part.crew != 0)
                        for (int i = 0; i < n; ++i) start[i] = greater(start[i], s.voice[i]);
                }
                std::int32_t missed = 0;
                for (int round = 0; round < 24; ++round) {
                    alignas(64) const Row was = start;
                    if (windowed)
                        for (int p = node.parts.first; p < node.parts.last; ++p) {
                            const Range ranges = program.parts[static_cast<std::size_t>(p)].starts;
                            if (!ranges.empty())
                                into_window(program, ranges, policy.drop ? Otherwise::never : Otherwise::at_once, start);
                        }
                    if (s.any_hold) past_hold(s.hold_from, s.hold_to, start);
                    for (std::size_t c = 0; c < 2; ++c) {
                        if (!of_crew[c]) continue;
                        const Part& part = *of_crew[c];
                        if (part.heavy)
                            for (int i = 0; i < n; ++i) {
                                const bool tired = (s.heavy[c][i] > 0) & (s.heavy[c][i] + part.planned > g.heavy_limit) &
                                                   (start[i] - s.heavy_until[c][i] < g.rest);
                                start[i] = tired ? s.heavy_until[c][i] + g.rest : start[i];
                            }
                        fit(g, s.free[c], s.checked[c], part.planned, start, last_of[c], count_of[c]);
                    }
                    if (node.alone && !s.any_hold) break;
                    std::int32_t moved = 0;
                    for (int i = 0; i < n; ++i) moved |= start[i] != was[i] ? -1 : 0;
                    if (moved == 0) break;
                }
                if (windowed) {
                    for (int i = 0; i < n; ++i) missed |= start[i] == never ? s.active[i] : 0;
                    if (missed)
                        for (int i = 0; i < n; ++i) {
                            if (start[i] != never || !s.active[i]) continue;
                            const Part& part = program.parts[static_cast<std::size_t>(node.parts.first)];
                            if (policy.drop) divert(i, part.task, part.number);
                        }
                    if (!any(s.active)) return;
                }
                for (std::size_t c = 0; c < 2; ++c) {
                    if (!of_crew[c]) continue;
                    for (int i = 0; i < n; ++i) {
                        s.checked[c][i] = last_of[c][i];
                        s.excess[c][i] += count_of[c][i] * g.check_excess[c];
                    }
                }
                std::array<std::int32_t, n> lost{};
                bool any_lost = false;
                for (int p = node.parts.first; p < node.parts.last; ++p) {
                    const Part& part = program.parts[static_cast<std::size_t>(p)];
                    Row& spent = s.part_time[static_cast<std::size_t>(p - node.parts.first)];
                    for (std::size_t c = 0; c < 2; ++c)
                        if (part.crew >> c & 1u)
                            for (int i = 0; i < n; ++i) s.excess[c][i] += part.excess[c] * spent[i];
                    for (int t = part.troubles.first; t < part.troubles.last; ++t) {
                        const TroubleAt& trouble = program.troubles[static_cast<std::size_t>(t)];
                        const auto& raw = s.raw[static_cast<std::size_t>(trouble.slot)];
                        for (int i = 0; i < n; ++i) {
                            if (raw[i] >= trouble.below) continue;
                            const double u = unit(raw[i]) / (trouble.below * 0x1.0p-32);
                            const float extra =
                                trouble.offset +
                                trouble.scale * QuantileTable::look_up(trouble.table, QuantileTable::bits_of(u));
                            spent[i] += extra;
                            for (std::size_t c = 0; c < 2; ++c)
                                if (part.crew >> c & 1u) s.excess[c][i] += trouble.excess[c] * extra;
                            if (trouble.gives_up && part.rest_droppable && policy.drop && s.active[i]) {
                                lost[i] = part.task + 1;
                                any_lost = true;
                            }
                        }
                    }
                    Row& end = s.ends[static_cast<std::size_t>(part.end)];
                    for (int i = 0; i < n; ++i) end[i] = start[i] + spent[i];
                    for (std::size_t c = 0; c < 2; ++c) {
                        if (!(part.crew >> c & 1u)) continue;
                        if (part.heavy)
                            for (int i = 0; i < n; ++i) {
                                const bool rested = start[i] - s.heavy_until[c][i] >= g.rest;
                                s.heavy[c][i] = (rested ? 0.0f : s.heavy[c][i]) + spent[i];
                                s.heavy_until[c][i] = end[i];
                            }
                        s.free[c] = end;
                    }
                    if (part.arm) s.arm = end;
                    if (part.iv) s.iv = end;
                    if (part.ground) s.ground = end;
                    if (part.crew != 0) s.voice = end;
                    if (any_lost)
                        for (int i = 0; i < n; ++i)
                            if (lost[i] == part.task + 1 && s.active[i]) divert(i, part.task, part.number + 1);
                }
                if (any_lost && !any(s.active)) return;
                static_cast<void>(crew);
                break;
            }
            case Op::home: {
                for (int i = 0; i < n; ++i) start[i] = greater(s.free[0][i], s.free[1][i]);
                if (s.any_hold) past_hold(s.hold_from, s.hold_to, start);
                for (int round = 0; round < 4; ++round)
                    for (std::size_t c = 0; c < 2; ++c) fit(g, s.free[c], s.checked[c], 0, start, last, count);
                if constexpr (traced) trace->start[at] = start;
                for (std::size_t c = 0; c < 2; ++c) {
                    wanted = start;
                    fit(g, s.free[c], s.checked[c], 0, wanted, last, count);
                    for (int i = 0; i < n; ++i) s.excess[c][i] += count[i] * g.check_excess[c];
                }
                sample(g.clean_up_draw, s.raw, s.factor, time);
                for (int i = 0; i < n; ++i) start[i] += time[i];
                for (std::size_t c = 0; c < 2; ++c)
                    for (int i = 0; i < n; ++i) s.excess[c][i] += g.clean_up_excess[c] * time[i];
                sample(g.ingress_draw, s.raw, s.factor, time);
                for (int i = 0; i < n; ++i) start[i] += time[i];
                for (std::size_t c = 0; c < 2; ++c)
                    for (int i = 0; i < n; ++i) s.excess[c][i] += g.ingress_excess[c] * time[i];
                const std::size_t row = program.decisions.size();
                for (int i = 0; i < n; ++i)
                    if (s.active[i]) finish(i, row, start[i]);
                if constexpr (traced) trace->end[at] = start;
                return;
            }
        }
        if constexpr (traced) {
            trace->start[at] = start;
            trace->end[at] = node.op == Op::solo ? s.free[node.crew] : node.op == Op::egress ? s.free[0] : s.ends[static_cast<std::size_t>(program.parts[static_cast<std::size_t>(node.parts.last - 1)].end)];
        }
    }
}

void Replayer::run(const Program& program, const Policy& policy, std::span<const std::uint32_t> runs, From from,
                   Resume resume, Ended& ended) {
    const std::size_t size = resume.decision ? saved_size(*resume.decision) : 0;
    for (std::size_t first = 0; first < runs.size(); first += lanes) {
        const std::size_t count = std::min<std::size_t>(lanes, runs.size() - first);
        batch<false>(program, policy, runs.subspan(first, count), from,
                     {resume.decision, resume.saved.subspan(first * size, count * size)}, ended, nullptr);
    }
}

void Replayer::trace(const Program& program, std::span<const std::uint32_t> runs, Trace& trace,
                     std::vector<Outcome>& outcomes) {
    trace.start.resize(program.nodes.size());
    trace.end.resize(program.nodes.size());
    trace.free.resize(program.nodes.size());
    Ended ended;
    Policy everything;
    everything.drop = false;
    batch<true>(program, everything, runs, {}, {}, ended, &trace);
    outcomes.insert(outcomes.end(), ended.outcomes.begin(), ended.outcomes.end());
}

}  // namespace handrail::risk::detail
