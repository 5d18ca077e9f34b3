#include "rehearse/debrief.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "rehearsal_under_test.h"

/// The figures of a debrief on days made by hand: a yard with a shed, a lamp on a mast and a bench to paint.
namespace handrail::rehearse {
namespace {

using testing::HasSubstr;

/// 2 min out, 1 min ways; the lamp takes 20 min, the paint 10; hard end `limit`. Nothing scatters.
std::string yard(const std::string& limit, const std::string& more = {}) {
    return R"(handrail = 1
[outing]
name = "Yard"
pet_zero = "2031-06-01T10:00:00Z"
[crew.EV1]
name = "Ada Brandt"
suit = "suit"
speed = "0.2 m/s"
[crew.EV2]
name = "Ben Corvo"
suit = "suit"
speed = "0.2 m/s"
[inside]
iv = "Cleo Dahl"
[rules]
limit = ")" +
           limit +
           R"("
margin = "0 min"
egress = "10 min"
ingress = "10 min"
clean_up = "5 min"
tether = "30 m"
[[suit]]
id = "suit"
kind = "umbilical"
[station]
name = "Yard"
airlock = "shed"
[[station.worksite]]
id = "shed"
position = ["0 m", "0 m", "0 m"]
[[station.worksite]]
id = "mast"
position = ["12 m", "0 m", "0 m"]
[[station.route]]
between = ["shed", "mast"]
length = "12 m"
[[item]]
id = "wrench"
at = "mast"
[risk]
day = "0 %"
person = "0 %"
metabolic = "0 %"
translation = { median = 1, sigma = 0 }
handling = { median = 1, sigma = 0 }
airlock = { median = 1, sigma = 0 }
[risk.work]
tools = { spread = "none" }
[[task]]
id = "lamp"
name = "Mend the lamp"
class = "required"
lead = "EV1"
[[task.step]]
name = "mend"
at = "mast"
duration = "20 min"
needs = ["wrench"]
[[task]]
id = "paint"
name = "Paint the mast"
value = 3
lead = "EV2"
[[task.step]]
name = "paint"
at = "mast"
duration = "10 min"
)" + more;
}
constexpr const char* stuck =
    "[[risk.trouble]]\nname = \"stuck bolt\"\nprobability = \"100 %\"\nextra = { low = \"30 min\", likely = \"30 "
    "min\", "
    "high = \"30 min\" }\nsteps = [\"lamp.1\"]\n";
constexpr const char* lost =
    "[[risk.trouble]]\nname = \"dropped\"\nkind = \"lost\"\nprobability = \"100 %\"\nextra = \"2 min\"\nsteps = "
    "[\"lamp.1\"]\n";

TEST(Debrief, ADayAsPlannedReachesTheBestPossible) {
    const auto rehearsal = led(from_text(yard("2 h")), Level::mild, 1);
    const Debrief d = debriefed(*rehearsal);
    // 10 min egress, 1 min out, 20 min lamp, 1 min home, 5 min clean-up, 10 min ingress.
    EXPECT_EQ(d.in_at, Pet{Seconds{47 * 60}});
    EXPECT_EQ(d.margin(), Seconds{73 * 60});
    EXPECT_EQ(d.reached.required, 1);
    EXPECT_EQ(d.reached.value, 3);
    EXPECT_EQ(d.best.required, 1);
    EXPECT_EQ(d.best.value, 3);
    EXPECT_FALSE(d.suit_left[0]) << "nothing limits a suit on a hose";
    EXPECT_TRUE(d.intact());
}

TEST(Debrief, AStuckBoltIsToldWithItsTime) {
    const auto rehearsal = led(from_text(yard("2 h", stuck)), Level::mild, 1);
    const Debrief d = debriefed(*rehearsal);
    ASSERT_EQ(d.struck.size(), 1U);
    EXPECT_EQ(d.struck[0].extra, Seconds{30 * 60});
    EXPECT_EQ(d.struck[0].at, Pet{Seconds{21 * 60}}) << "half-way through the step";
    EXPECT_EQ(d.in_at, Pet{Seconds{78 * 60}}) << "30 min later, and a look at the gloves before coming home";
    EXPECT_EQ(d.reached.required, 1);
    EXPECT_THAT(print(rehearsal->outing(), d), HasSubstr("PET 00:21: mend (lamp.1), 30 min longer."));
}

TEST(Debrief, WhatCannotBeDoneInHindsightIsNotHeldAgainstTheLead) {
    const auto rehearsal = led(from_text(yard("2 h", lost)), Level::mild, 1);
    const Debrief d = debriefed(*rehearsal);
    EXPECT_EQ(d.reached.required, 0);
    EXPECT_EQ(d.best.required, 0) << "the wrench is lost whenever the lamp is mended";
    EXPECT_EQ(d.reached.value, 3);
    EXPECT_EQ(d.best.value, 3);
    ASSERT_TRUE(d.struck[0].lost);
    EXPECT_THAT(print(rehearsal->outing(), d), HasSubstr("wrench lost"));
}

TEST(Debrief, TheBestPossibleKnowsTheTroubleBeforehand) {
    // 60 min: the lamp needs 50 min with its bolt, and 27 min go for the ways and the hatch. The paint alone fits.
    const auto rehearsal = led(from_text(yard("60 min", stuck)), Level::mild, 1);
    const Debrief d = debriefed(*rehearsal);
    EXPECT_EQ(d.best.required, 0);
    EXPECT_EQ(d.best.value, 3);
    EXPECT_EQ(d.reached.required, 0);
    EXPECT_EQ(d.reached.value, 3);
    EXPECT_TRUE(d.intact()) << "the lead comes home with the lamp unmended";
}

TEST(Debrief, PressingOnTooLongIsCalledTooLate) {
    const Planned p = from_text(yard("70 min", stuck));
    rehearse::Setup setup;
    setup.level = Level::mild;
    Rehearsal rehearsal(p.source, p.plan, setup);
    rehearsal.hear({live::Position{1}, rehearsal.opening(), {}});
    rehearsal.advance(Pet{} + std::chrono::hours{3});  // nobody says anything
    const Debrief d = debriefed(rehearsal);
    EXPECT_EQ(d.margin(), Seconds{-8 * 60});
    EXPECT_FALSE(d.intact());
    EXPECT_FALSE(d.impossible);
    ASSERT_FALSE(d.late.empty());
    EXPECT_EQ(d.late[0].at, Pet{Seconds{61 * 60}}) << "when the lamp was done";
    EXPECT_EQ(d.late[0].by, Pet{Seconds{53 * 60}}) << "70 min less 1 min glove check, 1 min way, 5 and 10 min";
    EXPECT_THAT(print(rehearsal.outing(), d), HasSubstr("TOO LATE"));
}

TEST(Debrief, AnAgreedDecisionTimePassedOverIsNamed) {
    const auto rehearsal = led(from_text(yard("2 h")), Level::mild, 1);
    DebriefOptions options;
    options.iterations = 10;
    risk::Gate gate;
    gate.task = TaskId{1};
    gate.begin_until = Pet{Seconds{300}};
    options.gates = {gate};
    const Debrief d = debrief(*rehearsal, options);
    ASSERT_EQ(d.late.size(), 1U);
    EXPECT_EQ(d.late[0].by, Pet{Seconds{300}});
    EXPECT_EQ(d.late[0].at, Pet{Seconds{660}});
    EXPECT_THAT(d.late[0].what, HasSubstr("Paint the mast"));
}

TEST(Debrief, ItsJsonCarriesTheSameFigures) {
    const auto rehearsal = led(from_text(yard("2 h", stuck)), Level::mild, 4);
    const Debrief d = debriefed(*rehearsal);
    const auto json = nlohmann::json::parse(to_json(rehearsal->outing(), d));
    EXPECT_EQ(json["format"], "handrail-debrief");
    EXPECT_EQ(json["in_at_pet_s"], 78 * 60);
    EXPECT_EQ(json["reached"]["tasks"], nlohmann::json({"lamp", "paint"}));
    EXPECT_EQ(json["troubles"][0]["extra_s"], 1800);
    EXPECT_EQ(json["caution"], caution);
    EXPECT_THAT(to_markdown(rehearsal->outing(), d), HasSubstr("## What went wrong\n\n- PET 00:21"));
}

}  // namespace
}  // namespace handrail::rehearse
