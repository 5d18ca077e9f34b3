#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "check/check.h"
#include "plan/causes.h"
#include "plan/planner.h"
#include "support/planned.h"
#include "support/random_outing.h"
#include "support/small_outing.h"
#include "units/random.h"

/// What an outing file can ask for beyond tasks and orders: the planner does it, and the checker finds nothing wrong.
namespace handrail::plan {
namespace {

using test::plan_of;
using test::run_of;
using test::SmallOuting;

/// The plan, judged by the checker.
Timeline planned(const Outing& outing) {
    Timeline timeline = test::planned(outing, {}, 3000);
    const std::vector<Finding> findings = check(outing, outing.windows, timeline);
    EXPECT_FALSE(any_broken(findings)) << print_findings(findings);
    return timeline;
}

bool overlap(const Activity& a, const Activity& b) { return a.start < b.end() && b.start < a.end(); }

/// Whether whoever is on the lane is at the worksite at any moment of the activity; on the way they are nowhere.
bool is_there(const Timeline& timeline, Lane lane, WorksiteId site, const Activity& meanwhile) {
    bool there = false;
    Pet since{};
    const auto look = [&](Pet until) { return there && since < meanwhile.end() && meanwhile.start < until; };
    for (const Activity& activity : timeline.activities) {
        if (!activity.on(lane) || activity.path.empty()) continue;
        if (look(activity.start)) return true;
        there = activity.path.back() == site;
        since = activity.end();
    }
    return look(Pet::max());
}

/// What the first wait for the step is put down to.
Reason reason_of_wait(const Outing& outing, const Timeline& timeline, std::string_view label) {
    for (const Wait& wait : waits(outing, outing.windows, timeline)) {
        const Activity& next = timeline.activities[wait.next];
        if (next.step && outing.step(*next.step).label == label) return wait.reason;
    }
    ADD_FAILURE() << "nobody waits for " << label;
    return {};
}

constexpr const char* an_arm = R"([station.arm]
base = ["10 m", "0 m", "3 m"]
reach = "30 m"
speed = "0.1 m/s"
setup = "1 min"
parked = "tip"
)";

std::string with_ride(std::string_view by_hand) {
    return fmt::format(R"([[task]]
id = "carry"
name = "Carry the box"
class = "required"
[[task.step]]
name = "Ride to the tip"
at = "bay"
to = "tip"
arm = "ride"
effort = "ride"
duration = "4 min"
by_hand = "{}"
)",
                       by_hand);
}

TEST(ByHand, ThePlannerRidesWhereThatIsQuickerAndGoesByHandWhereNot) {
    // The arm's tip must first come from the tip to the bay: 10 m at 0.1 m/s and a minute, in time for the ride.
    const Outing slow = SmallOuting().add(an_arm).add(with_ride("40 min")).outing();
    EXPECT_TRUE(run_of(slow, planned(slow), "carry.1").on(Lane::arm));
    const Outing quick = SmallOuting().add(an_arm).add(with_ride("2 min")).outing();
    const Timeline timeline = planned(quick);
    const Activity& run = run_of(quick, timeline, "carry.1");
    EXPECT_FALSE(run.on(Lane::arm));
    EXPECT_EQ(run.duration, Seconds{120});
}

TEST(Resources, StepsThatTogetherUseTooMuchTakeTurns) {
    SmallOuting small;
    small.with("needs = [\"driver\"]", "needs = [\"driver\"]\nuses = [{ resource = \"bus\", amount = 200 }]");
    small.with("name = \"Look from the left\"",
               "name = \"Look from the left\"\nuses = [{ resource = \"bus\", amount = 200 }]");
    small.add("[[resource]]\nid = \"bus\"\ncapacity = 300\n");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    EXPECT_FALSE(overlap(run_of(outing, timeline, "fit.1"), run_of(outing, timeline, "look.1")));
    const Reason reason = reason_of_wait(outing, timeline, "fit.1");
    EXPECT_EQ(reason.cause, Cause::resource);
    EXPECT_EQ(reason.earliest, run_of(outing, timeline, "look.1").end());
    small.with("capacity = 300", "capacity = 400");
    const Outing enough = small.outing();
    const Timeline together = planned(enough);
    EXPECT_TRUE(overlap(run_of(enough, together, "fit.1"), run_of(enough, together, "look.1")));
}

TEST(Watch, TheOtherOneWatchesAllOfIt) {
    SmallOuting small;
    small.with("needs = [\"driver\"]", "needs = [\"driver\"]\nwatched_from = \"tip\"");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    const Activity& watched = run_of(outing, timeline, "fit.1");
    const Activity& watching = run_of(outing, timeline, "fit.1-watch");
    EXPECT_EQ(watched.start, watching.start);
    EXPECT_EQ(watched.end(), watching.end());
    EXPECT_EQ(watching.path, std::vector{WorksiteId{2}});
    EXPECT_NE(watched.lanes, watching.lanes);
}

TEST(Inhibits, AreConfirmedBeforeAndReleasedAfter) {
    SmallOuting small;
    small.with("id = \"fix\"", "id = \"fix\"\ninhibits = [\"heater\"]");
    small.add(
        "[[inhibit]]\nid = \"heater\"\nduring = [\"heard\"]\n"
        "[[window]]\ncondition = \"heard\"\nfrom = \"00:50\"\nto = \"03:00\"\n");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    const Activity& fix = run_of(outing, timeline, "fit.fix");
    EXPECT_GE(run_of(outing, timeline, "fit.inhibit-heater").start, pet(Seconds{3000}));
    EXPECT_LE(run_of(outing, timeline, "fit.confirm-heater").end(), fix.start);
    EXPECT_GE(run_of(outing, timeline, "fit.release-heater").start, fix.end());
}

TEST(Quiet, NoStepRunsInAQuietPeriod) {
    SmallOuting small;
    small.add(
        "[[rules.quiet]]\ncondition = \"docking\"\n"
        "[[window]]\ncondition = \"docking\"\nfrom = \"00:20\"\nto = \"00:40\"\n");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    for (const Activity& activity : timeline.activities)
        EXPECT_TRUE(!activity.step || activity.end() <= pet(Seconds{1200}) || activity.start >= pet(Seconds{2400}));
    const Reason reason = reason_of_wait(outing, timeline, "look.1");
    EXPECT_EQ(reason.cause, Cause::window);
    EXPECT_EQ(reason.condition, "no docking");
}

TEST(Quiet, ALaneThatIsNotNamedGoesOnWorking) {
    SmallOuting small;
    small.with("class = \"required\"", "class = \"required\"\nlead = \"EV1\"");
    small.with("value = 3", "value = 3\nlead = \"EV2\"\nstarts_by = \"00:20\"");
    small.add(
        "[[rules.quiet]]\ncondition = \"docking\"\nlanes = [\"EV1\"]\n"
        "[[window]]\ncondition = \"docking\"\nfrom = \"00:16\"\nto = \"00:40\"\n");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    EXPECT_GE(run_of(outing, timeline, "fit.1").start, pet(Seconds{2400}));
    EXPECT_LT(run_of(outing, timeline, "look.1").start, pet(Seconds{1200}));
}

TEST(Interrupt, PartsFollowEachOtherUnlessSomethingIsLetIn) {
    SmallOuting small;
    small.with("at = \"bay\"\nduration = \"10 min\"",
               "at = \"bay\"\ninterrupt = { every = \"16 min\" }\nduration = \"64 min\"");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);  // the checker's `interruption` is what is tested here
    // Glove checks are due every half hour and fit between the parts of an hour's work.
    EXPECT_EQ(run_of(outing, timeline, "fit.1-part-4").duration, Seconds{960});
    const Pet first = run_of(outing, timeline, "fit.1").start;
    const Pet last = run_of(outing, timeline, "fit.1-part-4").end();
    EXPECT_TRUE(std::ranges::any_of(timeline.activities, [&](const Activity& a) {
        return a.kind == ActivityKind::glove_check && a.start > first && a.end() < last;
    }));
}

TEST(Interrupt, OnlyWhatIsNamedComesBetweenTheParts) {
    // EV1 does all of it, and the look can only be had while the cover is being opened, from 1080 s on for 64 minutes.
    const auto between = [](std::string_view by) {
        SmallOuting small;
        small.with("at = \"bay\"\nduration = \"10 min\"",
                   fmt::format("at = \"bay\"\ninterrupt = {{ every = \"16 min\"{} }}\nduration = \"64 min\"", by));
        small.with("class = \"required\"", "class = \"required\"\nlead = \"EV1\"\nstarts_by = \"00:19\"");
        small.with("value = 3", "value = 3\nlead = \"EV1\"");
        for (const char* name : {"Look from the left", "Look from the right"})
            small.with(fmt::format("name = \"{}\"", name), fmt::format("name = \"{}\"\nduring = [\"sunny\"]", name));
        small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"00:30\"\nto = \"01:15\"\n");
        small.add(
            "[[task]]\nid = \"note\"\nname = \"Note it down\"\nvalue = 1\n"
            "[[task.step]]\nname = \"Note\"\nduration = \"1 min\"\neffort = \"rest\"\n");
        const Outing outing = small.outing();
        const Timeline timeline = planned(outing);
        const Activity* look = test::find_run(outing, timeline, "look.1");
        return look && look->start > run_of(outing, timeline, "fit.1").start &&
               look->end() < run_of(outing, timeline, "fit.1-part-4").start;
    };
    EXPECT_TRUE(between(", by = [\"look\"]"));
    EXPECT_FALSE(between(""));
    EXPECT_FALSE(between(", by = [\"note\"]"));
}

TEST(Gaps, AStepWaitsForTheLeastGapAndIsHeldBackForTheLargest) {
    SmallOuting least;
    least.with("id = \"fix\"", "id = \"fix\"\ngap = \"20 min\"");
    const Outing gap = least.outing();
    const Timeline waited = planned(gap);
    EXPECT_EQ(run_of(gap, waited, "fit.fix").start, run_of(gap, waited, "fit.1").end() + Seconds{1200});

    SmallOuting largest;
    largest.with("id = \"fix\"", "id = \"fix\"\nduring = [\"sunny\"]\nwithin = \"5 min of fit.1\"");
    largest.add("[[window]]\ncondition = \"sunny\"\nfrom = \"01:00\"\nto = \"02:00\"\n");
    const Outing within = largest.outing();
    const Timeline held = planned(within);
    EXPECT_GE(run_of(within, held, "fit.1").end(), pet(Seconds{3300}));
    EXPECT_LE(run_of(within, held, "fit.fix").start, run_of(within, held, "fit.1").end() + Seconds{300});
}

TEST(Roles, AreKeptThroughATask) {
    SmallOuting small;
    small.with("id = \"fix\"",
               "id = \"hold\"\nname = \"Hold the cover\"\nwho = [\"helper\"]\nat = \"bay\"\nduration = \"3 min\"\n\n"
               "[[task.step]]\nid = \"wipe\"\nname = \"Wipe the seat\"\nat = \"bay\"\nduration = \"2 min\"\n\n"
               "[[task.step]]\nid = \"fix\"");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    const Lane lead = lane_of(*timeline.lead_of(TaskId{0}));
    EXPECT_EQ(run_of(outing, timeline, "fit.1").lanes, std::vector{lead});
    EXPECT_EQ(run_of(outing, timeline, "fit.wipe").lanes, std::vector{lead});
    EXPECT_EQ(run_of(outing, timeline, "fit.hold").lanes, std::vector{lane_of(partner(*timeline.lead_of(TaskId{0})))});
}

// One of the two is enough by the file; the lead wants this one.
TEST(Alternatives, TheOneThatIsDemandedIsDone) {
    SmallOuting small;
    small.add(R"([[task]]
id = "patch"
name = "Patch it instead"
class = "required"
instead_of = ["fit"]
[[task.step]]
name = "Patch"
at = "bay"
duration = "5 min"
)");
    const Outing outing = small.outing();
    for (const Task& task : outing.tasks) {
        if (task.instead_of.empty()) continue;
        Freedom freedom;
        freedom.wishes.must_do.push_back(task.id);
        const auto result = plan_of(outing, freedom);
        ASSERT_TRUE(std::holds_alternative<Timeline>(result)) << task.key;
        EXPECT_TRUE(std::get<Timeline>(result).lead_of(task.id)) << task.key;
        EXPECT_FALSE(std::get<Timeline>(result).lead_of(task.instead_of[0])) << task.key;
    }
}

TEST(Alternatives, TheOtherWayIsTakenWhereTheFirstDoesNotFit) {
    SmallOuting small;
    small.add(R"([[task]]
id = "patch"
name = "Patch it instead"
value = 1
instead_of = ["fit"]
[[task.step]]
name = "Patch"
at = "bay"
duration = "5 min"
)");
    small.add("[rules]\nlimit = \"62 min\"\n");  // too short for opening and fixing, which need 4260 s
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    EXPECT_TRUE(timeline.lead_of(TaskId{2}));
    EXPECT_FALSE(timeline.lead_of(TaskId{0}));
    EXPECT_FALSE(std::ranges::any_of(
        timeline.activities, [&](const Activity& a) { return a.step && outing.step(*a.step).task == TaskId{0}; }));
}

TEST(With, TasksShareTheOutingOrAreBothLeftOut) {
    SmallOuting small;
    small.add(R"([[task]]
id = "long"
name = "A long look"
value = 9
with = ["look"]
[[task.step]]
name = "Look on and on"
at = "tip"
duration = "3 h"
effort = "light"
)");
    small.add("[rules]\nlimit = \"2 h\"\n");
    const Timeline timeline = planned(small.outing());
    EXPECT_FALSE(timeline.lead_of(TaskId{1}));
    EXPECT_FALSE(timeline.lead_of(TaskId{2}));
}

TEST(PersonLimits, WorkGoesToWhoMayDoIt) {
    SmallOuting small;
    small.with("name = \"Ada Testa\"", "name = \"Ada Testa\"\nwork_limit = \"13 min\"");
    const Outing outing = small.outing();  // fixing takes both for 12 minutes; nothing else is left for EV1
    const Timeline timeline = planned(outing);
    EXPECT_EQ(timeline.lead_of(TaskId{0}), Crew::ev2);
    EXPECT_TRUE(!timeline.lead_of(TaskId{1}) || timeline.lead_of(TaskId{1}) == Crew::ev2);
}

TEST(PersonLimits, HandHeavyWorkGoesToWhoMayDoIt) {
    SmallOuting small;  // opening and fixing are done with tools: 22 minutes for the lead, 12 for the other
    small.with("name = \"Ada Testa\"", "name = \"Ada Testa\"\nheavy_total = \"13 min\"");
    const Timeline timeline = planned(small.outing());
    EXPECT_EQ(timeline.lead_of(TaskId{0}), Crew::ev2);
    small.with("name = \"Ben Probe\"", "name = \"Ben Probe\"\nheavy_total = \"13 min\"");
    EXPECT_TRUE(std::holds_alternative<NoPlan>(plan_of(small.outing(), {}, 500)));
}

TEST(Preferences, TimesAndLightAreWeighedToo) {
    const auto look_of = [](std::string_view wish) {
        SmallOuting small;
        small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"00:40\"\nto = \"02:00\"\n");
        small.add(fmt::format("[[prefer]]\ntask = \"look\"\n{}\nworth = \"1 h\"\n", wish));
        const Outing outing = small.outing();
        const Timeline timeline = planned(outing);
        return std::pair(run_of(outing, timeline, "look.1").start, run_of(outing, timeline, "look.2").end());
    };
    // Without a wish the look comes first, and ends at 1790 s (planner_test.cpp).
    EXPECT_GE(look_of("during = \"sunny\"").first, pet(Seconds{2400}));
    EXPECT_GE(look_of("starts_after = \"00:45\"").first, pet(Seconds{2700}));
    EXPECT_LE(look_of("ends_by = \"00:30\"").second, pet(Seconds{1800}));
}

TEST(Preferences, AreKeptWhenTheyAreWorthMoreThanTheyCost) {
    SmallOuting small;
    // EV2 is slower at everything, so that either way round is not the same.
    small.with("name = \"Ben Probe\"", "name = \"Ben Probe\"\nexperience_factor = 1.2");
    const Crew without = *planned(small.outing()).lead_of(TaskId{0});
    const auto wishing = [&](std::string_view worth) {
        SmallOuting wish = small;
        wish.add(
            fmt::format("[[prefer]]\ntask = \"fit\"\nlead = \"{}\"\nworth = \"{}\"\n", word(partner(without)), worth));
        return *planned(wish.outing()).lead_of(TaskId{0});
    };
    EXPECT_EQ(wishing("1 h"), partner(without));
    EXPECT_EQ(wishing("1 s"), without);
}

// EV2 must ride from 1020 s at the latest, for six minutes; EV1 would be at the bay from 1080 s on.
TEST(ArmClear, NobodyIsWhereTheArmSweeps) {
    const auto outing_with = [](std::string_view clears) {
        SmallOuting small;
        small.with("class = \"required\"", "class = \"required\"\nlead = \"EV1\"");
        return small.add(an_arm + std::string(clears))
            .add(R"([[task]]
id = "ride"
name = "Ride along"
class = "required"
lead = "EV2"
starts_by = "00:17"
[[task.step]]
name = "Ride"
at = "tip"
to = "airlock"
arm = "ride"
effort = "ride"
duration = "6 min"
)")
            .outing();
    };
    const Outing free = outing_with("");
    const Timeline crowded = planned(free);
    EXPECT_TRUE(is_there(crowded, Lane::ev1, WorksiteId{1}, run_of(free, crowded, "ride.1")));
    const Outing outing = outing_with("clears = [\"bay\"]\n");
    const Timeline timeline = planned(outing);
    const Activity& ride = run_of(outing, timeline, "ride.1");
    EXPECT_FALSE(is_there(timeline, Lane::ev1, WorksiteId{1}, ride));
    EXPECT_TRUE(std::ranges::any_of(waits(outing, outing.windows, timeline), [&](const Wait& wait) {
        return wait.crew == Crew::ev1 && wait.reason.cause == Cause::arm && wait.reason.condition == "Equipment bay";
    }));
}

TEST(Together, StepsOfBothStartAtTheSameMoment) {
    SmallOuting small;
    small.with("id = \"fix\"",
               "id = \"hold\"\nname = \"Hold the line\"\nwho = [\"helper\"]\nat = \"tip\"\n"
               "together = \"fit.1\"\nduration = \"10 min\"\n\n[[task.step]]\nid = \"fix\"");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    const Activity& open = run_of(outing, timeline, "fit.1");
    const Activity& hold = run_of(outing, timeline, "fit.hold");
    EXPECT_EQ(open.start, hold.start);
    EXPECT_NE(open.lanes, hold.lanes);
}

TEST(NamedCrew, LeadsThroughoutTheTaskAndTheOtherHelps) {
    for (const Crew crew : both_crew) {
        SmallOuting small;
        small.with("class = \"required\"", fmt::format("class = \"required\"\nlead = \"{}\"", word(crew)));
        const Outing outing = small.outing();
        const Timeline timeline = planned(outing);
        EXPECT_EQ(timeline.lead_of(TaskId{0}), crew);
        EXPECT_EQ(run_of(outing, timeline, "fit.1").lanes, std::vector{lane_of(crew)});
        EXPECT_EQ(run_of(outing, timeline, "fit.fix").lanes.size(), 2u);
    }
}

TEST(NotWith, OnlyTheMoreValuableOfTwoIsDone) {
    SmallOuting small;
    small.add(R"([[task]]
id = "stare"
name = "Stare at the tip"
value = 9
not_with = ["look"]
[[task.step]]
name = "Stare"
at = "tip"
duration = "5 min"
effort = "light"
)");
    const Timeline timeline = planned(small.outing());
    EXPECT_FALSE(timeline.lead_of(TaskId{1}));
    EXPECT_TRUE(timeline.lead_of(TaskId{2}));
}

TEST(StartsBy, ATaskThatMustStartEarlyGoesFirstOrIsLeftOut) {
    // EV2 is at the tip at 1010 s at the soonest (planner_test.cpp), EV1 not sooner.
    SmallOuting small;
    small.with("value = 3", "value = 3\nstarts_by = \"00:17\"");
    const Outing outing = small.outing();
    EXPECT_LE(run_of(outing, planned(outing), "look.1").start, pet(Seconds{1020}));
    small.with("starts_by = \"00:17\"", "starts_by = \"00:16\"");
    EXPECT_FALSE(planned(small.outing()).lead_of(TaskId{1}));
}

TEST(EndsBy, ATaskThatMustEndEarlyDoesOrIsLeftOut) {
    SmallOuting small;  // the look can end at 1790 s (planner_test.cpp)
    small.with("value = 3", "value = 3\nends_by = \"00:30\"");
    const Outing outing = small.outing();
    EXPECT_LE(run_of(outing, planned(outing), "look.2").end(), pet(Seconds{1800}));
    small.with("ends_by = \"00:30\"", "ends_by = \"00:29\"");
    EXPECT_FALSE(planned(small.outing()).lead_of(TaskId{1}));
}

TEST(Bags, AToolIsFetchedFromTheBagThatAnotherTaskBroughtOut) {
    SmallOuting small;
    // The bag is left at the bay by "fit"; what it brought out is needed at the tip afterwards.
    small.with("needs = [\"driver\"]", "needs = [\"driver\"]\nleaves = [\"bag\"]");
    small.with("name = \"Look at the tip\"\nvalue = 3",
               "name = \"Look at the tip\"\nclass = \"required\"\nafter = [\"fit\"]");
    small.with("name = \"Look from the left\"", "name = \"Look from the left\"\nneeds = [\"driver\"]");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    const Pet opened = run_of(outing, timeline, "fit.1").end();
    EXPECT_TRUE(std::ranges::any_of(timeline.activities, [&](const Activity& a) {
        return a.kind == ActivityKind::pick_up && a.start >= opened && a.path.front() == WorksiteId{1};
    }));
}

TEST(Bags, AToolIsTakenOutOfABagThatTakesTwo) {
    SmallOuting small;
    small.with("holds = 4", "holds = 4\ntwo_people = true");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    EXPECT_TRUE(timeline.lead_of(TaskId{0}));
    EXPECT_TRUE(std::ranges::none_of(timeline.activities, [](const Activity& a) {
        return a.kind == ActivityKind::pick_up && std::ranges::count(a.items, ItemId{0}) > 0;
    }));
}

TEST(Bags, APartIsFetchedByWhoeverCanCarryIt) {
    for (const Crew weak : both_crew) {
        SmallOuting small;
        small.with("id = \"part\"", "id = \"part\"\nsize = \"large\"");
        Outing outing = small.outing();
        ASSERT_GE(outing.crew[index(partner(weak))].carry, size_units(SizeClass::large));
        outing.crew[index(weak)].carry = size_units(SizeClass::large) - 1;
        const Timeline timeline = planned(outing);
        EXPECT_TRUE(timeline.lead_of(TaskId{0}));
        EXPECT_TRUE(std::ranges::none_of(timeline.activities, [weak](const Activity& activity) {
            return activity.on(lane_of(weak)) && std::ranges::count(activity.items, ItemId{2}) > 0 &&
                   activity.kind == ActivityKind::pick_up;
        }));
    }
}

TEST(HandOver, ThePartChangesHandsWhereTheyMeet) {
    SmallOuting small;
    small.with("id = \"fix\"",
               "id = \"give\"\nname = \"Hand the part over\"\nwho = [\"lead\", \"helper\"]\nat = \"bay\"\n"
               "duration = \"2 min\"\nhands_over = [\"part\"]\n\n[[task.step]]\nid = \"fix\"");
    small.with("who = [\"lead\", \"helper\"]\nat = \"bay\"\nduration = {",
               "who = [\"helper\"]\nat = \"bay\"\nduration = {");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    EXPECT_EQ(run_of(outing, timeline, "fit.give").lanes.size(), 2u);
    EXPECT_EQ(run_of(outing, timeline, "fit.fix").lanes, std::vector{lane_of(partner(*timeline.lead_of(TaskId{0})))});
    // From hand to hand: picked up once, and never put down.
    const ItemId part{2};
    EXPECT_EQ(std::ranges::count_if(timeline.activities,
                                    [&](const Activity& a) {
                                        return a.kind != ActivityKind::step && std::ranges::count(a.items, part) > 0;
                                    }),
              1);
}

TEST(Stow, WhatIsStowedComesHomeInTheBag) {
    SmallOuting small;
    small.with("id = \"part\"\nat = \"airlock\"", "id = \"part\"\nat = \"bay\"\nreturns = true");
    small.with("installs = [\"part\"]", "stows = [\"part\"]\ninto = \"bag\"");
    planned(small.outing());
    small.with("holds = 4", "holds = 1");  // the driver fills it already
    EXPECT_TRUE(std::holds_alternative<NoPlan>(plan_of(small.outing(), {}, 500)));
}

TEST(TwoPeople, WhatIsTooLargeForOneIsMovedByBoth) {
    SmallOuting small;
    small.with("id = \"part\"\nat = \"airlock\"", "id = \"part\"\nat = \"bay\"\ntwo_people = true");
    planned(small.outing());
    small.with("id = \"part\"\nat = \"bay\"", "id = \"part\"\nat = \"airlock\"");  // nobody can fetch it alone
    EXPECT_TRUE(std::holds_alternative<NoPlan>(plan_of(small.outing(), {}, 500)));
}

/// A random outing with demands strewn over its steps.
std::string demanding(std::uint64_t seed) {
    Random random(seed * 977 + 5);
    const std::string text = test::random_outing_text(seed);
    std::string out;
    const std::string head = "[[task.step]]";
    std::size_t at = 0;
    for (std::size_t next; at < text.size(); at = next) {
        next = text.find("\n[", at + 1);
        next = next == std::string::npos ? text.size() : next + 1;
        std::string block = text.substr(at, next - at);
        const auto has = [&](std::string_view words) { return block.find(words) != std::string::npos; };
        if (has("[station.arm]") && random.below(2)) block += "clears = [\"airlock\"]\n";
        if (block.compare(0, head.size(), head) == 0) {
            const bool crew = !has("who =");
            if (random.below(4) == 0) block += "uses = [{ resource = \"bus\", amount = 200 }]\n";
            if (random.below(8) == 0 && crew) block += "inhibits = [\"heater\"]\n";
            if (random.below(8) == 0 && crew && has("at =") && !has("to =") && !has("together") && !has("arm ="))
                block += "watched_from = \"airlock\"\n";
            else if (random.below(6) == 0 && crew && !has("to =") && !has("together") && !has("arm ="))
                block += "interrupt = { every = \"7 min\" }\n";
            if (has("arm = \"ride\"")) block += "by_hand = \"14 min\"\n";
        }
        out += block;
    }
    out += "\n[[resource]]\nid = \"bus\"\ncapacity = 300\n[[inhibit]]\nid = \"heater\"\n";
    out += "[[rules.quiet]]\ncondition = \"docking\"\nlanes = [\"EV1\", \"ground\"]\n";
    out += "[[window]]\ncondition = \"docking\"\nfrom = \"01:30\"\nto = \"01:40\"\n";
    out += "[[prefer]]\ntask = \"task-0\"\nstarts_after = \"01:00\"\nworth = \"20 min\"\n";
    out += "[[prefer]]\ntask = \"task-1\"\nduring = \"docking\"\nworth = \"15 min\"\n";
    return out;
}

// The law: whatever is asked for, a plan that is offered keeps every rule of the checker, which shares no code with the
// planner.
TEST(Demands, EveryPlanOfARandomDemandingOutingPassesTheChecker) {
    int planned_count = 0;
    for (std::uint64_t seed = 1; seed <= 130; ++seed) {
        const std::string text = demanding(seed);
        const Result<Outing> read = read_outing_text(text, "random.toml", ".");
        ASSERT_TRUE(read) << seed << ": " << print(read.errors().front());
        const auto result = plan_of(read.value(), {}, 300);
        if (std::holds_alternative<NoPlan>(result)) continue;
        ++planned_count;
        const std::vector<Finding> findings = check(read.value(), read.value().windows, std::get<Timeline>(result));
        EXPECT_FALSE(any_broken(findings)) << seed << "\n" << print_findings(findings);
    }
    EXPECT_GT(planned_count, 60);
}

}  // namespace
}  // namespace handrail::plan
