#include "live/forecast.h"

#include <algorithm>

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

Forecast from_planner(const Outing& outing, const Day& day, std::variant<Timeline, plan::NoPlan> planned) {
    if (auto* none = std::get_if<plan::NoPlan>(&planned)) {
        Forecast forecast;
        forecast.possible = false;
        forecast.reasons = std::move(none->reasons);
        forecast.finish = end_of(day.as_run);
        return forecast;
    }
    return from_timeline(outing, day, std::get<Timeline>(std::move(planned)));
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
    return from_planner(outing, day, plan::make_plan(outing, day.windows, day.situation, budget, freedom));
}

Forecast come_in(const Outing& outing, const Day& day, ComeIn how) {
    plan::Freedom freedom;
    freedom.keep_order = true;
    freedom.come_in_now = true;
    freedom.start_from = day.plan;
    if (how == ComeIn::orderly) return carry_on_with(outing, day, freedom, {});

    Outing bare = outing;
    bare.rules.clean_up = Seconds{0};
    for (Item& item : bare.items) item.returns = false;
    plan::Situation situation = day.situation;
    for (plan::StepStatus& status : situation.steps)
        if (status == plan::StepStatus::to_do) status = plan::StepStatus::skipped;
    // Whatever is being done is left at once.
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
    return from_planner(bare, day, plan::make_plan(bare, day.windows, situation, {}, freedom));
}

Forecast carry_on(const Outing& outing, const Day& day) {
    if (!day.plan || !can_replan(day)) {
        const bool hatch_open = day.clean_up_from && !day.situation.crew[0].inside_again;
        return hatch_open ? hatch_to_come(outing, day) : from_timeline(outing, day, past(outing, day));
    }
    if (day.stand_down)
        return come_in(outing, day, day.stand_down->kind == StandDownKind::abort ? ComeIn::at_once : ComeIn::orderly);
    plan::Freedom freedom;
    freedom.keep_order = true;
    freedom.start_from = day.plan;
    return carry_on_with(outing, day, freedom, {});
}

}  // namespace handrail::live
