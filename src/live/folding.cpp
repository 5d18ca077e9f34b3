#include "live/folding.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

namespace handrail::live::detail {

using plan::ItemPlace;
using plan::StepStatus;

Folding::Folding(const Outing& outing, Day& day) : outing_(outing), day_(day) {
    const plan::Situation first = plan::initial(outing);
    for (std::size_t c = 0; c < 2; ++c) people_[c].at = people_[c].anchor = outing.station.airlock;
    items_ = first.items;
    arm_at_ = first.arm_at;
    const std::size_t steps = outing.steps.size();
    steps_.assign(steps, StepStatus::to_do);
    step_start_.assign(steps, Pet{});
    step_end_.assign(steps, Pet{});
    step_lead_.assign(steps, std::nullopt);
    end_assumed_.assign(steps, false);
    start_assumed_.assign(steps, false);
    step_load_.assign(steps, {SizeClass::small, SizeClass::small});
    task_lead_.assign(outing.tasks.size(), std::nullopt);
    dropped_.assign(outing.tasks.size(), false);
    day.dropped_because.assign(outing.tasks.size(), std::nullopt);
    day.skipped_because.assign(steps, std::nullopt);
    day.delay.assign(steps, Seconds{0});
    for (std::size_t i = 0; i < outing.items.size(); ++i) day.stands_in.push_back(static_cast<ItemId>(i));

    const std::size_t sites = outing.station.worksites.size();
    length_m_.assign(sites * sites, std::numeric_limits<double>::infinity());
    for (std::size_t i = 0; i < sites; ++i) length_m_[i * sites + i] = 0;
    for (const Route& route : outing.station.routes)
        for (const auto& [a, b] : {std::pair{route.a, route.b}, std::pair{route.b, route.a}}) {
            double& length = length_m_[index(a) * sites + index(b)];
            length = std::min(length, route.length.value());
        }
    for (std::size_t k = 0; k < sites; ++k)
        for (std::size_t i = 0; i < sites; ++i)
            for (std::size_t j = 0; j < sites; ++j)
                length_m_[i * sites + j] =
                    std::min(length_m_[i * sites + j], length_m_[i * sites + k] + length_m_[k * sites + j]);
}

double Folding::tether_m(WorksiteId anchor, WorksiteId site) const {
    return length_m_[index(anchor) * outing_.station.worksites.size() + index(site)];
}

void Folding::apply(const Recorded& recorded, Visibility visibility, Pet at) {
    const auto& corrects = recorded.entry.corrects;
    const bool names_one = corrects && number(*corrects) >= 1 && *corrects < recorded.position;
    const Context context{recorded.position, visibility, at, names_one};
    std::visit([&](const auto& body) { on(body, context); }, recorded.entry.body);
}

void Folding::cannot(const Context& context, std::string why) {
    day_.unapplied.push_back({context.position, context.visibility, std::move(why)});
}

std::optional<StepId> Folding::step_named(const std::string& label, const Context& context) {
    const auto step = find_step(outing_, label);
    if (!step) cannot(context, "it names a step that the outing does not have");
    return step;
}

// ---- the day -------------------------------------------------------------------------------------------------------

void Folding::on(const OutingOpened& opened, const Context& context) {
    const auto timeline = read_timeline(outing_, opened.timeline, "timeline of the first entry");
    if (!timeline) return cannot(context, "its timeline is not one of this outing");
    day_.plan = day_.first_plan = timeline.value();
    day_.plan_position = context.position;
    read_plan(*day_.plan);
}

void Folding::on(const PetZero&, const Context& context) {
    // The last PET zero counts for the whole day; the phase begins with it.
    if (context.at == Pet{} && day_.phase < Phase::egress) day_.phase = Phase::egress;
}

void Folding::on(const PhaseBegan& began, const Context& context) {
    const bool outside_phase = began.phase >= Phase::egress && began.phase <= Phase::ingress;
    if (outside_phase && (!day_.pet_running || context.at < Pet{}))
        return cannot(context, "PET zero has not been logged");
    if ((began.phase == Phase::clean_up || began.phase == Phase::ingress) && people_[0].inside_again)
        return cannot(context, "both are inside already");
    switch (began.phase) {
        case Phase::planned:
        case Phase::suit_up:
        case Phase::prebreathe:
        case Phase::depress:
        case Phase::egress:
        case Phase::post:
        case Phase::closed:
            break;
        case Phase::work:
            if (people_[0].outside) return cannot(context, "egress was already done");
            end_egress(context.at, false);
            break;
        case Phase::clean_up:
            begin_egress_if_needed();
            come_to_airlock(context.at);
            clean_up_from_ = context.at;
            break;
        case Phase::ingress:
            begin_egress_if_needed();
            if (!clean_up_from_) {
                come_to_airlock(context.at);
                clean_up_from_ = context.at;
            }
            for (const Crew crew : both_crew) stop_running(crew, std::max(context.at, people_[index(crew)].free));
            run_both(ActivityKind::clean_up, *clean_up_from_, context.at, false);
            ingress_from_ = context.at;
            break;
        case Phase::repress:
            if (people_[0].outside) {
                // Clean-up and ingress that nobody logged end with the hatch closed, at their planned lengths if there
                // was time for them.
                if (!clean_up_from_) {
                    come_to_airlock(
                        std::max(people_[0].free, context.at - outing_.rules.ingress - outing_.rules.clean_up));
                    clean_up_from_ = std::min(context.at, std::max(people_[0].free, people_[1].free));
                }
                if (!ingress_from_) {
                    ingress_from_ = std::max(*clean_up_from_, context.at - outing_.rules.ingress);
                    run_both(ActivityKind::clean_up, *clean_up_from_, *ingress_from_, true);
                }
                for (const Crew crew : both_crew) stop_running(crew, std::max(context.at, people_[index(crew)].free));
                run_both(ActivityKind::ingress, *ingress_from_, context.at, false);
            }
            for (Person& person : people_) {
                person.inside_again = person.outside || person.inside_again;
                person.outside = false;
                person.at = person.anchor = outing_.station.airlock;
            }
            break;
    }
    day_.phase = began.phase;
}

void Folding::begin_egress_if_needed() {
    if (!people_[0].outside && !people_[0].inside_again) end_egress(Pet{} + outing_.rules.egress, true);
}

void Folding::end_egress(Pet at, bool assumed) {
    run_both(ActivityKind::egress, Pet{}, std::max(at, Pet{}), assumed);
    for (Person& person : people_) {
        person.outside = true;
        person.checked_at = person.free;
    }
    if (day_.phase < Phase::work) day_.phase = Phase::work;
}

void Folding::run_both(ActivityKind kind, Pet from, Pet to, bool assumed) {
    for (Person& person : people_) {
        person.free = std::max(person.free, to);
        person.at = person.anchor = outing_.station.airlock;
    }
    if (to <= from) return;
    AsRun run;
    run.activity = {kind, {Lane::ev1, Lane::ev2},    from, std::chrono::floor<Seconds>(to - from),
                    {},   {outing_.station.airlock}, {},   true};
    run.assumed = assumed;
    record(std::move(run));
}

void Folding::come_to_airlock(Pet at) {
    for (const Crew crew : both_crew) {
        Person& person = people_[index(crew)];
        stop_running(crew, std::max(at, person.free));
        // The plan's own way home if everything before it is done, else the quickest.
        auto home = next_planned(lane_of(crew));
        if (home && day_.plan->activities[*home].kind != ActivityKind::clean_up) home.reset();
        squeeze(crew, approach(crew, home, outing_.station.airlock), at);
        person.at = person.anchor = outing_.station.airlock;
    }
}

void Folding::on(const HoldBegan& hold, const Context& context) {
    day_.holds.push_back({context.position, context.at, std::nullopt, context.visibility, hold.reason});
}

void Folding::on(const Resumed&, const Context& context) {
    bool any = false;
    for (Hold& hold : day_.holds)
        if (!hold.to) {
            hold.to = std::max(hold.from, context.at);
            any = true;
        }
    if (!any) cannot(context, "there was no hold to lift");
}

void Folding::on(const StandDown& stand_down, const Context& context) {
    if (stand_down.kind == StandDownKind::scrub && people_[0].outside)
        return cannot(context, "a scrub is for before egress; outside it is a terminate or an abort");
    day_.stand_down = {context.position, stand_down.kind, context.at, context.visibility, stand_down.reason};
}

void Folding::on(const Closed&, const Context&) { day_.phase = Phase::closed; }
void Folding::on(const Note&, const Context&) {}
void Folding::on(const Decision&, const Context&) {}

void Folding::on(const Struck&, const Context& context) {
    // What it takes back was never applied (corrections.h); only one that names nothing is worth a word.
    if (!context.corrects) cannot(context, "it names no earlier entry to take back");
}

void Folding::on(const PlanAdopted& adopted, const Context& context) {
    auto timeline = read_timeline(outing_, adopted.timeline, "adopted timeline");
    if (!timeline) return cannot(context, "its timeline is not one of this outing");
    for (const Crew crew : both_crew) go_on_until(crew, context.at);
    arm_goes_on_until(context.at);
    day_.plan = std::move(timeline).value();
    day_.plan_position = context.position;
    read_plan(*day_.plan);
    for (const std::string& key : adopted.dropped)
        if (const auto task = find_task(outing_, key)) {
            dropped_[index(*task)] = true;
            day_.dropped_because[index(*task)] = {context.position, context.visibility, adopted.title};
        }
    for (const auto& [item, by] : adopted.uses) on(ItemReplaced{item, by}, context);
}

void Folding::on(const ItemReplaced& replaced, const Context& context) {
    const auto item = find_item(outing_, replaced.item);
    const auto by = find_item(outing_, replaced.by);
    if (!item || !by) return cannot(context, "it names an item that the outing does not have");
    day_.stands_in[index(*item)] = *by;
}

void Folding::on(const TaskDropped& drop, const Context& context) {
    const auto task = find_task(outing_, drop.task);
    if (!task) return cannot(context, "it names a task that the outing does not have");
    dropped_[index(*task)] = true;
    day_.dropped_because[index(*task)] = {context.position, context.visibility, drop.reason};
}

void Folding::on(const CrewAble& able, const Context& context) {
    people_[index(able.crew)].able = able.able;
    if (able.able) day_.stays_inside[index(able.crew)] = false;
    day_.able_visibility[index(able.crew)] = context.visibility;
}

void Folding::on(const CrewInside& inside, const Context& context) {
    Person& person = people_[index(inside.crew)];
    if (!person.outside) return cannot(context, "they are not outside");
    stop_running(inside.crew, std::max(context.at, person.free));
    squeeze(inside.crew, approach(inside.crew, std::nullopt, outing_.station.airlock), context.at);
    person.at = person.anchor = outing_.station.airlock;
    person.able = false;
    day_.stays_inside[index(inside.crew)] = true;
    day_.able_visibility[index(inside.crew)] = context.visibility;
}

// Read before folding, because they move PET zero and the windows (state.cpp, morning.cpp).
void Folding::on(const PetZeroExpected&, const Context&) {}
void Folding::on(const OxygenBreathed&, const Context&) {}
void Folding::on(const ConditionChanged& changed, const Context& context) {
    if (!day_.windows.knows(changed.condition)) cannot(context, "it names a condition that nothing here waits for");
}
void Folding::on(const WorksiteClosed& closed, const Context& context) {
    if (!find_worksite(outing_, closed.worksite)) cannot(context, "it names a worksite that the outing does not have");
}

void Folding::on(const ArmAvailable& arm, const Context& context) {
    if (!outing_.station.arm) return cannot(context, "this outing has no arm");
    arm_available_ = arm.available;
}

// ---- steps ---------------------------------------------------------------------------------------------------------

Crew Folding::lead_for(const Step& step, std::optional<Crew> who) const {
    // A step with one suited person tells who leads by who does it.
    const bool lead_works = std::ranges::find(step.who, Role::lead) != step.who.end();
    const bool helper_works = std::ranges::find(step.who, Role::helper) != step.who.end();
    if (who && lead_works != helper_works) return lead_works ? *who : partner(*who);
    if (const auto& bound = task_lead_[index(step.task)]) return *bound;
    if (day_.plan)
        if (const auto planned = day_.plan->lead_of(step.task)) return *planned;
    return outing_.task(step.task).lead.value_or(Crew::ev1);
}

void Folding::on(const StepStarted& started, const Context& context) {
    const auto id = step_named(started.step, context);
    if (!id) return;
    const Step& step = outing_.step(*id);
    if (steps_[index(*id)] == StepStatus::running) return cannot(context, "the step was already running");
    if (steps_[index(*id)] == StepStatus::done) return cannot(context, "the step was already finished");
    const Crew lead = lead_for(step, started.crew);
    if (!crew_in(step, lead).empty()) {
        if (!day_.pet_running || context.at < Pet{}) return cannot(context, "PET zero has not been logged");
        if (people_[0].inside_again) return cannot(context, "both are inside again");
    }
    start_step(step, lead, context.at, false);
}

void Folding::start_step(const Step& step, Crew lead, Pet at, bool assumed) {
    const std::vector<Crew> crew = crew_in(step, lead);
    if (!crew.empty() && !people_[0].outside) {
        const Pet usual_end = Pet{} + outing_.rules.egress;
        end_egress(std::min(at, usual_end), true);
    }
    if (!crew.empty()) back_to_work(at);
    for (const Crew member : crew) {
        Person& person = people_[index(member)];
        stop_running(member, std::max(at, person.free));
        const auto planned = planned_on(lane_of(member), step.id);
        squeeze(member, approach(member, planned, step.at), at);
        if (planned) used_up_[*planned] = true;
        if (step.at) person.at = *step.at;
        person.free = at;
        person.running = step.id;
    }
    // What the step uses must have been brought, or it could not have started.
    if (!crew.empty()) {
        for (const auto* list : {&step.leaves, &step.installs, &step.needs})
            for (const ItemId item : *list) {
                const ItemPlace& place = items_[index(item)];
                const bool in_reach = place.where == ItemPlace::Where::carried || in_bag_of(item, Crew::ev1) ||
                                      in_bag_of(item, Crew::ev2) ||
                                      (list != &step.leaves && step.at &&
                                       ((place.where != ItemPlace::Where::in_bag && place.site == *step.at &&
                                         place.where != ItemPlace::Where::lost) ||
                                        (place.where == ItemPlace::Where::in_bag &&
                                         items_[index(place.bag)].where == ItemPlace::Where::loose &&
                                         items_[index(place.bag)].site == *step.at)));
                const bool replaced = day_.stands_in[index(item)] != item;
                if (!in_reach && !replaced) items_[index(item)] = carried_by(crew.front());
            }
    }
    if (step.arm != ArmUse::none && step.at) {
        bring_arm(*step.at, at);
        arm_at_ = *step.at;
        arm_free_ = at;
    }
    steps_[index(step.id)] = StepStatus::running;
    step_start_[index(step.id)] = at;
    step_lead_[index(step.id)] = lead;
    start_assumed_[index(step.id)] = assumed;
    step_load_[index(step.id)] = {load_of(Crew::ev1), load_of(Crew::ev2)};
    if (!crew.empty() && !task_lead_[index(step.task)]) task_lead_[index(step.task)] = lead;
}

void Folding::back_to_work(Pet at) {
    if (!clean_up_from_) return;
    run_both(ActivityKind::clean_up, *clean_up_from_, ingress_from_ ? *ingress_from_ : at, false);
    clean_up_from_.reset();
    ingress_from_.reset();
    day_.phase = Phase::work;
}

void Folding::on(const StepFinished& finished, const Context& context) {
    const auto id = step_named(finished.step, context);
    if (!id) return;
    const Step& step = outing_.step(*id);
    switch (steps_[index(*id)]) {
        case StepStatus::done:
            return cannot(context, end_assumed_[index(*id)] ? "the step had ended when the next one was started"
                                                            : "the step was already finished");
        case StepStatus::running:
            return finish_step(step, std::max(context.at, step_start_[index(*id)]), false);
        case StepStatus::skipped:
        case StepStatus::to_do:
            break;
    }
    // Finished without a start: it began as late as its length allows, but not before its people were free.
    const Crew lead = lead_for(step, std::nullopt);
    const std::vector<Crew> crew = crew_in(step, lead);
    if (!crew.empty() && (!day_.pet_running || context.at < Pet{}))
        return cannot(context, "PET zero has not been logged");
    if (!crew.empty() && people_[0].inside_again) return cannot(context, "both are inside again");
    Pet begin = context.at - planned_duration(outing_, step, lead);
    for (const Crew member : crew) {
        begin = std::max(begin, people_[index(member)].free);
        if (!people_[0].outside) begin = std::max(begin, std::min(context.at, Pet{} + outing_.rules.egress));
    }
    begin = std::min(begin, context.at);
    start_step(step, lead, begin, true);
    finish_step(step, context.at, false);
}

void Folding::finish_step(const Step& step, Pet at, bool assumed) {
    const std::size_t s = index(step.id);
    const Crew lead = step_lead_[s].value_or(Crew::ev1);
    for (const Crew member : crew_in(step, lead)) {
        Person& person = people_[index(member)];
        if (person.running == step.id) person.running.reset();
        person.free = std::max(person.free, at);
        arrive_by_step(step, person);
    }
    apply_effects(step, items_);
    if (step.arm != ArmUse::none) {
        arm_free_ = at;
        if (step.to) arm_at_ = *step.to;
    }
    steps_[s] = StepStatus::done;
    step_end_[s] = at;
    end_assumed_[s] = assumed;
}

void Folding::arrive_by_step(const Step& step, Person& person) const {
    if (!step.to) return;
    person.at = *step.to;
    // The rider's tether goes along where the old anchor would be out of reach (docs/rules.md, "Anchor").
    if (step.arm == ArmUse::ride && outing_.worksite(*step.to).anchor &&
        tether_m(person.anchor, *step.to) > outing_.rules.tether.value())
        person.anchor = *step.to;
}

void Folding::stop_running(Crew crew, Pet at) {
    if (const auto running = people_[index(crew)].running) finish_step(outing_.step(*running), at, true);
}

void Folding::apply_effects(const Step& step, std::vector<ItemPlace>& items) const {
    const auto end = step.to ? step.to : step.at;
    const std::vector<Crew> crew = crew_in(step, step_lead_[index(step.id)].value_or(Crew::ev1));
    const auto put = [&items](ItemId item, const ItemPlace& place) {
        if (items[index(item)].where != ItemPlace::Where::lost) items[index(item)] = place;
    };
    const auto at_end = [&](ItemPlace::Where where) {
        ItemPlace place;
        place.where = where;
        place.site = *end;
        return place;
    };
    for (const ItemId item : step.takes)
        if (!crew.empty() && items[index(item)].where != ItemPlace::Where::carried) put(item, carried_by(crew.front()));
    if (!end) return;
    for (const ItemId item : step.moves) put(item, at_end(ItemPlace::Where::loose));
    for (const ItemId item : step.leaves) put(item, at_end(ItemPlace::Where::loose));
    for (const ItemId item : step.installs) put(item, at_end(ItemPlace::Where::installed));
}

Pet Folding::expected_end(StepId id) const {
    const Step& step = outing_.step(id);
    const Seconds length =
        planned_duration(outing_, step, step_lead_[index(id)].value_or(Crew::ev1)) + day_.delay[index(id)];
    return std::max(day_.pet_now(), step_start_[index(id)] + length);
}

void Folding::on(const StepSkipped& skipped, const Context& context) {
    const auto id = step_named(skipped.step, context);
    if (!id) return;
    if (steps_[index(*id)] == StepStatus::done) return cannot(context, "the step was already finished");
    for (Person& person : people_)
        if (person.running == *id) {
            person.running.reset();
            person.free = std::max(person.free, context.at);
        }
    steps_[index(*id)] = StepStatus::skipped;
    step_end_[index(*id)] = context.at;
    day_.skipped_because[index(*id)] = {context.position, context.visibility, skipped.reason};
}

void Folding::on(const StepUndone& undone, const Context& context) {
    // The entries that told of the step are out of force already (corrections.h).
    (void)step_named(undone.step, context);
}

void Folding::on(const StepDelayed& delayed, const Context& context) {
    const auto id = step_named(delayed.step, context);
    if (!id) return;
    if (steps_[index(*id)] == StepStatus::done) return cannot(context, "the step was already finished");
    // Longer than any outing would only make sums overflow.
    constexpr Seconds most{86400};
    day_.delay[index(*id)] = std::clamp(day_.delay[index(*id)] + delayed.by, -most, most);
}

// ---- people and things ---------------------------------------------------------------------------------------------

void Folding::on(const ItemPlaced& placed, const Context& context) {
    const auto item = find_item(outing_, placed.item);
    if (!item) return cannot(context, "it names an item that the outing does not have");
    for (const Crew crew : both_crew) go_on_until(crew, context.at);
    ItemPlace place;
    switch (placed.where) {
        case ItemPlaced::Where::loose:
        case ItemPlaced::Where::installed: {
            const auto site = find_worksite(outing_, placed.place);
            if (!site) return cannot(context, "it names a worksite that the outing does not have");
            place.where =
                placed.where == ItemPlaced::Where::loose ? ItemPlace::Where::loose : ItemPlace::Where::installed;
            place.site = *site;
            break;
        }
        case ItemPlaced::Where::in_bag: {
            const auto bag = find_item(outing_, placed.place);
            if (!bag || outing_.item(*bag).holds <= 0)
                return cannot(context, "it names a bag that the outing does not have");
            if (outing_.item(*item).holds > 0) return cannot(context, "a bag cannot be in a bag");
            place.where = ItemPlace::Where::in_bag;
            place.bag = *bag;
            break;
        }
        case ItemPlaced::Where::carried: {
            if (placed.place != word(Crew::ev1) && placed.place != word(Crew::ev2))
                return cannot(context, "it names nobody who could carry it");
            place = carried_by(placed.place == word(Crew::ev1) ? Crew::ev1 : Crew::ev2);
            break;
        }
        case ItemPlaced::Where::lost:
            place.where = ItemPlace::Where::lost;
            break;
    }
    items_[index(*item)] = place;
}

void Folding::on(const CrewPlaced& placed, const Context& context) {
    const auto site = find_worksite(outing_, placed.worksite);
    const auto named = find_worksite(outing_, placed.anchor.value_or(placed.worksite));
    if (!site || !named) return cannot(context, "it names a worksite that the outing does not have");
    Person& person = people_[index(placed.crew)];
    if (!person.outside) return cannot(context, "they are not outside");
    go_on_until(placed.crew, context.at);
    const WorksiteId anchor = placed.anchor ? *named : person.anchor;
    // Who works somewhere is there: one of the two lines is wrong, and the record cannot know which.
    if (person.running && *site != person.at && *site != outing_.step(*person.running).to)
        return cannot(
            context,
            fmt::format("{} is working on {} at {}: say first that it is finished, undone or skipped",
                        word(placed.crew), outing_.step(*person.running).label, outing_.worksite(person.at).name));
    if (person.running && *site != person.at) return;  // on the way that the step brings them
    if (!person.running) break_off_move(placed.crew, context.at);
    // How they got there nobody said; that they are there goes into the record all the same.
    const auto arrives = [&](ActivityKind kind, std::vector<WorksiteId> path) {
        AsRun run;
        run.activity = {kind,
                        {lane_of(placed.crew)},
                        person.running ? context.at : person.free,
                        Seconds{0},
                        {},
                        std::move(path),
                        {},
                        true};
        run.assumed = true;
        record(std::move(run));
    };
    if (*site != person.at) arrives(ActivityKind::translate, {person.at, *site});
    if (anchor != person.anchor) arrives(ActivityKind::tether_swap, {anchor});
    person.at = *site;
    person.anchor = anchor;
}

void Folding::on(const GlovesChecked& checked, const Context& context) {
    Person& person = people_[index(checked.crew)];
    if (!person.outside) return cannot(context, "they are not outside");
    go_on_until(checked.crew, context.at - outing_.rules.glove_check);
    person.checked_at = std::max(person.checked_at, context.at);
    // The next check of the plan is this one.
    if (day_.plan)
        for (std::size_t i = 0; i < day_.plan->activities.size(); ++i) {
            const Activity& activity = day_.plan->activities[i];
            if (used_up_[i] || activity.kind != ActivityKind::glove_check || !activity.on(lane_of(checked.crew)))
                continue;
            used_up_[i] = true;
            break;
        }
    if (person.running || clean_up_from_) return;
    const Pet from = std::max(person.free, context.at - outing_.rules.glove_check);
    if (from >= context.at) return;
    AsRun run;
    run.activity = {ActivityKind::glove_check,
                    {lane_of(checked.crew)},
                    from,
                    std::chrono::floor<Seconds>(context.at - from),
                    {},
                    {},
                    {},
                    true};
    record(std::move(run));
    person.free = context.at;
}

void Folding::on(const SuitReading& reading, const Context& context) {
    const double left = static_cast<double>(reading.left_thousandths) / 1000.0;
    day_.readings.push_back({context.position, reading.crew, reading.consumable, context.at, left, context.visibility});
}

}  // namespace handrail::live::detail
