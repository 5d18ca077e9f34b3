#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "check/check.h"
#include "plan/planner.h"
#include "support/random_outing.h"
#include "support/small_outing.h"
#include "units/random.h"

/// What an outing file can ask for beyond tasks and orders: the planner does it, and the checker finds nothing wrong.
namespace handrail::plan {
namespace {

using test::SmallOuting;

std::variant<Timeline, NoPlan> plan_of(const Outing& outing, std::uint64_t count = 3000) {
    Budget budget;
    budget.iterations = count;
    budget.threads = 1;
    return make_plan(outing, outing.windows, initial(outing), budget);
}

/// The plan, judged by the checker.
Timeline planned(const Outing& outing) {
    auto result = plan_of(outing);
    if (const NoPlan* none = std::get_if<NoPlan>(&result)) {
        for (const std::string& reason : none->reasons) ADD_FAILURE() << reason;
        return {};
    }
    const Timeline& timeline = std::get<Timeline>(result);
    const std::vector<Finding> findings = check(outing, outing.windows, timeline);
    EXPECT_FALSE(any_broken(findings)) << print_findings(findings);
    return timeline;
}

const Activity& run_of(const Outing& outing, const Timeline& timeline, std::string_view label) {
    for (const Activity& activity : timeline.activities)
        if (activity.step && outing.step(*activity.step).label == label) return activity;
    static const Activity none;
    ADD_FAILURE() << label << " is not on the timeline";
    return none;
}

bool overlap(const Activity& a, const Activity& b) { return a.start < b.end() && b.start < a.end(); }

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
    for (const Activity& activity : planned(outing).activities)
        EXPECT_TRUE(!activity.step || activity.end() <= pet(Seconds{1200}) || activity.start >= pet(Seconds{2400}));
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

TEST(ArmClear, NobodyIsWhereTheArmSweeps) {
    SmallOuting small;
    small.add(std::string(an_arm) + "clears = [\"bay\"]\n").add(R"([[task]]
id = "ride"
name = "Ride along"
class = "required"
[[task.step]]
name = "Ride"
at = "tip"
to = "airlock"
arm = "ride"
effort = "ride"
duration = "6 min"
)");
    planned(small.outing());  // the checker's `arm-clear` is what is tested here
}

TEST(Together, StepsOfBothStartAtTheSameMoment) {
    SmallOuting small;
    small.with("id = \"fix\"",
               "id = \"hold\"\nname = \"Hold the cover\"\nwho = [\"helper\"]\nat = \"bay\"\n"
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
}

TEST(Stow, WhatIsStowedComesHomeInTheBag) {
    SmallOuting small;
    small.with("id = \"part\"\nat = \"airlock\"", "id = \"part\"\nat = \"bay\"\nreturns = true");
    small.with("installs = [\"part\"]", "stows = [\"part\"]\ninto = \"bag\"");
    planned(small.outing());
    small.with("holds = 4", "holds = 1");  // the driver fills it already
    EXPECT_TRUE(std::holds_alternative<NoPlan>(plan_of(small.outing(), 500)));
}

TEST(TwoPeople, WhatIsTooLargeForOneIsMovedByBoth) {
    SmallOuting small;
    small.with("id = \"part\"\nat = \"airlock\"", "id = \"part\"\nat = \"bay\"\ntwo_people = true");
    planned(small.outing());
    small.with("id = \"part\"\nat = \"bay\"", "id = \"part\"\nat = \"airlock\"");  // nobody can fetch it alone
    EXPECT_TRUE(std::holds_alternative<NoPlan>(plan_of(small.outing(), 500)));
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
        const auto result = plan_of(read.value(), 300);
        if (std::holds_alternative<NoPlan>(result)) continue;
        ++planned_count;
        const std::vector<Finding> findings = check(read.value(), read.value().windows, std::get<Timeline>(result));
        EXPECT_FALSE(any_broken(findings)) << seed << "\n" << print_findings(findings);
    }
    EXPECT_GT(planned_count, 60);
}

}  // namespace
}  // namespace handrail::plan
