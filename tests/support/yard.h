#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "outing/model.h"
#include "timeline/timeline.h"

/// A yard so small that every time in it can be added up on paper. Everything here is invented.
///
///   airlock* --10 m-- truss* --10 m-- panel --10 m-- mast* --10 m-- boom        (* a tether may be anchored)
///
/// Both walk 0.1 m/s, so a leg takes 100 s. EV1 swaps a valve at the panel, both mount a camera at the truss:
///
///   0 egress 600 | EV1 picks up the wrench, EV2 the bag with the camera 630 | both to the truss 730 | camera.1 970 |
///   EV1 to the panel 1070 | valve.1 (opens) 1370 | valve.2 1570 | valve.3 (closes) 1870 | to the airlock 2070
///   EV2 to the airlock 1070, waits | both clean up 2070-2370, come in 2370-2970
namespace handrail::test {

enum class Spot : std::uint32_t { airlock, truss, panel, mast, boom };
constexpr WorksiteId at(Spot spot) { return static_cast<WorksiteId>(spot); }
enum class Thing : std::uint32_t { wrench, bag, camera, crate };
constexpr ItemId id(Thing thing) { return static_cast<ItemId>(thing); }
constexpr Pet s(long seconds) { return pet(Seconds{seconds}); }

struct Yard {
    Outing outing;
    WindowTable windows;
    Timeline timeline;

    Yard();

    // ---- the outing
    Task& task(const std::string& key) {
        return *std::ranges::find(outing.tasks, key, [](const Task& t) { return t.key; });
    }
    Step& step(const std::string& label) {
        return *std::ranges::find(outing.steps, label, [](const Step& t) { return t.label; });
    }
    Item& item(Thing thing) { return outing.items[index(id(thing))]; }
    TaskId add_task(const std::string& key, TaskClass task_class = TaskClass::wanted);
    /// A light step of 100 s by the lead at the truss; change what it is given back.
    Step& add_step(const std::string& key, long duration_s, std::vector<Role> who, Spot spot);

    // ---- the timeline
    Activity& run(const std::string& label) {
        const StepId wanted = step(label).id;
        return *std::ranges::find(timeline.activities, std::optional(wanted), &Activity::step);
    }
    /// The n-th activity of a kind on a lane, by start.
    Activity& nth(ActivityKind kind, Lane lane, std::size_t n = 0) {
        put_in_order(timeline);
        for (Activity& activity : timeline.activities)
            if (activity.kind == kind && activity.on(lane) && n-- == 0) return activity;
        std::abort();
    }
    void remove(const Activity& activity) {
        timeline.activities.erase(timeline.activities.begin() + (&activity - timeline.activities.data()));
    }
    /// Everything that starts at `from` or later is delayed.
    void delay(long from_s, long by_s) {
        for (Activity& activity : timeline.activities)
            if (activity.start >= s(from_s)) activity.start += Seconds{by_s};
    }
    void add(ActivityKind kind, std::vector<Lane> lanes, long start_s, long duration_s, std::vector<Spot> path = {},
             std::vector<Thing> items = {});
    void add_run(const std::string& label, std::vector<Lane> lanes, long start_s, long duration_s);
    /// Delays what follows, then adds.
    void insert(ActivityKind kind, Lane lane, long start_s, long duration_s, std::vector<Spot> path = {},
                std::vector<Thing> items = {}) {
        delay(start_s, duration_s);
        add(kind, {lane}, start_s, duration_s, std::move(path), std::move(items));
    }
    void bind(const std::string& key, Crew lead) { timeline.bindings.push_back({task(key).id, lead}); }
};

inline Worksite spot(std::string key, double x_m, bool anchor) {
    Worksite site;
    site.id = key;
    site.name = std::move(key);
    site.position_station_m = {x_m, 0, 0};
    site.anchor = anchor;
    return site;
}

inline Route leg(Spot a, Spot b) { return {at(a), at(b), Metres{10}, Pace::normal, SizeClass::large}; }

inline Item thing(std::string key, SizeClass size, bool returns) {
    Item item;
    item.id = key;
    item.name = std::move(key);
    item.size = size;
    item.at = at(Spot::airlock);
    item.returns = returns;
    return item;
}

inline Rules yard_rules() {
    Rules rules{};
    rules.limit = Seconds{14400};
    rules.margin = Seconds{1800};
    rules.egress = rules.ingress = Seconds{600};
    rules.clean_up = Seconds{300};
    rules.tether = Metres{25};
    rules.tether_swap = Seconds{60};
    rules.pick_up = Seconds{30};
    rules.glove_check_every = Seconds{3600};
    rules.glove_check = Seconds{60};
    rules.heavy_limit = Seconds{1800};
    rules.rest = Seconds{300};
    rules.partner_within = Seconds{400};
    rules.large_item_pace = Fraction{0.5};
    rules.pace_factor = {1.25, 1.0, 0.5};
    // By Effort: rest, ride, light, tools, translate, heavy, airlock, forced.
    rules.effort_watts = {Watts{100}, Watts{120}, Watts{200}, Watts{300},
                          Watts{250}, Watts{350}, Watts{150}, Watts{400}};
    return rules;
}

inline Yard::Yard() {
    outing.name = "Yard";
    outing.fingerprint = "00ff";
    outing.pet_zero = Utc{std::chrono::sys_days{std::chrono::year{2031} / 4 / 5}};
    outing.station.name = "Yard";
    outing.station.airlock = at(Spot::airlock);
    outing.station.worksites = {spot("airlock", 0, true), spot("truss", 10, true), spot("panel", 20, false),
                                spot("mast", 30, true), spot("boom", 40, false)};
    outing.station.routes = {leg(Spot::airlock, Spot::truss), leg(Spot::truss, Spot::panel),
                             leg(Spot::panel, Spot::mast), leg(Spot::mast, Spot::boom)};
    outing.suits.emplace_back();  // carries nothing that runs out
    for (CrewMember& person : outing.crew) person.speed = MetresPerSecond{0.1};
    outing.crew[0].name = "Ada";
    outing.crew[1].name = "Bo";
    outing.rules = yard_rules();
    outing.items = {thing("wrench", SizeClass::small, true), thing("bag", SizeClass::medium, true),
                    thing("camera", SizeClass::small, false), thing("crate", SizeClass::large, false)};
    item(Thing::bag).holds = 3;
    item(Thing::camera).at.reset();
    item(Thing::camera).in = id(Thing::bag);

    add_task("valve", TaskClass::required);
    Step& open = add_step("valve", 300, {Role::lead}, Spot::panel);
    open.effort = Effort::tools;
    open.needs = {id(Thing::wrench)};
    open.opens = true;
    add_step("valve", 200, {Role::lead}, Spot::panel);
    Step& close = add_step("valve", 300, {Role::lead}, Spot::panel);
    close.effort = Effort::tools;
    close.close_up = true;
    add_task("camera");
    add_step("camera", 240, {Role::lead, Role::helper}, Spot::truss).installs = {id(Thing::camera)};

    timeline.outing = outing.name;
    timeline.fingerprint = outing.fingerprint;
    timeline.pet_zero = outing.pet_zero;
    bind("valve", Crew::ev1);
    bind("camera", Crew::ev2);
    using enum Spot;
    const std::vector<Lane> both{Lane::ev1, Lane::ev2};
    add(ActivityKind::egress, both, 0, 600, {airlock});
    add(ActivityKind::pick_up, {Lane::ev1}, 600, 30, {airlock}, {Thing::wrench});
    add(ActivityKind::pick_up, {Lane::ev2}, 600, 30, {airlock}, {Thing::bag});
    add(ActivityKind::translate, {Lane::ev1}, 630, 100, {airlock, truss});
    add(ActivityKind::translate, {Lane::ev2}, 630, 100, {airlock, truss});
    add_run("camera.1", both, 730, 240);
    add(ActivityKind::translate, {Lane::ev1}, 970, 100, {truss, panel});
    add(ActivityKind::translate, {Lane::ev2}, 970, 100, {truss, airlock});
    add_run("valve.1", {Lane::ev1}, 1070, 300);
    add_run("valve.2", {Lane::ev1}, 1370, 200);
    add_run("valve.3", {Lane::ev1}, 1570, 300);
    add(ActivityKind::translate, {Lane::ev1}, 1870, 200, {panel, truss, airlock});
    add(ActivityKind::clean_up, both, 2070, 300, {airlock});
    add(ActivityKind::ingress, both, 2370, 600, {airlock});
}

inline TaskId Yard::add_task(const std::string& key, TaskClass task_class) {
    Task task;
    task.id = static_cast<TaskId>(outing.tasks.size());
    task.key = key;
    task.name = key;
    task.task_class = task_class;
    outing.tasks.push_back(task);
    return task.id;
}

inline Step& Yard::add_step(const std::string& key, long duration_s, std::vector<Role> who, Spot spot) {
    Task& owner = task(key);
    Step step;
    step.id = static_cast<StepId>(outing.steps.size());
    step.task = owner.id;
    step.label = key + "." + std::to_string(owner.steps.size() + 1);
    step.name = "step " + std::to_string(owner.steps.size() + 1);
    step.who = std::move(who);
    step.at = at(spot);
    step.duration = {Seconds{duration_s}, Seconds{duration_s}, Seconds{duration_s}};
    step.effort = Effort::light;
    step.place = {"yard.toml", static_cast<int>(10 * outing.steps.size() + 1), 1};
    if (!owner.steps.empty()) outing.orders.push_back({owner.steps.back(), step.id, Seconds{0}, {}, false});
    owner.steps.push_back(step.id);
    outing.steps.push_back(std::move(step));
    return outing.steps.back();
}

inline void Yard::add(ActivityKind kind, std::vector<Lane> lanes, long start_s, long duration_s, std::vector<Spot> path,
                      std::vector<Thing> items) {
    Activity activity;
    activity.kind = kind;
    activity.lanes = std::move(lanes);
    activity.start = s(start_s);
    activity.duration = Seconds{duration_s};
    for (const Spot spot : path) activity.path.push_back(at(spot));
    for (const Thing thing : items) activity.items.push_back(id(thing));
    timeline.activities.push_back(std::move(activity));
    put_in_order(timeline);
}

inline void Yard::add_run(const std::string& label, std::vector<Lane> lanes, long start_s, long duration_s) {
    Activity activity;
    activity.kind = ActivityKind::step;
    activity.lanes = std::move(lanes);
    activity.start = s(start_s);
    activity.duration = Seconds{duration_s};
    activity.step = step(label).id;
    timeline.activities.push_back(std::move(activity));
    put_in_order(timeline);
}

}  // namespace handrail::test
