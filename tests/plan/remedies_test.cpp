#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>

#include "check/check.h"
#include "plan/explain.h"
#include "plan/relax.h"
#include "support/planned.h"
#include "support/random_outing.h"
#include "support/small_outing.h"

/// What is said to let a task in does: the change is made, the outing is planned anew and checked.
namespace handrail::plan {
namespace {

using test::planned;
using test::SmallOuting;

/// The outing as the lead would change it.
Outing changed(const Outing& outing, TaskId task, const Remedy& remedy) {
    Outing copy = outing;
    const auto whole_minutes = [](Seconds by) { return std::chrono::ceil<std::chrono::minutes>(by); };
    switch (remedy.kind) {
        case Remedy::Kind::room:
        case Remedy::Kind::drop:
            break;
        case Remedy::Kind::person: {
            auto& lead = copy.tasks[index(task)].lead;
            lead = partner(*lead);
            break;
        }
        case Remedy::Kind::item:
            for (const auto& [item, site] : remedy.items) {
                copy.items[index(item)].in.reset();
                copy.items[index(item)].at = site;
            }
            break;
        case Remedy::Kind::limit:
            copy.rules.limit += whole_minutes(remedy.by);
            break;
        case Remedy::Kind::suits:
            copy = detail::with_longer_suits(copy, remedy.by);
            break;
        case Remedy::Kind::end_and_suits:
            copy = detail::with_longer_suits(copy, remedy.suits_by);
            copy.rules.limit += whole_minutes(remedy.by);
            break;
        case Remedy::Kind::latest:
            for (auto* latest : {&copy.tasks[index(task)].starts_by, &copy.tasks[index(task)].ends_by})
                if (*latest) **latest += remedy.by;
            break;
        case Remedy::Kind::work:
            for (CrewMember& person : copy.crew) {
                if (person.work_limit) *person.work_limit += remedy.by;
                if (person.heavy_total) *person.heavy_total += remedy.by;
            }
            break;
        case Remedy::Kind::window:
            for (const Remedy::Stretch& stretch : remedy.stretches) {
                std::vector<Window> list;
                for (const Window& window : copy.windows.of(stretch.condition, stretch.worksite)) {
                    if (stretch.holds) {
                        list.push_back(window);
                        continue;
                    }
                    if (window.from() < std::min(window.to(), stretch.from))
                        list.emplace_back(window.from(), std::min(window.to(), stretch.from));
                    if (std::max(window.from(), stretch.to) < window.to())
                        list.emplace_back(std::max(window.from(), stretch.to), window.to());
                }
                if (stretch.holds) list.emplace_back(stretch.from, stretch.to);
                copy.windows.set(stretch.condition, stretch.worksite, std::move(list));
            }
            break;
    }
    return copy;
}

/// Planned with the change, everything that was there and the task demanded: nothing when there is no such plan.
bool comes_in(const Outing& outing, const Timeline& before, const Missing& missing, const Remedy& remedy) {
    const Outing other = changed(outing, missing.task, remedy);
    Freedom freedom;
    freedom.start_from = before;
    freedom.must_do = missing.with;
    freedom.must_do.push_back(missing.task);
    for (const Binding& binding : before.bindings)
        if (binding.task != remedy.out) freedom.must_do.push_back(binding.task);
    if (remedy.out) freedom.leave_out.push_back(*remedy.out);
    auto result = test::plan_of(other, freedom);
    // The search may miss what is there: it looks longer, and from other luck.
    for (const std::uint64_t seed : {1, 2, 3, 4, 5})
        if (!std::holds_alternative<Timeline>(result)) result = test::plan_of(other, freedom, 30000, seed);
    if (!std::holds_alternative<Timeline>(result)) return false;
    const Timeline& after = std::get<Timeline>(result);
    const std::vector<Finding> findings = check(other, other.windows, after);
    EXPECT_FALSE(any_broken(findings)) << print_findings(findings);
    return after.lead_of(missing.task).has_value();
}

Explanation explained(const Outing& outing, const Timeline& timeline) {
    ExplainBudget budget;
    budget.iterations = 1500;
    budget.threads = 1;
    budget.most_left_out = 3;
    return explain(outing, outing.windows, initial(outing), timeline, budget);
}

// The law: whatever is named, the task comes in when it is done.
TEST(Remedies, EachOneLetsTheTaskInOnRandomOutings) {
    std::map<Remedy::Kind, int> held;
    for (std::uint64_t seed = 1; seed <= 14; ++seed) {
        Outing outing = test::random_outing(seed);
        outing.rules.limit = Seconds{3 * 3600 + 1800};
        const auto result = test::plan_of(outing, {}, 1500);
        if (!std::holds_alternative<Timeline>(result)) continue;
        const Timeline& before = std::get<Timeline>(result);
        for (const Missing& missing : explained(outing, before).missing)
            for (const Remedy& remedy : missing.remedies) {
                EXPECT_TRUE(comes_in(outing, before, missing, remedy)) << seed << ": " << remedy.what;
                ++held[remedy.kind];
            }
    }
    EXPECT_GT(held[Remedy::Kind::limit], 8);
    EXPECT_GT(held[Remedy::Kind::drop], 3);
}

/// Both tasks of the small outing fit; what is added here keeps "look" out. One of the changes named is this one, and
/// lets it in.
void expect_among(const SmallOuting& small, Remedy::Kind kind, Seconds least, Seconds most, std::string_view words) {
    const Outing outing = small.outing();
    const Timeline before = planned(outing);
    const Explanation explanation = explained(outing, before);
    ASSERT_EQ(explanation.missing.size(), 1u);
    const Missing& missing = explanation.missing[0];
    const auto found = std::ranges::find(missing.remedies, kind, &Remedy::kind);
    ASSERT_NE(found, missing.remedies.end()) << missing.what;
    EXPECT_GE(found->by, least) << found->what;
    EXPECT_LE(found->by, most) << found->what;
    EXPECT_THAT(found->what, testing::HasSubstr(words));
    EXPECT_TRUE(comes_in(outing, before, missing, *found)) << found->what;
}

/// The same, and it is the cheapest: the one named first.
void expect_first(const SmallOuting& small, Remedy::Kind kind, Seconds least, Seconds most, std::string_view words) {
    expect_among(small, kind, least, most, words);
    const Outing outing = small.outing();
    const Explanation explanation = explained(outing, planned(outing));
    ASSERT_FALSE(explanation.missing.empty() || explanation.missing[0].remedies.empty());
    EXPECT_EQ(word(explanation.missing[0].remedies[0].kind), word(kind)) << explanation.missing[0].what;
}

TEST(Remedies, AWindowIsMadeLongerByNoMoreThanTheStepNeeds) {
    SmallOuting small;  // seven minutes of sun are needed, and there are five
    small.with("name = \"Look from the right\"", "name = \"Look from the right\"\nduring = [\"sunny\"]");
    small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"00:45\"\nto = \"00:50\"\n");
    expect_first(small, Remedy::Kind::window, Seconds{120}, Seconds{120}, "if sunny held from PET");
}

TEST(Remedies, WhatMustNotHoldIsOverSooner) {
    SmallOuting small;  // the dazzle ends at 00:58; the look must end by 01:00 and takes thirteen minutes
    small.with("name = \"Look from the right\"", "name = \"Look from the right\"\nnot_during = [\"dazzle\"]");
    small.with("value = 3", "value = 3\nends_by = \"01:00\"");
    small.add("[[window]]\ncondition = \"dazzle\"\nfrom = \"00:10\"\nto = \"00:58\"\n");
    expect_first(small, Remedy::Kind::window, Seconds{300}, Seconds{360}, "dazzle were over from PET");
}

TEST(Remedies, AQuietPeriodIsShortened) {
    SmallOuting small;
    small.with("value = 3", "value = 3\nends_by = \"01:00\"");
    small.add(
        "[[rules.quiet]]\ncondition = \"docking\"\n"
        "[[window]]\ncondition = \"docking\"\nfrom = \"00:16\"\nto = \"00:52\"\n");
    expect_among(small, Remedy::Kind::window, Seconds{240}, Seconds{720}, "docking were over from PET");
}

TEST(Remedies, ATaskMayStartLater) {
    SmallOuting small;  // egress lasts until 00:15, the way to the tip a minute and more
    small.with("value = 3", "value = 3\nstarts_by = \"00:12\"");
    expect_first(small, Remedy::Kind::latest, Seconds{240}, Seconds{360}, "if it may start by PET 00:1");
}

// What is said of a task that cannot be in the plan names the task that stands in its way.
TEST(Remedies, WhatRulesATaskOutIsNamed) {
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
[[task]]
id = "peek"
name = "Peek"
value = 1
not_with = ["look"]
[[task.step]]
name = "Peek"
at = "bay"
duration = "5 min"
)");
    const Timeline timeline = planned(small.outing());
    ASSERT_EQ(timeline.left_out.size(), 2u);
    EXPECT_THAT(timeline.left_out[0].reason, testing::HasSubstr("\" is done in its place."));
    EXPECT_EQ(timeline.left_out[1].reason, "It is never done with \"Look at the tip\", which is.");
}

TEST(Remedies, TheStepThatFindsNoWindowIsNamed) {
    SmallOuting small;  // five minutes of sun while nobody can be there yet, then long enough after its latest end
    small.with("name = \"Look from the right\"", "name = \"Look from the right\"\nduring = [\"sunny\"]");
    small.add("[[window]]\ncondition = \"sunny\"\nfrom = \"00:01\"\nto = \"00:14\"\n");
    EXPECT_THAT(planned(small.outing()).left_out.at(0).reason,
                testing::HasSubstr("\"Look from the right\" (look.2) finds no window long enough"));
}

TEST(Remedies, ABagThatIsTooSmallIsNamed) {
    SmallOuting small;
    small.with("holds = 4", "holds = 1");
    small.with("id = \"part\"",
               "id = \"chunk\"\nname = \"Chunk\"\nsize = \"medium\"\nat = \"bay\"\n[[item]]\nid = "
               "\"part\"");
    small.add(R"([[task]]
id = "pack"
name = "Pack"
value = 1
[[task.step]]
name = "Stow the chunk"
at = "bay"
duration = "2 min"
stows = ["chunk"]
into = "bag"
)");
    EXPECT_THAT(planned(small.outing()).left_out.at(0).reason,
                testing::HasSubstr("\"Stow the chunk\" (pack.1) stows more into \"bag\" than it holds"));
}

TEST(Remedies, APersonMayWorkLonger) {
    SmallOuting
        small;  // both fix for twelve minutes, EV2 opens for ten; thirteen minutes of looking are left to nobody
    small.with("name = \"Ada Testa\"", "name = \"Ada Testa\"\nwork_limit = \"13 min\"");
    small.with("name = \"Ben Probe\"", "name = \"Ben Probe\"\nwork_limit = \"30 min\"");
    expect_first(small, Remedy::Kind::work, Seconds{300}, Seconds{720}, "more than their limit");
}

/// A third task of the small outing, whose part lies at the airlock and is wanted at the tip.
SmallOuting with_a_part(std::string_view item, std::string_view step) {
    SmallOuting small;
    small.add(std::string("[[item]]\nid = \"strut\"\nname = \"Long strut\"\nat = \"airlock\"\n") + std::string(item) +
              "[[task]]\nid = \"brace\"\nname = \"Brace\"\nvalue = 2\n[[task.step]]\nname = \"Brace\"\nat = \"tip\"\n"
              "duration = \"5 min\"\ninstalls = [\"strut\"]\n" +
              std::string(step));
    return small;
}

TEST(Remedies, APartThatTakesTwoIsNamedAndLiesWhereItIsWanted) {
    const SmallOuting small = with_a_part("size = \"large\"\ntwo_people = true\n", "who = [\"lead\", \"helper\"]\n");
    expect_first(small, Remedy::Kind::item, Seconds{0}, Seconds{0}, "\"Long strut\" lay at tip to begin with");
    EXPECT_THAT(
        planned(small.outing()).left_out.at(0).reason,
        testing::HasSubstr("\"Long strut\" cannot be brought to tip for brace.1: it takes two people, so a step "
                           "of lead and helper must move it there"));
}

TEST(Remedies, APartThatNobodyCarriesIsNamed) {
    const SmallOuting small = with_a_part("size = \"oversize\"\n", "");
    expect_first(small, Remedy::Kind::item, Seconds{0}, Seconds{0}, "\"Long strut\" lay at tip to begin with");
    EXPECT_THAT(planned(small.outing()).left_out.at(0).reason,
                testing::HasSubstr("it is oversize and nobody carries it"));
}

TEST(Remedies, APartTooLargeForTheOneWhoDoesTheStepIsNamed) {
    SmallOuting small = with_a_part("size = \"large\"\n", "");
    small.with("name = \"Ada Testa\"", "name = \"Ada Testa\"\ncarry = 3");
    small.with("name = \"Brace\"\nvalue", "name = \"Brace\"\nlead = \"EV1\"\nvalue");
    expect_first(small, Remedy::Kind::person, Seconds{0}, Seconds{0}, "when EV2 leads it instead of EV1");
    EXPECT_THAT(planned(small.outing()).left_out.at(0).reason, testing::HasSubstr("it is more than EV1 can carry"));
}

TEST(Remedies, APartTooLargeForEveryWayIsNamed) {
    SmallOuting small = with_a_part("size = \"large\"\n", "");
    small.with("length = \"10 m\"", "length = \"10 m\"\nlargest = \"medium\"");
    expect_first(small, Remedy::Kind::item, Seconds{0}, Seconds{0}, "\"Long strut\" lay at tip to begin with");
    EXPECT_THAT(planned(small.outing()).left_out.at(0).reason,
                testing::HasSubstr("no way there is wide enough for it"));
}

// What the sentence asks for does let it in.
TEST(Remedies, AStepOfBothThatMovesThePartLetsTheTaskIn) {
    for (const std::string_view size : {"size = \"large\"\ntwo_people = true\n", "size = \"oversize\"\n"}) {
        SmallOuting small = with_a_part(size, "who = [\"lead\", \"helper\"]\n");
        small.with("[[task.step]]\nname = \"Brace\"",
                   "[[task.step]]\nname = \"Bring it\"\nwho = [\"lead\", \"helper\"]\nat = \"airlock\"\nto = "
                   "\"tip\"\nmoves = [\"strut\"]\nduration = \"6 min\"\n[[task.step]]\nname = \"Brace\"");
        EXPECT_TRUE(planned(small.outing()).left_out.empty());
    }
}

TEST(Remedies, TasksThatNeedEachOtherComeTogether) {
    SmallOuting small;
    small.add(R"([[task]]
id = "note"
name = "Note it down"
value = 1
with = ["look"]
[[task.step]]
name = "Note"
at = "tip"
duration = "2 min"
effort = "light"
)");
    small.add("[rules]\nlimit = \"72 min\"\n");
    const Outing outing = small.outing();
    const Timeline before = planned(outing);
    const Explanation explanation = explained(outing, before);
    ASSERT_EQ(explanation.missing.size(), 2u);
    for (const Missing& missing : explanation.missing) {
        EXPECT_EQ(missing.with.size(), 1u);
        ASSERT_FALSE(missing.remedies.empty());
        EXPECT_TRUE(comes_in(outing, before, missing, missing.remedies[0])) << missing.what;
    }
    EXPECT_THAT(explanation.missing[0].what, testing::HasSubstr("\"Look at the tip\" with \"Note it down\" fits"));
}

TEST(Remedies, OfTwoTasksThatStandForEachOtherOneGivesWay) {
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
    expect_first(small, Remedy::Kind::drop, Seconds{0}, Seconds{0}, "in place of");
}

TEST(Remedies, SuitsLastLonger) {
    SmallOuting small;
    small.with("kind = \"umbilical\"",
               "kind = \"closed loop\"\noxygen = \"0.082 kg\"\nreserve = \"10 min\"\nreserve_rate = \"205 W\"");
    expect_first(small, Remedy::Kind::suits, Seconds{60}, Seconds{240}, "with suits that last");
}

}  // namespace
}  // namespace handrail::plan
