// The planner's side of the comparison with general-purpose solvers; run by bench/peers.mjs, which tells the rest.
//   peers_bench write TASKS SEED            the outing, reduced to what every side can express exactly, as JSON
//   peers_bench plan TASKS SEED SECONDS...  what the planner has after so many CPU seconds of one thread, as JSON
//   peers_bench judge TASKS SEED            reads a peer's answer and says what it is worth
// Outings of tests/support/random_outing.h (invented) without things to carry, tethers, glove checks, rests, suits that
// run out, open worksites, and ways of the arm's tip: two crew, leads and helpers, worksites and walks, windows, orders
// with gaps and latest times, steps together, the arm, IV and ground as one-at-a-time, latest starts and ends, tasks
// that need or exclude each other, and the hard end remain.
#include <fmt/format.h>
#include <algorithm>
#include <cstdio>
#include <iostream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string_view>

#include "plan/bound.h"
#include "plan/planner.h"
#include "plan/search.h"
#include "support/random_outing.h"
#include "timed_search.h"

namespace {

using namespace handrail;
using namespace handrail::plan::detail;
using nlohmann::json;

Outing core_of(int tasks, std::uint64_t seed) {
    test::RandomSize size;
    size.fewest_tasks = size.most_tasks = tasks;
    size.fewest_worksites = size.most_worksites = 12;
    Outing outing = test::random_outing(seed, size);
    const auto sites = static_cast<std::uint32_t>(outing.station.worksites.size());
    for (Step& step : outing.steps) {
        for (auto* list :
             {&step.needs, &step.takes, &step.leaves, &step.installs, &step.moves, &step.stows, &step.hands_over})
            list->clear();
        step.into.reset();
        step.opens = step.close_up = false;
        if (step.arm == ArmUse::ride) {  // the arm is taken, and the crew member walks
            step.arm = ArmUse::hold;
            if (step.to) step.at = step.to;
            step.to.reset();
        }
        const bool crew = std::any_of(step.who.begin(), step.who.end(),
                                      [](Role role) { return role == Role::lead || role == Role::helper; });
        if (crew && !step.at) step.at = static_cast<WorksiteId>(1 + index(step.task) % (sites - 1));
    }
    outing.items.clear();
    for (Worksite& site : outing.station.worksites) site.anchor = false;
    for (SuitType& suit : outing.suits) {
        suit.kind = SuitType::Kind::umbilical;
        suit.oxygen.reset();
        suit.co2_capacity.reset();
        suit.feedwater.reset();
        suit.battery.reset();
        suit.breathing_gas.reset();
    }
    Rules& rules = outing.rules;
    rules.margin = rules.glove_check_every = rules.rest = Seconds{0};
    rules.heavy_limit = rules.partner_within = Seconds{1'000'000};
    rules.tether = Metres{1e6};
    rules.voice_loops = 2;
    return outing;
}

struct Core {
    Core(int tasks, std::uint64_t seed)
        : outing(core_of(tasks, seed)),
          situation(plan::initial(outing)),
          problem(outing, outing.windows, situation, freedom) {
        std::fill(problem.arm_time.begin(), problem.arm_time.end(), 0);
        // What the planner keeps together on purpose (a task's steps with the arm) binds no peer.
        problem.spans.clear();
        for (Unit& unit : problem.units) unit.span = -1;
    }
    Time walk(int crew, int from, int to) const {
        return problem.ways[static_cast<std::size_t>(crew)][0].time(problem.state(from, 0), problem.state(to, 0));
    }
    Outing outing;
    plan::Situation situation;
    plan::Freedom freedom;
    Problem problem;
};

json starts_of(const StepData& step, int lead) {
    json list = json::array();
    for (const StartRange& range : step.starts[static_cast<std::size_t>(lead)])
        list.push_back({std::max(range.from, 0), std::min(range.to, 100'000)});
    return list;
}

json written(const Core& core) {
    const Problem& problem = core.problem;
    json all;
    all["out_s"] = problem.egress;
    all["home_by_s"] = problem.limit - problem.clean_up - problem.ingress;
    all["airlock"] = problem.airlock;
    for (int c = 0; c < 2; ++c) {
        json rows = json::array();
        for (int a = 0; a < problem.worksites; ++a) {
            json row = json::array();
            for (int b = 0; b < problem.worksites; ++b) row.push_back(core.walk(c, a, b));
            rows.push_back(row);
        }
        all["walk_s"].push_back(rows);
    }
    for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
        const TaskData& task = problem.tasks[t];
        json leads = json::array();
        for (int lead = 0; lead < 2; ++lead)
            if (task.lead_allowed[static_cast<std::size_t>(lead)]) leads.push_back(lead);
        json row{{"value", task.optional ? task.value : 0},
                 {"required", !task.optional},
                 {"possible", task.possible},
                 {"leads", leads},
                 {"after", task.after},
                 {"needs", task.needs},
                 {"not_with", task.not_with},
                 {"units", json::array()}};
        if (task.starts_by < never) row["starts_by_s"] = task.starts_by;
        if (task.ends_by < never) row["ends_by_s"] = task.ends_by;
        for (int unit : task.units) row["units"].push_back(problem.units[static_cast<std::size_t>(unit)].steps);
        all["tasks"].push_back(row);
    }
    for (const StepData& step : problem.steps) {
        json row{{"task", step.task},           {"roles", step.roles}, {"at", step.at},   {"to", step.to},
                 {"duration_s", step.duration}, {"iv", step.iv},       {"arm", step.arm}, {"ground", step.ground}};
        if (step.windowed) row["starts_s"] = {starts_of(step, 0), starts_of(step, 1)};
        all["steps"].push_back(row);
    }
    all["links"] = json::array();
    for (const Link& link : problem.links)
        all["links"].push_back(
            {{"before", link.before}, {"after", link.after}, {"gap_s", link.gap}, {"within_s", link.within}});
    return all;
}

bool planned(const Problem& problem, const Found& found) {
    if (found.score.violation > 0) return false;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (problem.owed(static_cast<int>(t), found.sequence.in)) return false;
    return true;
}

json plan_of(const Core& core, const std::vector<double>& seconds, std::uint64_t walk) {
    const Problem& problem = core.problem;
    const double begin = bench::cpu_s(CLOCK_THREAD_CPUTIME_ID);
    std::vector<std::pair<double, double>> moments;
    const auto note = [&](const Found& found, double after_s) {
        if (planned(problem, found)) moments.emplace_back(after_s, problem.wanted_value - found.score.missing);
    };
    const Found first = construct(problem);
    const double constructed = bench::cpu_s(CLOCK_THREAD_CPUTIME_ID) - begin;
    note(first, constructed);
    bench::search_for(seconds.back() - constructed, problem, first, walk,
                      [&](const Found& found, double after_s) { note(found, constructed + after_s); });
    json answer{{"bound", value_bound(problem).value}, {"values", json::array()}};
    for (const double at : seconds) {
        json value;  // null: no plan yet
        for (const auto& [when, what] : moments)
            if (when <= at) value = what;
        answer["values"].push_back(value);
    }
    return answer;
}

/// What is wrong with a peer's answer by rules written here once more; empty: nothing.
std::string fault_of(const Core& core, const std::vector<int>& lead, const std::vector<Time>& start) {
    const Problem& problem = core.problem;
    struct Block {
        Time from, to;
        int at, leaves;
        int step;
    };
    std::vector<std::vector<Block>> lanes(5);  // EV1, EV2, arm, IV, ground
    const auto done = [&](int task) { return lead[static_cast<std::size_t>(task)] >= 0; };
    const auto end_of = [&](int s) {
        const StepData& step = problem.steps[static_cast<std::size_t>(s)];
        return start[static_cast<std::size_t>(s)] +
               step.duration[static_cast<std::size_t>(lead[static_cast<std::size_t>(step.task)])];
    };
    for (std::size_t s = 0; s < problem.steps.size(); ++s) {
        const StepData& step = problem.steps[s];
        if (!done(step.task)) continue;
        const int leader = lead[static_cast<std::size_t>(step.task)];
        const Block block{start[s], end_of(static_cast<int>(s)), step.at, step.to, static_cast<int>(s)};
        if (step.roles & 1) lanes[static_cast<std::size_t>(leader)].push_back(block);
        if (step.roles & 2) lanes[static_cast<std::size_t>(1 - leader)].push_back(block);
        if (step.arm) lanes[2].push_back(block);
        if (step.iv) lanes[3].push_back(block);
        if (step.ground) lanes[4].push_back(block);
        if (block.from < problem.egress || block.to > problem.limit - problem.clean_up - problem.ingress)
            return fmt::format("step {} lies outside the outing", s);
        const auto& ranges = step.starts[static_cast<std::size_t>(leader)];
        if (step.windowed && std::none_of(ranges.begin(), ranges.end(), [&](const StartRange& range) {
                return range.from <= block.from && block.from <= range.to;
            }))
            return fmt::format("step {} lies outside its windows", s);
        if (block.to > problem.tasks[static_cast<std::size_t>(step.task)].ends_by)
            return fmt::format("step {} ends too late", s);
    }
    for (std::size_t lane = 0; lane < lanes.size(); ++lane) {
        std::sort(lanes[lane].begin(), lanes[lane].end(),
                  [](const Block& a, const Block& b) { return a.from < b.from; });
        Time free = problem.egress;
        int site = problem.airlock;
        for (const Block& block : lanes[lane]) {
            const Time way = lane < 2 ? core.walk(static_cast<int>(lane), site, block.at) : 0;
            if (block.from < free + way) return fmt::format("lane {}: step {} starts too soon", lane, block.step);
            free = block.to;
            site = block.leaves;
        }
        if (lane < 2 && free + core.walk(static_cast<int>(lane), site, problem.airlock) >
                            problem.limit - problem.clean_up - problem.ingress)
            return fmt::format("lane {} comes home too late", lane);
    }
    for (const Link& link : problem.links) {
        if (!done(problem.steps[static_cast<std::size_t>(link.before)].task) ||
            !done(problem.steps[static_cast<std::size_t>(link.after)].task))
            continue;
        const Time wait = start[static_cast<std::size_t>(link.after)] - end_of(link.before);
        if (wait < link.gap || (link.within >= 0 && wait > link.within))
            return fmt::format("steps {} and {}: not {} s apart", link.before, link.after, wait);
    }
    for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
        const TaskData& task = problem.tasks[t];
        if (!done(static_cast<int>(t))) {
            if (!task.optional) return fmt::format("task {} is required", t);
            continue;
        }
        if (!task.possible || !task.lead_allowed[static_cast<std::size_t>(lead[t])])
            return fmt::format("task {}: not possible under this lead", t);
        for (int other : task.not_with)
            if (done(other)) return fmt::format("tasks {} and {} exclude each other", t, other);
        for (int other : task.needs)
            if (!done(other)) return fmt::format("task {} needs {}", t, other);
        Time first = never;
        for (int unit : task.units)
            for (int s : problem.units[static_cast<std::size_t>(unit)].steps) {
                first = std::min(first, start[static_cast<std::size_t>(s)]);
                if (start[static_cast<std::size_t>(s)] !=
                    start[static_cast<std::size_t>(problem.units[static_cast<std::size_t>(unit)].steps.front())])
                    return fmt::format("step {} does not start with its unit", s);
                for (int earlier : task.after) {
                    if (!done(earlier)) continue;
                    for (int before : problem.tasks[static_cast<std::size_t>(earlier)].units)
                        for (int b : problem.units[static_cast<std::size_t>(before)].steps)
                            if (end_of(b) > start[static_cast<std::size_t>(s)])
                                return fmt::format("task {} starts before {} ends", t, earlier);
                }
            }
        if (first > task.starts_by) return fmt::format("task {} starts too late", t);
    }
    return {};
}

/// Reads {"lead": [by task: 0, 1, or -1 for left out], "start_s": [by step]}.
json judged(const Core& core, const json& peer) {
    const Problem& problem = core.problem;
    const auto lead = peer.at("lead").get<std::vector<int>>();
    const auto start = peer.at("start_s").get<std::vector<Time>>();
    json answer;
    double value = 0;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (lead.at(t) >= 0 && problem.tasks[t].optional) value += problem.tasks[t].value;
    answer["value"] = value;
    answer["fault"] = fault_of(core, lead, start);
    // The same choices and the same order, decoded.
    Sequence sequence;
    for (const int who : lead) {
        sequence.in.push_back(who >= 0);
        sequence.lead.push_back(static_cast<std::uint8_t>(std::max(who, 0)));
    }
    sequence.gather.assign(problem.tasks.size(), 1);
    for (const TaskData& task : problem.tasks)
        sequence.order.insert(sequence.order.end(), task.units.begin(), task.units.end());
    const auto start_of = [&](int unit) {
        return start.at(static_cast<std::size_t>(problem.units[static_cast<std::size_t>(unit)].steps.front()));
    };
    std::stable_sort(sequence.order.begin(), sequence.order.end(),
                     [&](int a, int b) { return start_of(a) < start_of(b); });
    keep_done(problem, sequence);
    const Score score = Decoder(problem).decode(sequence);
    answer["decoded"] = score.violation == 0;
    answer["decoded_value"] = problem.wanted_value - score.missing;
    return answer;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 4) return 2;
    if (argc < 6 && std::string_view(argv[1]) == "walks") return 2;
    const std::string what = argv[1];
    const Core core(std::atoi(argv[2]), std::strtoull(argv[3], nullptr, 10));
    json answer;
    if (what == "write") {
        answer = written(core);
    } else if (what == "walks") {  // SIZE SEED SECONDS WALKS: values of so many random walks
        for (int walk = 1; walk <= std::atoi(argv[5]); ++walk)
            answer.push_back(
                plan_of(core, {std::strtod(argv[4], nullptr)}, static_cast<std::uint64_t>(walk)).at("values").at(0));
    } else if (what == "plan") {
        std::vector<double> seconds;
        for (int i = 4; i < argc; ++i) seconds.push_back(std::strtod(argv[i], nullptr));
        if (seconds.empty()) seconds = {0.1, 1, 10};
        answer = plan_of(core, seconds, 1);
    } else {
        answer = judged(core, json::parse(std::string(std::istreambuf_iterator<char>(std::cin), {})));
    }
    fmt::print("{}\n", answer.dump());
    return 0;
}
