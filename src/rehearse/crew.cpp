#include "rehearse/crew.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/planner.h"
#include "rehearse/crew_parts.h"
#include "timeline/loads.h"

namespace handrail::rehearse {

using namespace detail;
using plan::ItemPlace;
using plan::StepStatus;

namespace {

// How often the suits are read out: practice.
constexpr Seconds reading_every{40 * 60};
// Steps within so little time of each other are one piece of work (practice).
constexpr Seconds closely{10 * 60};

}  // namespace

World::World(const Outing& outing, WindowTable windows, const Timeline& plan, const Luck& luck)
    : outing_(outing),
      windows_(std::move(windows)),
      luck_(luck),
      steps_(outing.steps.size(), StepStatus::to_do),
      step_end_(outing.steps.size()),
      items_(plan::initial(outing).items),
      at_{outing.station.airlock, outing.station.airlock},
      anchor_{at_},
      arm_at_(plan::initial(outing).arm_at),
      next_reading_(Pet{} + reading_every) {
    follow(plan);
    const double length = static_cast<double>((plan.finish() - Pet{}) / Seconds{1});
    const auto at = [&](double share) { return Pet{} + Seconds{static_cast<std::int64_t>(share * length)}; };
    if (luck.private_talk()) talk_from_ = at(luck.private_talk()->share);
    for (const Mishap& mishap : luck.mishaps()) mishap_at_.push_back(at(mishap.share));
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
    told_ = !able_[0] || !able_[1];
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
    if (const auto mishap = next_mishap()) offer(*mishap);
    for (std::size_t i = 0; i < to_do_.size() && !held() && !waits_for_lead(); ++i) {
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
    if (!next && !held() && !waits_for_lead() && said_zero_ && !to_do_.empty()) offer(now_ + Seconds{1});
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
    mishaps(calls);
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
    if (!inside_ && running_.empty() && !to_do_.empty() && !held() && !waits_for_lead() && !next_window()) {
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
        if (held() || waits_for_lead()) continue;
        if (bring_arm(to_do_[i]) || check_gloves(to_do_[i])) return true;
        const Blocked blocked = judge(to_do_[i]);
        if (blocked.never) {
            const auto step = to_do_[i].step ? to_do_[i].step : next_step_of(to_do_[i]);
            if (!to_do_[i].step) to_do_.erase(to_do_.begin() + static_cast<std::ptrdiff_t>(i));
            if (step) give_up(outing_.step(*step), blocked.why, calls);
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

}  // namespace handrail::rehearse
