#include "plan/rearrange.h"

#include <fmt/format.h>

#include <algorithm>

#include "plan/demanded.h"
#include "plan/written.h"

namespace handrail::plan {
namespace {

using namespace detail;

/// A change of the old order is worth this much finish time here: the lead moves one thing and wants the rest to stay.
constexpr Seconds price_of_change{1800};

class Rearranger {
public:
    Rearranger(const Problem& problem, const Timeline& old, int tries)
        : problem_(problem), decoder_(problem), best_(taken_from(problem, old)), tries_(tries) {
        keep_done(problem, best_.sequence);
        decoder_.expect(best_.sequence);
    }

    /// The units are moved together to each place of the order, nearest to where they are wanted first. `flip`: the
    /// task that may change its lead on the way; -1: none.
    void move(const std::vector<int>& block, int wanted, int flip = -1) {
        Sequence rest = best_.sequence;
        std::erase_if(rest.order, [&](int u) { return std::find(block.begin(), block.end(), u) != block.end(); });
        const int n = static_cast<int>(rest.order.size());
        wanted = std::clamp(wanted, 0, n);
        for (int i = 0; i <= 2 * n && tries_ > 0; ++i) {
            const int place = wanted + (i % 2 ? -(i + 1) / 2 : i / 2);
            if (place < 0 || place > n) continue;
            Sequence trial = rest;
            trial.order.insert(trial.order.begin() + place, block.begin(), block.end());
            repair(problem_, trial.order);
            look_at(trial);
            if (flip < 0) continue;
            std::uint8_t& lead = trial.lead[static_cast<std::size_t>(flip)];
            lead ^= 1;
            if (problem_.tasks[static_cast<std::size_t>(flip)].lead_allowed[lead]) look_at(trial);
        }
    }
    void bring_in(int task) {
        const TaskData& data = problem_.tasks[static_cast<std::size_t>(task)];
        best_.sequence.in[static_cast<std::size_t>(task)] = 1;
        best_.sequence.order.insert(best_.sequence.order.end(), data.units.begin(), data.units.end());
        repair(problem_, best_.sequence.order);
        best_.score = decoder_.decode(best_.sequence);
        decoder_.expect(best_.sequence);
        for (const int lead : {0, 1}) {
            if (!data.lead_allowed[static_cast<std::size_t>(lead)]) continue;
            Sequence trial = best_.sequence;
            trial.lead[static_cast<std::size_t>(task)] = static_cast<std::uint8_t>(lead);
            look_at(trial);
        }
    }
    /// Where a unit stands in the order now.
    int place_of(int unit) const {
        const auto& order = best_.sequence.order;
        return static_cast<int>(std::find(order.begin(), order.end(), unit) - order.begin());
    }
    const Found& best() const { return best_; }

private:
    void look_at(const Sequence& trial) {
        --tries_;
        const Score score = decoder_.decode(trial);
        if (!better(score, best_.score)) return;
        best_.sequence = trial;
        best_.score = score;
        decoder_.expect(best_.sequence);
    }

    const Problem& problem_;
    Decoder decoder_;
    Found best_;
    int tries_;
};

/// Where the step is wanted: before the first unit of the old timeline that starts at its pinned time or later.
int wanted_place(const Problem& problem, const Rearranger& work, const Timeline& old, StepId step) {
    const StepData& data = problem.steps[index(step)];
    if (data.pin_from <= -never) return work.place_of(data.unit);
    int first = static_cast<int>(work.best().sequence.order.size());
    for (const Activity& activity : old.activities)
        if (activity.step && *activity.step != step && activity.start >= pet(Seconds{data.pin_from}))
            first = std::min(first, work.place_of(problem.steps[index(*activity.step)].unit));
    return first;
}

std::string quoted(const Outing& outing, StepId step) {
    return fmt::format("\"{}\" ({})", outing.step(step).name, outing.step(step).label);
}

/// The last part of a step that may be interrupted, itself for any other: it has ended when that has.
StepId last_part(const Outing& outing, StepId step) {
    for (const StepId other : outing.task(outing.step(step).task).steps)
        if (outing.step(other).continues == step) return last_part(outing, other);
    return step;
}

/// Why nobody is left who may do the task; nothing when somebody is.
std::optional<std::string> nobody_left(const Outing& outing, const Wishes& wishes, const Wishes::NotBy& ban) {
    const Step& banned = outing.step(ban.step);
    if (crew_in(banned, Crew::ev1).empty())
        return fmt::format("{} takes no part in {} as it is: it is not done by crew.", word(ban.crew),
                           quoted(outing, ban.step));
    const Task& task = outing.task(banned.task);
    const auto may_lead = [&](Crew lead) {
        if (task.lead && *task.lead != lead) return false;
        return std::ranges::none_of(wishes.not_by, [&](const Wishes::NotBy& wish) {
            const std::vector<Crew> crew = crew_in(outing.step(wish.step), lead);
            return outing.step(wish.step).task == task.id && std::ranges::find(crew, wish.crew) != crew.end();
        });
    };
    if (may_lead(Crew::ev1) || may_lead(Crew::ev2)) return std::nullopt;
    return fmt::format("nobody is left who may do {}: \"{}\" could only be left out.", quoted(outing, ban.step),
                       task.name);
}

/// A step from which a chain of orders and wishes leads back to itself; nothing when there is none.
std::optional<StepId> step_in_a_circle(const Outing& outing, const Wishes& wishes) {
    std::vector<std::vector<std::size_t>> after(outing.steps.size());
    for (const Order& order : outing.orders)
        if (!order.starts_together) after[index(order.before)].push_back(index(order.after));
    for (const Task& task : outing.tasks)
        for (const TaskId earlier : task.after)
            for (const StepId then : task.steps)
                for (const StepId first : outing.task(earlier).steps) after[index(first)].push_back(index(then));
    for (const Wishes::Before& wish : wishes.before)
        after[index(last_part(outing, wish.first))].push_back(index(wish.then));
    enum : std::uint8_t { unseen, open, done };
    std::vector<std::uint8_t> state(outing.steps.size(), unseen);
    std::vector<std::pair<std::size_t, std::size_t>> stack;  // step, which of its followers is next
    for (std::size_t root = 0; root < state.size(); ++root) {
        if (state[root] != unseen) continue;
        stack.assign(1, {root, 0});
        state[root] = open;
        while (!stack.empty()) {
            auto& [step, next] = stack.back();
            if (next == after[step].size()) {
                state[step] = done;
                stack.pop_back();
                continue;
            }
            const std::size_t follower = after[step][next++];
            if (state[follower] == open) return static_cast<StepId>(follower);
            if (state[follower] != unseen) continue;
            state[follower] = open;
            stack.emplace_back(follower, 0);
        }
    }
    return std::nullopt;
}

/// What else is demanded or left out that this task, which is demanded, cannot be done with or without.
std::optional<std::string> demanded_in_vain(const Outing& outing, const Wishes& wishes, TaskId id) {
    const Task& task = outing.task(id);
    const auto named = [](const std::vector<TaskId>& list, TaskId other) {
        return std::ranges::find(list, other) != list.end();
    };
    for (const std::vector<TaskId>* others : {&task.not_with, &task.instead_of})
        for (const TaskId other : *others)
            if (named(wishes.must_do, other))
                return fmt::format("\"{}\" and \"{}\" cannot both be demanded: by the outing file never both are done.",
                                   task.name, outing.task(other).name);
    for (const TaskId need : task.needs)
        if (named(wishes.leave_out, need))
            return fmt::format("\"{}\" cannot be demanded and \"{}\" left out: it needs that.", task.name,
                               outing.task(need).name);
    return std::nullopt;
}

}  // namespace

Timeline rearrange(const Outing& outing, const WindowTable& windows, const Situation& situation, const Timeline& old,
                   const Wishes& wishes, const Touched& touched, int tries) {
    Freedom freedom;
    freedom.wishes = wishes;
    freedom.keep = Keep{old, price_of_change, 0};
    const Problem problem(outing, windows, situation, without_alternatives(outing, situation, freedom));
    Rearranger work(problem, old, tries);
    std::vector<int> tasks;
    if (touched.task) tasks.push_back(static_cast<int>(index(*touched.task)));
    for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
        const TaskData& task = problem.tasks[t];
        if (task.optional || !task.possible || work.best().sequence.in[t]) continue;
        work.bring_in(static_cast<int>(t));
        if (!touched.task || index(*touched.task) != t) tasks.push_back(static_cast<int>(t));
    }
    for (const int task : tasks) {
        const std::vector<int>& units = problem.tasks[static_cast<std::size_t>(task)].units;
        if (!units.empty() && work.best().sequence.in[static_cast<std::size_t>(task)])
            work.move(units, work.place_of(units.front()), task);
    }
    if (touched.step && problem.tasks[index(outing.step(*touched.step).task)].possible) {
        const int unit = problem.steps[index(*touched.step)].unit;
        const std::vector<int>& units =
            problem.tasks[static_cast<std::size_t>(problem.units[static_cast<std::size_t>(unit)].task)].units;
        const auto from = std::find(units.begin(), units.end(), unit);
        const int wanted = wanted_place(problem, work, old, *touched.step);
        if (from != units.end()) {
            work.move({unit}, wanted);
            work.move({from, units.end()}, wanted);
        }
    }
    Timeline timeline = timeline_of(problem, work.best());
    timeline.note.seed = old.note.seed;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
        if (work.best().sequence.in[t] || problem.tasks[t].started) continue;
        const TaskId id = static_cast<TaskId>(t);
        const auto known =
            std::find_if(old.left_out.begin(), old.left_out.end(), [id](const LeftOut& out) { return out.task == id; });
        const bool wished = std::find(wishes.leave_out.begin(), wishes.leave_out.end(), id) != wishes.leave_out.end();
        timeline.left_out.push_back({id, wished                        ? "The lead wants it left out."
                                         : known != old.left_out.end() ? known->reason
                                         : !problem.tasks[t].possible  ? "What the lead has settled rules it out."
                                                                       : "Left out when the timeline was edited."});
    }
    return timeline;
}

std::optional<std::string> contradiction(const Outing& outing, const Wishes& wishes) {
    for (const Wishes::Start& wish : wishes.starts) {
        if (wish.from > wish.to)
            return fmt::format("{} cannot start after PET {} and by PET {}.", quoted(outing, wish.step),
                               print_pet_seconds(wish.from), print_pet_seconds(wish.to));
        if (wish.to < Pet{})
            return fmt::format("{} cannot start at PET {}: the outing begins at PET 00:00.", quoted(outing, wish.step),
                               print_pet(wish.to));
        if (std::ranges::count(wishes.starts, wish.step, &Wishes::Start::step) > 1)
            return fmt::format("{} is pinned twice: pin it once.", quoted(outing, wish.step));
    }
    for (const Order& order : outing.orders) {
        if (!order.starts_together) continue;
        const auto one = std::ranges::find(wishes.starts, order.before, &Wishes::Start::step);
        const auto other = std::ranges::find(wishes.starts, order.after, &Wishes::Start::step);
        if (one == wishes.starts.end() || other == wishes.starts.end()) continue;
        if (one->to < other->from || other->to < one->from)
            return fmt::format("{} and {} start together by the outing file: they cannot be pinned to different times.",
                               quoted(outing, order.before), quoted(outing, order.after));
    }
    for (const auto& [id, lead] : wishes.lead) {
        const Task& task = outing.task(id);
        if (std::ranges::any_of(wishes.lead, [id = id, lead = lead](const auto& other) {
                return other.first == id && other.second != lead;
            }))
            return fmt::format("\"{}\" cannot be led by both EV1 and EV2.", task.name);
        if (task.lead && *task.lead != lead)
            return fmt::format("\"{}\" is led by {} by the outing file; change the file to give it to {}.", task.name,
                               word(*task.lead), word(lead));
        for (const Wishes::NotBy& wish : wishes.not_by) {
            const std::vector<Crew> crew = crew_in(outing.step(wish.step), lead);
            if (outing.step(wish.step).task == id && std::find(crew.begin(), crew.end(), wish.crew) != crew.end())
                return fmt::format("{} takes part in {} when {} leads \"{}\", which is forbidden.", word(wish.crew),
                                   quoted(outing, wish.step), word(lead), task.name);
        }
    }
    for (const Wishes::NotBy& wish : wishes.not_by)
        if (auto why = nobody_left(outing, wishes, wish)) return why;
    for (const TaskId id : wishes.must_do)
        if (std::find(wishes.leave_out.begin(), wishes.leave_out.end(), id) != wishes.leave_out.end())
            return fmt::format("\"{}\" cannot be demanded and left out.", outing.task(id).name);
    for (const TaskId id : wishes.must_do)
        if (auto why = demanded_in_vain(outing, wishes, id)) return why;
    if (std::find(wishes.closed.begin(), wishes.closed.end(), outing.station.airlock) != wishes.closed.end())
        return "the airlock cannot be closed: nobody could go out or come home.";
    if (const auto step = step_in_a_circle(outing, wishes))
        return fmt::format("{} would have to end before it starts: the order asked for runs in a circle.",
                           quoted(outing, *step));
    return std::nullopt;
}

std::vector<std::string> unkept(const Outing& outing, const Timeline& timeline, const Wishes& wishes) {
    std::vector<std::string> sentences;
    const auto run_of = [&](StepId step) -> const Activity* {
        for (const Activity& activity : timeline.activities)
            if (activity.step == step) return &activity;
        return nullptr;
    };
    const auto span = [](Milliseconds d) { return print_duration(std::chrono::ceil<Seconds>(d)); };
    for (const Wishes::Start& wish : wishes.starts) {
        const Activity* run = run_of(wish.step);
        if (!run) {
            sentences.push_back(fmt::format("{} is wanted at PET {} and is left out.", quoted(outing, wish.step),
                                            print_pet_seconds(wish.from)));
        } else if (run->start < wish.from) {
            sentences.push_back(fmt::format("{} starts {} sooner than wanted.", quoted(outing, wish.step),
                                            span(wish.from - run->start)));
        } else if (run->start > wish.to) {
            sentences.push_back(fmt::format("{} starts {} later than wanted: it cannot start before PET {} there.",
                                            quoted(outing, wish.step), span(run->start - wish.to),
                                            print_pet_seconds(run->start)));
        }
    }
    for (const Wishes::Before& wish : wishes.before) {
        const Activity* first = run_of(last_part(outing, wish.first));
        const Activity* then = run_of(wish.then);
        if (first && then && then->start < first->end())
            sentences.push_back(
                fmt::format("{} starts before {} has ended.", quoted(outing, wish.then), quoted(outing, wish.first)));
    }
    for (const Wishes::NotBy& wish : wishes.not_by)
        if (const Activity* run = run_of(wish.step); run && run->on(lane_of(wish.crew)))
            sentences.push_back(
                fmt::format("{} takes part in {}, which is forbidden.", word(wish.crew), quoted(outing, wish.step)));
    for (const auto& [task, lead] : wishes.lead)
        if (const auto is = timeline.lead_of(task); is && *is != lead)
            sentences.push_back(
                fmt::format("\"{}\" is led by {} and wanted from {}.", outing.task(task).name, word(*is), word(lead)));
    for (const TaskId task : wishes.must_do)
        if (!timeline.lead_of(task))
            sentences.push_back(fmt::format("\"{}\" is demanded and left out.", outing.task(task).name));
    for (const TaskId task : wishes.leave_out)
        for (const Activity& activity : timeline.activities)
            if (activity.step && !activity.as_run && outing.step(*activity.step).task == task &&
                !outing.step(*activity.step).close_up) {
                sentences.push_back(fmt::format("\"{}\" is on the timeline and wanted out.", outing.task(task).name));
                break;
            }
    for (const WorksiteId site : wishes.closed)
        for (const Activity& activity : timeline.activities) {
            const bool crew = activity.on(Lane::ev1) || activity.on(Lane::ev2);
            const bool leads_there =
                std::find(activity.path.begin() + (activity.kind == ActivityKind::translate && !activity.path.empty()),
                          activity.path.end(), site) != activity.path.end();
            if (activity.as_run || !crew || !leads_there) continue;
            sentences.push_back(fmt::format("At PET {} the timeline leads to {}, which is closed.",
                                            print_pet_seconds(activity.start), outing.worksite(site).name));
            break;
        }
    return sentences;
}

}  // namespace handrail::plan
