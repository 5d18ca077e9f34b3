#include "plan/explain.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <thread>

#include "plan/relax.h"
#include "plan/remedies.h"
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
        : outing_(outing),
          windows_(windows),
          situation_(situation),
          timeline_(timeline),
          budget_(budget),
          stop_(stop),
          remedies_(outing, windows, situation, timeline, budget, stop) {}

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
        return search_from(problem, taken_from(problem, timeline_), budget_, stop_);
    }
    std::string name(TaskId task) const { return fmt::format("\"{}\"", outing_.task(task).name); }

    // ---- what is left out

    void prepare_missing(Explanation& answer, std::vector<std::function<void()>>& jobs) {
        for (const LeftOut& out : timeline_.left_out)
            answer.missing.push_back({out.task, out.reason, {}, {}, true, {}});
        for (const Task& task : outing_.tasks)
            if (!remedies_.present(task.id) &&
                std::ranges::find(answer.missing, task.id, &Missing::task) == answer.missing.end())
                answer.missing.push_back({task.id, {}, {}, {}, true, {}});
        std::ranges::sort(answer.missing, {}, &Missing::task);
        std::vector<Missing*> by_value;
        for (Missing& missing : answer.missing) by_value.push_back(&missing);
        std::ranges::stable_sort(by_value, [&](const Missing* a, const Missing* b) {
            return outing_.task(a->task).value > outing_.task(b->task).value;
        });
        for (std::size_t i = 0; i < by_value.size(); ++i) {
            Missing* missing = by_value[i];
            missing->looked = static_cast<int>(i) < budget_.most_left_out;
            if (missing->looked) jobs.emplace_back([this, missing] { remedies_.look_at(*missing); });
        }
    }
    void sum_up(Missing& missing) const {
        // Room and person cost nothing, items little; then what takes least time; an exchange of tasks last.
        std::ranges::stable_sort(missing.remedies, {}, [](const Remedy& r) {
            const int group = r.kind == Remedy::Kind::room     ? 0
                              : r.kind == Remedy::Kind::person ? 1
                              : r.kind == Remedy::Kind::item   ? 2
                              : r.kind == Remedy::Kind::drop   ? 4
                                                               : 3;
            return std::pair(group, r.by);
        });
        if (!missing.looked)
            missing.what = "Not looked at: too many tasks are left out.";
        else if (missing.remedies.empty())
            missing.what = fmt::format(
                "Nothing tried (another lead, another place for an item, a later hard end, longer windows, suits, a "
                "later "
                "latest time, more work, one task out) lets {} in.",
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
        Time finish = 0, required_end = 0;
        std::vector<TaskId> in;
    };
    Outcome result_of(const Outing& outing) const {
        const Problem problem(outing, windows_, situation_, {});
        const Found found = searched(problem);
        Outcome outcome{true,
                        complete(problem, found),
                        value_of(problem, found.sequence),
                        found.score.finish,
                        found.score.required_end,
                        {}};
        for (std::size_t t = 0; t < problem.tasks.size(); ++t)
            if (found.sequence.in[t]) outcome.in.push_back(static_cast<TaskId>(t));
        return outcome;
    }
    void gather_rules(Explanation& answer, std::vector<std::optional<RuleCost>>& costs) const {
        const Outcome& base = results_.back();
        for (std::size_t i = 0; i < relaxations_.size(); ++i) {
            const Outcome& with = results_[i];
            if (!with.looked || !with.complete || !base.looked) continue;
            RuleCost cost{relaxations_[i].rule, relaxations_[i].words, 0, Seconds{0}, Seconds{0}, {}, {}};
            cost.value = base.complete ? with.value - base.value : with.value;
            const bool same_value = base.complete && std::abs(cost.value) < 1e-9;
            if (same_value && with.finish < base.finish) cost.sooner = Seconds{base.finish - with.finish};
            if (same_value && with.required_end < base.required_end)
                cost.required_sooner = Seconds{base.required_end - with.required_end};
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
            } else if (cost.required_sooner >= Seconds{60}) {
                cost.what = fmt::format("{}: the same value, the last required task done {} sooner.",
                                        capital(cost.relaxed), minutes(cost.required_sooner));
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
            if (a.sooner != b.sooner) return a.sooner > b.sooner;
            return a.required_sooner > b.required_sooner;
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
                ? fmt::format("\"{}\", which waits until {} at PET {}", title(outing_, start),
                              turn_of(first.reason.condition), print_pet_seconds(first.reason.earliest))
            : first.reason.cause == Cause::wish
                ? fmt::format("\"{}\", which waits for what the outing file prefers until PET {}",
                              title(outing_, start), print_pet_seconds(first.reason.earliest))
                : fmt::format("\"{}\", which nothing on the timeline holds back", title(outing_, start));
        return fmt::format(
            "Home at PET {}: the chain that sets it begins with {}, and is made of {} of steps, {} of ways{} {} of "
            "handling, glove checks and the airlock{}.",
            print_pet(timeline_.finish()), from, print_duration(work), print_duration(ways),
            still > Seconds{0} ? "," : " and", print_duration(other),
            still > Seconds{0} ? fmt::format(" and {} of rests and least gaps", print_duration(still)) : "");
    }

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
    Remedies remedies_;
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
        case Remedy::Kind::item:
            return "item";
        case Remedy::Kind::limit:
            return "limit";
        case Remedy::Kind::window:
            return "window";
        case Remedy::Kind::suits:
            return "suits";
        case Remedy::Kind::end_and_suits:
            return "end and suits";
        case Remedy::Kind::latest:
            return "latest";
        case Remedy::Kind::work:
            return "work";
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
