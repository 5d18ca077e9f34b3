#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "outing/risk_defaults.h"
#include "plan/planner.h"
#include "plan/search.h"

/// Small invented outings, built in a few lines.
namespace handrail::risk::test {

inline Seconds minutes(double m) { return Seconds{static_cast<Seconds::rep>(m * 60)}; }

/// A row of worksites 10 m apart from the airlock on, two people of the same pace, suits that last long.
class AnOuting {
public:
    explicit AnOuting(int worksites = 3) {
        outing_.name = "invented";
        outing_.fingerprint = "none";
        outing_.station.airlock = WorksiteId{0};
        for (int i = 0; i < worksites; ++i) {
            Worksite site;
            site.id = fmt::format("site{}", i);
            site.name = fmt::format("Site {}", i);
            site.anchor = true;
            site.position_station_m = {10.0 * i, 0, 0};
            outing_.station.worksites.push_back(site);
            if (i > 0) {
                Route route;
                route.a = static_cast<WorksiteId>(i - 1);
                route.b = static_cast<WorksiteId>(i);
                route.length = Metres{10};
                outing_.station.routes.push_back(route);
            }
        }
        SuitType suit;
        suit.id = suit.name = "suit";
        suit.oxygen = Kilograms{0.9};
        suit.co2_capacity = Kilograms{1.2};
        suit.feedwater = Kilograms{6};
        suit.battery = WattHours{900};
        suit.electrical_load = Watts{60};
        suit.heat_leak_sunlit = Watts{50};
        suit.heat_leak_dark = Watts{-50};
        suit.reserve = minutes(30);
        suit.reserve_rate = Watts{293};
        outing_.suits.push_back(suit);
        for (CrewMember& person : outing_.crew) person.name = "someone";
        Rules& rules = outing_.rules;
        rules.limit = minutes(390);
        rules.margin = minutes(15);
        rules.egress = rules.ingress = rules.clean_up = minutes(15);
        rules.tether = Metres{1000};
        rules.tether_swap = minutes(1);
        rules.pick_up = minutes(1);
        rules.glove_check_every = minutes(0);
        rules.glove_check = minutes(1);
        rules.heavy_limit = minutes(1000);
        rules.rest = minutes(5);
        rules.partner_within = minutes(1000);
        rules.large_item_pace = Fraction{0.4};
        rules.pace_factor = {1.5, 1, 0.75};
        rules.effort_watts = {Watts{122}, Watts{151}, Watts{198}, Watts{221},
                              Watts{262}, Watts{314}, Watts{279}, Watts{372}};
        outing_.risk = exact();
    }

    /// Every time as planned: no scatter, no factors, no troubles.
    static Risk exact() {
        Risk risk;
        for (WorkClass& work : risk.work) work.spread = Spread::none;
        return risk;
    }

    AnOuting& task(const std::string& key, TaskClass task_class, double value = 1) {
        Task task;
        task.id = static_cast<TaskId>(outing_.tasks.size());
        task.key = task.name = key;
        task.task_class = task_class;
        task.value = value;
        outing_.tasks.push_back(task);
        return *this;
    }
    /// Follows the step before it in the same task.
    AnOuting& step(int site, Duration3 duration, std::vector<Role> who = {Role::lead}) {
        Task& task = outing_.tasks.back();
        Step step;
        step.id = static_cast<StepId>(outing_.steps.size());
        step.task = task.id;
        step.label = fmt::format("{}.{}", task.key, task.steps.size() + 1);
        step.name = fmt::format("step {}", task.steps.size() + 1);
        step.who = std::move(who);
        if (site >= 0) step.at = static_cast<WorksiteId>(site);
        step.duration = duration;
        if (!task.steps.empty()) {
            Order order;
            order.before = task.steps.back();
            order.after = step.id;
            outing_.orders.push_back(order);
        }
        task.steps.push_back(step.id);
        outing_.steps.push_back(step);
        return *this;
    }
    AnOuting& step(int site, double likely_minutes, std::vector<Role> who = {Role::lead}) {
        const Seconds t = minutes(likely_minutes);
        return step(site, Duration3{t, t, t}, std::move(who));
    }
    /// The task last named comes after that one.
    AnOuting& after(int task) {
        outing_.tasks.back().after.push_back(static_cast<TaskId>(task));
        return *this;
    }
    AnOuting& lead(Crew crew) {
        outing_.tasks.back().lead = crew;
        return *this;
    }
    Step& last() { return outing_.steps.back(); }
    Outing& operator*() { return outing_; }
    Outing* operator->() { return &outing_; }

private:
    Outing outing_;
};

/// Daylight and darkness in turn, 46 of each 93 minutes lit, from PET zero on.
inline WindowTable sunshine() {
    WindowTable table;
    std::vector<Window> lit;
    for (int i = 0; i < 12; ++i) lit.emplace_back(pet(minutes(93.0 * i + 20)), pet(minutes(93.0 * i + 66)));
    table.set("daylight", "", lit);
    return table;
}

/// Many tasks of many steps all over the row: `steps` in all, 10 a task, each short enough for one outing. Every third
/// step of a task needs both people, every tenth daylight; things are fetched, used and left.
inline AnOuting a_long_outing(int steps, double step_minutes) {
    AnOuting outing(8);
    outing->rules.glove_check_every = minutes(30);
    outing->rules.heavy_limit = minutes(45);
    outing->rules.limit = minutes(2.4 * steps * step_minutes / 2 + 120);
    outing->suits[0].oxygen = Kilograms{20};
    outing->suits[0].co2_capacity = Kilograms{20};
    outing->suits[0].feedwater = Kilograms{200};
    outing->suits[0].battery = WattHours{20000};
    for (int t = 0; t * 10 < steps; ++t) {
        Item tool;
        tool.id = tool.name = fmt::format("tool {}", t);
        tool.at = WorksiteId{0};
        outing->items.push_back(tool);
        outing.task(fmt::format("task {}", t), t % 4 == 0 ? TaskClass::required : TaskClass::wanted, 1 + t % 5);
        for (int k = 0; k < 10 && t * 10 + k < steps; ++k) {
            const double likely = step_minutes * (0.6 + 0.2 * ((t + k) % 5));
            const Duration3 d{minutes(0.85 * likely), minutes(likely), minutes(1.8 * likely)};
            const bool both = k % 3 == 2;
            outing.step(1 + (t + k / 5) % 7, d, both ? std::vector{Role::lead, Role::helper} : std::vector{Role::lead});
            if (k == 0) outing.last().needs.push_back(static_cast<ItemId>(outing->items.size() - 1));
            if (k == 5) outing.last().during.push_back("daylight");
            if (k % 2 == 0) outing.last().effort = Effort::light;
        }
    }
    outing->risk = default_risk();
    return outing;
}

}  // namespace handrail::risk::test
