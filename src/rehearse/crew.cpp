#include "rehearse/crew.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/planner.h"
#include "timeline/loads.h"

namespace handrail::rehearse {
namespace {

using plan::ItemPlace;
using plan::StepStatus;

// How often the suits are read out: practice.
constexpr Seconds reading_every{40 * 60};
// Steps within so little time of each other are one piece of work (practice).
constexpr Seconds closely{10 * 60};

bool has_crew(const Activity& activity) { return activity.on(Lane::ev1) || activity.on(Lane::ev2); }
Crew one_of(const Activity& activity) { return activity.on(Lane::ev1) ? Crew::ev1 : Crew::ev2; }

bool is_heavy(const Step& step) { return step.effort == Effort::tools || step.effort == Effort::forced; }

std::string who_of(const Activity& activity) {
    std::string who;
    for (const Lane lane : activity.lanes)
        if (lane == Lane::ev1 || lane == Lane::ev2) who += (who.empty() ? "" : " and ") + std::string(word(lane));
    if (who.empty() && !activity.lanes.empty()) who = word(activity.lanes.back());
    return who;
}

}  // namespace

World::World(const Outing& outing, const WindowTable& windows, const Timeline& plan, const Luck& luck)
    : outing_(outing),
      windows_(windows),
      luck_(luck),
      steps_(outing.steps.size(), StepStatus::to_do),
      step_end_(outing.steps.size()),
      items_(plan::initial(outing).items),
      at_{outing.station.airlock, outing.station.airlock},
      anchor_{at_},
      arm_at_(plan::initial(outing).arm_at),
      next_reading_(Pet{} + reading_every) {
    follow(plan);
    if (luck.private_talk()) {
        const double length = static_cast<double>((plan.finish() - Pet{}) / Seconds{1});
        talk_from_ = Pet{} + Seconds{static_cast<std::int64_t>(luck.private_talk()->share * length)};
    }
}

Call World::say(Call::What what, std::string who, std::string words, std::string line,
                std::optional<StepId> step) const {
    return {now_, what, std::move(who), std::move(words), std::move(line), step};
}

Crew World::lead_of(TaskId task) const {
    return timeline_.lead_of(task).value_or(outing_.task(task).lead.value_or(Crew::ev1));
}

void World::follow(const Timeline& timeline) {
    timeline_ = timeline;
    to_do_.clear();
    for (const Activity& activity : timeline.activities) {
        if (activity.as_run) continue;
        if (activity.kind == ActivityKind::egress && (outside_ || !running_.empty())) continue;
        if (activity.step && steps_[index(*activity.step)] != StepStatus::to_do) continue;
        // People look at their gloves and rest when it is due, not when a plan said so.
        if (activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::rest) continue;
        to_do_.push_back(activity);
    }
}

Timeline World::as_run() const {
    Timeline timeline = timeline_;
    timeline.activities.clear();
    for (const Happened& one : happened_)
        if (one.finished && one.activity.duration > Seconds{0}) timeline.activities.push_back(one.activity);
    for (Activity& activity : timeline.activities) activity.as_run = true;
    put_in_order(timeline);
    return timeline;
}

lifesupport::Amounts World::used(Crew crew) const {
    Timeline timeline = as_run();
    const CrewLoads loads = loads_of(outing_, windows_, timeline, crew);
    lifesupport::Amounts used{};
    for (const lifesupport::Load& load : loads.loads) {
        if (load.start >= now_) continue;
        const auto seconds =
            static_cast<double>(std::min(load.duration, std::chrono::floor<Seconds>(now_ - load.start)).count());
        const Watts rate{load.metabolic.value() * luck_.metabolic(crew)};
        const lifesupport::Amounts draw = lifesupport::draw_per_second(outing_.suit_of(crew), rate, load.sunlit);
        for (std::size_t i = 0; i < used.size(); ++i) used[i] += draw[i] * seconds;
    }
    return used;
}

// ---- what may begin
// --------------------------------------------------------------------------------------------------

bool World::at_front(std::size_t number) const {
    for (std::size_t i = 0; i < number; ++i)
        for (const Lane lane : to_do_[number].lanes)
            if (to_do_[i].on(lane)) return false;
    return true;
}

bool World::lanes_free(const Activity& activity) const {
    return std::ranges::none_of(running_, [&](const Running& running) {
        return std::ranges::any_of(activity.lanes, [&](Lane lane) { return running.activity.on(lane); });
    });
}

/// When the conditions allow a start next, for as long as the step is planned to take.
std::optional<Pet> World::window_start(const Step& step, Seconds planned, Pet from) const {
    const std::string site = step.at ? outing_.worksite(*step.at).id : "";
    Pet at = from;
    for (bool moved = true; moved;) {
        moved = false;
        for (const std::string& condition : step.during) {
            std::optional<Pet> first;
            for (const Window& window : windows_.of(condition, site)) {
                const Pet start = std::max(at, window.from());
                if (window.holds(start, planned)) {
                    first = start;
                    break;
                }
            }
            if (!first) return std::nullopt;
            moved = moved || *first > at;
            at = *first;
        }
        for (const std::string& condition : step.not_during)
            for (const Window& window : windows_.of(condition, site))
                if (window.touches(at, planned)) {
                    at = window.to();
                    moved = true;
                }
    }
    return at;
}

bool World::in_reach(ItemId item, Crew crew) const {
    const ItemPlace& place = items_[index(item)];
    const ItemPlace& outer = place.where == ItemPlace::Where::in_bag ? items_[index(place.bag)] : place;
    if (outer.where == ItemPlace::Where::carried) return outer.carrier == crew;
    return outer.where != ItemPlace::Where::lost && outer.site == at_[index(crew)];
}

std::optional<ItemId> World::missing(const Step& step) const {
    if (step.close_up) return std::nullopt;
    for (const auto* list : {&step.needs, &step.takes, &step.leaves, &step.installs, &step.moves})
        for (const ItemId item : *list)
            if (items_[index(item)].where == ItemPlace::Where::lost) return item;
    return std::nullopt;
}

/// How much later the step is better begun, because one that must follow it within a time would have to wait for its
/// window for longer than that.
Seconds World::wait_for_chain(const Step& step, Seconds planned, Pet start) const {
    Seconds wait{0};
    for (const Order& order : outing_.orders) {
        if (order.before != step.id || !order.within) continue;
        const auto next =
            std::ranges::find_if(to_do_, [&](const Activity& other) { return other.step == order.after; });
        if (next == to_do_.end()) continue;
        const Pet end = start + planned;
        const auto then = window_start(outing_.step(order.after), next->duration, end + order.gap);
        // Without a window to come there is nothing to wait for; that is said when it is their turn.
        if (!then) continue;
        wait = std::max(wait, std::chrono::ceil<Seconds>(*then - (end + *order.within)));
        wait = std::max(wait, wait_for_chain(outing_.step(order.after), next->duration, end + order.gap));
    }
    return wait;
}

/// When everybody in a hand-heavy step has had the rest that it needs.
Pet World::rested_at(const Step& step, const Activity& activity) const {
    Pet at = now_;
    if (!is_heavy(step) || outing_.rules.heavy_limit <= Seconds{0}) return at;
    for (const Crew crew : both_crew) {
        const std::size_t c = index(crew);
        if (!activity.on(lane_of(crew)) || heavy_[c] == Seconds{0}) continue;
        if (heavy_[c] + activity.duration > outing_.rules.heavy_limit)
            at = std::max(at, heavy_until_[c] + outing_.rules.rest);
    }
    return at;
}

World::Blocked World::judge_step(const Step& step, const Activity& activity) const {
    if (const auto item = missing(step))
        return {false, true, {}, fmt::format("without the {}", outing_.item(*item).name)};
    Pet at = now_;
    for (const Order& order : outing_.orders) {
        if (order.after != step.id || order.starts_together) continue;
        const StepStatus before = steps_[index(order.before)];
        if (before == StepStatus::done) at = std::max(at, step_end_[index(order.before)] + order.gap);
        const bool to_come =
            std::ranges::any_of(to_do_, [&](const Activity& other) { return other.step == order.before; });
        if (before == StepStatus::running || (before == StepStatus::to_do && to_come)) return {};
    }
    const auto start = window_start(step, activity.duration, at);
    if (!start) return {false, true, {}, "without its light or coverage, which does not come back in time"};
    if (*start > now_) return {false, false, start, {}};
    if (const Seconds wait = wait_for_chain(step, activity.duration, now_); wait > Seconds{0})
        return {false, false, now_ + wait, {}};
    if (const Pet rested = rested_at(step, activity); rested > now_) return {false, false, rested, {}};
    if (has_crew(activity)) {
        const auto talking = std::ranges::count_if(
            running_, [](const Running& running) { return running.activity.step && has_crew(running.activity); });
        const bool together = std::ranges::any_of(outing_.orders, [&](const Order& order) {
            return order.starts_together && (order.after == step.id || order.before == step.id);
        });
        if (talking >= outing_.rules.voice_loops && !together) return {};
    }
    return {true, false, {}, {}};
}

World::Blocked World::judge(const Activity& activity) const {
    if (activity.kind == ActivityKind::egress) {
        const Pet at = Pet{} + luck_.late_start();
        if (now_ < at) return {false, false, at, {}};
        return {true, false, {}, {}};
    }
    if (activity.kind == ActivityKind::pick_up)
        // What the partner is still to bring is waited for.
        for (const ItemId item : activity.items)
            if (items_[index(item)].where != ItemPlace::Where::lost && !in_reach(item, one_of(activity))) return {};
    if (!activity.step) return {true, false, {}, {}};
    const Step& step = outing_.step(*activity.step);
    Blocked blocked = judge_step(step, activity);
    if (!blocked.now) return blocked;
    for (const Order& order : outing_.orders) {
        if (!order.starts_together || (order.before != step.id && order.after != step.id)) continue;
        const StepId other = order.before == step.id ? order.after : order.before;
        if (steps_[index(other)] != StepStatus::to_do) continue;
        for (std::size_t i = 0; i < to_do_.size(); ++i) {
            if (to_do_[i].step != other) continue;
            const bool ready = at_front(i) && lanes_free(to_do_[i]);
            const Blocked its = ready ? judge_step(outing_.step(other), to_do_[i]) : Blocked{};
            if (!its.now) return its.never ? Blocked{} : its;
        }
    }
    return blocked;
}

/// Moves that are behind them already, because the record was behind.
bool World::skippable(const Activity& activity) const {
    if (activity.kind == ActivityKind::arm_move) return arm_at_ == activity.path.back();
    if (!has_crew(activity) || activity.path.empty()) return false;
    const std::size_t c = index(one_of(activity));
    switch (activity.kind) {
        case ActivityKind::translate:
            return at_[c] == activity.path.back();
        case ActivityKind::tether_swap:
            return anchor_[c] == activity.path.back() || at_[c] != activity.path.back();
        case ActivityKind::pick_up:
            return std::ranges::all_of(activity.items, [&](ItemId item) {
                const ItemPlace& place = items_[index(item)];
                return place.where == ItemPlace::Where::lost || place.where == ItemPlace::Where::installed ||
                       (place.where == ItemPlace::Where::carried && place.carrier == one_of(activity));
            });
        case ActivityKind::put_down:
            return std::ranges::none_of(activity.items, [&](ItemId item) { return in_reach(item, one_of(activity)); });
        case ActivityKind::egress:
        case ActivityKind::step:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
        case ActivityKind::arm_move:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            return false;
    }
    return false;
}

// ---- time goes on
// ----------------------------------------------------------------------------------------------------

std::optional<Pet> World::next() const {
    if (inside_) return std::nullopt;
    std::optional<Pet> next;
    const auto offer = [&](Pet at) {
        if (at > now_ && (!next || at < *next)) next = at;
    };
    if (!said_zero_) offer(Pet{});
    for (const Running& running : running_) {
        offer(running.end);
        for (const Call& call : running.to_say) offer(call.at);
    }
    if (talk_from_ && !talk_until_ && outside_) offer(std::max(*talk_from_, now_ + Seconds{1}));
    if (talk_until_ && !said_talk_end_) offer(*talk_until_);
    if (outside_) offer(next_reading_);
    for (std::size_t i = 0; i < to_do_.size() && !held(); ++i) {
        if (!at_front(i) || !lanes_free(to_do_[i])) continue;
        const Blocked blocked = judge(to_do_[i]);
        if (blocked.now || blocked.never)
            offer(now_ + Seconds{1});  // since the lead has said something
        else if (blocked.at)
            offer(*blocked.at);
    }
    if (outside_ && !cleaning_up_)
        for (const Crew crew : both_crew)
            if (idle(crew)) offer(gloves_due(crew));
    // Something may begin at once after what the lead has just said.
    if (!next && !held() && said_zero_ && !to_do_.empty()) offer(now_ + Seconds{1});
    return next;
}

std::vector<Call> World::advance(Pet to) {
    std::vector<Call> calls;
    while (!inside_) {
        const std::optional<Pet> at = next();
        if (!at || *at > to) break;
        now_ = *at;
        timed_calls(calls);
        std::vector<Running> ended;
        for (std::size_t i = 0; i < running_.size();) {
            if (running_[i].end <= now_) {
                ended.push_back(std::move(running_[i]));
                running_.erase(running_.begin() + static_cast<std::ptrdiff_t>(i));
            } else {
                ++i;
            }
        }
        for (const Running& one : ended) end(one, calls);
        begin_all(calls);
    }
    now_ = std::max(now_, inside_ ? now_ : to);
    if (!inside_) begin_all(calls);
    return calls;
}

void World::timed_calls(std::vector<Call>& calls) {
    if (!said_zero_ && now_ >= Pet{}) {
        said_zero_ = true;
        calls.push_back(say(Call::What::words, "IV", "Suits are on battery power. PET zero.", "pet zero"));
        if (luck_.late_start() > Seconds{0})
            calls.push_back(say(Call::What::words, "IV", "The outer hatch gives us trouble; egress will be late."));
    }
    for (Running& running : running_)
        while (!running.to_say.empty() && running.to_say.front().at <= now_) {
            const Call call = running.to_say.front();
            running.to_say.erase(running.to_say.begin());
            if (call.what == Call::What::lost) {
                const Step& step = outing_.step(*running.activity.step);
                items_[index(step.needs.front())] = {ItemPlace::Where::lost, {}, {}, {}};
            }
            calls.push_back(call);
        }
    if (talk_from_ && !talk_until_ && outside_ && now_ >= *talk_from_) {
        talk_at_ = now_;
        talk_until_ = now_ + luck_.private_talk()->length;
        calls.push_back(say(Call::What::hold, "flight surgeon", "A private talk with the crew, please: hold the work.",
                            "hold private"));
    }
    if (talk_until_ && !said_talk_end_ && now_ >= *talk_until_) {
        said_talk_end_ = true;
        calls.push_back(
            say(Call::What::resume, "flight surgeon", "Thank you, we are done. The crew is yours.", "resume"));
    }
    if (outside_ && now_ >= next_reading_) readings(calls);
}

void World::readings(std::vector<Call>& calls) {
    next_reading_ = now_ + reading_every;
    for (const Crew crew : both_crew) {
        const lifesupport::Amounts full = lifesupport::capacity(outing_.suit_of(crew));
        const lifesupport::Amounts gone = used(crew);
        std::optional<lifesupport::Consumable> least;
        double left = 1;
        for (const lifesupport::Consumable one : lifesupport::all_consumables) {
            const std::size_t i = index(one);
            if (!std::isfinite(full[i])) continue;
            const double share = std::max(0.0, 1 - gone[i] / full[i]);
            if (!least || share < left) {
                least = one;
                left = share;
            }
        }
        if (!least) continue;
        const std::string percent = fmt::format("{:.0f} %", 100 * left);
        calls.push_back(say(Call::What::reading, std::string(word(crew)),
                            fmt::format("My {} reads {} left.", word(*least), percent),
                            fmt::format("reading {} {} {}", word(crew), word(*least), percent)));
    }
}

void World::begin_all(std::vector<Call>& calls) {
    if (!said_zero_) return;
    while (begin_one(calls)) {
    }
    // A record far behind can give an order that hangs in itself; people sort that out between them.
    if (!inside_ && running_.empty() && !to_do_.empty() && !held() && !next_window()) {
        begin(0, calls);
        while (begin_one(calls)) {
        }
    }
}

bool World::begin_one(std::vector<Call>& calls) {
    for (const Crew crew : both_crew)
        if (outside_ && !cleaning_up_ && idle(crew) && now_ >= gloves_due(crew)) {
            look_at_gloves(crew);
            return true;
        }
    for (std::size_t i = 0; i < to_do_.size(); ++i) {
        if (!at_front(i) || !lanes_free(to_do_[i])) continue;
        if (skippable(to_do_[i])) {
            to_do_.erase(to_do_.begin() + static_cast<std::ptrdiff_t>(i));
            return true;
        }
        if (held()) continue;
        if (bring_arm(to_do_[i]) || check_gloves(to_do_[i])) return true;
        const Blocked blocked = judge(to_do_[i]);
        if (blocked.never) {
            give_up(outing_.step(*to_do_[i].step), blocked.why, calls);
            return true;
        }
        if (!blocked.now) continue;
        begin(i, calls);
        return true;
    }
    return false;
}

/// The moment from which a look at the gloves can wait no longer, for somebody who does nothing.
Pet World::gloves_due(Crew crew) const {
    const Rules& rules = outing_.rules;
    if (rules.glove_check_every <= Seconds{0}) return Pet::max();
    return checked_at_[index(crew)] + rules.glove_check_every - rules.glove_check;
}

/// True when the arm has to come first, and does.
bool World::bring_arm(const Activity& next) {
    if (!next.step || !judge(next).now) return false;
    const Step& step = outing_.step(*next.step);
    if (step.arm == ArmUse::none || !step.at || arm_at_ == *step.at) return false;
    Running running;
    running.planned = arm_move_time(outing_.station, arm_at_, *step.at);
    running.activity = {ActivityKind::arm_move, {Lane::arm}, now_, running.planned, {}, {arm_at_, *step.at}, {}, true};
    running.end = running.activity.end();
    running_.push_back(std::move(running));
    return true;
}

bool World::idle(Crew crew) const {
    return std::ranges::none_of(running_, [&](const Running& one) { return one.activity.on(lane_of(crew)); });
}

void World::look_at_gloves(Crew crew) {
    Running running;
    running.activity = {
        ActivityKind::glove_check, {lane_of(crew)}, now_, outing_.rules.glove_check, {}, {at_[index(crew)]}, {}, true};
    running.planned = outing_.rules.glove_check;
    running.end = running.activity.end();
    running_.push_back(std::move(running));
}

/// How long from a step's start to the end of what has to follow it closely; nobody likes to stop in between.
Seconds World::closely_followed(const Activity& activity) const {
    Seconds longest = activity.duration;
    if (!activity.step) return longest;
    for (const Order& order : outing_.orders) {
        if (order.before != *activity.step || !order.within || *order.within > closely) continue;
        const auto next =
            std::ranges::find_if(to_do_, [&](const Activity& other) { return other.step == order.after; });
        if (next != to_do_.end()) longest = std::max(longest, activity.duration + closely_followed(*next));
    }
    return longest;
}

/// True when somebody who would begin this has to look at their gloves first, and does.
bool World::check_gloves(const Activity& next) {
    const Seconds every = outing_.rules.glove_check_every;
    const bool asks = next.kind != ActivityKind::clean_up && next.kind != ActivityKind::ingress;
    if (!outside_ || !asks || every <= Seconds{0} || !judge(next).now) return false;
    for (const Crew crew : both_crew) {
        const Pet checked = checked_at_[index(crew)];
        const bool soon = now_ + closely_followed(next) > checked + every && now_ - checked > every / 2;
        const bool must = now_ + next.duration > checked + every;
        if (!next.on(lane_of(crew)) || checked >= now_ || !(soon || must)) continue;
        look_at_gloves(crew);
        return true;
    }
    return false;
}

bool World::next_window() const {
    for (std::size_t i = 0; i < to_do_.size(); ++i)
        if (at_front(i) && judge(to_do_[i]).at) return true;
    return false;
}

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
    for (const Strike& strike : luck_.strikes(step.id)) {
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
            steps_[index(step.id)] = StepStatus::skipped;
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

std::vector<Call> World::stop() {
    std::vector<Call> calls;
    // Going home waits for no talk.
    held_by_lead_ = false;
    if (talk_from_ && !said_talk_end_) {
        talk_until_ = now_;
        said_talk_end_ = true;
    }
    for (std::size_t i = 0; i < running_.size();) {
        Running& running = running_[i];
        const bool stops =
            running.activity.step && has_crew(running.activity) && !outing_.step(*running.activity.step).close_up;
        if (!stops) {
            ++i;
            continue;
        }
        const Step& step = outing_.step(*running.activity.step);
        // Who is being moved by the step ends where most of the way is.
        const bool most = 2 * (now_ - running.activity.start) > running.end - running.activity.start;
        for (const Crew crew : crew_in(step, lead_of(step.task)))
            if (step.at) at_[index(crew)] = step.to && most ? *step.to : *step.at;
        running.activity.duration = std::chrono::floor<Seconds>(now_ - running.activity.start);
        happened_.push_back({running.activity, running.planned, false});
        steps_[index(step.id)] = StepStatus::to_do;
        calls.push_back(say(Call::What::stopped, who_of(running.activity),
                            fmt::format("Stopping: {}. It is not done.", step.name), fmt::format("undo {}", step.label),
                            step.id));
        running_.erase(running_.begin() + static_cast<std::ptrdiff_t>(i));
    }
    return calls;
}

}  // namespace handrail::rehearse
