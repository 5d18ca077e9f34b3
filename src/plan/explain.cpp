#include "plan/explain.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <thread>

#include "plan/relax.h"
#include "plan/written.h"

namespace handrail::plan {
namespace {

using namespace detail;

/// Runs jobs on several threads; each writes to its own place, so the answer does not depend on how many there are.
void run_all(std::vector<std::function<void()>>& jobs, int threads, const std::atomic<bool>* stop) {
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
        for (std::size_t i = next++; i < jobs.size() && !(stop && stop->load()); i = next++) jobs[i]();
    };
    if (threads <= 0) threads = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    std::vector<std::jthread> others;
    for (int i = 1; i < threads; ++i) others.emplace_back(work);
    work();
}

class Explainer {
public:
    Explainer(const Outing& outing, const WindowTable& windows, const Situation& situation, const Timeline& timeline,
              const ExplainBudget& budget, const std::atomic<bool>* stop)
        : outing_(outing), windows_(windows), situation_(situation), timeline_(timeline), budget_(budget), stop_(stop) {
        for (const Activity& activity : timeline.activities)
            if (activity.step) {
                const TaskId task = outing.step(*activity.step).task;
                if (std::ranges::find(present_, task) == present_.end()) present_.push_back(task);
            }
    }

    Explanation run() {
        Explanation answer;
        answer.timeline = timeline_;
        answer.waits = waits(outing_, windows_, timeline_);
        answer.chain = critical_chain(outing_, windows_, timeline_);
        answer.finish = finish_sentence(answer.chain);
        std::vector<std::function<void()>> jobs;
        prepare_missing(answer, jobs);
        std::vector<std::optional<RuleCost>> costs;
        prepare_rules(costs, jobs);
        run_all(jobs, budget_.threads, stop_);
        for (Missing& missing : answer.missing) sum_up(missing);
        gather_rules(answer, costs);
        return answer;
    }

private:
    Found searched(const Problem& problem) const {
        Budget budget;
        budget.iterations = budget_.iterations;
        budget.seed = budget_.seed;
        budget.threads = 1;
        return search(problem, taken_from(problem, timeline_), budget, {}, stop_);
    }
    static bool complete(const Problem& problem, const Found& found) {
        if (found.score.violation > 0) return false;
        for (std::size_t t = 0; t < problem.tasks.size(); ++t)
            if (problem.owed(static_cast<int>(t), found.sequence.in)) return false;
        return true;
    }
    std::string name(TaskId task) const { return fmt::format("\"{}\"", outing_.task(task).name); }

    // ---- what is left out

    /// Everything in the plan and `task` must be done, everything else is out, `without` too.
    Freedom exactly(TaskId task, std::optional<TaskId> without) const {
        Freedom freedom;
        for (const Task& one : outing_.tasks) {
            const bool in = one.id == task || std::ranges::find(present_, one.id) != present_.end();
            (in && one.id != without ? freedom.must_do : freedom.leave_out).push_back(one.id);
        }
        return freedom;
    }
    std::optional<Found> fits(const Outing& outing, TaskId task, std::optional<TaskId> without = {}) const {
        const Problem problem(outing, windows_, situation_, exactly(task, without));
        Found found = searched(problem);
        if (!complete(problem, found)) return std::nullopt;
        return found;
    }
    void prepare_missing(Explanation& answer, std::vector<std::function<void()>>& jobs) {
        for (const LeftOut& out : timeline_.left_out) answer.missing.push_back({out.task, out.reason, {}, true, {}});
        for (const Task& task : outing_.tasks)
            if (std::ranges::find(present_, task.id) == present_.end() &&
                std::ranges::find(answer.missing, task.id, &Missing::task) == answer.missing.end())
                answer.missing.push_back({task.id, {}, {}, true, {}});
        std::ranges::sort(answer.missing, {}, &Missing::task);
        std::vector<Missing*> by_value;
        for (Missing& missing : answer.missing) by_value.push_back(&missing);
        std::ranges::stable_sort(by_value, [&](const Missing* a, const Missing* b) {
            return outing_.task(a->task).value > outing_.task(b->task).value;
        });
        for (std::size_t i = 0; i < by_value.size(); ++i) {
            Missing* missing = by_value[i];
            missing->looked = static_cast<int>(i) < budget_.most_left_out;
            if (missing->looked) jobs.emplace_back([this, missing] { look_at(*missing); });
        }
    }
    void look_at(Missing& missing) const {
        const TaskId id = missing.task;
        if (fits(outing_, id)) {
            missing.remedies.push_back(
                {Remedy::Kind::room, {}, {}, {}, 0, fmt::format("{} fits beside the rest as it is.", name(id))});
            return;
        }
        if (outing_.task(id).lead) try_person(missing);
        try_limit(missing);
        try_windows(missing);
        try_suits(missing);
        if (missing.remedies.empty()) try_limit_and_suits(missing);
        try_drops(missing);
    }
    void try_person(Missing& missing) const {
        Outing copy = outing_;
        const Crew fixed = *copy.tasks[index(missing.task)].lead;
        copy.tasks[index(missing.task)].lead.reset();
        if (fits(copy, missing.task))
            missing.remedies.push_back({Remedy::Kind::person,
                                        {},
                                        {},
                                        {},
                                        0,
                                        fmt::format("{} fits when {} leads it instead of {}.", name(missing.task),
                                                    word(partner(fixed)), word(fixed))});
    }
    void try_limit(Missing& missing) const {
        const auto found = fits(relaxed_limit(outing_), missing.task);
        if (!found) return;
        const Seconds by = std::max(Seconds{0}, Seconds{found->score.finish} - outing_.rules.limit);
        if (by <= Seconds{0}) return;
        missing.remedies.push_back({Remedy::Kind::limit,
                                    by,
                                    {},
                                    {},
                                    0,
                                    fmt::format("{} fits with a hard end {} later, at PET {}.", name(missing.task),
                                                minutes(by), print_pet(pet(Seconds{found->score.finish + 59})))});
    }
    void try_windows(Missing& missing) const {
        bool conditional = false;
        for (const StepId id : outing_.task(missing.task).steps)
            conditional |= !outing_.step(id).during.empty() || !outing_.step(id).not_during.empty();
        if (!conditional) return;
        const Outing copy = without_conditions(outing_, missing.task);
        const Problem problem(copy, windows_, situation_, exactly(missing.task, {}));
        const Found found = searched(problem);
        if (!complete(problem, found)) return;
        Seconds by{0};
        std::string where;
        const Timeline timeline = timeline_of(problem, found);
        for (const Activity& activity : timeline.activities) {
            if (!activity.step || outing_.step(*activity.step).task != missing.task) continue;
            const Outside outside = outside_conditions(outing_, windows_, activity);
            if (outside.by <= Seconds{0}) continue;
            by += outside.by;
            where += fmt::format("{}{} of {} ({}, PET {} to {})", where.empty() ? "" : "; ", minutes(outside.by),
                                 outing_.step(*activity.step).label, outside.condition, print_pet(activity.start),
                                 print_pet(activity.end()));
        }
        missing.remedies.push_back({Remedy::Kind::window,
                                    by,
                                    {},
                                    {},
                                    0,
                                    fmt::format("{} fits without its conditions; outside them then: {}.",
                                                name(missing.task), where.empty() ? "nothing" : where)});
    }
    void try_suits(Missing& missing) const {
        const Outing copy = with_full_suits(outing_);
        const Problem relaxed(copy, windows_, situation_, exactly(missing.task, {}));
        const Found found = searched(relaxed);
        if (!complete(relaxed, found)) return;
        const Problem problem(outing_, windows_, situation_, exactly(missing.task, {}));
        const Score score = Decoder(problem).decode(found.sequence);
        const Seconds by{std::max(score.broken[static_cast<std::size_t>(Broken::consumable)],
                                  score.broken[static_cast<std::size_t>(Broken::turn_back)])};
        missing.remedies.push_back(
            {Remedy::Kind::suits,
             by,
             {},
             {},
             0,
             fmt::format("{} fits with suits that last about {} of work longer.", name(missing.task), minutes(by))});
    }
    void try_limit_and_suits(Missing& missing) const {
        const Outing copy = with_full_suits(relaxed_limit(outing_));
        const Problem relaxed(copy, windows_, situation_, exactly(missing.task, {}));
        const Found found = searched(relaxed);
        if (!complete(relaxed, found)) return;
        const Problem problem(outing_, windows_, situation_, exactly(missing.task, {}));
        const Score score = Decoder(problem).decode(found.sequence);
        const Seconds by = std::max(Seconds{0}, Seconds{found.score.finish} - outing_.rules.limit);
        const Seconds suits{std::max(score.broken[static_cast<std::size_t>(Broken::consumable)],
                                     score.broken[static_cast<std::size_t>(Broken::turn_back)])};
        missing.remedies.push_back(
            {Remedy::Kind::end_and_suits,
             by,
             suits,
             {},
             0,
             fmt::format("{} fits with a hard end {} later and suits that last about {} of work longer.",
                         name(missing.task), minutes(by), minutes(suits))});
    }
    void try_drops(Missing& missing) const {
        std::vector<TaskId> candidates;
        for (const TaskId id : present_)
            if (outing_.task(id).task_class != TaskClass::required && may_go(id, missing.task))
                candidates.push_back(id);
        std::ranges::stable_sort(candidates, {}, [&](TaskId id) { return outing_.task(id).value; });
        if (static_cast<int>(candidates.size()) > budget_.most_drops)
            candidates.resize(static_cast<std::size_t>(budget_.most_drops));
        for (const TaskId out : candidates) {
            if (stop_ && stop_->load()) return;
            if (!fits(outing_, missing.task, out)) continue;
            missing.remedies.push_back(
                {Remedy::Kind::drop,
                 {},
                 {},
                 out,
                 outing_.task(out).value,
                 fmt::format("{} fits in place of {}: {:g} of value for {:g}.", name(missing.task), name(out),
                             outing_.task(missing.task).value, outing_.task(out).value)});
            return;  // the least valuable that will do
        }
    }
    /// Not begun, and not needed by anything else that stays.
    bool may_go(TaskId out, TaskId coming) const {
        for (const StepId id : outing_.task(out).steps)
            if (situation_.steps[index(id)] != StepStatus::to_do) return false;
        for (const Task& task : outing_.tasks) {
            const bool stays = task.id == coming || (std::ranges::find(present_, task.id) != present_.end());
            if (stays && task.id != out && std::ranges::find(task.needs, out) != task.needs.end()) return false;
        }
        return true;
    }
    void sum_up(Missing& missing) const {
        // Room and person cost nothing; then what takes least time; an exchange of tasks last.
        std::ranges::stable_sort(missing.remedies, {}, [](const Remedy& r) {
            const int group = r.kind == Remedy::Kind::room     ? 0
                              : r.kind == Remedy::Kind::person ? 1
                              : r.kind == Remedy::Kind::drop   ? 3
                                                               : 2;
            return std::pair(group, r.by);
        });
        if (!missing.looked)
            missing.what = "Not looked at: too many tasks are left out.";
        else if (missing.remedies.empty())
            missing.what = fmt::format(
                "Nothing tried (another lead, a later hard end, conditions, suits, one task out) lets {} in.",
                name(missing.task));
        else
            missing.what = missing.remedies.front().what;
    }

    // ---- what the rules cost

    void prepare_rules(std::vector<std::optional<RuleCost>>& costs, std::vector<std::function<void()>>& jobs) {
        relaxations_ = relaxations(outing_);
        costs.resize(relaxations_.size());
        results_.resize(relaxations_.size() + 1);
        jobs.emplace_back([this] { results_.back() = result_of(outing_); });
        for (std::size_t i = 0; i < relaxations_.size(); ++i)
            jobs.emplace_back([this, i] { results_[i] = result_of(relaxations_[i].relax(outing_)); });
    }
    struct Outcome {
        bool looked = false, complete = false;
        double value = 0;
        Time finish = 0;
        std::vector<TaskId> in;
    };
    Outcome result_of(const Outing& outing) const {
        const Problem problem(outing, windows_, situation_, {});
        const Found found = searched(problem);
        Outcome outcome{true, complete(problem, found), value_of(problem, found.sequence), found.score.finish, {}};
        for (std::size_t t = 0; t < problem.tasks.size(); ++t)
            if (found.sequence.in[t]) outcome.in.push_back(static_cast<TaskId>(t));
        return outcome;
    }
    void gather_rules(Explanation& answer, std::vector<std::optional<RuleCost>>& costs) const {
        const Outcome& base = results_.back();
        for (std::size_t i = 0; i < relaxations_.size(); ++i) {
            const Outcome& with = results_[i];
            if (!with.looked || !with.complete || !base.looked) continue;
            RuleCost cost{relaxations_[i].rule, relaxations_[i].words, 0, Seconds{0}, {}, {}};
            cost.value = base.complete ? with.value - base.value : with.value;
            const bool same_value = base.complete && std::abs(cost.value) < 1e-9;
            if (same_value && with.finish < base.finish) cost.sooner = Seconds{base.finish - with.finish};
            for (const TaskId id : with.in)
                if (std::ranges::find(base.in, id) == base.in.end()) cost.comes.push_back(id);
            if (cost.value > 1e-9) {
                std::string names;
                for (const TaskId id : cost.comes) names += (names.empty() ? "" : ", ") + name(id);
                cost.what = fmt::format("{}: {:g} more of value ({}).", capital(cost.relaxed), cost.value,
                                        names.empty() ? "other tasks" : "then also " + names);
            } else if (!base.complete) {
                cost.what = fmt::format("{}: the required tasks fit, home at PET {}.", capital(cost.relaxed),
                                        print_pet(pet(Seconds{with.finish})));
            } else if (cost.sooner >= Seconds{30}) {
                cost.what =
                    fmt::format("{}: the same value, home {} sooner.", capital(cost.relaxed), minutes(cost.sooner));
            } else {
                answer.rules_free.push_back(cost.relaxed);
                continue;
            }
            costs[i] = std::move(cost);
        }
        for (auto& cost : costs)
            if (cost) answer.rules.push_back(std::move(*cost));
        std::ranges::stable_sort(answer.rules, [](const RuleCost& a, const RuleCost& b) {
            if (std::abs(a.value - b.value) > 1e-9) return a.value > b.value;
            return a.sooner > b.sooner;
        });
    }

    // ---- what sets the finish

    std::string finish_sentence(const std::vector<ChainLink>& chain) const {
        if (chain.empty()) return "The timeline has no ingress.";
        Seconds work{0};
        Seconds ways{0};
        Seconds other{0};
        Seconds still{0};
        std::optional<Pet> last;
        for (const ChainLink& link : chain) {
            const Activity& activity = timeline_.activities[link.activity];
            (activity.step                                                                         ? work
             : activity.kind == ActivityKind::translate || activity.kind == ActivityKind::arm_move ? ways
                                                                                                   : other) +=
                activity.duration;
            if (last && activity.start > *last) still += std::chrono::floor<Seconds>(activity.start - *last);
            last = activity.end();
        }
        const ChainLink& first = chain.front();
        const Activity& start = timeline_.activities[first.activity];
        const std::string from =
            start.kind == ActivityKind::egress ? "egress"
            : first.reason.cause == Cause::window
                ? fmt::format("\"{}\", which waits until {} begins at PET {}", title(outing_, start),
                              first.reason.condition, print_pet(first.reason.earliest))
                : fmt::format("\"{}\", which nothing before it holds back", title(outing_, start));
        return fmt::format(
            "Home at PET {}: the chain that sets it begins with {}, and is made of {} of steps, {} of "
            "ways, {} of everything else{}.",
            print_pet(timeline_.finish()), from, print_duration(work), print_duration(ways), print_duration(other),
            still > Seconds{0} ? fmt::format(" and {} of gaps", print_duration(still)) : "");
    }

    static std::string minutes(Seconds by) { return fmt::format("{} min", (by.count() + 59) / 60); }
    static std::string capital(std::string words) {
        if (!words.empty() && words[0] >= 'a' && words[0] <= 'z') words[0] = static_cast<char>(words[0] - 'a' + 'A');
        return words;
    }

    const Outing& outing_;
    const WindowTable& windows_;
    const Situation& situation_;
    const Timeline& timeline_;
    const ExplainBudget budget_;
    const std::atomic<bool>* stop_;
    std::vector<TaskId> present_;
    std::vector<Relaxation> relaxations_;
    std::vector<Outcome> results_;
};

}  // namespace

std::string_view word(Remedy::Kind kind) {
    switch (kind) {
        case Remedy::Kind::room:
            return "room";
        case Remedy::Kind::person:
            return "person";
        case Remedy::Kind::limit:
            return "limit";
        case Remedy::Kind::window:
            return "window";
        case Remedy::Kind::suits:
            return "suits";
        case Remedy::Kind::end_and_suits:
            return "end and suits";
        case Remedy::Kind::drop:
            return "drop";
    }
    return {};
}

Explanation explain(const Outing& outing, const WindowTable& windows, const Situation& situation,
                    const Timeline& timeline, const ExplainBudget& budget, const std::atomic<bool>* stop) {
    Timeline ordered = timeline;
    put_in_order(ordered);
    return Explainer(outing, windows, situation, ordered, budget, stop).run();
}

}  // namespace handrail::plan
