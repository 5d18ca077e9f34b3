#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>
#include <set>

#include "check/check.h"
#include "plan/planner.h"
#include "support/random_outing.h"

/// The planner and the checker share no code for the rules, so each is the other's test: over random outings every plan
/// passes, and a plan broken on purpose in one rule is caught in that rule.
namespace handrail::test {
namespace {

struct Planned {
    Outing outing;
    WindowTable windows;
    Timeline timeline;

    const Activity* run(StepId id) const {
        const auto found = std::ranges::find(timeline.activities, std::optional(id), &Activity::step);
        return found == timeline.activities.end() ? nullptr : &*found;
    }
    std::vector<std::size_t> all(ActivityKind kind) const {
        std::vector<std::size_t> found;
        for (std::size_t i = 0; i < timeline.activities.size(); ++i)
            if (timeline.activities[i].kind == kind) found.push_back(i);
        return found;
    }
    std::vector<const Activity*> every(ActivityKind kind) const {
        std::vector<const Activity*> found;
        for (const Activity& activity : timeline.activities)
            if (activity.kind == kind) found.push_back(&activity);
        return found;
    }
    bool done(const Task& task) const { return run(task.steps.front()) != nullptr; }
    void remove(std::size_t activity) {
        timeline.activities.erase(timeline.activities.begin() + static_cast<std::ptrdiff_t>(activity));
    }
    Pet start(const Task& task) const {
        Pet earliest = Pet::max();
        for (const StepId id : task.steps)
            if (const Activity* activity = run(id)) earliest = std::min(earliest, activity->start);
        return earliest;
    }
    Pet end(const Task& task) const {
        Pet latest = Pet::min();
        for (const StepId id : task.steps)
            if (const Activity* activity = run(id)) latest = std::max(latest, activity->end());
        return latest;
    }
};

std::optional<Planned> plan(std::uint64_t seed) {
    Outing outing = random_outing(seed);
    plan::Budget budget;
    budget.seed = seed;
    budget.iterations = 10;
    budget.threads = 1;
    const auto result = plan::make_plan(outing, outing.windows, plan::initial(outing), budget);
    if (const Timeline* timeline = std::get_if<Timeline>(&result)) {
        WindowTable windows = outing.windows;
        return Planned{std::move(outing), std::move(windows), *timeline};
    }
    return std::nullopt;
}

TEST(PlansAndChecks, FiveHundredRandomPlansBreakNoRule) {
    constexpr int wanted = 500;
    int plans = 0;
    std::uint64_t seed = 0;
    for (; plans < wanted && seed < 2 * wanted; ++seed) {
        const auto planned = plan(seed);
        if (!planned) continue;
        ++plans;
        const auto findings = check(planned->outing, planned->windows, planned->timeline);
        ASSERT_FALSE(any_broken(findings))
            << "seed " << seed << "\n"
            << print_findings(findings) << print_table(planned->outing, planned->timeline);
        const auto back = read_timeline(planned->outing, to_json(planned->outing, planned->timeline), "plan.json");
        ASSERT_TRUE(back) << "seed " << seed << ": " << print(back.errors()[0]);
    }
    EXPECT_EQ(plans, wanted);
    EXPECT_LT(seed, wanted * 5 / 4) << "too many of the random outings have no plan";
}

/// Breaks a rule, or says that this plan offers no way to.
using Mutation = std::function<bool(Planned&)>;

bool shorten(Planned& planned, ActivityKind kind) {
    const auto found = planned.all(kind);
    if (found.empty()) return false;
    planned.timeline.activities[found[found.size() / 2]].duration -= Seconds{1};
    return true;
}

bool remove_where(Planned& planned, const std::function<bool(const Activity&)>& condition) {
    const auto found = std::ranges::find_if(planned.timeline.activities, condition);
    if (found == planned.timeline.activities.end()) return false;
    planned.timeline.activities.erase(found);
    return true;
}

bool overlap(Planned& planned) {
    for (Activity& later : planned.timeline.activities)
        for (const Activity& earlier : planned.timeline.activities)
            if (later.lanes.front() == earlier.lanes.front() && later.start == earlier.end() &&
                earlier.duration > Seconds{1} && later.kind != ActivityKind::egress) {
                later.start -= Seconds{1};
                return true;
            }
    return false;
}

bool cut_corner(Planned& planned) {
    const auto joined = [&](WorksiteId a, WorksiteId b) {
        return a == b || std::ranges::any_of(planned.outing.station.routes, [&](const Route& r) {
                   return (r.a == a && r.b == b) || (r.a == b && r.b == a);
               });
    };
    for (Activity& activity : planned.timeline.activities) {
        if (activity.kind != ActivityKind::translate || joined(activity.path.front(), activity.path.back())) continue;
        activity.path = {activity.path.front(), activity.path.back()};
        return true;
    }
    return false;
}

bool forget_last_swap(Planned& planned) {
    // Whoever swaps at the airlock at last was anchored elsewhere before.
    auto swaps = planned.all(ActivityKind::tether_swap);
    std::ranges::reverse(swaps);
    for (const std::size_t i : swaps) {
        if (planned.timeline.activities[i].path.back() != planned.outing.station.airlock) continue;
        planned.remove(i);
        return true;
    }
    return false;
}

bool swap_roles(Planned& planned) {
    for (Binding& binding : planned.timeline.bindings)
        for (const StepId id : planned.outing.task(binding.task).steps)
            if (crew_in(planned.outing.step(id), Crew::ev1).size() == 1) {
                binding.lead = partner(binding.lead);
                return true;
            }
    return false;
}

bool widen_gap(Planned& planned) {
    for (Order& order : planned.outing.orders) {
        const Activity* before = planned.run(order.before);
        const Activity* after = planned.run(order.after);
        if (order.starts_together || !before || !after) continue;
        order.gap = std::chrono::duration_cast<Seconds>(after->start - before->end()) + Seconds{1};
        return true;
    }
    return false;
}

bool two_tasks(Planned& planned, const std::function<bool(Task& a, const Task& b)>& condition) {
    for (Task& a : planned.outing.tasks)
        for (const Task& b : planned.outing.tasks)
            if (a.id != b.id && condition(a, b)) return true;
    return false;
}

bool close_windows(Planned& planned) {
    for (const Activity& activity : planned.timeline.activities) {
        if (!activity.step || planned.outing.step(*activity.step).during.empty()) continue;
        planned.windows.set(planned.outing.step(*activity.step).during.front(), "",
                            {{activity.start + Seconds{1}, activity.end()}});
        return true;
    }
    return false;
}

bool put_between(Planned& planned) {
    for (const Activity& activity : planned.timeline.activities) {
        if (!activity.step || planned.outing.step(*activity.step).arm == ArmUse::none) continue;
        for (Activity& other : planned.timeline.activities) {
            if (!other.step || other.lanes != std::vector{activity.lanes.front()}) continue;
            if (planned.outing.step(*other.step).task == planned.outing.step(*activity.step).task) continue;
            other.start = activity.start;
            return true;
        }
    }
    return false;
}

bool forget_close_up(Planned& planned) {
    return remove_where(planned, [&](const Activity& a) { return a.step && planned.outing.step(*a.step).close_up; });
}

/// What nobody has picked up or taken cannot be put down.
bool forget_pick_up(Planned& planned) {
    for (const std::size_t down : planned.all(ActivityKind::put_down)) {
        const ItemId item = planned.timeline.activities[down].items.front();
        if (planned.outing.item(item).in) continue;  // it may be in a bag that is carried
        if (std::ranges::any_of(planned.outing.steps,
                                [&](const Step& s) { return std::ranges::find(s.takes, item) != s.takes.end(); }))
            continue;
        std::erase_if(planned.timeline.activities, [&](const Activity& a) {
            return a.kind == ActivityKind::pick_up && std::ranges::find(a.items, item) != a.items.end();
        });
        return true;
    }
    return false;
}

bool leave_behind(Planned& planned) {
    for (const Activity& activity : planned.timeline.activities) {
        if (!activity.step) continue;
        const Step& step = planned.outing.step(*activity.step);
        const auto site = step.to ? step.to : step.at;
        if (step.installs.empty() || !site || *site == planned.outing.station.airlock) continue;
        planned.outing.items[index(step.installs.front())].returns = true;
        return true;
    }
    return false;
}

bool speak_at_once(Planned& planned) {
    const auto solo = [](const Activity& a, Lane lane) { return a.step && a.lanes == std::vector{lane}; };
    if (!planned.outing.orders.empty() &&
        std::ranges::any_of(planned.outing.orders, [](const Order& o) { return o.starts_together; }))
        return false;  // these count as one
    for (const Activity& a : planned.timeline.activities)
        for (const Activity& b : planned.timeline.activities)
            if (solo(a, Lane::ev1) && solo(b, Lane::ev2) && a.start < b.end() && b.start < a.end()) {
                planned.outing.rules.voice_loops = 1;
                return true;
            }
    return false;
}

bool tire(Planned& planned) {
    int heavy = 0;
    for (const Activity& a : planned.timeline.activities)
        if (a.step && a.on(Lane::ev1)) {
            const Effort effort = planned.outing.step(*a.step).effort;
            heavy += effort == Effort::tools || effort == Effort::forced ? 1 : 0;
        }
    planned.outing.rules.heavy_limit = Seconds{1};
    planned.outing.rules.rest = std::chrono::hours{24};
    return heavy >= 2;
}

bool part(Planned& planned) {
    planned.outing.rules.partner_within = Seconds{0};
    return std::ranges::any_of(planned.timeline.activities, [](const Activity& a) {
        return a.kind == ActivityKind::translate && a.path.front() != a.path.back();
    });
}

/// Nobody may be anywhere while the arm moves, and somebody works meanwhile.
bool sweep_over(Planned& p) {
    if (!p.outing.station.arm) return false;
    for (std::size_t i = 0; i < p.outing.station.worksites.size(); ++i)
        p.outing.station.arm->clears.push_back(static_cast<WorksiteId>(i));
    for (const Activity* move : p.every(ActivityKind::arm_move))
        for (const Activity* work : p.every(ActivityKind::step)) {
            const Step& step = p.outing.step(*work->step);
            const bool stays = (!step.to || step.to == step.at) && (work->on(Lane::ev1) || work->on(Lane::ev2));
            if (stays && work->start < move->end() && move->start < work->end()) return true;
        }
    return false;
}

/// A step is to watch another that runs at another time.
bool look_away(Planned& p) {
    const auto steps = p.every(ActivityKind::step);
    for (const Activity* a : steps)
        for (const Activity* b : steps)
            if (a->duration > Seconds{0} && b->start >= a->end()) {
                p.outing.steps[index(*b->step)].watches = *a->step;
                return true;
            }
    return false;
}

/// Two steps of one person are parts of one, and other work stands between them.
bool break_in(Planned& p) {
    std::vector<const Activity*> steps;
    for (const Activity* a : p.every(ActivityKind::step))
        if (a->on(Lane::ev1) && a->duration > Seconds{0}) steps.push_back(a);
    std::ranges::sort(steps, {}, &Activity::start);
    if (steps.size() < 3) return false;
    p.outing.steps[index(*steps[2]->step)].continues = *steps[0]->step;
    return true;
}

bool drain(Planned& planned) {
    for (SuitType& suit : planned.outing.suits) {
        suit.electrical_load = Watts{60};
        suit.battery = WattHours{20};
    }
    return true;
}

const std::map<std::string, Mutation>& mutations() {
    using K = ActivityKind;
    static const std::map<std::string, Mutation> all{
        {"overlap", overlap},
        {"egress", [](Planned& p) { return shorten(p, K::egress); }},
        {"egress-by",
         [](Planned& p) {
             p.outing.rules.egress_by = Pet{p.outing.rules.egress - Seconds{1}};
             return true;
         }},
        {"ingress",
         [](Planned& p) { return remove_where(p, [](const Activity& a) { return a.kind == K::clean_up; }); }},
        {"limit",
         [](Planned& p) {
             p.outing.rules.limit =
                 std::chrono::duration_cast<Seconds>(p.timeline.finish().time_since_epoch()) - Seconds{1};
             return true;
         }},
        {"place",
         [](Planned& p) {
             return remove_where(
                 p, [](const Activity& a) { return a.kind == K::translate && a.path.front() != a.path.back(); });
         }},
        {"route", cut_corner},
        {"translation-time", [](Planned& p) { return shorten(p, K::translate); }},
        {"tether", forget_last_swap},
        {"step-time", [](Planned& p) { return shorten(p, K::step); }},
        {"handling-time", [](Planned& p) { return shorten(p, K::pick_up); }},
        {"who", swap_roles},
        {"order", widen_gap},
        {"whole-task",
         [](Planned& p) {
             return remove_where(p, [&](const Activity& a) {
                 return a.step && p.outing.task(p.outing.step(*a.step).task).steps.size() > 1;
             });
         }},
        {"required",
         [](Planned& p) {
             const auto out = std::ranges::find_if(p.outing.tasks, [&](const Task& t) { return !p.done(t); });
             if (out == p.outing.tasks.end()) return false;
             out->task_class = TaskClass::required;
             return true;
         }},
        {"task-order",
         [](Planned& p) {
             return two_tasks(p, [&](Task& a, const Task& b) {
                 if (!p.done(a) || !p.done(b) || p.start(a) >= p.end(b)) return false;
                 a.after = {b.id};
                 return true;
             });
         }},
        {"task-needs",
         [](Planned& p) {
             return two_tasks(p, [&](Task& a, const Task& b) {
                 if (!p.done(a) || p.done(b)) return false;
                 a.needs = {b.id};
                 return true;
             });
         }},
        {"task-not-with",
         [](Planned& p) {
             return two_tasks(p, [&](Task& a, const Task& b) {
                 if (!p.done(a) || !p.done(b)) return false;
                 a.not_with = {b.id};
                 return true;
             });
         }},
        {"task-by",
         [](Planned& p) {
             const auto done = std::ranges::find_if(p.outing.tasks, [&](const Task& t) { return p.done(t); });
             if (done == p.outing.tasks.end()) return false;
             done->ends_by = p.end(*done) - Seconds{1};
             return true;
         }},
        {"window", close_windows},
        {"item", forget_pick_up},
        {"capacity",
         [](Planned& p) {
             for (CrewMember& person : p.outing.crew) person.carry = 0;
             return !p.all(K::pick_up).empty();
         }},
        {"arm",
         [](Planned& p) {
             return remove_where(
                 p, [](const Activity& a) { return a.kind == K::arm_move && a.path.front() != a.path.back(); });
         }},
        {"arm-span", put_between},
        {"glove-check",
         [](Planned& p) {
             p.outing.rules.glove_check_every = Seconds{60};
             return p.timeline.activities.size() > 6;
         }},
        {"rest", tire},
        {"open-site", forget_close_up},
        {"consumable", drain},
        {"turn-back", drain},
        {"partner", part},
        {"voice", speak_at_once},
        {"returns", leave_behind},
        {"arm-clear", sweep_over},
        {"watch", look_away},
        {"inhibit",
         [](Planned& p) {
             p.outing.inhibits.push_back({"heater", "Heater", Seconds{60}, Seconds{60}, Seconds{60}, {}});
             const auto steps = p.every(K::step);
             if (steps.empty()) return false;
             p.outing.steps[index(*steps.front()->step)].inhibits = {InhibitId{0}};
             return true;
         }},
        {"quiet",
         [](Planned& p) {
             p.windows.set("hush", "", {Window(pet(Seconds{0}), pet(Seconds{100'000}))});
             p.outing.rules.quiet.push_back({"hush", {Lane::ev1, Lane::ev2}});
             return std::ranges::any_of(p.every(K::step), [](const Activity* a) { return a->on(Lane::ev1); });
         }},
        {"interruption", break_in},
        {"person-limit",
         [](Planned& p) {
             p.outing.crew[0].work_limit = Seconds{1};
             return std::ranges::any_of(p.every(K::step), [](const Activity* a) { return a->on(Lane::ev1); });
         }},
        {"resource",
         [](Planned& p) {
             p.outing.resources.push_back({"bus", "Bus", "W", 1});
             const auto steps = p.every(K::step);
             if (steps.empty()) return false;
             p.outing.steps[index(*steps.front()->step)].uses = {{ResourceId{0}, 2}};
             return true;
         }},
    };
    return all;
}

TEST(PlansAndChecks, APlanBrokenInOneRuleIsCaughtInThatRule) {
    constexpr int enough = 5;
    constexpr std::uint64_t seeds = 150;
    std::map<std::string, int> caught;
    for (std::uint64_t seed = 1000; seed < 1000 + seeds; ++seed) {
        const auto planned = plan(seed);
        if (!planned) continue;
        for (const auto& [rule, mutate] : mutations()) {
            Planned broken = *planned;
            if (!mutate(broken)) continue;
            put_in_order(broken.timeline);
            const auto findings = check(broken.outing, broken.windows, broken.timeline);
            const bool found = std::ranges::any_of(findings, [&](const Finding& finding) {
                return finding.rule == rule && finding.severity == Severity::finding;
            });
            ASSERT_TRUE(found) << "seed " << seed << ", " << rule << " broken and not caught:\n"
                               << print_findings(findings) << print_table(broken.outing, broken.timeline);
            ++caught[rule];
        }
    }
    for (const RuleEntry& rule : rule_registry()) {
        if (rule.id == "preference") continue;  // only ever a note
        EXPECT_GE(caught[std::string(rule.id)], enough) << rule.id << " was not put to the test often enough";
    }
}

}  // namespace
}  // namespace handrail::test
