#include <fmt/format.h>

#include <algorithm>

#include "plan/planner.h"
#include "rehearse/crew_parts.h"

/// How something begins, how long it really takes, and what its end changes.
namespace handrail::rehearse {

using namespace detail;
using plan::ItemPlace;
using plan::StepStatus;

/// The rest of the step's task is left, but what it opened is still closed up.
void World::give_up(const Step& step, const std::string& why, std::vector<Call>& calls) {
    const Task& task = outing_.task(step.task);
    calls.push_back(say(Call::What::trouble, "IV",
                        fmt::format("{} cannot go on {}; we leave the rest of it.", task.name, why),
                        fmt::format("drop {} {}", task.key, why), step.id));
    const bool begun = std::ranges::any_of(
        task.steps, [&](StepId id) { return steps_[index(id)] == StepStatus::done && outing_.step(id).opens; });
    std::erase_if(to_do_, [&](const Activity& activity) {
        if (!activity.step || outing_.step(*activity.step).task != task.id) return false;
        return !(begun && outing_.step(*activity.step).close_up) || *activity.step == step.id;
    });
}

std::optional<StepId> World::next_step_of(const Activity& activity) const {
    for (const Activity& other : to_do_)
        if (other.step && other.start >= activity.start && other.on(activity.lanes.front())) return other.step;
    return std::nullopt;
}

Seconds World::true_length(const Activity& activity) const {
    switch (activity.kind) {
        case ActivityKind::egress:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            return luck_.airlock(activity.kind, activity.duration);
        case ActivityKind::step:
            return luck_.step(outing_.step(*activity.step), lead_of(outing_.step(*activity.step).task));
        case ActivityKind::glove_check:
        case ActivityKind::rest:
        case ActivityKind::arm_move:
            return activity.duration;
        case ActivityKind::translate:
        case ActivityKind::tether_swap:
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
            break;
    }
    const Crew crew = one_of(activity);
    Seconds planned = activity.duration;
    if (activity.kind == ActivityKind::translate && activity.path.front() != at_[index(crew)])
        if (const auto way = plan::quickest_way(outing_, crew, at_[index(crew)], activity.path.back(),
                                                anchor_[index(crew)], SizeClass::medium))
            planned = way->time;
    const auto next = next_step_of(activity);
    return luck_.move(activity.kind, planned, next, crew, next ? lead_of(outing_.step(*next).task) : crew);
}

void World::begin(std::size_t number, std::vector<Call>& calls) {
    Running running;
    running.activity = to_do_[number];
    running.planned = running.activity.duration;
    const Seconds length = true_length(running.activity);
    to_do_.erase(to_do_.begin() + static_cast<std::ptrdiff_t>(number));
    Activity& activity = running.activity;
    activity.start = now_;
    activity.duration = length;
    if (activity.kind == ActivityKind::arm_move) {
        activity.path = {arm_at_, activity.path.back()};
        activity.duration = arm_move_time(outing_.station, arm_at_, activity.path.back());
    }
    activity.as_run = true;
    running.end = activity.end();
    if (!able_[0] || !able_[1]) met_ = met_ || at_[0] == at_[1];
    if (activity.step) schedule_step(running, calls);
    if (activity.kind == ActivityKind::clean_up) cleaning_up_ = true;
    if (activity.kind == ActivityKind::clean_up)
        calls.push_back(say(Call::What::home, "IV", "Both are back at the airlock; clean-up.", "clean-up"));
    if (activity.kind == ActivityKind::ingress)
        calls.push_back(say(Call::What::home, "IV", "Inventory is complete; they are coming in.", "ingress"));
    if (activity.kind == ActivityKind::translate)
        calls.push_back(say(Call::What::words, who_of(activity),
                            fmt::format("On my way to {}.", outing_.worksite(activity.path.back()).name)));
    running_.push_back(std::move(running));
}

void World::schedule_step(Running& running, std::vector<Call>& calls) {
    const Step& step = outing_.step(*running.activity.step);
    steps_[index(step.id)] = StepStatus::running;
    const std::string who = who_of(running.activity);
    const bool one = running.activity.on(Lane::ev1) != running.activity.on(Lane::ev2);
    calls.push_back(say(Call::What::began, who, fmt::format("Starting: {}.", step.name),
                        fmt::format("{}started {}", one ? who + " " : "", step.label), step.id));
    const Pet half = now_ + running.activity.duration / 2;
    Pet said = std::chrono::floor<Seconds>(half);
    // What has struck once does not strike again when they try once more.
    const bool before = std::ranges::find(struck_, step.id, &Struck::step) != struck_.end();
    for (const Strike& strike : before ? std::vector<Strike>{} : luck_.strikes(step.id)) {
        const Trouble& trouble = luck_.risk().troubles[strike.trouble];
        const bool lost = trouble.kind == Trouble::Kind::lost && !step.needs.empty();
        if (running.fails) break;
        struck_.push_back(
            {step.id, strike.trouble, said, strike.extra, lost ? std::optional(step.needs.front()) : std::nullopt});
        running.end += strike.extra;
        if (lost) {
            const std::string& item = outing_.item(step.needs.front()).name;
            running.to_say.push_back({said, Call::What::lost, who,
                                      fmt::format("The {} has come off its tether. It is gone.", item),
                                      fmt::format("{} lost", outing_.item(step.needs.front()).id), step.id});
            running.end = said + strike.extra;
            running.fails = true;
        } else {
            const auto minutes = std::chrono::duration_cast<std::chrono::minutes>(strike.told).count();
            running.to_say.push_back(
                {said, Call::What::trouble, who,
                 fmt::format("Trouble here, {}: {}. Give me {} minutes more.", step.name, trouble.name, minutes),
                 fmt::format("{} {}, +{} min", step.label, trouble.name, minutes), step.id});
        }
        said += strike.extra;
    }
    running.activity.duration = std::chrono::floor<Seconds>(running.end - now_);
}

void World::effects(const Step& step) {
    const std::optional<WorksiteId> there = step.to ? step.to : step.at;
    const std::vector<Crew> crew = crew_in(step, lead_of(step.task));
    for (const Crew member : crew)
        if (there) at_[index(member)] = *there;
    if (step.arm == ArmUse::ride && there) arm_at_ = *there;
    const auto place = [&](ItemId item, ItemPlace::Where where) {
        items_[index(item)] = {where, there.value_or(outing_.station.airlock), {}, {}};
    };
    for (const ItemId item : step.leaves) place(item, ItemPlace::Where::loose);
    for (const ItemId item : step.moves) place(item, ItemPlace::Where::loose);
    for (const ItemId item : step.installs) place(item, ItemPlace::Where::installed);
    if (!crew.empty())
        for (const ItemId item : step.takes) items_[index(item)] = {ItemPlace::Where::carried, {}, {}, crew.front()};
}

void World::worked(const Activity& activity) {
    for (const Crew crew : both_crew) {
        const std::size_t c = index(crew);
        if (!activity.on(lane_of(crew))) continue;
        if (activity.start - heavy_until_[c] >= outing_.rules.rest) heavy_[c] = Seconds{0};
        heavy_[c] += activity.duration;
        heavy_until_[c] = activity.end();
    }
}

void World::end(const Running& running, std::vector<Call>& calls) {
    const Activity& activity = running.activity;
    happened_.push_back({activity, running.planned, !running.fails});
    if (activity.step) {
        const Step& step = outing_.step(*activity.step);
        if (is_heavy(step)) worked(activity);
        if (running.fails) {
            steps_[index(step.id)] = StepStatus::to_do;
            calls.push_back(say(Call::What::stopped, who_of(activity),
                                fmt::format("Stopping: {}. It is not done.", step.name),
                                fmt::format("undo {}", step.label), step.id));
            give_up(step, "without the " + outing_.item(step.needs.front()).name, calls);
            return;
        }
        steps_[index(step.id)] = StepStatus::done;
        step_end_[index(step.id)] = activity.end();
        effects(step);
        calls.push_back(say(Call::What::ended, who_of(activity), fmt::format("Done: {}.", step.name),
                            fmt::format("finished {}", step.label), step.id));
        return;
    }
    const std::size_t c = has_crew(activity) ? index(one_of(activity)) : 0;
    switch (activity.kind) {
        case ActivityKind::egress:
            outside_ = true;
            checked_at_ = {activity.end(), activity.end()};
            calls.push_back(say(Call::What::egress_done, "IV", "Both are outside, tethers checked.", "egress done"));
            break;
        case ActivityKind::ingress:
            inside_ = true;
            calls.push_back(say(Call::What::home, "IV", "Both are in, the hatch is closed.", "hatch closed"));
            break;
        case ActivityKind::translate:
            at_[c] = activity.path.back();
            break;
        case ActivityKind::tether_swap:
            anchor_[c] = activity.path.back();
            break;
        case ActivityKind::pick_up:
            for (const ItemId item : activity.items)
                items_[index(item)] = {ItemPlace::Where::carried, {}, {}, one_of(activity)};
            break;
        case ActivityKind::put_down:
            for (const ItemId item : activity.items) items_[index(item)] = {ItemPlace::Where::loose, at_[c], {}, {}};
            break;
        case ActivityKind::glove_check:
            checked_at_[c] = activity.end();
            calls.push_back(say(Call::What::words, who_of(activity), "Gloves look good.",
                                fmt::format("{} gloves", who_of(activity))));
            break;
        case ActivityKind::arm_move:
            arm_at_ = activity.path.back();
            break;
        case ActivityKind::step:
        case ActivityKind::rest:
        case ActivityKind::clean_up:
            break;
    }
}

}  // namespace handrail::rehearse
