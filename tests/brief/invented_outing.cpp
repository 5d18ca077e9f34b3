#include "invented_outing.h"

#include <algorithm>
#include <map>
#include <string>

namespace handrail::brief {
namespace {

using std::chrono::minutes;

constexpr auto min(int n) { return Seconds{n * 60}; }

/// Builds the outing and lays its plan out by hand, lane by lane.
class Builder {
public:
    Builder() {
        Outing& o = made_.outing;
        o.name = "Larkspur outing 4";
        o.about = "Two people work outside station Larkspur for a morning.";
        o.note = "Everything in this outing is invented.";
        o.pet_zero = std::chrono::sys_days{std::chrono::year{2031} / 4 / 5} + std::chrono::hours{8} + minutes{30};
        o.fingerprint = "0f1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0";
        o.station.name = "Larkspur";
        for (const char* name : {"Airlock", "Lock porch", "Truss node 2", "Radiator root", "Camera mast", "Tool rack",
                                 "Antenna boom tip", "Cargo shelf"})
            o.station.worksites.push_back({.id = name, .name = name, .position_station_m = {}, .about = ""});
        o.station.airlock = site("Airlock");
        o.station.arm = Arm{"the arm", {}, Metres{12}, MetresPerSecond{0.05}, min(2), site("Cargo shelf"), "J. Okoro"};
        SuitType suit;
        suit.id = suit.name = "Suit";
        o.suits.push_back(suit);
        o.crew[0] = {.name = "Ada Fenn", .suit = SuitTypeId{0}, .about = "an engineer on her second outing"};
        o.crew[1] = {.name = "Milo Brandt", .suit = SuitTypeId{0}, .about = "a pilot on his first"};
        o.iv_name = "S. Iversen";
        o.rules.limit = min(390);
        o.rules.margin = min(30);
        o.rules.egress = min(15);
        o.rules.ingress = min(15);
        o.rules.clean_up = min(10);
        o.rules.tether = Metres{25};
        o.rules.tether_swap = min(3);
        o.rules.pick_up = min(1);
        o.rules.glove_check_every = min(180);
        o.rules.glove_check = min(2);
        o.rules.heavy_limit = min(120);
        o.rules.rest = min(10);
        o.rules.partner_within = min(20);
        o.rules.pace_factor = {1.2, 1.0, 0.6};
        for (const auto& [name, size, holds] :
             {std::tuple{"Tool bag 1", SizeClass::medium, 6}, std::tuple{"Tool bag 2", SizeClass::medium, 6},
              std::tuple{"Pistol driver", SizeClass::small, 0}, std::tuple{"Torque wrench", SizeClass::small, 0},
              std::tuple{"New camera", SizeClass::large, 0}, std::tuple{"Old camera", SizeClass::large, 0},
              std::tuple{"Pump module", SizeClass::oversize, 0}})
            o.items.push_back({.id = name,
                               .name = name,
                               .size = size,
                               .at = site("Airlock"),
                               .in = {},
                               .holds = holds,
                               .returns = size != SizeClass::oversize});
        o.items[2].in = ItemId{0};
        o.items[2].at.reset();
        o.items[3].in = ItemId{1};
        o.items[3].at.reset();
        o.items[5].at = site("Camera mast");
        o.items[6].at = site("Cargo shelf");
        for (int orbit = 0; orbit < 5; ++orbit) {
            daylight_.emplace_back(pet(min(-20 + 92 * orbit)), pet(min(-20 + 92 * orbit + 57)));
            coverage_.emplace_back(pet(min(-8 + 92 * orbit)), pet(min(-8 + 92 * orbit + 66)),
                                   orbit % 2 == 0 ? "relay east" : "relay west");
        }
        o.windows.set("daylight", "", daylight_);
        o.windows.set("coverage", "", coverage_);
    }

    WorksiteId site(const std::string& name) const {
        for (std::size_t i = 0; i < made_.outing.station.worksites.size(); ++i)
            if (made_.outing.station.worksites[i].name == name) return WorksiteId{static_cast<std::uint32_t>(i)};
        return {};
    }
    TaskId task(const std::string& name, TaskClass cls, double value, const std::string& why) {
        Task t;
        t.id = TaskId{static_cast<std::uint32_t>(made_.outing.tasks.size())};
        t.key = name;
        t.name = name;
        t.task_class = cls;
        t.value = value;
        t.why = why;
        made_.outing.tasks.push_back(t);
        return t.id;
    }
    Step& step(TaskId task, const std::string& name, std::vector<Role> who, const std::string& at, int likely) {
        Outing& o = made_.outing;
        Step s;
        s.id = StepId{static_cast<std::uint32_t>(o.steps.size())};
        s.task = task;
        s.label = o.tasks[index(task)].key + "." + std::to_string(o.tasks[index(task)].steps.size() + 1);
        s.name = name;
        s.who = std::move(who);
        s.at = site(at);
        s.duration = {min(likely) * 8 / 10, min(likely), min(likely) * 3 / 2};
        s.crew_words = std::string(crew_marker) + ": " + name + ", slowly, and say when it is done.";
        o.steps.push_back(s);
        o.tasks[index(task)].steps.push_back(s.id);
        return o.steps.back();
    }

    void together(StepId a, StepId b) {
        Order order{};
        order.before = a;
        order.after = b;
        order.starts_together = true;
        made_.outing.orders.push_back(order);
    }
    void at(Lane lane, int minute) { free_[lane] = std::max(free_[lane], pet(min(minute))); }
    Activity& put(ActivityKind kind, std::vector<Lane> lanes, Seconds duration, std::vector<WorksiteId> path = {}) {
        Activity a;
        a.kind = kind;
        a.lanes = std::move(lanes);
        a.duration = duration;
        a.path = std::move(path);
        for (const Lane lane : a.lanes) a.start = std::max(a.start, free_[lane]);
        for (const Lane lane : a.lanes) free_[lane] = a.end();
        made_.timeline.activities.push_back(a);
        return made_.timeline.activities.back();
    }
    void walk(Crew crew, const std::string& from, const std::string& to, int seconds) {
        put(ActivityKind::translate, {lane_of(crew)}, Seconds{seconds}, {site(from), site(to)});
    }
    void doing(const Step& step, Crew lead) {
        put(ActivityKind::step, lanes_of(step, lead), step.duration.likely, {*step.at}).step = step.id;
    }
    void whole(TaskId task, Crew lead) {
        for (const StepId id : std::vector(made_.outing.tasks[index(task)].steps)) doing(made_.outing.step(id), lead);
        made_.timeline.bindings.push_back({task, lead});
    }

    Invented make();

private:
    Invented made_{};  // braces: rules without a value are zero, not whatever was in memory
    std::vector<Window> daylight_, coverage_;
    std::map<Lane, Pet> free_;
};

Invented Builder::make() {
    using enum Role;
    const TaskId pump = task("Move the pump module", TaskClass::required, 60,
                             "The station's spare cooling pump has to move to where it can be plugged in.");
    const TaskId camera = task("Replace the mast camera", TaskClass::wanted, 40, "The old camera no longer focuses.");
    const TaskId radiator = task("Inspect the radiator valves", TaskClass::wanted, 25, "");
    const TaskId cable = task("Route the antenna cable", TaskClass::get_ahead, 12.5, "");
    const TaskId wipe = task("Wipe the window", TaskClass::get_ahead, 5, "");

    step(pump, "Check the grapple bracket", {iv}, "Cargo shelf", 6);
    step(pump, "Fit the foot restraint", {lead}, "Cargo shelf", 12).effort = Effort::tools;
    step(pump, "Steady the module by its handles", {helper}, "Cargo shelf", 12);
    Step& bolts = step(pump, "Release four launch bolts, corner by corner", {lead, helper}, "Cargo shelf", 18);
    bolts.needs = {ItemId{2}, ItemId{3}};
    bolts.hazards = {{"A released bolt can float away", "Keep the bolt catcher over it until it is bagged"},
                     {"Sharp edge on the bracket's left side", "Hands on the yellow handles only"}};
    bolts.opens = true;
    Step& ride = step(pump, "Ride the arm with the module", {lead}, "Cargo shelf", 16);
    ride.arm = ArmUse::ride;
    ride.to = site("Truss node 2");
    ride.moves = {ItemId{6}};
    ride.during = {"coverage"};
    ride.public_words = "The arm carries Ada and the pump across the station.";
    step(pump, "Watch the clearance and call distances", {helper}, "Cargo shelf", 16);
    Step& bolt_down =
        step(pump, "Bolt the module down and connect two power plugs", {lead, helper}, "Truss node 2", 24);
    bolt_down.during = {"daylight"};
    bolt_down.close_up = true;
    bolt_down.public_words = "Together they bolt the pump down and plug it in.";
    step(camera, "Take the camera's cover off", {lead}, "Camera mast", 8);
    step(camera, "Unplug and remove the old camera", {lead}, "Camera mast", 14);
    step(camera, "Fit the new camera", {lead}, "Camera mast", 15).installs = {ItemId{4}};
    step(camera, "Power check from inside", {iv}, "Camera mast", 5);
    step(radiator, "Photograph the valves", {lead}, "Radiator root", 5);
    step(radiator, "Wiggle test", {lead}, "Radiator root", 3);
    step(radiator, "Read both gauges to IV", {lead}, "Radiator root", 2);
    step(radiator, "Close the insulation flaps", {lead}, "Radiator root", 9);
    step(cable, "Clip the cable along the boom, every second handrail", {lead, helper}, "Antenna boom tip", 22);
    step(wipe, "Wipe the window", {lead}, "Truss node 2", 12);
    together(StepId{1}, StepId{2});
    together(StepId{4}, StepId{5});

    const std::vector both{Lane::ev1, Lane::ev2};
    put(ActivityKind::egress, both, min(15), {site("Airlock")});
    put(ActivityKind::pick_up, {Lane::ev1}, Seconds{60}, {site("Airlock")}).items = {ItemId{0}};
    put(ActivityKind::pick_up, {Lane::ev2}, Seconds{120}, {site("Airlock")}).items = {ItemId{1}};
    walk(Crew::ev1, "Airlock", "Cargo shelf", 210);
    walk(Crew::ev2, "Airlock", "Cargo shelf", 260);
    at(Lane::ev1, 22);
    at(Lane::ev2, 22);
    at(Lane::iv, 18);
    at(Lane::arm, 60);
    whole(pump, Crew::ev1);
    put(ActivityKind::arm_move, {Lane::arm}, min(7), {site("Truss node 2"), site("Cargo shelf")});
    put(ActivityKind::glove_check, {Lane::ev1}, min(2));
    put(ActivityKind::glove_check, {Lane::ev2}, min(2));
    walk(Crew::ev1, "Truss node 2", "Camera mast", 330);
    put(ActivityKind::tether_swap, {Lane::ev1}, min(3), {site("Camera mast")});
    put(ActivityKind::put_down, {Lane::ev1}, min(1), {site("Camera mast")}).items = {ItemId{0}};
    walk(Crew::ev2, "Truss node 2", "Radiator root", 150);
    at(Lane::ev1, 165);
    at(Lane::iv, 180);
    whole(radiator, Crew::ev2);
    whole(camera, Crew::ev1);
    put(ActivityKind::rest, {Lane::ev2}, min(10));
    walk(Crew::ev1, "Camera mast", "Antenna boom tip", 240);
    walk(Crew::ev2, "Radiator root", "Antenna boom tip", 300);
    at(Lane::ev1, 245);
    whole(cable, Crew::ev2);
    walk(Crew::ev1, "Antenna boom tip", "Airlock", 420);
    walk(Crew::ev2, "Antenna boom tip", "Airlock", 400);
    put(ActivityKind::clean_up, both, min(10), {site("Airlock")});
    put(ActivityKind::ingress, both, min(15), {site("Airlock")});

    Timeline& t = made_.timeline;
    t.outing = made_.outing.name;
    t.fingerprint = made_.outing.fingerprint;
    t.pet_zero = made_.outing.pet_zero;
    std::sort(t.bindings.begin(), t.bindings.end(), [](const Binding& a, const Binding& b) { return a.task < b.task; });
    t.left_out = {{wipe, "It would end 9 min after the margin begins; 12 min less elsewhere would let it in."}};
    put_in_order(t);
    return made_;
}

}  // namespace

Invented invented() { return Builder().make(); }

}  // namespace handrail::brief
