#include "risk/replay.h"

#include <cmath>

#include "risk/random.h"
#include "risk/replay_lanes.h"
#include "risk/replay_walk.h"
#include "risk/simulate.h"

namespace handrail::risk::detail {

Replayer::Replayer(const Ground& ground, const Factors& factors, std::uint64_t seed)
    : ground_(ground), factors_(factors), seed_(seed), state_(std::make_unique<LaneState>()) {
    state_->raw.resize(static_cast<std::size_t>(ground.model->slots().count));
}
Replayer::~Replayer() = default;

std::span<const std::uint32_t> Replayer::raw(int slot) const { return state_->raw[static_cast<std::size_t>(slot)]; }

/// The random bits of the runs.
void Replayer::draw(std::span<const std::uint32_t> runs) {
    LaneState& s = *state_;
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
}

/// What belongs to a run as a whole: the day, the people.
void Replayer::draw_factors() {
    LaneState& s = *state_;
    const Slots& slots = ground_.model->slots();
    for (int i = 0; i < n; ++i) {
        const std::array z{quick_normal_quantile(unit(s.bits(slots.day, i))),
                           quick_normal_quantile(unit(s.bits(slots.person[0], i))),
                           quick_normal_quantile(unit(s.bits(slots.person[1], i)))};
        std::array<double, 3> logarithm = factors_.mean;
        for (std::size_t a = 0; a < 3; ++a)
            for (std::size_t b = 0; b <= a; ++b) logarithm[a] += factors_.spread[a][b] * z[b];
        s.factor[0][i] = 1;
        s.factor[1][i] = static_cast<float>(std::exp(logarithm[0] + logarithm[1]));
        s.factor[2][i] = static_cast<float>(std::exp(logarithm[0] + logarithm[2]));
        s.factor[3][i] = greater(s.factor[1][i], s.factor[2][i]);  // together they go at the slower one's pace
        for (std::size_t c = 0; c < 2; ++c) {
            const double deviate = std::clamp(quick_normal_quantile(unit(s.bits(slots.metabolic[c], i))), -4.2, 4.2);
            s.metabolic[c][i] =
                static_cast<float>(std::exp(factors_.metabolic_mean[c] + factors_.metabolic_sigma[c] * deviate));
        }
    }
}

void Replayer::draw_outing_troubles(const Program& program) {
    LaneState& s = *state_;
    const Slots& slots = ground_.model->slots();
    s.late.fill(0);
    s.hold_from.fill(never);
    s.hold_to.fill(never);
    s.any_hold = false;
    const auto& troubles = ground_.model->risk().troubles;
    for (std::size_t t = 0; t < troubles.size(); ++t) {
        const Slots::ForTrouble& slot = slots.outing_trouble[t];
        if (slot.happens == no_slot) continue;
        const double p = troubles[t].probability.value();
        const auto low = static_cast<float>(troubles[t].extra.low.count());
        const float width = static_cast<float>(troubles[t].extra.high.count()) - low;
        for (int i = 0; i < n; ++i) {
            const double u = unit(s.bits(slot.happens, i));
            if (u >= p) continue;
            const float extra = low + width * ground_.model->extra(t).at(QuantileTable::bits_of(u / p));
            if (troubles[t].kind == Trouble::Kind::late_start) {
                s.late[i] += extra;
                continue;
            }
            // One hold a run: the last one named wins, which matters only when two strike.
            s.hold_from[i] = static_cast<float>(unit(s.bits(slot.when, i))) * program.whole_finish;
            s.hold_to[i] = s.hold_from[i] + extra;
            s.any_hold = true;
        }
    }
}

void Replayer::begin(const Program& program, From from) {
    LaneState& s = *state_;
    const Snapshot* at = &program.begin;
    float shift = 0;
    if (from.decision >= 0) {
        const auto d = static_cast<std::size_t>(from.decision);
        at = d < program.decisions.size() ? &program.decisions[d].before : &program.before_home;
        shift = from.shift;
    }
    for (std::size_t c = 0; c < 2; ++c) {
        s.free[c].fill(at->free[c] + shift);
        s.checked[c].fill(at->checked[c] + shift);
        s.heavy[c].fill(at->heavy[c]);
        s.heavy_until[c].fill(at->heavy_until[c] + shift);
        s.excess[c].fill(at->excess[c]);
    }
    s.arm.fill(at->arm + shift);
    s.iv.fill(at->iv + shift);
    s.ground.fill(at->ground + shift);
    s.voice.fill(at->voice + shift);
    for (std::size_t e = 0; e < program.planned_end.size(); ++e) s.ends[e].fill(program.planned_end[e] + shift);
    if (from.decision < 0) begin_running(program);
}

/// Steps that had begun before: how long they still take, given that they have not ended yet.
void Replayer::begin_running(const Program& program) {
    LaneState& s = *state_;
    for (const Program::Running& running : program.running) {
        const auto& raw = s.raw[static_cast<std::size_t>(running.draw.slot)];
        for (int i = 0; i < n; ++i) {
            const double p = running.outlived + (1 - running.outlived) * QuantileTable::probability_of(raw[i]);
            const float time =
                running.draw.offset +
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
    for (auto* row : {&s.factor[1], &s.factor[2], &s.factor[3], &s.metabolic[0], &s.metabolic[1]}) visit(*row);
    for (auto* row : {&s.late, &s.hold_from, &s.hold_to}) visit(*row);
}
constexpr std::size_t numbers_besides_ends = 22;

}  // namespace

std::size_t saved_size(const Decision& decision) {
    return numbers_besides_ends + static_cast<std::size_t>(decision.ends);
}

void save_lane(const LaneState& state, const Decision& decision, int lane, std::vector<float>& saved) {
    const auto i = static_cast<std::size_t>(lane);
    each_number(state, [&](const Row& row) { saved.push_back(row[i]); });
    for (std::size_t e = 0; e < static_cast<std::size_t>(decision.ends); ++e) saved.push_back(state.ends[e][i]);
}

void Replayer::load(Resume resume) {
    const std::size_t size = saved_size(*resume.decision);
    const std::size_t count = resume.saved.size() / size;
    state_->factor[0].fill(1);
    state_->any_hold = false;
    for (std::size_t i = 0; i < count; ++i) {
        const float* at = resume.saved.data() + i * size;
        each_number(*state_, [&](Row& row) { row[i] = *at++; });
        state_->any_hold = state_->any_hold || state_->hold_from[i] != never;
        for (std::size_t e = 0; e < static_cast<std::size_t>(resume.decision->ends); ++e) state_->ends[e][i] = *at++;
    }
}

void Replayer::make_room(const Program& program) {
    if (state_->ends.size() < program.planned_end.size()) state_->ends.resize(program.planned_end.size());
    std::size_t parts = 0;
    for (const Node& node : program.nodes)
        parts = std::max(parts, static_cast<std::size_t>(node.parts.last - node.parts.first));
    if (state_->part_time.size() < parts) state_->part_time.resize(parts);
}

void Replayer::run(Programs& programs, const Program& first_program, const Policy& policy,
                   std::span<const std::uint32_t> all, From from, Resume resume, Ended& ended) {
    const std::size_t size = resume.decision ? saved_size(*resume.decision) : 0;
    for (std::size_t first = 0; first < all.size(); first += lanes) {
        const std::size_t count = std::min<std::size_t>(lanes, all.size() - first);
        const Program* program = &first_program;
        draw(all.subspan(first, count));
        make_room(*program);
        std::size_t at = 0;
        if (resume.decision) {
            load({resume.decision, resume.saved.subspan(first * size, count * size)});
            at = static_cast<std::size_t>(resume.decision->node);
        } else {
            draw_factors();
            draw_outing_troubles(*program);
            begin(*program, from);
            const auto d = static_cast<std::size_t>(from.decision);
            if (from.decision >= 0)
                at = static_cast<std::size_t>(d < program->decisions.size() ? program->decisions[d].node
                                                                            : program->home_node);
        }
        for (;;) {
            Walk walk(ground_, *program, policy, from, *state_, ended);
            while (at < program->nodes.size() && walk.pass(program->nodes[at])) ++at;
            if (!walk.left_together()) break;
            const Walk::Left left = *walk.left_together();
            const Program& next = programs.without(*program, left.task, left.keep);
            if (!same_until(*program, next, static_cast<int>(at))) {
                walk.divert_all(left);
                break;
            }
            program = &next;
            make_room(*program);
        }
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
    draw(runs);
    make_room(program);
    draw_factors();
    draw_outing_troubles(program);
    begin(program, {});
    Walk walk(ground_, program, everything, {}, *state_, ended);
    for (std::size_t at = 0; at < program.nodes.size(); ++at) {
        trace.free[at] = {state_->free[0], state_->free[1]};
        const bool goes_on = walk.pass(program.nodes[at]);
        trace.start[at] = walk.start();
        trace.end[at] = walk.end(program.nodes[at]);
        if (!goes_on) break;
    }
    outcomes.insert(outcomes.end(), ended.outcomes.begin(), ended.outcomes.end());
}

}  // namespace handrail::risk::detail
