#include "plan/remedies.h"

#include <fmt/format.h>

#include <algorithm>

#include "plan/reasons.h"
#include "plan/relax.h"
#include "plan/written.h"

namespace handrail::plan::detail {
namespace {

/// A change is not halved any more below this.
constexpr Seconds fine_enough{60};
/// Nobody moves the sunrise by more.
constexpr Seconds widest{3600};

/// Every task of a what-if is settled. Without required ones the search strives for nothing but an early end.
Outing with_one_class(const Outing& outing) {
    Outing copy = outing;
    for (Task& task : copy.tasks) task.task_class = TaskClass::wanted;
    return copy;
}

Outing with_limit(const Outing& outing, Seconds limit) {
    Outing copy = outing;
    copy.rules.limit = limit;
    return copy;
}

Outing with_more_work(const Outing& outing, const std::array<Seconds, 2>& work, const std::array<Seconds, 2>& heavy) {
    Outing copy = outing;
    for (const Crew c : both_crew) {
        CrewMember& person = copy.crew[index(c)];
        if (person.work_limit) person.work_limit = std::max(*person.work_limit, work[index(c)]);
        if (person.heavy_total) person.heavy_total = std::max(*person.heavy_total, heavy[index(c)]);
    }
    return copy;
}

}  // namespace

Found search_from(const Problem& problem, const Found& start, const ExplainBudget& budget,
                  const std::atomic<bool>* stop) {
    Budget one;
    one.iterations = budget.iterations;
    one.seed = budget.seed;
    one.threads = 1;
    return search(problem, start, one, {}, stop);
}

bool complete(const Problem& problem, const Found& found) {
    if (found.score.violation > 0) return false;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (problem.owed(static_cast<int>(t), found.sequence.in)) return false;
    return true;
}

std::string minutes(Seconds by) { return fmt::format("{} min", (by.count() + 59) / 60); }

Remedies::Remedies(const Outing& outing, const WindowTable& windows, const Situation& situation,
                   const Timeline& timeline, const ExplainBudget& budget, const std::atomic<bool>* stop)
    : outing_(with_one_class(outing)),
      windows_(windows),
      situation_(situation),
      timeline_(timeline),
      budget_(budget),
      stop_(stop) {
    for (const Task& task : outing.tasks) required_.push_back(task.task_class == TaskClass::required);
    for (const Activity& activity : timeline.activities)
        if (activity.step && !present(outing.step(*activity.step).task))
            present_.push_back(outing.step(*activity.step).task);
}

bool Remedies::present(TaskId task) const { return std::ranges::find(present_, task) != present_.end(); }

std::string Remedies::name(TaskId task) const { return fmt::format("\"{}\"", outing_.task(task).name); }

std::string Remedies::name(const Missing& missing) const {
    std::string names = name(missing.task);
    for (const TaskId task : missing.with) names += " with " + name(task);
    return names;
}

Freedom Remedies::exactly(const Missing& missing, std::optional<TaskId> without) const {
    Freedom freedom;
    for (const Task& one : outing_.tasks) {
        const bool in =
            one.id == missing.task || present(one.id) || std::ranges::find(missing.with, one.id) != missing.with.end();
        (in && one.id != without ? freedom.must_do : freedom.leave_out).push_back(one.id);
    }
    return freedom;
}

std::optional<Found> Remedies::fits_from(const Situation& situation, const Outing& outing, const WindowTable& windows,
                                         const Missing& missing, std::optional<TaskId> without,
                                         const Found* start) const {
    const Freedom freedom = exactly(missing, without);
    const Problem problem(outing, windows, situation, freedom);
    for (const TaskId task : freedom.must_do)
        if (!problem.tasks[index(task)].possible) return std::nullopt;
    // A task that another one stands for is not owed, but here every one is meant.
    const auto does_all = [&](const Found& found) {
        return complete(problem, found) &&
               std::ranges::all_of(freedom.must_do, [&](TaskId task) { return found.sequence.in[index(task)] != 0; });
    };
    Found from = taken_from(problem, timeline_);
    if (start) {
        from = *start;
        from.score = Decoder(problem).decode(from.sequence);
        if (does_all(from)) return from;
    }
    Found found = search_from(problem, from, budget_, stop_);
    if (!does_all(found)) return std::nullopt;
    return found;
}

void Remedies::look_at(Missing& missing) const {
    // What it needs comes with it, and what that needs.
    for (std::size_t i = 0; i <= missing.with.size(); ++i)
        for (const TaskId need : outing_.task(i == 0 ? missing.task : missing.with[i - 1]).needs)
            if (!present(need) && need != missing.task && std::ranges::find(missing.with, need) == missing.with.end())
                missing.with.push_back(need);
    if (fits(outing_, windows_, missing)) {
        Remedy room;
        room.what = fmt::format("{} fits beside the rest as it is: a longer search finds the place.", name(missing));
        missing.remedies.push_back(std::move(room));
        return;
    }
    try_person(missing);
    try_items(missing);
    try_limit(missing);
    try_windows(missing);
    try_suits(missing);
    if (missing.remedies.empty()) try_limit_and_suits(missing);
    try_latest(missing);
    try_work(missing);
    try_drops(missing);
}

void Remedies::try_person(Missing& missing) const {
    const auto fixed = outing_.task(missing.task).lead;
    if (!fixed) return;
    Outing copy = outing_;
    copy.tasks[index(missing.task)].lead = partner(*fixed);
    if (!fits(copy, windows_, missing)) return;
    Remedy remedy;
    remedy.kind = Remedy::Kind::person;
    remedy.what =
        fmt::format("{} fits when {} leads it instead of {}.", name(missing), word(partner(*fixed)), word(*fixed));
    missing.remedies.push_back(std::move(remedy));
}

void Remedies::try_items(Missing& missing) const {
    // What cannot be had when the task is put in, laid where it is wanted; then what cannot be had after that.
    Remedy remedy;
    remedy.kind = Remedy::Kind::item;
    Situation moved = situation_;
    std::string places;
    for (std::size_t round = 0; round <= outing_.items.size(); ++round) {
        const Freedom freedom = exactly(missing, {});
        const Problem problem(outing_, windows_, moved, freedom);
        Sequence with = taken_from(problem, timeline_).sequence;
        for (const TaskId id : freedom.must_do) {
            const TaskData& task = problem.tasks[index(id)];
            if (with.in[index(id)] || !task.possible) continue;
            with.in[index(id)] = 1;
            with.order.insert(with.order.end(), task.units.begin(), task.units.end());
        }
        repair(problem, with.order);
        Decoder decoder(problem);
        decoder.decode(with);
        const auto& cannot_be_had = decoder.missing_items();
        const auto wanted = cannot_be_had.empty() ? held_up_by_size(problem, static_cast<int>(index(missing.task)))
                                                  : std::optional{cannot_be_had.front()};
        if (!wanted) break;
        const StepData& step = problem.steps[static_cast<std::size_t>(wanted->step)];
        const auto item = static_cast<ItemId>(wanted->item);
        if (step.at < 0 ||
            std::ranges::find(remedy.items, item, [](const auto& p) { return p.first; }) != remedy.items.end())
            return;
        const auto site = static_cast<WorksiteId>(step.at);
        ItemPlace& place = moved.items[index(item)];
        if (place.where != ItemPlace::Where::loose && place.where != ItemPlace::Where::in_bag) return;
        place = {};
        place.site = site;
        remedy.items.emplace_back(item, site);
        places += fmt::format("{}\"{}\" lay at {}", places.empty() ? "" : " and ", outing_.item(item).name,
                              outing_.worksite(site).name);
    }
    if (remedy.items.empty() || !fits_from(moved, outing_, windows_, missing)) return;
    remedy.what = fmt::format("{} fits if {} to begin with.", name(missing), places);
    missing.remedies.push_back(std::move(remedy));
}

Seconds Remedies::least_limit(const Outing& outing, const Missing& missing, Found& found) const {
    const Seconds now = outing_.rules.limit;
    const auto over = [&] { return std::max(Seconds{0}, Seconds{found.score.finish} - now); };
    // Under a hard end far off a plan has no need to end soon: under its own end it is searched again while that helps.
    for (Seconds last{over() + fine_enough}; over() > Seconds{0} && last - over() >= fine_enough && !stopped();) {
        last = over();
        const Outing closer = with_limit(outing, now + last);
        const Problem problem(closer, windows_, situation_, exactly(missing, {}));
        Found sooner = found;
        sooner.score = Decoder(problem).decode(sooner.sequence);
        sooner = search_from(problem, sooner, budget_, stop_);
        const bool all = std::ranges::all_of(outing.tasks, [&](const Task& task) {
            return sooner.sequence.in[index(task.id)] == found.sequence.in[index(task.id)];
        });
        if (all && complete(problem, sooner) && sooner.score.finish < found.score.finish) found = std::move(sooner);
    }
    Seconds too_little{0};
    while (over() - too_little > fine_enough && !stopped()) {
        const Seconds half = too_little + (over() - too_little) / 2;
        if (auto sooner = fits(with_limit(outing, now + half), windows_, missing, {}, &found))
            found = std::move(*sooner);
        else
            too_little = half;
    }
    return over();
}

void Remedies::try_limit(Missing& missing) const {
    const Outing relaxed = relaxed_limit(outing_);
    auto found = fits(relaxed, windows_, missing);
    if (!found) return;
    Remedy remedy;
    remedy.kind = Remedy::Kind::limit;
    remedy.by = least_limit(outing_, missing, *found);
    if (remedy.by <= Seconds{0}) {
        remedy.kind = Remedy::Kind::room;
        remedy.what = fmt::format("{} fits beside the rest as it is: a longer search finds the place.", name(missing));
    } else {
        remedy.what =
            fmt::format("{} fits with a hard end {} later, at PET {}.", name(missing), minutes(remedy.by),
                        print_pet(pet(outing_.rules.limit + std::chrono::ceil<std::chrono::minutes>(remedy.by))));
    }
    missing.remedies.push_back(std::move(remedy));
}

void Remedies::try_windows(Missing& missing) const {
    bool conditional = false;
    for (const StepId id : outing_.task(missing.task).steps) {
        const Step& step = outing_.step(id);
        conditional |= !step.during.empty() || !step.not_during.empty() || !quiet_conditions(outing_, step).empty();
    }
    if (!conditional) return;
    Seconds wide = widest;
    WindowTable windows = widened(windows_, outing_, missing.task, wide);
    Outing outing = outing_;
    auto found = fits(outing, windows, missing);
    if (found) {
        Seconds too_little{0};
        while (wide - too_little > fine_enough && !stopped()) {
            const Seconds half = too_little + (wide - too_little) / 2;
            WindowTable narrower = widened(windows_, outing_, missing.task, half);
            if (auto closer = fits(outing_, narrower, missing, {}, &*found)) {
                found = std::move(closer);
                windows = std::move(narrower);
                wide = half;
            } else {
                too_little = half;
            }
        }
    } else {
        outing = without_conditions(outing_, missing.task);
        outing.rules.quiet.clear();
        windows = windows_;
        if (!(found = fits(outing, windows, missing))) return;
    }
    const Problem problem(outing, windows, situation_, exactly(missing, {}));
    std::vector<Outside> outside;
    for (const Activity& activity : timeline_of(problem, *found).activities)
        for (Outside& stretch : outside_conditions(outing_, windows_, activity)) outside.push_back(std::move(stretch));
    if (outside.empty() || !fits(outing_, with_stretches(windows_, outside), missing, {}, &*found)) return;
    Remedy remedy;
    remedy.kind = Remedy::Kind::window;
    std::string needed;
    for (const Outside& stretch : outside) {
        const Seconds length = std::chrono::ceil<Seconds>(stretch.to - stretch.from);
        remedy.by += length;
        remedy.stretches.push_back(
            {stretch.step, stretch.condition, stretch.worksite, stretch.needed, stretch.from, stretch.to});
        needed += fmt::format("{}{} {} from PET {} to {} as well ({} for {})", needed.empty() ? "" : ", and if ",
                              stretch.condition, stretch.needed ? "held" : "were over", print_pet_seconds(stretch.from),
                              print_pet_seconds(stretch.to), minutes(length), outing_.step(stretch.step).label);
    }
    remedy.what = fmt::format("{} fits if {}.", name(missing), needed);
    missing.remedies.push_back(std::move(remedy));
}

std::optional<Seconds> Remedies::least_suits(const Outing& outing, const Missing& missing, const Found& found) const {
    Found best = found;
    Seconds enough{600};
    for (;; enough *= 2) {
        if (enough > std::chrono::hours{24} || stopped()) return std::nullopt;
        if (auto one = fits(with_longer_suits(outing, enough), windows_, missing, {}, &best)) {
            best = std::move(*one);
            break;
        }
    }
    Seconds too_little = enough > Seconds{600} ? enough / 2 : Seconds{0};
    while (enough - too_little > fine_enough && !stopped()) {
        const Seconds half = too_little + (enough - too_little) / 2;
        if (auto one = fits(with_longer_suits(outing, half), windows_, missing, {}, &best)) {
            best = std::move(*one);
            enough = half;
        } else {
            too_little = half;
        }
    }
    return std::chrono::ceil<std::chrono::minutes>(enough);
}

void Remedies::try_suits(Missing& missing) const {
    const auto found = fits(with_full_suits(outing_), windows_, missing);
    if (!found) return;
    const auto by = least_suits(outing_, missing, *found);
    if (!by) return;
    Remedy remedy;
    remedy.kind = Remedy::Kind::suits;
    remedy.by = *by;
    remedy.what = fmt::format("{} fits with suits that last {} longer.", name(missing), minutes(*by));
    missing.remedies.push_back(std::move(remedy));
}

void Remedies::try_limit_and_suits(Missing& missing) const {
    const Outing full = with_full_suits(outing_);
    auto found = fits(relaxed_limit(full), windows_, missing);
    if (!found) return;
    Remedy remedy;
    remedy.kind = Remedy::Kind::end_and_suits;
    remedy.by = least_limit(full, missing, *found);
    const Seconds limit = outing_.rules.limit + std::chrono::ceil<std::chrono::minutes>(remedy.by);
    const auto by = least_suits(with_limit(outing_, limit), missing, *found);
    if (!by) return;
    if (remedy.by <= Seconds{0}) {  // the search came to see that the suits alone will do
        remedy.kind = Remedy::Kind::suits;
        remedy.by = *by;
        remedy.what = fmt::format("{} fits with suits that last {} longer.", name(missing), minutes(*by));
        missing.remedies.push_back(std::move(remedy));
        return;
    }
    remedy.suits_by = *by;
    remedy.what = fmt::format("{} fits with a hard end {} later, at PET {}, and suits that last {} longer.",
                              name(missing), minutes(remedy.by), print_pet(pet(limit)), minutes(*by));
    missing.remedies.push_back(std::move(remedy));
}

void Remedies::try_latest(Missing& missing) const {
    const Task& task = outing_.task(missing.task);
    if (!task.starts_by && !task.ends_by) return;
    const auto later = [&](Seconds by) {
        Outing copy = outing_;
        Task& moved = copy.tasks[index(missing.task)];
        if (moved.starts_by) *moved.starts_by += by;
        if (moved.ends_by) *moved.ends_by += by;
        return copy;
    };
    const Pet first = std::min(task.starts_by.value_or(Pet::max()), task.ends_by.value_or(Pet::max()));
    Seconds enough = std::chrono::ceil<Seconds>(pet(outing_.rules.limit) - first);
    auto found = enough > Seconds{0} ? fits(later(enough), windows_, missing) : std::nullopt;
    if (!found) return;
    Seconds too_little{0};
    while (enough - too_little > fine_enough && !stopped()) {
        const Seconds half = too_little + (enough - too_little) / 2;
        if (auto sooner = fits(later(half), windows_, missing, {}, &*found)) {
            found = std::move(sooner);
            enough = half;
        } else {
            too_little = half;
        }
    }
    Remedy remedy;
    remedy.kind = Remedy::Kind::latest;
    remedy.by = std::chrono::ceil<std::chrono::minutes>(enough);
    std::string times;
    for (const auto& [latest, what] : {std::pair{task.starts_by, "start"}, {task.ends_by, "end"}})
        if (latest)
            times += fmt::format("{}{} by PET {}", times.empty() ? "" : " and ", what,
                                 print_pet_seconds(*latest + remedy.by));
    remedy.what = fmt::format("{} fits if it may {}, {} later.", name(missing), times, minutes(remedy.by));
    missing.remedies.push_back(std::move(remedy));
}

void Remedies::try_work(Missing& missing) const {
    if (std::ranges::none_of(outing_.crew, [](const CrewMember& p) { return p.work_limit || p.heavy_total; })) return;
    const Outing free = without_work_limits(outing_);
    const auto found = fits(free, windows_, missing);
    if (!found) return;
    const Problem problem(free, windows_, situation_, exactly(missing, {}));
    std::array<Seconds, 2> work{};
    std::array<Seconds, 2> heavy{};
    for (const Activity& activity : timeline_of(problem, *found).activities) {
        if (!activity.step) continue;
        const Effort effort = outing_.step(*activity.step).effort;
        for (const Crew c : both_crew) {
            if (!activity.on(lane_of(c))) continue;
            work[index(c)] += activity.duration;
            if (effort == Effort::tools || effort == Effort::forced) heavy[index(c)] += activity.duration;
        }
    }
    if (!fits(with_more_work(outing_, work, heavy), windows_, missing, {}, &*found)) return;
    Remedy remedy;
    remedy.kind = Remedy::Kind::work;
    std::string who;
    for (const Crew c : both_crew) {
        const CrewMember& person = outing_.person(c);
        const Seconds over = std::max(person.work_limit ? work[index(c)] - *person.work_limit : Seconds{0},
                                      person.heavy_total ? heavy[index(c)] - *person.heavy_total : Seconds{0});
        if (over <= Seconds{0}) continue;
        remedy.by += over;
        who +=
            fmt::format("{}{} may work {} more than their limit", who.empty() ? "" : " and ", word(c), minutes(over));
    }
    if (who.empty()) return;
    remedy.what = fmt::format("{} fits if {}.", name(missing), who);
    missing.remedies.push_back(std::move(remedy));
}

void Remedies::try_drops(Missing& missing) const {
    const Task& coming = outing_.task(missing.task);
    std::vector<TaskId> candidates;
    for (const TaskId id : present_) {
        const bool stands_for_it = std::ranges::find(coming.instead_of, id) != coming.instead_of.end();
        if ((stands_for_it || !required_[index(id)]) && may_go(id, missing)) candidates.push_back(id);
    }
    std::ranges::stable_sort(candidates, {}, [&](TaskId id) { return outing_.task(id).value; });
    if (static_cast<int>(candidates.size()) > budget_.most_drops)
        candidates.resize(static_cast<std::size_t>(budget_.most_drops));
    for (const TaskId out : candidates) {
        if (stopped()) return;
        if (!fits(outing_, windows_, missing, out)) continue;
        Remedy remedy;
        remedy.kind = Remedy::Kind::drop;
        remedy.out = out;
        remedy.value = outing_.task(out).value;
        remedy.what = fmt::format("{} fits in place of {}: {:g} of value for {:g}.", name(missing), name(out),
                                  coming.value, remedy.value);
        missing.remedies.push_back(std::move(remedy));
        return;  // the least valuable that will do
    }
}

bool Remedies::may_go(TaskId out, const Missing& coming) const {
    for (const StepId id : outing_.task(out).steps)
        if (situation_.steps[index(id)] != StepStatus::to_do) return false;
    for (const Task& task : outing_.tasks) {
        const bool stays =
            task.id == coming.task || present(task.id) || std::ranges::find(coming.with, task.id) != coming.with.end();
        if (stays && task.id != out && std::ranges::find(task.needs, out) != task.needs.end()) return false;
    }
    return true;
}

}  // namespace handrail::plan::detail
