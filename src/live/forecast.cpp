#include "live/forecast.h"

#include <algorithm>
#include <atomic>

#include "live/ways.h"

namespace handrail::live {
namespace {

using plan::ItemPlace;

/// Where things are as a timeline runs, to know what each person carries.
class Hands {
public:
    Hands(const Outing& outing, std::vector<ItemPlace> items, const Timeline& timeline)
        : outing_(outing), items_(std::move(items)), timeline_(timeline) {}

    std::array<SizeClass, 2> loads() const {
        std::array<SizeClass, 2> loads{SizeClass::small, SizeClass::small};
        for (std::size_t i = 0; i < items_.size(); ++i)
            if (items_[i].where == ItemPlace::Where::carried) {
                SizeClass& load = loads[index(items_[i].carrier)];
                load = std::max(load, outing_.items[i].size);
            }
        return loads;
    }

    void after(const Activity& activity) {
        if (activity.kind == ActivityKind::pick_up)
            for (const ItemId item : activity.items) carry(item, activity.on(Lane::ev1) ? Crew::ev1 : Crew::ev2);
        if (activity.kind == ActivityKind::put_down)
            for (const ItemId item : activity.items) items_[index(item)] = ItemPlace{};
        if (!activity.step) return;
        const Step& step = outing_.step(*activity.step);
        for (const auto* list : {&step.moves, &step.leaves, &step.installs})
            for (const ItemId item : *list) items_[index(item)] = ItemPlace{};
        const auto crew = crew_in(step, timeline_.lead_of(step.task).value_or(Crew::ev1));
        if (!crew.empty())
            for (const ItemId item : step.takes)
                if (items_[index(item)].where != ItemPlace::Where::carried) carry(item, crew.front());
    }

private:
    void carry(ItemId item, Crew crew) {
        items_[index(item)].where = ItemPlace::Where::carried;
        items_[index(item)].carrier = crew;
    }
    const Outing& outing_;
    std::vector<ItemPlace> items_;
    const Timeline& timeline_;
};

Pet end_of(std::span<const AsRun> activities) {
    Pet end{};
    for (const AsRun& run : activities) end = std::max(end, run.activity.end());
    return end;
}

Forecast from_timeline(const Outing& outing, const Day& day, Timeline timeline) {
    Forecast forecast;
    timeline.pet_zero = day.pet_zero;
    std::erase_if(timeline.activities, [](const Activity& a) { return a.duration <= Seconds{0} && !a.as_run; });
    Hands hands(outing, day.situation.items, timeline);
    for (const Activity& activity : timeline.activities) {
        if (activity.as_run) continue;
        AsRun run;
        run.activity = activity;
        run.load = hands.loads();
        forecast.ahead.push_back(std::move(run));
        hands.after(activity);
    }
    forecast.finish = std::max(end_of(day.as_run), end_of(forecast.ahead));
    forecast.timeline = std::move(timeline);
    return forecast;
}

Forecast from_planner(const Outing& outing, const Day& day, const Present& present,
                      std::variant<Timeline, plan::NoPlan> planned) {
    Forecast forecast;
    if (auto* none = std::get_if<plan::NoPlan>(&planned)) {
        forecast.possible = false;
        forecast.reasons = std::move(none->reasons);
        forecast.finish = end_of(day.as_run);
    } else {
        forecast = from_timeline(outing, day, std::get<Timeline>(std::move(planned)));
        for (LeftOut& left : forecast.timeline->left_out)
            for (const Cannot& cannot : present.cannot())
                if (cannot.task == left.task) left.reason = cannot.why;
    }
    forecast.cannot = present.cannot();
    return forecast;
}

/// Nothing is searched where an order is kept, and nothing more worked out than the timeline: why a task that the plan
/// left out stays out, the plan has said.
const std::atomic<bool> only_decode{true};

void keep_reasons(const Day& day, const plan::Freedom& freedom, Forecast& forecast) {
    if (!freedom.keep_order || freedom.come_in_now || !day.plan || !forecast.timeline) return;
    for (LeftOut& left : forecast.timeline->left_out) {
        const bool chosen = day.situation.dropped[index(left.task)] ||
                            std::ranges::find(freedom.leave_out, left.task) != freedom.leave_out.end();
        const auto earlier = std::ranges::find(day.plan->left_out, left.task, &LeftOut::task);
        if (!chosen && earlier != day.plan->left_out.end()) left.reason = earlier->reason;
    }
}

/// What has happened, as a timeline without anything to come.
Timeline past(const Outing& outing, const Day& day) {
    Timeline timeline;
    timeline.outing = outing.name;
    timeline.fingerprint = outing.fingerprint;
    timeline.pet_zero = day.pet_zero;
    for (std::size_t t = 0; t < outing.tasks.size(); ++t)
        if (const auto& lead = day.situation.lead[t]) timeline.bindings.push_back({static_cast<TaskId>(t), *lead});
    timeline.activities = day.situation.as_run;
    return timeline;
}

/// Clean-up or ingress is running: only what is left of them is to come.
Forecast hatch_to_come(const Outing& outing, const Day& day) {
    Timeline timeline = past(outing, day);
    const Pet free = std::max(day.situation.crew[0].free_at, day.situation.crew[1].free_at);
    if (day.clean_up_from && !day.ingress_from)
        timeline.activities.push_back({ActivityKind::ingress,
                                       {Lane::ev1, Lane::ev2},
                                       free,
                                       outing.rules.ingress,
                                       {},
                                       {outing.station.airlock},
                                       {},
                                       false});
    return from_timeline(outing, day, std::move(timeline));
}

}  // namespace

bool can_replan(const Day& day) {
    if (day.phase >= Phase::clean_up || day.clean_up_from || day.situation.crew[0].inside_again) return false;
    return !(day.stand_down && day.stand_down->kind == StandDownKind::scrub);
}

Forecast carry_on_with(const Outing& outing, const Day& day, const plan::Freedom& freedom, const plan::Budget& budget) {
    const Present present(outing, day);
    Forecast forecast = from_planner(outing, day, present,
                                     plan::make_plan(present.outing(), present.windows(), present.situation(), budget,
                                                     freedom, {}, freedom.keep_order ? &only_decode : nullptr));
    keep_reasons(day, freedom, forecast);
    return forecast;
}

namespace {

/// Whatever is being done is left at once, and nothing more is begun.
plan::Situation left_at_once(const Day& day, plan::Situation situation) {
    for (plan::StepStatus& status : situation.steps)
        if (status == plan::StepStatus::to_do) status = plan::StepStatus::skipped;
    for (std::size_t c = 0; c < 2; ++c) {
        plan::CrewSituation& crew = situation.crew[c];
        if (!day.outside[c]) continue;
        crew.free_at = situation.now;
        crew.at = day.at[c];
        crew.anchor = day.anchor[c];
        crew.used = day.suit[c].used;
    }
    for (Activity& activity : situation.as_run)
        if (activity.end() > situation.now && (activity.on(Lane::ev1) || activity.on(Lane::ev2)) &&
            activity.kind != ActivityKind::egress)
            activity.duration = std::max(Seconds{0}, std::chrono::floor<Seconds>(situation.now - activity.start));
    return situation;
}

/// Both come in and the one fetches the other.
class Fetching {
public:
    Fetching(const Outing& outing, const Day& day, const plan::Situation& situation, Crew helper)
        : outing_(outing), day_(day), helper_(helper), free_(situation.crew[index(helper)].free_at) {
        const plan::CrewSituation& crew = situation.crew[index(helper)];
        at_ = crew.at;
        anchor_ = crew.anchor;
    }

    /// What the helper does before they go: close-ups that need nobody else.
    void first(const Timeline& orderly) {
        std::optional<std::size_t> last;
        for (std::size_t i = 0; i < orderly.activities.size(); ++i) {
            const Activity& activity = orderly.activities[i];
            if (!activity.as_run && activity.step && activity.on(lane_of(helper_))) last = i;
        }
        if (!last) return;
        const Pet until = orderly.activities[*last].end();
        for (const Activity& activity : orderly.activities) {
            if (activity.as_run || activity.on(lane_of(partner(helper_))) || activity.start >= until) continue;
            ahead_.push_back(activity);
            if (!activity.on(lane_of(helper_))) continue;
            free_ = std::max(free_, activity.end());
            if (!activity.path.empty()) at_ = activity.path.back();
            if (activity.kind == ActivityKind::tether_swap) anchor_ = activity.path.back();
        }
    }

    std::vector<Activity> rest(ComeIn how) {
        const std::size_t other = index(partner(helper_));
        WorksiteId other_anchor = day_.anchor[other];
        walk({helper_}, at_, day_.at[other], SizeClass::medium);
        // Both along one way, each with their own tether, at the pace of whoever carries most.
        anchors_[index(helper_)] = anchor_;
        anchors_[other] = other_anchor;
        walk(both(), day_.at[other], outing_.station.airlock, SizeClass::large);
        if (how == ComeIn::orderly && outing_.rules.clean_up > Seconds{0})
            together(ActivityKind::clean_up, outing_.rules.clean_up);
        together(ActivityKind::ingress, outing_.rules.ingress);
        return std::move(ahead_);
    }

private:
    static std::vector<Crew> both() { return {Crew::ev1, Crew::ev2}; }

    void walk(const std::vector<Crew>& who, WorksiteId from, WorksiteId to, SizeClass load) {
        Pet end = free_;
        for (const Crew crew : who) {
            WorksiteId& anchor = crew == helper_ ? anchor_ : anchors_[index(crew)];
            auto way = way_there(outing_, crew, from, anchor, to, load);
            if (!way) way = way_there(outing_, crew, from, anchor, to, SizeClass::medium);
            if (!way) continue;
            Pet at = free_;
            for (WayPart& part : way->parts) {
                ahead_.push_back({part.kind, {lane_of(crew)}, at, part.duration, {}, std::move(part.path), {}, false});
                at += part.duration;
            }
            anchor = way->anchor;
            end = std::max(end, at);
        }
        free_ = end;
    }
    void together(ActivityKind kind, Seconds length) {
        ahead_.push_back({kind, {Lane::ev1, Lane::ev2}, free_, length, {}, {outing_.station.airlock}, {}, false});
        free_ += length;
    }

    const Outing& outing_;
    const Day& day_;
    Crew helper_;
    Pet free_;
    WorksiteId at_{}, anchor_{};
    std::array<WorksiteId, 2> anchors_{};
    std::vector<Activity> ahead_;
};

Forecast fetch_and_come_in(const Outing& outing, const Day& day, Crew unable, ComeIn how) {
    const Present present(outing, day);
    // Nobody waits for the end of a step that the one who is unable was in; the helper ends their own in order.
    plan::Situation situation = how == ComeIn::at_once ? left_at_once(day, present.situation()) : present.situation();
    const plan::Situation stopped = left_at_once(day, present.situation());
    situation.crew[index(unable)] = stopped.crew[index(unable)];
    const bool in_it = std::ranges::any_of(day.as_run, [&](const AsRun& run) {
        return run.running && run.activity.on(lane_of(unable)) && run.activity.on(lane_of(partner(unable)));
    });
    if (in_it) situation.crew[index(partner(unable))] = stopped.crew[index(partner(unable))];
    for (std::size_t i = 0; i < situation.as_run.size(); ++i)
        if (situation.as_run[i].on(lane_of(unable))) situation.as_run[i] = stopped.as_run[i];

    Fetching fetching(present.outing(), day, situation, partner(unable));
    if (how == ComeIn::orderly) {
        plan::Freedom freedom;
        freedom.keep_order = true;
        freedom.come_in_now = true;
        freedom.start_from = day.plan;
        const auto planned =
            plan::make_plan(present.outing(), present.windows(), situation, {}, freedom, {}, &only_decode);
        if (const auto* timeline = std::get_if<Timeline>(&planned)) fetching.first(*timeline);
    }
    Timeline timeline = past(outing, day);
    timeline.activities = situation.as_run;
    for (Activity& activity : fetching.rest(how)) timeline.activities.push_back(std::move(activity));
    put_in_order(timeline);
    for (const Task& task : outing.tasks)
        if (std::ranges::none_of(
                task.steps, [&](StepId step) { return day.situation.steps[index(step)] == plan::StepStatus::done; }))
            timeline.left_out.push_back({task.id, "Both come in."});
    Forecast forecast = from_timeline(outing, day, std::move(timeline));
    forecast.cannot = present.cannot();
    return forecast;
}

}  // namespace

std::optional<Crew> needs_partner(const Day& day) {
    for (const Crew crew : both_crew) {
        const plan::CrewSituation& one = day.situation.crew[index(crew)];
        if (!one.able && one.outside && !one.inside_again && day.situation.crew[index(partner(crew))].able) return crew;
    }
    return std::nullopt;
}

Forecast come_in(const Outing& outing, const Day& day, ComeIn how) {
    if (const auto unable = needs_partner(day);
        unable && day.outside[index(*unable)] && !day.stays_inside[index(*unable)])
        return fetch_and_come_in(outing, day, *unable, how);
    plan::Freedom freedom;
    freedom.keep_order = true;
    freedom.come_in_now = true;
    freedom.start_from = day.plan;
    if (how == ComeIn::orderly) return carry_on_with(outing, day, freedom, {});

    const Present present(outing, day);
    Outing bare = present.outing();
    bare.rules.clean_up = Seconds{0};
    for (Item& item : bare.items) item.returns = false;
    return from_planner(bare, day, present,
                        plan::make_plan(bare, present.windows(), left_at_once(day, present.situation()), {}, freedom,
                                        {}, &only_decode));
}

Forecast carry_on(const Outing& outing, const Day& day) {
    if (!day.plan || !can_replan(day)) {
        const bool hatch_open = day.clean_up_from && !day.situation.crew[0].inside_again;
        return hatch_open ? hatch_to_come(outing, day) : from_timeline(outing, day, past(outing, day));
    }
    if (day.stand_down)
        return come_in(outing, day, day.stand_down->kind == StandDownKind::abort ? ComeIn::at_once : ComeIn::orderly);
    if (needs_partner(day)) return come_in(outing, day, ComeIn::orderly);
    plan::Freedom freedom;
    freedom.keep_order = true;
    freedom.start_from = day.plan;
    return carry_on_with(outing, day, freedom, {});
}

Forecast at_pace(const Outing& outing, const Day& day, const std::array<double, 2>& factors) {
    Outing paced = outing;
    for (std::size_t c = 0; c < 2; ++c) paced.crew[c].experience_factor *= factors[c];
    return carry_on(paced, day);
}

}  // namespace handrail::live
