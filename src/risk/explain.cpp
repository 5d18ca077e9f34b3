#include <algorithm>
#include <cmath>
#include <map>

#include "risk/setup.h"

/// Where the end time comes from: which input explains how much of its variance, which steps set it, where people wait.
namespace handrail::risk::detail {
namespace {

/// Enough for first-order indices to about half a per cent.
constexpr std::uint32_t explained = 16'384;
constexpr int classes = 16;

/// First-order index of one input from the runs as they are: the variance of the end time's mean over classes of equal
/// probability, less what noise alone would give, over the variance of the end time (given-data estimator; Plischke,
/// Borgonovo and Smith 2013).
struct Classes {
    std::array<double, classes> sum{};
    std::array<std::uint32_t, classes> count{};

    double index(double mean, double variance, double n) const {
        double between = 0;
        int used = 0;
        for (std::size_t k = 0; k < classes; ++k) {
            if (count[k] == 0) continue;
            const double off = sum[k] / count[k] - mean;
            between += off * off * count[k] / n;
            ++used;
        }
        return std::max(0.0, (between - variance * (used - 1) / n) / variance);
    }
};

struct Input {
    Driver driver;
    int slot = no_slot;
    double happens = 1;  ///< troubles: two classes, struck or not
    Classes classes;
};

std::vector<Input> inputs_of(const Setup& setup) {
    const Slots& slots = setup.model.slots();
    const Program& program = setup.programs.whole();
    std::vector<Input> inputs;
    const auto add = [&](Driver::What what, int slot) -> Input& {
        Input input;
        input.driver.what = what;
        input.slot = slot;
        inputs.push_back(input);
        return inputs.back();
    };
    add(Driver::What::day, slots.day);
    for (Crew c : both_crew) add(Driver::What::person, slots.person[index(c)]).driver.person = c;
    for (Crew c : both_crew) add(Driver::What::way, slots.home[index(c)]).driver.person = c;
    for (int slot : {slots.egress, slots.clean_up, slots.ingress}) add(Driver::What::airlock, slot);
    const auto& troubles = setup.model.risk().troubles;
    for (std::size_t t = 0; t < troubles.size(); ++t)
        if (slots.outing_trouble[t].happens != no_slot) {
            Input& input = add(Driver::What::trouble, slots.outing_trouble[t].happens);
            input.driver.trouble = t;
            input.happens = troubles[t].probability.value();
        }
    for (const Part& part : program.parts) {
        const auto s = static_cast<std::size_t>(part.step);
        add(Driver::What::step, slots.step[s]).driver.step = static_cast<StepId>(part.step);
        for (int slot : slots.way[s])
            if (slot != no_slot) add(Driver::What::way, slot).driver.step = static_cast<StepId>(part.step);
        for (std::size_t i = 0; i < slots.step_trouble[s].size(); ++i) {
            Input& input = add(Driver::What::trouble, slots.step_trouble[s][i]);
            input.driver.step = static_cast<StepId>(part.step);
            input.driver.trouble = slots.troubles_of[s][i];
            input.happens = troubles[slots.troubles_of[s][i]].probability.value();
        }
    }
    return inputs;
}

/// The nodes whose end the start of each node can hang on, from the program alone.
struct Structure {
    std::vector<int> node_of_end;
    std::vector<std::array<int, 2>> previous;  ///< by node: last node of each crew member's lane before it
    std::vector<int> arm_before;               ///< by node: last user of the arm

    explicit Structure(const Program& program) : node_of_end(program.planned_end.size(), -1) {
        std::array<int, 2> last{-1, -1};
        int arm = -1;
        for (std::size_t at = 0; at < program.nodes.size(); ++at) {
            const Node& node = program.nodes[at];
            previous.push_back(last);
            arm_before.push_back(arm);
            const int here = static_cast<int>(at);
            if (node.op == Op::solo) {
                last[node.crew] = here;
                if (node.end >= 0) node_of_end[static_cast<std::size_t>(node.end)] = here;
            }
            if (node.op == Op::egress) last = {here, here};
            for (int p = node.parts.first; p < node.parts.last; ++p) {
                const Part& part = program.parts[static_cast<std::size_t>(p)];
                node_of_end[static_cast<std::size_t>(part.end)] = here;
                for (std::size_t c = 0; c < 2; ++c)
                    if (part.crew >> c & 1u) last[c] = here;
                if (part.arm) arm = here;
            }
        }
    }
};

unsigned crew_of(const Program& program, const Node& node) {
    if (node.op == Op::solo) return 1u << node.crew;
    if (node.op != Op::unit) return 3;
    unsigned crew = 0;
    for (int p = node.parts.first; p < node.parts.last; ++p) crew |= program.parts[static_cast<std::size_t>(p)].crew;
    return crew;
}

class Looker {
public:
    explicit Looker(Setup& setup)
        : setup_(setup),
          program_(setup.programs.whole()),
          structure_(program_),
          critical_(program_.nodes.size(), 0),
          wait_(program_.nodes.size(), 0),
          why_(program_.nodes.size()) {}

    void look(const Trace& trace, const Replayer& replayer, std::size_t lane) {
        lane_ = lane;
        trace_ = &trace;
        static_cast<void>(replayer);
        for (std::size_t at = 0; at < program_.nodes.size(); ++at) note_wait(at);
        follow();
    }

    std::vector<StepRisk> steps(double n) const {
        std::vector<StepRisk> list;
        for (std::size_t at = 0; at < program_.nodes.size(); ++at) {
            const Node& node = program_.nodes[at];
            for (int p = node.parts.first; p < node.parts.last; ++p) {
                StepRisk risk;
                risk.step = static_cast<StepId>(program_.parts[static_cast<std::size_t>(p)].step);
                risk.critical = critical_[at] / n;
                risk.wait_mean_s = wait_[at] / n;
                const auto most = std::max_element(why_[at].begin(), why_[at].end());
                if (*most > 0) risk.waits_for = static_cast<StepRisk::For>(most - why_[at].begin());
                list.push_back(risk);
            }
        }
        return list;
    }

private:
    using For = StepRisk::For;
    /// Times are compared within what single precision loses over an outing.
    static constexpr float same = 0.05f;

    float start(std::size_t node) const { return trace_->start[node][lane_]; }
    float free(std::size_t node, std::size_t c) const { return trace_->free[node][c][lane_]; }
    float end(int node) const { return trace_->end[static_cast<std::size_t>(node)][lane_]; }

    /// What set the start of a node: the node it waited for (-1: none) and why.
    struct Cause {
        int node = -1;
        For why = For::nothing;
    };
    Cause cause(std::size_t at) const {
        const Node& node = program_.nodes[at];
        const unsigned crew = crew_of(program_, node);
        const float begun = start(at);
        float earliest = never;
        Cause latest{-1, For::rule};
        for (std::size_t c = 0; c < 2; ++c) {
            if (!(crew >> c & 1u)) continue;
            earliest = std::min(earliest, free(at, c));
            if (std::abs(free(at, c) - begun) < same) latest = {structure_.previous[at][c], For::nothing};
        }
        if (latest.why == For::nothing) {
            if (crew == 3 && begun - earliest > same) latest.why = For::partner;
            return latest;
        }
        for (int w = node.waits.first; w < node.waits.last; ++w) {
            const Wait& wait = program_.waits[static_cast<std::size_t>(w)];
            const int other = structure_.node_of_end[static_cast<std::size_t>(wait.end)];
            if (other >= 0 && std::abs(end(other) + wait.gap - begun) < same) return {other, For::other};
        }
        bool windowed = false;
        for (int p = node.parts.first; p < node.parts.last; ++p) {
            const Part& part = program_.parts[static_cast<std::size_t>(p)];
            if (part.arm && structure_.arm_before[at] >= 0 &&
                std::abs(end(structure_.arm_before[at]) + part.arm_move - begun) < same)
                return {structure_.arm_before[at], For::arm};
            for (int r = part.starts.first; r < part.starts.last; ++r)
                if (std::abs(static_cast<float>(program_.starts[static_cast<std::size_t>(r)].from) - begun) < same)
                    windowed = true;
        }
        if (windowed) return {-1, For::window};
        // A glove check, a rest, a hold, IV or ground busy: the rule is named, the lane is followed.
        int previous = -1;
        float latest_free = -never;
        for (std::size_t c = 0; c < 2; ++c)
            if ((crew >> c & 1u) && free(at, c) > latest_free) {
                latest_free = free(at, c);
                previous = structure_.previous[at][c];
            }
        return {previous, For::rule};
    }

    void note_wait(std::size_t at) {
        const Node& node = program_.nodes[at];
        if (node.op != Op::unit) return;
        const unsigned crew = crew_of(program_, node);
        float waited = 0;
        for (std::size_t c = 0; c < 2; ++c)
            if (crew >> c & 1u) waited += start(at) - free(at, c);
        if (waited < same) return;
        wait_[at] += waited;
        why_[at][static_cast<std::size_t>(cause(at).why)] += waited;
    }

    void follow() {
        int at = static_cast<int>(program_.nodes.size()) - 1;
        while (at >= 0) {
            ++critical_[static_cast<std::size_t>(at)];
            at = cause(static_cast<std::size_t>(at)).node;
        }
    }

    Setup& setup_;
    const Program& program_;
    Structure structure_;
    std::vector<double> critical_, wait_;
    std::vector<std::array<double, 6>> why_;
    const Trace* trace_ = nullptr;
    std::size_t lane_ = 0;
};

Moment moment(const std::vector<float>& sorted, double p) {
    const auto n = static_cast<double>(sorted.size());
    const double spread = std::sqrt(p * (1 - p) * n);
    const auto at = [&](double rank) {
        return static_cast<double>(sorted[static_cast<std::size_t>(std::clamp(rank, 0.0, n - 1))]);
    };
    return {pet(Seconds{std::lround(at(p * n))}), (at(p * n + spread) - at(p * n - spread)) / 2};
}

}  // namespace

void explain(Setup& setup, const Options& options, Odds& odds) {
    const Program& program = setup.programs.whole();
    Replayer replayer(setup.ground, setup.factors, options.seed);
    std::vector<Input> inputs = inputs_of(setup);
    std::vector<float> finish;
    Looker looker(setup);
    Trace trace;
    std::vector<Outcome> outcomes;
    double sum = 0, squares = 0;
    std::vector<std::uint32_t> runs(lanes);
    for (std::uint32_t first = 0; first < explained; first += lanes) {
        for (std::uint32_t i = 0; i < lanes; ++i) runs[i] = first + i;
        outcomes.clear();
        replayer.trace(program, runs, trace, outcomes);
        for (std::size_t i = 0; i < lanes; ++i) {
            const double y = outcomes[i].finish;
            finish.push_back(outcomes[i].finish);
            sum += y;
            squares += y * y;
        }
        for (Input& input : inputs) {
            const auto raw = replayer.raw(input.slot);
            for (std::size_t i = 0; i < lanes; ++i) {
                const std::size_t k = input.happens < 1 ? (raw[i] * 0x1.0p-32 < input.happens ? 1 : 0) : raw[i] >> 28;
                input.classes.sum[k] += outcomes[i].finish;
                ++input.classes.count[k];
            }
        }
        // Following single runs is slow and settles soon: one batch in eight.
        if (first / lanes % 8 == 0)
            for (std::size_t i = 0; i < lanes; ++i) looker.look(trace, replayer, i);
    }
    const auto n = static_cast<double>(explained);
    const double mean = sum / n;
    const double variance = squares / n - mean * mean;
    odds.explained_runs = explained;
    odds.unexplained = 1;
    if (variance > 1e-6)
        for (Input& input : inputs) {
            input.driver.share = input.classes.index(mean, variance, n);
            odds.unexplained -= input.driver.share;
            // Three standard errors of an index of nothing: (classes - 1) degrees of freedom.
            if (input.driver.share > 3 * std::sqrt(2.0 * (classes - 1)) / n) odds.drivers.push_back(input.driver);
        }
    std::stable_sort(odds.drivers.begin(), odds.drivers.end(),
                     [](const Driver& a, const Driver& b) { return a.share > b.share; });
    std::sort(finish.begin(), finish.end());
    odds.everything_p50 = moment(finish, 0.5);
    odds.everything_p90 = moment(finish, 0.9);
    odds.steps = looker.steps(n / 8);
}

}  // namespace handrail::risk::detail
