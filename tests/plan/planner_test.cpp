#include "plan/planner.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "check/check.h"
#include "sky/windows.h"
#include "support/planned.h"
#include "support/random_outing.h"
#include "support/small_outing.h"

namespace handrail::plan {
namespace {

using test::find_run;
using test::iterations;
using test::plan_of;
using test::SmallOuting;

std::vector<std::string> reasons_of(const Outing& outing) {
    auto planned = plan_of(outing, {}, 1000);
    if (const NoPlan* none = std::get_if<NoPlan>(&planned)) return none->reasons;
    ADD_FAILURE() << "a plan was found";
    return {};
}

bool any_says(const std::vector<std::string>& reasons, std::string_view words) {
    return std::any_of(reasons.begin(), reasons.end(),
                       [&](const std::string& reason) { return reason.find(words) != std::string::npos; });
}

bool does(const Outing& outing, const Timeline& timeline, std::string_view task) {
    return std::any_of(timeline.bindings.begin(), timeline.bindings.end(),
                       [&](const Binding& binding) { return outing.task(binding.task).key == task; });
}

// Added up by hand from the default rules (0.2 m/s; 60 s an item; 15 min egress, clean-up and ingress each):
// EV1 out 900 s, takes bag and part until 1020, at the bay (12 m) 1080, opens the cover until 1680.
// EV2 walks 22 m to the tip (110 s), looks from 1010 to 1790, is at the bay (10 m) at 1840.
// Both fix the part 1840-2560, walk home 60 s, clean up 2620-3520, ingress until 4420 s. No glove check is due before
// 2700 s.
TEST(Planner, FindsThePlanThatCanBeAddedUpOnPaper) {
    const Outing outing = SmallOuting().outing();
    const Timeline timeline = test::planned(outing);
    EXPECT_EQ(since_zero(timeline.finish()), Seconds{4420});
    const Activity* fix = find_run(outing, timeline, "fit.fix");
    ASSERT_NE(fix, nullptr);
    EXPECT_EQ(since_zero(fix->start), Seconds{1840});
    EXPECT_EQ(timeline.note.value, 3);
    EXPECT_TRUE(timeline.left_out.empty());
}

TEST(Planner, GivesTheSameTimelineOnAnyNumberOfThreads) {
    const Result<Outing> demo = read_outing(HANDRAIL_SOURCE_DIR "/demo/pool/outing.toml");
    ASSERT_TRUE(demo);
    const auto plan_with = [&](int threads) {
        const auto planned =
            make_plan(demo.value(), demo.value().windows, initial(demo.value()), iterations(3000, threads));
        return to_json(demo.value(), std::get<Timeline>(planned));
    };
    const std::string one = plan_with(1);
    EXPECT_EQ(one, plan_with(2));
    EXPECT_EQ(one, plan_with(4));
}

TEST(Planner, LeavesOutTheOptionalTaskThatDoesNotFitAndSaysWhy) {
    SmallOuting small;
    small.add("[rules]\nlimit = \"1 h 12 min\"\n");  // 4320 s: 100 s less than both tasks need
    const Outing outing = small.outing();
    const Timeline timeline = test::planned(outing);
    EXPECT_FALSE(does(outing, timeline, "look"));
    ASSERT_EQ(timeline.left_out.size(), 1u);
    EXPECT_NE(timeline.left_out[0].reason.find("2 min after the hard end"), std::string::npos)
        << timeline.left_out[0].reason;
}

TEST(Planner, SaysWhichRuleStandsInTheWayOfARequiredTask) {
    EXPECT_TRUE(any_says(reasons_of(SmallOuting().add("[rules]\nlimit = \"1 h\"\n").outing()), "after the hard end"));
    SmallOuting dark;
    dark.with("at = \"bay\"\nduration = \"10 min\"", "at = \"bay\"\nduring = [\"sunny\"]\nduration = \"10 min\"");
    dark.add("[[window]]\ncondition = \"sunny\"\nfrom = \"00:10\"\nto = \"00:15\"\n");
    const auto reasons = reasons_of(dark.outing());
    EXPECT_TRUE(any_says(reasons, "no window is long enough for fit.1")) << reasons.front();
    EXPECT_TRUE(any_says(reasons, "without light, coverage and other conditions"));
}

TEST(Planner, WaitsForAWindowAndNotLonger) {
    SmallOuting small;
    small.with("at = \"bay\"\nduration = \"10 min\"", "at = \"bay\"\nduring = [\"sunny\"]\nduration = \"10 min\"");
    small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"00:50\"\nto = \"01:00\"\n");
    const Outing outing = small.outing();
    const Timeline timeline = test::planned(outing);
    const Activity* open = find_run(outing, timeline, "fit.1");
    ASSERT_NE(open, nullptr);
    EXPECT_EQ(since_zero(open->start), Seconds{3000});
}

TEST(Planner, HoldsTheEarlierStepBackWhenTheLaterMustFollowClosely) {
    SmallOuting small;
    // "fix" must start within 5 min of the end of "open", and only from 01:00 on.
    small.with("id = \"fix\"", "id = \"fix\"\nduring = [\"sunny\"]\nwithin = \"5 min of fit.1\"");
    small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"01:00\"\nto = \"02:00\"\n");
    const Outing outing = small.outing();
    const Timeline timeline = test::planned(outing);
    const Activity* open = find_run(outing, timeline, "fit.1");
    const Activity* fix = find_run(outing, timeline, "fit.fix");
    ASSERT_TRUE(open && fix);
    EXPECT_GE(fix->start, pet(Seconds{3600}));
    EXPECT_LE(fix->start - open->end(), Seconds{300});
}

TEST(Planner, ObeysWhatTheLeadForbidsDemandsAndBinds) {
    const Outing outing = SmallOuting().outing();
    Freedom without;
    without.leave_out = {TaskId{1}};
    EXPECT_FALSE(does(outing, test::planned(outing, without), "look"));
    Freedom bound;
    bound.lead = {{TaskId{0}, Crew::ev2}};
    EXPECT_EQ(test::planned(outing, bound).lead_of(TaskId{0}), Crew::ev2);
    const Outing shorter = SmallOuting().add("[rules]\nlimit = \"1 h 12 min\"\n").outing();
    Freedom demanded;
    demanded.must_do = {TaskId{1}};
    EXPECT_TRUE(std::holds_alternative<NoPlan>(plan_of(shorter, demanded)));
}

TEST(Planner, DecodesAnOldTimelineInItsOwnOrderWhenAskedToKeepIt) {
    const Outing outing = SmallOuting().outing();
    const Timeline first = test::planned(outing);
    Freedom keep;
    keep.keep_order = true;
    keep.start_from = first;
    EXPECT_EQ(to_json(outing, test::planned(outing, keep)).substr(0, 400), to_json(outing, first).substr(0, 400));
    EXPECT_EQ(test::planned(outing, keep).finish(), first.finish());
}

TEST(Planner, PlansOnFromTheMiddleWithThePastAsItWas) {
    const Outing outing = SmallOuting().outing();
    Situation now = initial(outing);
    // Both are out; EV1 has opened the cover by 01:00 with bag and part in hand; EV2 waits at the bay.
    now.now = pet(Seconds{3600});
    now.steps[0] = StepStatus::done;
    now.step_start[0] = pet(Seconds{3000});
    now.step_end[0] = pet(Seconds{3600});
    now.lead[0] = Crew::ev1;
    for (CrewSituation& crew : now.crew) {
        crew.outside = true;
        crew.at = WorksiteId{1};
        crew.free_at = now.now;
        crew.checked_at = pet(Seconds{3540});
    }
    for (std::size_t item : {0u, 2u}) {
        now.items[item].where = ItemPlace::Where::carried;
        now.items[item].carrier = Crew::ev1;
    }
    Activity open;
    open.lanes = {Lane::ev1};
    open.start = pet(Seconds{3000});
    open.duration = Seconds{600};
    open.step = StepId{0};
    open.path = {WorksiteId{1}};
    open.as_run = true;
    now.as_run = {open};

    const auto planned = make_plan(outing, outing.windows, now, iterations(2000));
    const Timeline& timeline = std::get<Timeline>(planned);
    const Activity* fix = find_run(outing, timeline, "fit.fix");
    ASSERT_NE(fix, nullptr);
    EXPECT_GE(fix->start, now.now);
    const Activity* opened = find_run(outing, timeline, "fit.1");
    ASSERT_NE(opened, nullptr);
    EXPECT_TRUE(opened->as_run);
    EXPECT_EQ(since_zero(opened->start), Seconds{3000});
    EXPECT_TRUE(does(outing, timeline, "look"));

    Freedom home;
    home.come_in_now = true;
    const auto coming = make_plan(outing, outing.windows, now, iterations(1), home);
    // Home 60 s, clean-up and ingress 1800 s: nothing else is left to do, nothing was open.
    EXPECT_EQ(since_zero(std::get<Timeline>(coming).finish()), Seconds{3600 + 60 + 1800});
}

TEST(Planner, StopsWhenToldTo) {
    const Outing outing = SmallOuting().outing();
    const std::atomic<bool> stop{true};
    Budget endless;
    endless.iterations = 1'000'000'000'000;
    const auto planned = make_plan(outing, outing.windows, initial(outing), endless, {}, {}, &stop);
    EXPECT_TRUE(std::holds_alternative<Timeline>(planned));
}

// Polishing first fits its first window and brings the crew home 2 min 20 s sooner, but "fit" is required.
TEST(Planner, PutsRequiredWorkFirstWhereThatCostsLittle) {
    SmallOuting small;
    small.add(R"([[task]]
id = "polish"
name = "Polish the door"
value = 2
[[task.step]]
name = "Polish"
who = ["lead", "helper"]
at = "airlock"
during = ["sunny"]
duration = "12 min"
[[window]]
condition = "sunny"
from = "00:15"
to = "00:30"
[[window]]
condition = "sunny"
from = "00:46"
to = "01:30"
)");
    const Outing outing = small.outing();
    const Timeline timeline = test::planned(outing);
    const Activity* fix = find_run(outing, timeline, "fit.fix");
    const Activity* polish = find_run(outing, timeline, "polish.1");
    ASSERT_TRUE(fix && polish);
    EXPECT_EQ(since_zero(fix->end()), Seconds{2560});
    EXPECT_EQ(since_zero(polish->start), Seconds{2760});
}

// Seal and shine take both at the same place, so all required work and the day end at the same time either way round.
// But sealed second, the seal would end 10 s before its window does, and hardly any delay would let it.
TEST(Planner, KeepsRequiredWorkClearOfTheEndOfItsWindow) {
    SmallOuting small;
    small.with("class = \"required\"", "class = \"wanted\"");
    small.add(R"([[task]]
id = "seal"
name = "Seal the door"
class = "required"
[[task.step]]
name = "Seal"
who = ["lead", "helper"]
at = "airlock"
during = ["sunny"]
duration = "10 min"
[[task]]
id = "shine"
name = "Shine a light on it"
class = "required"
starts_by = "00:40"
[[task.step]]
name = "Shine"
who = ["lead", "helper"]
at = "airlock"
duration = "10 min"
[[window]]
condition = "sunny"
from = "00:15"
to = "00:35:10"
[[window]]
condition = "sunny"
from = "00:37"
to = "02:00"
)");
    const Outing outing = small.outing();
    Freedom only;
    only.leave_out = {TaskId{0}, TaskId{1}};
    const Timeline timeline = test::planned(outing, only);
    const Activity* seal = find_run(outing, timeline, "seal.1");
    const Activity* shine = find_run(outing, timeline, "shine.1");
    ASSERT_TRUE(seal && shine);
    EXPECT_EQ(since_zero(seal->start), Seconds{900});
    EXPECT_EQ(since_zero(shine->start), Seconds{1500});
}

/// Steps of both, each in the order on its lane, with who leads what.
std::string who_does_what(const Outing& outing, const Timeline& timeline) {
    std::string text;
    for (const Lane lane : {Lane::ev1, Lane::ev2})
        for (const Activity& activity : timeline.activities)
            if (activity.step && activity.on(lane)) text += outing.step(*activity.step).label + " ";
    for (const Binding& binding : timeline.bindings) text += word(binding.lead);
    return text;
}

// The law: where a change costs more than it can bring, nothing is changed; where it costs nothing, the plan gets
// better.
TEST(Keep, TheOldPlanIsChangedOnlyForWhatIsWorthItsPrice) {
    int better = 0;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        const Outing outing = test::random_outing(seed);
        const auto first = plan_of(outing, {}, 1);
        if (!std::holds_alternative<Timeline>(first)) continue;
        const Timeline& old = std::get<Timeline>(first);
        Freedom freedom;
        freedom.start_from = old;
        freedom.keep = Keep{old, Seconds{36000}, 1000};
        EXPECT_EQ(who_does_what(outing, test::planned(outing, freedom, 2000)), who_does_what(outing, old)) << seed;
        freedom.keep = Keep{old, Seconds{0}, 0};
        const Timeline free = test::planned(outing, freedom, 2000);
        EXPECT_GE(free.note.value, old.note.value) << seed;
        better += free.note.value > old.note.value || free.finish() < old.finish() ? 1 : 0;
    }
    EXPECT_GT(better, 3);
}

TEST(StartFrom, AnOldTimelineIsNeverMadeWorse) {
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        const Outing outing = test::random_outing(seed);
        const auto long_search = plan_of(outing, {}, 6000);
        if (!std::holds_alternative<Timeline>(long_search)) continue;
        Freedom freedom;
        freedom.start_from = std::get<Timeline>(long_search);
        EXPECT_GE(test::planned(outing, freedom, 1).note.value, freedom.start_from->note.value) << seed;
    }
}

TEST(QuickestWay, SwapsTheTetherWhereItMust) {
    SmallOuting small;
    small.add("[rules]\ntether = \"15 m\"\n");  // the tip is 22 m from the airlock, 10 m from the anchor at the bay
    const Outing outing = small.outing();
    const WorksiteId airlock{0};
    const WorksiteId bay{1};
    const WorksiteId tip{2};
    const auto way = quickest_way(outing, Crew::ev1, airlock, tip, airlock, SizeClass::small);
    ASSERT_TRUE(way);
    EXPECT_EQ(way->time, Seconds{60 + 60 + 50});  // 12 m, swap, 10 m
    EXPECT_EQ(way->swaps, std::vector{bay});
    EXPECT_EQ(way->anchor, bay);
    EXPECT_EQ(way->path, (std::vector{airlock, bay, tip}));
    const auto back = quickest_way(outing, Crew::ev1, tip, airlock, bay, SizeClass::small);
    ASSERT_TRUE(back);
    EXPECT_EQ(back->anchor, airlock);
    EXPECT_EQ(back->time, Seconds{50 + 60 + 60});
}

TEST(QuickestWay, IsNoneWhereTheLoadMayNotGo) {
    SmallOuting small;
    small.with("between = [\"bay\", \"tip\"]", "largest = \"medium\"\nbetween = [\"bay\", \"tip\"]");
    const Outing outing = small.outing();
    EXPECT_FALSE(quickest_way(outing, Crew::ev1, WorksiteId{0}, WorksiteId{2}, WorksiteId{0}, SizeClass::large));
    EXPECT_TRUE(quickest_way(outing, Crew::ev1, WorksiteId{0}, WorksiteId{2}, WorksiteId{0}, SizeClass::medium));
}

TEST(Planner, PlansEveryDemoAndTheCheckerFindsNothing) {
    for (const char* file :
         {"/demo/larkspur/outing.toml", "/demo/pool/outing.toml", "/demo/published-orbit/outing.toml"}) {
        const Result<Outing> demo = read_outing(std::string(HANDRAIL_SOURCE_DIR) + file);
        ASSERT_TRUE(demo) << print(demo.errors().front());
        const Outing& outing = demo.value();
        const Result<WindowTable> windows = sky::windows_of(outing, outing.pet_zero);
        ASSERT_TRUE(windows) << print(windows.errors().front());
        const auto planned = make_plan(outing, windows.value(), initial(outing), iterations(6000));
        ASSERT_TRUE(std::holds_alternative<Timeline>(planned)) << file;
        for (const Finding& finding : check(outing, windows.value(), std::get<Timeline>(planned)))
            EXPECT_EQ(finding.severity, Severity::note) << file << ": " << finding.rule << ": " << finding.what;
    }
}

// EV1's hands are too small for a bag, so they take out what they need; EV2 could carry it off whole. It was carried
// off before that moment when the order of placing had EV2's walk later.
TEST(Bags, StayUntilWhatIsTakenOutOfThemIsTaken) {
    int planned_count = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        Outing outing = test::random_outing(seed);
        outing.crew[0].carry = 1;
        const auto planned = plan_of(outing, {}, 1000);
        const Timeline* timeline = std::get_if<Timeline>(&planned);
        if (!timeline) continue;
        ++planned_count;
        const std::vector<Finding> findings = check(outing, outing.windows, *timeline);
        EXPECT_FALSE(any_broken(findings)) << seed << "\n" << print_findings(findings);
    }
    EXPECT_GT(planned_count, 20);
}

}  // namespace
}  // namespace handrail::plan
