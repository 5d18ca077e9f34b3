#include "plan/explain.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sky/windows.h"
#include "support/planned.h"
#include "support/random_outing.h"
#include "support/small_outing.h"

namespace handrail::plan {
namespace {

using test::planned;
using test::SmallOuting;
using testing::HasSubstr;

// The small outing on paper (planner_test.cpp): both tasks end at 4420 s; "fit" alone with EV1 leading at 4320 - 0:
// EV1 opens 1080-1680, both fix 1680-2400, home 2460, clean-up and ingress until 4260 s.

Explanation explained(const Outing& outing, int threads = 1) {
    ExplainBudget budget;
    budget.iterations = 1500;
    budget.threads = threads;
    return explain(outing, outing.windows, initial(outing), planned(outing), budget);
}

const Remedy* remedy_of(const Explanation& explanation, Remedy::Kind kind) {
    for (const Missing& missing : explanation.missing)
        for (const Remedy& remedy : missing.remedies)
            if (remedy.kind == kind) return &remedy;
    return nullptr;
}

const RuleCost* cost_of(const Explanation& explanation, std::string_view rule) {
    for (const RuleCost& cost : explanation.rules)
        if (cost.rule == rule) return &cost;
    return nullptr;
}

TEST(Explain, SaysByHowMuchTheHardEndKeepsATaskOut) {
    // 4320 s; both tasks need 4420 s: a hundred seconds too few.
    const Outing outing = SmallOuting().add("[rules]\nlimit = \"72 min\"\n").outing();
    const Explanation explanation = explained(outing);
    EXPECT_THAT(print_explanation(outing, explanation), HasSubstr("Value 0: no plan has more"));
    ASSERT_EQ(explanation.missing.size(), 1u);
    const Remedy* limit = remedy_of(explanation, Remedy::Kind::limit);
    ASSERT_NE(limit, nullptr);
    EXPECT_EQ(limit->by, Seconds{100});
    EXPECT_THAT(explanation.missing[0].what, HasSubstr("hard end 2 min later"));
    const RuleCost* rule = cost_of(explanation, "limit");
    ASSERT_NE(rule, nullptr);
    EXPECT_EQ(rule->value, 3);
    EXPECT_EQ(rule->comes, std::vector{TaskId{1}});
}

TEST(Explain, SaysWhichWindowWouldHaveToBeLonger) {
    SmallOuting small;
    // "Look from the right" needs seven minutes of sun; there are five from 00:30 on.
    small.with("name = \"Look from the right\"", "name = \"Look from the right\"\nduring = [\"sunny\"]");
    small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"00:20\"\nto = \"00:25\"\n");
    const Explanation explanation = explained(small.outing());
    const Remedy* window = remedy_of(explanation, Remedy::Kind::window);
    ASSERT_NE(window, nullptr);
    EXPECT_THAT(window->what, testing::AllOf(HasSubstr("look.2"), HasSubstr("sunny")));
    EXPECT_GE(window->by, Seconds{120});  // five minutes of seven are there at best
    const RuleCost* rule = cost_of(explanation, "window");
    ASSERT_NE(rule, nullptr);
    EXPECT_EQ(rule->value, 3);
}

TEST(Explain, SaysThatAnotherPersonWouldDo) {
    SmallOuting small;
    // EV2 must lead the look but is far too slow for it; EV1 would do it in time.
    small.with("name = \"Look at the tip\"", "name = \"Look at the tip\"\nlead = \"EV2\"");
    small.with("name = \"Ben Probe\"", "name = \"Ben Probe\"\nexperience_factor = 4.0");
    small.with("who = [\"lead\", \"helper\"]\nat = \"bay\"", "at = \"bay\"");
    small.with("class = \"required\"", "class = \"required\"\nlead = \"EV1\"");
    small.add("[rules]\nlimit = \"90 min\"\n");
    const Explanation explanation = explained(small.outing());
    const Remedy* person = remedy_of(explanation, Remedy::Kind::person);
    ASSERT_NE(person, nullptr);
    EXPECT_THAT(explanation.missing[0].what, HasSubstr("when EV1 leads it instead of EV2"));
}

TEST(Explain, NamesTheTaskThatWouldHaveToGiveWay) {
    SmallOuting small;
    // Two looks of equal length at the tip, and time for one: the other would fit in its place.
    small.add(R"([[task]]
id = "glance"
name = "Glance at the tip"
value = 2
not_with = ["look"]
[[task.step]]
name = "Glance"
at = "tip"
duration = "13 min"
effort = "light"
)");
    const Explanation explanation = explained(small.outing());
    ASSERT_EQ(explanation.missing.size(), 1u);
    const Remedy* drop = remedy_of(explanation, Remedy::Kind::drop);
    ASSERT_NE(drop, nullptr);
    EXPECT_EQ(drop->out, TaskId{1});
    EXPECT_EQ(drop->value, 3);
    EXPECT_EQ(remedy_of(explanation, Remedy::Kind::limit), nullptr);
}

TEST(Waits, AWindowIsNamedAsTheCause) {
    SmallOuting small;
    small.with("at = \"bay\"\nduration = \"10 min\"", "at = \"bay\"\nduring = [\"sunny\"]\nduration = \"10 min\"");
    small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"01:00\"\nto = \"01:20\"\n");
    const Outing outing = small.outing();
    const Timeline timeline = planned(outing);
    const std::vector<Wait> list = waits(outing, outing.windows, timeline);
    const auto sunny = std::ranges::find_if(list, [](const Wait& w) { return w.reason.cause == Cause::window; });
    ASSERT_NE(sunny, list.end());
    EXPECT_EQ(sunny->reason.condition, "sunny");
    EXPECT_EQ(since_zero(sunny->reason.earliest), Seconds{3600});
    EXPECT_THAT(sunny->what, HasSubstr("sunny begins at PET 01:00:00"));
    // The chain that sets the finish begins with that window, not with egress.
    const std::vector<ChainLink> chain = critical_chain(outing, outing.windows, timeline);
    ASSERT_FALSE(chain.empty());
    EXPECT_EQ(chain.front().reason.cause, Cause::window);
}

TEST(Waits, ThePartnerIsNamedAsTheCause) {
    const Outing outing = SmallOuting().outing();
    const Timeline timeline = planned(outing);
    // On paper who leads has opened the cover by 1680 s and both fix from 1840 s on, when the other is back from the
    // tip.
    const std::vector<Wait> list = waits(outing, outing.windows, timeline);
    ASSERT_EQ(list.size(), 1u);
    EXPECT_EQ(list[0].crew, timeline.lead_of(TaskId{0}));  // either may lead "fit"
    EXPECT_EQ(list[0].length, Seconds{160});
    EXPECT_EQ(list[0].reason.cause, Cause::partner);
    EXPECT_EQ(since_zero(list[0].reason.earliest), Seconds{1840});
}

TEST(CriticalChain, RunsOverBothCrewFromEgressToIngress) {
    const Outing outing = SmallOuting().outing();
    const Timeline timeline = planned(outing);
    const std::vector<ChainLink> chain = critical_chain(outing, outing.windows, timeline);
    ASSERT_GE(chain.size(), 7u);
    EXPECT_EQ(timeline.activities[chain.front().activity].kind, ActivityKind::egress);
    EXPECT_EQ(timeline.activities[chain.back().activity].kind, ActivityKind::ingress);
    bool on_ev2 = false;
    for (std::size_t i = 1; i < chain.size(); ++i) {
        const Activity& before = timeline.activities[chain[i - 1].activity];
        const Activity& activity = timeline.activities[chain[i].activity];
        EXPECT_EQ(before.end(), activity.start) << chain[i].what;
        on_ev2 |= activity.step && outing.step(*activity.step).label == "look.2";
    }
    EXPECT_TRUE(on_ev2) << "EV2's look at the tip is what both wait for";
}

// The law: a chain begins with egress or with a condition that changed, and every link of it says why it is where it
// is.
TEST(CriticalChain, HasACauseForEveryLinkOnRandomOutings) {
    int chains = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const Outing outing = test::random_outing(seed);
        const auto result = test::plan_of(outing, {}, 400);
        if (!std::holds_alternative<Timeline>(result)) continue;
        const Timeline& timeline = std::get<Timeline>(result);
        const std::vector<ChainLink> chain = critical_chain(outing, outing.windows, timeline);
        ASSERT_FALSE(chain.empty());
        const Activity& first = timeline.activities[chain.front().activity];
        EXPECT_TRUE(first.kind == ActivityKind::egress || chain.front().reason.cause == Cause::window)
            << seed << ": " << chain.front().what;
        for (const Wait& wait : waits(outing, outing.windows, timeline))
            EXPECT_NE(wait.reason.cause, Cause::nothing) << seed << ": " << wait.what;
        ++chains;
    }
    EXPECT_GT(chains, 30);
}

TEST(Waits, OrdersGapsArmAndHeldBackStepsAreNamed) {
    SmallOuting small;
    small.with("id = \"fix\"", "id = \"fix\"\ngap = \"30 min\"");
    const Outing outing = small.outing();
    const std::vector<Wait> list = waits(outing, outing.windows, planned(outing));
    EXPECT_TRUE(std::ranges::any_of(list, [](const Wait& w) { return w.reason.cause == Cause::order; }));

    SmallOuting held;
    held.with("id = \"fix\"", "id = \"fix\"\nduring = [\"sunny\"]\nwithin = \"5 min of fit.1\"");
    held.add("[[window]]\ncondition = \"sunny\"\nfrom = \"01:00\"\nto = \"02:00\"\n");
    const Outing close = held.outing();
    const std::vector<Wait> backs = waits(close, close.windows, planned(close));
    EXPECT_TRUE(std::ranges::any_of(backs, [](const Wait& w) { return w.reason.cause == Cause::held_back; }));
}

TEST(Explain, GivesTheSameAnswerOnAnyNumberOfThreadsAsJsonThatParses) {
    const Outing outing = SmallOuting().add("[rules]\nlimit = \"72 min\"\n").outing();
    const std::string one = to_json(outing, explained(outing, 1));
    EXPECT_EQ(one, to_json(outing, explained(outing, 3)));
    const auto json = nlohmann::json::parse(one);
    EXPECT_EQ(json["left_out"][0]["task"], "look");
    EXPECT_EQ(json["left_out"][0]["remedies"][0]["by_s"], 100);
    EXPECT_FALSE(json["chain"].empty());
    const std::string text = print_explanation(outing, explained(outing));
    EXPECT_THAT(text, testing::AllOf(HasSubstr("Left out"), HasSubstr("The chain"), HasSubstr(std::string(caution))));
}

TEST(Explain, TakesATimelineWithNothingOnIt) {
    const Outing outing = SmallOuting().outing();
    ExplainBudget budget;
    budget.iterations = 50;
    budget.threads = 1;
    const Explanation explanation = explain(outing, outing.windows, initial(outing), Timeline{}, budget);
    EXPECT_TRUE(explanation.chain.empty());
    EXPECT_EQ(explanation.missing.size(), 2u);
    EXPECT_FALSE(print_explanation(outing, explanation).empty());
}

// "Optimal" is said of a plan whose value and finish are both proven, and of no other.
TEST(Explain, SaysHowFarFromTheBestAPlanCanBe) {
    Timeline timeline;
    EXPECT_EQ(how_good(timeline), "");
    Activity& all = timeline.activities.emplace_back();
    all.lanes = {Lane::ev1};
    all.duration = Seconds{7200};
    timeline.note.value = 90;
    timeline.note.value_bound = 100;
    timeline.note.finish_bound = pet(Seconds{5400});
    EXPECT_EQ(how_good(timeline),
              "Value 90: no plan has more than 100 (gap 10.0 %); home at PET 02:00: no plan of this value before PET "
              "01:30.");
    timeline.note.value_bound = 90;
    EXPECT_EQ(how_good(timeline),
              "Value 90: no plan has more; home at PET 02:00: no plan of this value before PET 01:30.");
    timeline.note.finish_bound = pet(Seconds{7200});
    EXPECT_EQ(how_good(timeline), "Value 90: no plan has more.");
    timeline.note.proven = true;
    EXPECT_EQ(how_good(timeline), "Optimal: no plan has more value than 90, and none with it ends sooner.");
}

}  // namespace
}  // namespace handrail::plan
