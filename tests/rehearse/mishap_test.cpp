// What happens to a whole rehearsed outing: one of the two unable, the arm or coverage lost, a hazard at a worksite.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "rehearsal_under_test.h"
#include "rehearse/hindsight.h"
#include "rehearse/practice.h"

namespace handrail::rehearse {
namespace {

using testing::HasSubstr;
using Kind = Mishap::Kind;

const Planned& larkspur() {
    static const Planned planned = demo("larkspur", 500);
    return planned;
}

/// The first seed of a severe day on which that happens, in the first half, and no other mishap does.
std::uint64_t seed_with(const Outing& outing, Kind kind) {
    for (std::uint64_t seed = 1; seed < 3000; ++seed) {
        const Luck luck(outing, Level::severe, seed);
        if (luck.mishaps().size() == 1 && luck.mishaps()[0].kind == kind && luck.mishaps()[0].share < 0.5) return seed;
    }
    throw std::runtime_error("no such seed");
}

const Befallen& befallen(const Rehearsal& rehearsal) {
    if (rehearsal.world().befallen().empty()) throw std::runtime_error("nothing befell them");
    return rehearsal.world().befallen().front();
}

bool begun_after(const Happened& one, Pet at) { return one.activity.step && one.activity.start > at; }

TEST(Mishap, HappensAboutAsOftenAsTheTableSays) {
    constexpr int days = 1500;
    for (const Level level : {Level::mild, Level::medium, Level::severe}) {
        std::map<Kind, int> count;
        for (std::uint64_t seed = 1; seed <= days; ++seed) {
            const Luck luck(larkspur().source.outing, level, seed);
            for (const Mishap& one : luck.mishaps()) ++count[one.kind];
        }
        for (const auto& [kind, what] :
             {std::pair{Kind::unable, Practice::unable}, std::pair{Kind::arm_lost, Practice::arm_lost},
              std::pair{Kind::no_coverage, Practice::no_coverage}, std::pair{Kind::hazard, Practice::hazard}}) {
            const PracticeRate& rate = practice_rate(what);
            const double p = level == Level::severe ? rate.severe : level == Level::medium ? rate.medium : 0;
            EXPECT_NEAR(count[kind], p * days, 4.5 * std::sqrt(p * (1 - p) * days)) << word(kind) << word(level);
        }
    }
}

TEST(Mishap, EveryNumberOfTheTableHasASource) {
    for (const PracticeRate& rate : practice_rates()) {
        EXPECT_FALSE(rate.source.empty()) << rate.words;
        EXPECT_LE(rate.medium, rate.severe) << rate.words;
        EXPECT_LE(rate.low_min, rate.likely_min) << rate.words;
        EXPECT_LE(rate.likely_min, rate.high_min) << rate.words;
    }
}

TEST(Mishap, WhoeverCanDoNoMoreIsBroughtInByTheOther) {
    const std::uint64_t seed = seed_with(larkspur().source.outing, Kind::unable);
    for (const Policy policy : {Policy::press_on, Policy::follow, Policy::adapt}) {
        const auto rehearsal = led(larkspur(), Level::severe, seed, policy);
        ASSERT_TRUE(rehearsal->over()) << word(policy);
        const Befallen& one = befallen(*rehearsal);
        for (const Happened& did : rehearsal->world().happened()) {
            EXPECT_FALSE(begun_after(did, one.at) && did.activity.on(lane_of(one.mishap.crew)))
                << title(rehearsal->outing(), did.activity);
            EXPECT_FALSE(begun_after(did, one.at) && did.activity.on(lane_of(partner(one.mishap.crew))) &&
                         !rehearsal->outing().step(*did.activity.step).close_up)
                << title(rehearsal->outing(), did.activity);
        }
        const Debrief d = debriefed(*rehearsal);
        EXPECT_TRUE(d.intact() || d.impossible) << print(rehearsal->outing(), d);
        EXPECT_THAT(print(rehearsal->outing(), d), HasSubstr(std::string(word(one.mishap.crew)) + " could do no more"));
        const bool hidden = std::ranges::any_of(rehearsal->entries(), [](const live::Recorded& recorded) {
            return std::holds_alternative<live::CrewAble>(recorded.entry.body) &&
                   recorded.entry.visibility == live::Visibility::medical;
        });
        EXPECT_TRUE(hidden) << "that somebody can do no more is private";
    }
}

TEST(Mishap, NobodyGoesOnAloneUntilTheLeadHasSaidHow) {
    rehearse::Setup setup;
    setup.level = Level::severe;
    setup.seed = seed_with(larkspur().source.outing, Kind::unable);
    Rehearsal rehearsal(larkspur().source, larkspur().plan, setup);
    rehearsal.advance(pet(Seconds{12 * 3600}));
    const Befallen& one = befallen(rehearsal);
    EXPECT_FALSE(rehearsal.over());
    for (const Happened& did : rehearsal.world().happened())
        EXPECT_FALSE(begun_after(did, one.at)) << title(rehearsal.outing(), did.activity);
}

TEST(Mishap, NothingIsDoneWithTheArmOnceItIsLost) {
    const auto rehearsal =
        led(larkspur(), Level::severe, seed_with(larkspur().source.outing, Kind::arm_lost), Policy::follow);
    ASSERT_TRUE(rehearsal->over());
    const Pet at = befallen(*rehearsal).at;
    for (const Happened& did : rehearsal->world().happened()) {
        const bool with_arm = did.activity.on(Lane::arm) ||
                              (did.activity.step && rehearsal->outing().step(*did.activity.step).arm != ArmUse::none);
        EXPECT_FALSE(with_arm && did.activity.start > at) << title(rehearsal->outing(), did.activity);
    }
    EXPECT_FALSE(rehearsal->day(rehearsal->world().now()).situation.arm_available) << "the lead has recorded it";
}

TEST(Mishap, NobodyWorksAtAClosedWorksite) {
    const auto rehearsal =
        led(larkspur(), Level::severe, seed_with(larkspur().source.outing, Kind::hazard), Policy::follow);
    ASSERT_TRUE(rehearsal->over());
    const Befallen& one = befallen(*rehearsal);
    for (const Happened& did : rehearsal->world().happened()) {
        if (!begun_after(did, one.at) || (one.over && did.activity.start >= *one.over)) continue;
        const bool crew = did.activity.on(Lane::ev1) || did.activity.on(Lane::ev2);
        EXPECT_FALSE(crew && rehearsal->outing().step(*did.activity.step).at == one.mishap.site)
            << title(rehearsal->outing(), did.activity);
    }
}

TEST(Mishap, NothingThatWaitsForCoverageIsBegunWithoutIt) {
    const auto rehearsal =
        led(larkspur(), Level::severe, seed_with(larkspur().source.outing, Kind::no_coverage), Policy::follow);
    ASSERT_TRUE(rehearsal->over());
    const Befallen& one = befallen(*rehearsal);
    for (const Happened& did : rehearsal->world().happened()) {
        if (!begun_after(did, one.at) || (one.over && did.activity.start >= *one.over)) continue;
        const auto& during = rehearsal->outing().step(*did.activity.step).during;
        EXPECT_EQ(std::ranges::find(during, "coverage"), during.end()) << title(rehearsal->outing(), did.activity);
    }
}

TEST(Mishap, HindsightDoesNotAskForWhatItForbade) {
    const auto rehearsal =
        led(larkspur(), Level::severe, seed_with(larkspur().source.outing, Kind::arm_lost), Policy::press_on);
    const detail::Hindsight hindsight = detail::in_hindsight(*rehearsal);
    plan::Budget budget;
    budget.iterations = 300;
    budget.threads = 1;
    const auto best = plan::make_plan(hindsight.outing, hindsight.windows, plan::initial(hindsight.outing), budget, {});
    ASSERT_TRUE(std::holds_alternative<Timeline>(best));
    for (const Activity& activity : std::get<Timeline>(best).activities) {
        if (activity.step && hindsight.outing.step(*activity.step).arm != ArmUse::none) {
            EXPECT_LE(activity.end(), befallen(*rehearsal).at) << title(hindsight.outing, activity);
        }
    }
}

}  // namespace
}  // namespace handrail::rehearse
