#include "plan/reasons.h"

#include <fmt/format.h>

#include <algorithm>

#include "plan/rearrange.h"
#include "plan/relax.h"
#include "plan/written.h"

namespace handrail::plan::detail {
namespace {

/// The search budget of one what-if: enough to be right nearly always, small enough for a dozen of them in a second.
constexpr std::uint64_t what_if_iterations = 4000;

std::string name_of(const Problem& problem, int task) {
    return problem.outing->tasks[static_cast<std::size_t>(task)].name;
}

std::string minutes_up(std::int64_t seconds) { return fmt::format("{} min", (seconds + 59) / 60); }

std::string sentence(Broken what, std::int64_t amount, const Problem& problem) {
    const std::string by = minutes_up(amount);
    switch (what) {
        case Broken::limit:
            return fmt::format("it would end {} after the hard end at PET {}", by,
                               print_pet(pet(Seconds{problem.limit})));
        case Broken::egress_by:
            return fmt::format("egress would be {} later than its latest time", by);
        case Broken::window:
            return "a step finds no window long enough in which its conditions hold";
        case Broken::within:
            return fmt::format("a step would follow {} later than it must", by);
        case Broken::task_by:
            return fmt::format("its latest start or end would be passed by {}", by);
        case Broken::item:
            return "an item it needs cannot be brought there";
        case Broken::capacity:
            return "more would be carried, or stowed in a bag, than there is room for";
        case Broken::tether:
            return "no permitted way with the tether within reach leads there with what is carried";
        case Broken::consumable:
            return fmt::format("a suit's consumables would not last ({} of work too much)", by);
        case Broken::turn_back:
            return "on the way a suit would have too little left to come home with its reserve";
        case Broken::open_site:
            return "an open worksite would be left alone";
        case Broken::partner:
            return fmt::format("the two would be {} farther apart than allowed", by);
        case Broken::choice:
            return "tasks that exclude or need each other stand against it";
        case Broken::clash:
            return "one crew member would have to do two steps at once";
        case Broken::resource:
            return "more of a resource would be used than there is";
        case Broken::interrupted:
            return "a step would be interrupted by something that may not interrupt it";
        case Broken::arm_clear:
            return "somebody would be where the arm sweeps";
        case Broken::person:
            return fmt::format("a crew member would work {} more than they may", by);
        case Broken::wish:
            return "a step cannot start when the lead wants it";
    }
    return {};
}

/// The largest thing that is broken; the way home from somewhere is named only where nothing plainer is.
std::string worst(Score score, const Problem& problem) {
    std::int64_t& turn_back = score.broken[static_cast<std::size_t>(Broken::turn_back)];
    turn_back = std::min<std::int64_t>(turn_back, 1);
    const auto top = std::max_element(score.broken.begin(), score.broken.end());
    return sentence(static_cast<Broken>(top - score.broken.begin()), *top, problem);
}

bool mostly(Broken what, const Score& score) {
    const auto top = std::ranges::max_element(score.broken);
    return top - score.broken.begin() == static_cast<std::ptrdiff_t>(what);
}

/// Each item that could not be had.
void say_missing_items(const Problem& problem, const Sequence& sequence, std::vector<std::string>& reasons) {
    Decoder decoder(problem);
    decoder.decode(sequence);
    for (const Decoder::MissingItem& missing : decoder.missing_items()) {
        const int task = problem.steps[static_cast<std::size_t>(missing.step)].task;
        std::string reason =
            fmt::format("{}: {}.", name_of(problem, task), why_not_brought(problem, sequence, missing));
        if (std::ranges::find(reasons, reason) == reasons.end()) reasons.push_back(std::move(reason));
    }
}

/// The task in the plan that rules this one out, or the one it needs that is not there and cannot come.
std::optional<std::string> shut_out(const Problem& problem, const Sequence& sequence, int t) {
    const TaskData& task = problem.tasks[static_cast<std::size_t>(t)];
    const auto there = [&](int other) {
        return sequence.in[static_cast<std::size_t>(other)] || problem.tasks[static_cast<std::size_t>(other)].started;
    };
    for (const int other : task.instead_of)
        if (there(other)) return fmt::format("\"{}\" is done in its place.", name_of(problem, other));
    for (const int other : task.not_with)
        if (there(other)) return fmt::format("It is never done with \"{}\", which is.", name_of(problem, other));
    for (const int need : task.needs)
        if (!there(need) && !problem.tasks[static_cast<std::size_t>(need)].possible)
            return fmt::format("It needs \"{}\", which is left out.", name_of(problem, need));
    return std::nullopt;
}

/// Takes a task in with what it needs, in file order at this place of the order.
void put_in(const Problem& problem, int t, std::size_t place, Sequence& sequence) {
    std::vector<int> coming{t};
    for (std::size_t i = 0; i < coming.size(); ++i)
        for (const int need : problem.tasks[static_cast<std::size_t>(coming[i])].needs)
            if (!sequence.in[static_cast<std::size_t>(need)] && std::ranges::find(coming, need) == coming.end())
                coming.push_back(need);
    std::vector<int> units;
    for (const int one : coming) {
        const TaskData& task = problem.tasks[static_cast<std::size_t>(one)];
        sequence.in[static_cast<std::size_t>(one)] = 1;
        std::uint8_t& lead = sequence.lead[static_cast<std::size_t>(one)];
        if (one != t && !task.lead_allowed[lead]) lead ^= 1;
        units.insert(units.begin(), task.units.begin(), task.units.end());
    }
    sequence.order.insert(sequence.order.begin() + static_cast<std::ptrdiff_t>(place), units.begin(), units.end());
    repair(problem, sequence.order);
}

/// The plan with the task put at places all over the order, under each lead: the least broken of them. Nothing when
/// nobody may lead it.
std::optional<Found> least_broken(const Problem& problem, const Found& found, int t, int places) {
    const auto i = static_cast<std::size_t>(t);
    Decoder decoder(problem);
    std::optional<Found> best;
    for (int lead = 0; lead < 2; ++lead) {
        if (!problem.tasks[i].lead_allowed[static_cast<std::size_t>(lead)]) continue;
        Sequence base = found.sequence;
        base.lead[i] = static_cast<std::uint8_t>(lead);
        keep_done(problem, base);
        decoder.expect(base);
        const std::size_t n = base.order.size();
        const std::size_t tries = std::min<std::size_t>(n + 1, static_cast<std::size_t>(places));
        for (std::size_t i_place = 0; i_place < tries; ++i_place) {
            Sequence trial = base;
            put_in(problem, t, tries > 1 ? i_place * n / (tries - 1) : n, trial);
            const Score score = decoder.decode(trial);
            if (!best || better(score, best->score)) best = {trial, score, 0};
        }
    }
    return best;
}

/// The step of this task that starts where its conditions do not hold.
std::optional<std::string> step_without_window(const Problem& problem, const Found& with, int t) {
    const std::size_t lead = with.sequence.lead[static_cast<std::size_t>(t)];
    for (const Activity& activity : timeline_of(problem, with, Bounded::no).activities) {
        if (!activity.step || activity.as_run) continue;
        const StepData& step = problem.steps[index(*activity.step)];
        if (step.task != t || !step.windowed) continue;
        const auto holds = [at = since_zero(activity.start).count()](const StartRange& range) {
            return range.from <= at && at <= range.to;
        };
        if (std::ranges::any_of(step.starts[lead], holds) || std::ranges::any_of(step.hand_starts[lead], holds))
            continue;
        const Step& named = problem.outing->step(*activity.step);
        return fmt::format("\"{}\" ({}) finds no window long enough in which its conditions hold", named.name,
                           named.label);
    }
    return std::nullopt;
}

/// The bag into which a step of this task stows more than it holds.
std::optional<std::string> bag_too_small(const Problem& problem, int t) {
    const Outing& outing = *problem.outing;
    for (const StepId id : outing.tasks[static_cast<std::size_t>(t)].steps) {
        const Step& step = outing.step(id);
        if (!step.into) continue;
        int units = 0;
        for (const ItemId item : step.stows) units += size_units(outing.item(item).size);
        if (units > outing.item(*step.into).holds)
            return fmt::format("\"{}\" ({}) stows more into \"{}\" than it holds", step.name, step.label,
                               outing.item(*step.into).name);
    }
    return std::nullopt;
}

/// What is broken most in a plan with this task, in words that end without a full stop.
std::string what_breaks(const Problem& problem, const Found& with, int t, const Wishes& wishes) {
    if (mostly(Broken::wish, with.score)) {
        const auto all = unkept(*problem.outing, timeline_of(problem, with, Bounded::no), wishes);
        if (!all.empty()) return all.front().substr(0, all.front().size() - 1);
    }
    if (mostly(Broken::window, with.score))
        if (const auto step = step_without_window(problem, with, t)) return *step;
    if (mostly(Broken::capacity, with.score))
        if (const auto bag = bag_too_small(problem, t)) return *bag;
    if (mostly(Broken::tether, with.score))
        if (const auto large = held_up_by_size(problem, t)) return why_not_brought(problem, with.sequence, *large);
    if (mostly(Broken::item, with.score)) {
        Decoder decoder(problem);
        decoder.decode(with.sequence);
        for (const Decoder::MissingItem& missing : decoder.missing_items())
            if (problem.steps[static_cast<std::size_t>(missing.step)].task == t)
                return why_not_brought(problem, with.sequence, missing);
    }
    return worst(with.score, problem);
}

Found searched(const Problem& problem, const std::atomic<bool>* stop) {
    Budget budget;
    budget.iterations = what_if_iterations;
    budget.threads = 1;
    return search(problem, construct(problem), budget, {}, stop);
}

bool fits(const Problem& problem, const Found& found) {
    if (found.score.violation > 0) return false;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (problem.owed(static_cast<int>(t), found.sequence.in)) return false;
    return true;
}

/// What the lead has settled that rules a task out; nothing when it is something else.
std::optional<std::string> ruled_out(const Outing& outing, TaskId id, const Freedom& freedom) {
    const auto named = [id](const std::vector<TaskId>& list) { return std::ranges::find(list, id) != list.end(); };
    if (named(freedom.leave_out)) return "it is left out in this option";
    if (named(freedom.wishes.leave_out)) return "the lead wants it left out";
    for (const StepId step_id : outing.task(id).steps) {
        const Step& step = outing.step(step_id);
        if (crew_in(step, Crew::ev1).empty()) continue;
        for (const WorksiteId site : freedom.wishes.closed)
            if (step.at == site || step.to == site)
                return fmt::format("{} is closed, and {} leads there", outing.worksite(site).name, step.label);
    }
    return std::nullopt;
}

/// The lead's wishes, each with all of them but that one. At most so many: each costs a search.
std::vector<std::pair<std::string, Wishes>> without_one(const Outing& outing, const Wishes& wishes) {
    constexpr std::size_t most = 12;
    std::vector<std::pair<std::string, Wishes>> list;
    const auto each = [&](auto member, auto&& words) {
        for (std::size_t i = 0; i < (wishes.*member).size() && list.size() < most; ++i) {
            Wishes rest = wishes;
            (rest.*member).erase((rest.*member).begin() + static_cast<std::ptrdiff_t>(i));
            list.emplace_back(words((wishes.*member)[i]), std::move(rest));
        }
    };
    each(&Wishes::starts, [&](const Wishes::Start& wish) {
        return fmt::format("if {} were not pinned to PET {}", outing.step(wish.step).label, print_pet(wish.from));
    });
    each(&Wishes::before, [&](const Wishes::Before& wish) {
        return fmt::format("if {} need not come before {}", outing.step(wish.first).label,
                           outing.step(wish.then).label);
    });
    each(&Wishes::not_by, [&](const Wishes::NotBy& wish) {
        return fmt::format("if {} might take part in {}", word(wish.crew), outing.step(wish.step).label);
    });
    each(&Wishes::lead, [&](const std::pair<TaskId, Crew>& wish) {
        return fmt::format("if \"{}\" were not given to {}", outing.task(wish.first).name, word(wish.second));
    });
    each(&Wishes::must_do,
         [&](TaskId task) { return fmt::format("if \"{}\" were not demanded", outing.task(task).name); });
    each(&Wishes::closed, [&](WorksiteId site) { return fmt::format("if {} were open", outing.worksite(site).name); });
    return list;
}

/// Required tasks only: what cannot be done even without the optional ones.
Outing required_only(const Outing& outing, Freedom& freedom) {
    for (const Task& task : outing.tasks)
        if (task.task_class != TaskClass::required &&
            std::find(freedom.must_do.begin(), freedom.must_do.end(), task.id) == freedom.must_do.end())
            freedom.leave_out.push_back(task.id);
    return outing;
}

}  // namespace

std::vector<std::string> why_not(const Problem& problem, const Found& found, const WindowTable& windows,
                                 const Freedom& freedom, const std::atomic<bool>* stop) {
    std::vector<std::string> reasons;
    const Outing& outing = *problem.outing;
    std::string names;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t) {
        const TaskData& task = problem.tasks[t];
        if (task.optional || task.started) continue;
        // Where one of several will do, those that are not done are no reason.
        if (!found.sequence.in[t] && !problem.owed(static_cast<int>(t), found.sequence.in)) continue;
        if (!task.possible) {
            bool no_window = false;
            for (StepId id : outing.tasks[t].steps) {
                const StepData& step = problem.steps[index(id)];
                if (step.windowed && step.starts[0].empty() && step.starts[1].empty()) {
                    no_window = true;
                    reasons.push_back(fmt::format("{}: no window is long enough for {}.",
                                                  name_of(problem, static_cast<int>(t)), outing.step(id).label));
                }
            }
            if (!no_window)
                reasons.push_back(fmt::format("{}: {}.", name_of(problem, static_cast<int>(t)),
                                              ruled_out(outing, static_cast<TaskId>(t), freedom)
                                                  .value_or("cannot be done in this situation (crew, arm or lead)")));
        } else if (!found.sequence.in[t]) {
            const auto with = least_broken(problem, found, static_cast<int>(t), places_to_try(problem, 4));
            if (!with || with->score.violation == 0) continue;
            if (mostly(Broken::item, with->score))
                say_missing_items(problem, with->sequence, reasons);
            else
                reasons.push_back(fmt::format("{}: {}.", name_of(problem, static_cast<int>(t)),
                                              what_breaks(problem, *with, static_cast<int>(t), freedom.wishes)));
        }
        names += (names.empty() ? "" : ", ") + name_of(problem, static_cast<int>(t));
    }
    if (found.score.violation > 0) {
        const auto broken = [&](Broken what) { return found.score.broken[static_cast<std::size_t>(what)] > 0; };
        if (broken(Broken::item)) say_missing_items(problem, found.sequence, reasons);
        if (broken(Broken::wish))
            std::ranges::move(unkept(outing, timeline_of(problem, found, Bounded::no), freedom.wishes),
                              std::back_inserter(reasons));
        for (std::size_t b = 0; b < broken_count; ++b)
            if (const auto what = static_cast<Broken>(b); broken(what) && what != Broken::item && what != Broken::wish)
                reasons.push_back(fmt::format("The best plan found with the required tasks ({}): {}.", names,
                                              sentence(what, found.score.broken[b], problem)));
    }
    // What would let the required tasks in: one rule relaxed at a time.
    struct WhatIf {
        const char* words;
        Outing (*relax)(const Outing&);
    };
    const WhatIf what_ifs[] = {
        {"without the hard end", relaxed_limit},
        {"without light, coverage and other conditions", [](const Outing& o) { return without_conditions(o); }},
        {"with suits that never run out", with_full_suits},
        {"without latest starts and ends of tasks", without_latest_times}};
    Freedom required = freedom;
    required_only(outing, required);
    bool any = false;
    const bool latest =
        std::ranges::any_of(outing.tasks, [](const Task& task) { return task.starts_by || task.ends_by; });
    for (const WhatIf& relaxation : what_ifs) {
        if (relaxation.relax == without_latest_times && !latest) continue;
        const Outing copy = relaxation.relax(outing);
        const Problem other(copy, windows, *problem.situation, required);
        Found trial = searched(other, stop);
        if (!fits(other, trial)) continue;
        any = true;
        if (relaxation.relax == relaxed_limit) {
            // Under a hard end far off a plan has no need to end soon; under its own end it has.
            Outing closer = copy;
            closer.rules.limit = Seconds{trial.score.finish};
            const Problem tight(closer, windows, *problem.situation, required);
            const Found sooner = searched(tight, stop);
            if (fits(tight, sooner)) trial = sooner;
        }
        const std::int64_t over = trial.score.finish - problem.limit;
        reasons.push_back(fmt::format("The required tasks fit {}: home at PET {}{}.", relaxation.words,
                                      print_pet(pet(Seconds{trial.score.finish})),
                                      over > 0 ? ", " + minutes_up(over) + " after the hard end" : ""));
    }
    for (auto& [words, rest] : without_one(outing, required.wishes)) {
        Freedom freer = required;
        freer.wishes = std::move(rest);
        const Problem other(outing, windows, *problem.situation, freer);
        if (!fits(other, searched(other, stop))) continue;
        any = true;
        reasons.push_back(fmt::format("The required tasks fit {}.", words));
    }
    for (const Task& task : outing.tasks) {
        if (task.task_class != TaskClass::required) continue;
        Freedom without = required;
        without.leave_out.push_back(task.id);
        const Problem other(outing, windows, *problem.situation, without);
        Found trial = searched(other, stop);
        bool rest_fits = trial.score.violation == 0;
        for (std::size_t t = 0; t < other.tasks.size(); ++t)
            if (t != index(task.id) && other.owed(static_cast<int>(t), trial.sequence.in)) rest_fits = false;
        if (!rest_fits) continue;
        any = true;
        reasons.push_back(fmt::format("Without \"{}\" the other required tasks fit.", task.name));
    }
    if (!any)
        reasons.emplace_back(
            "No single relaxation tried (hard end, conditions, suits, latest times, what the lead has settled, any one "
            "required task) lets the rest in.");
    return reasons;
}

int places_to_try(const Problem& problem, std::size_t left_out) {
    // Placing a step costs about a microsecond; this keeps the whole below half a second.
    constexpr std::size_t steps_placed = 400'000;
    const std::size_t decodes = steps_placed / std::max<std::size_t>(1, problem.steps.size());
    return static_cast<int>(std::clamp<std::size_t>(decodes / std::max<std::size_t>(1, 2 * left_out), 4, 400));
}

std::string brief_reason(const Problem& problem, const Found& found, int t, const Freedom& freedom, int places) {
    const std::size_t i = static_cast<std::size_t>(t);
    const TaskData& task = problem.tasks[i];
    const TaskId id = static_cast<TaskId>(t);
    const auto named = [&](const std::vector<TaskId>& list) {
        return std::find(list.begin(), list.end(), id) != list.end();
    };
    if (problem.situation->dropped[i]) return "The lead has left it out.";
    if (named(freedom.leave_out)) return "Left out in this option.";
    if (named(freedom.wishes.leave_out)) return "The lead wants it left out.";
    if (freedom.come_in_now) return "The crew comes in.";
    if (const auto why = shut_out(problem, found.sequence, t)) return *why;
    if (!task.possible) {
        if (const auto why = ruled_out(*problem.outing, id, freedom)) return fmt::format("Not possible: {}.", *why);
        for (StepId step : problem.outing->tasks[i].steps) {
            const StepData& data = problem.steps[index(step)];
            if (data.windowed && data.starts[0].empty() && data.starts[1].empty())
                return fmt::format("No window is long enough for {}.", problem.outing->step(step).label);
        }
        return "It cannot be done in this situation: crew, arm or lead.";
    }
    if (task.units.empty()) return "Nothing of it is left to do.";
    if (places <= 0) return "No room was found for it.";
    const auto best = least_broken(problem, found, t, places);
    if (!best) return "Nobody may lead it.";
    if (best->score.violation == 0) return "It fits only in place of something of more value.";
    return fmt::format("Beside the rest of this plan {}.", what_breaks(problem, *best, t, freedom.wishes));
}

}  // namespace handrail::plan::detail
