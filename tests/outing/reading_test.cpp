#include <gtest/gtest.h>

#include "outing/rules_defaults.h"
#include "support/small_outing.h"

namespace handrail {
namespace {

StepId step_named(const Outing& outing, const std::string& label) {
    for (const Step& step : outing.steps)
        if (step.label == label) return step.id;
    ADD_FAILURE() << "no step " << label;
    return {};
}

/// "fit.1 < fit.fix + 5 min" and the like, one a line.
std::vector<std::string> orders_of(const Outing& outing) {
    std::vector<std::string> lines;
    for (const Order& order : outing.orders) {
        std::string line =
            outing.step(order.before).label + (order.starts_together ? " = " : " < ") + outing.step(order.after).label;
        if (order.gap > Seconds{0}) line += " gap " + print_duration(order.gap);
        if (order.within) line += " within " + print_duration(*order.within);
        lines.push_back(line);
    }
    return lines;
}

TEST(Reading, TheSmallOutingIsReadAsWritten) {
    const Outing outing = test::SmallOuting{}.outing();
    EXPECT_EQ(outing.name, "Small outing");
    EXPECT_EQ(print_utc(outing.pet_zero), "2031-04-05T08:30:00Z");
    ASSERT_EQ(outing.station.worksites.size(), 3U);
    EXPECT_EQ(outing.station.worksites[1].name, "Equipment bay");
    EXPECT_EQ(outing.station.worksites[2].name, "tip");
    EXPECT_TRUE(outing.worksite(outing.station.airlock).anchor) << "everyone starts anchored at the airlock";
    EXPECT_EQ(outing.station.worksites[2].position_station_m.x, 20);
    EXPECT_EQ(outing.station.worksites[1].normal_station.z, -1);
    EXPECT_EQ(outing.station.routes[0].length, Metres{12});
    EXPECT_EQ(outing.person(Crew::ev2).name, "Ben Probe");
    EXPECT_EQ(outing.suit_of(Crew::ev1).kind, SuitType::Kind::umbilical);
    EXPECT_EQ(outing.items[1].in, static_cast<ItemId>(0));
    ASSERT_EQ(outing.steps.size(), 4U);
    const Step& fix = outing.step(step_named(outing, "fit.fix"));
    EXPECT_EQ(fix.who, (std::vector{Role::lead, Role::helper}));
    EXPECT_EQ(fix.duration.low, std::chrono::minutes{8});
    EXPECT_EQ(fix.duration.high, std::chrono::minutes{20});
    EXPECT_EQ(fix.place.line, 72) << "of its [[task.step]]";
    EXPECT_EQ(outing.tasks[1].task_class, TaskClass::wanted);
    EXPECT_EQ(orders_of(outing), (std::vector<std::string>{"fit.1 < fit.fix", "look.1 < look.2"}));
}

TEST(Reading, OneDurationGetsItsSpread) {
    const Duration3 duration = test::SmallOuting{}.outing().steps[0].duration;  // 10 min
    EXPECT_EQ(duration.low, Seconds{510});
    EXPECT_EQ(duration.likely, Seconds{600});
    EXPECT_EQ(duration.high, Seconds{1080});
}

TEST(Reading, RulesLeftOutAreTheDefaults) {
    const Rules rules = test::SmallOuting{}.outing().rules;
    EXPECT_EQ(rules.limit, std::chrono::minutes{390});
    EXPECT_EQ(rules.tether, Metres{26});
    EXPECT_EQ(rules.effort_watts[static_cast<std::size_t>(Effort::forced)], Watts{372});
    EXPECT_FALSE(rules.egress_by);
}

TEST(Reading, RulesOfTheFileOverrideTheDefaults) {
    const Rules rules = test::SmallOuting{}
                            .add(
                                "[rules]\nlimit = \"5 h\"\negress_by = \"2031-04-05T09:10:00Z\"\npace = { careful = "
                                "0.5 }\neffort = { tools = \"200 kcal/h\" }\n")
                            .outing()
                            .rules;
    EXPECT_EQ(rules.limit, std::chrono::hours{5});
    EXPECT_EQ(rules.egress_by, pet(std::chrono::minutes{40}));
    EXPECT_EQ(rules.pace_factor[static_cast<std::size_t>(Pace::careful)], 0.5);
    EXPECT_EQ(rules.pace_factor[static_cast<std::size_t>(Pace::normal)], 1.0);
    EXPECT_NEAR(rules.effort_watts[static_cast<std::size_t>(Effort::tools)].value(), 232.6, 1e-9);
}

TEST(Reading, AStepMayFreeItselfFromTheOneBeforeIt) {
    test::SmallOuting small;
    small.with("id = \"fix\"", "id = \"fix\"\nafter = []")
        .with("name = \"Look from the left\"",
              "name = \"Look from the left\"\nafter = [\"fit.fix\"]\ngap = \"5 min\"\nwithin = \"20 min\"");
    EXPECT_EQ(orders_of(small.outing()),
              (std::vector<std::string>{"fit.fix < look.1 gap 5 min within 20 min", "look.1 < look.2"}));
}

TEST(Reading, WithinMayNameAnotherStepInWordsOrAsATable) {
    test::SmallOuting small;
    small.with("name = \"Look from the left\"", "name = \"Look from the left\"\nwithin = \"1 h of fit.1\"")
        .with("name = \"Look from the right\"",
              "name = \"Look from the right\"\nwithin = { time = \"10 min\", of = \"1\" }");
    EXPECT_EQ(orders_of(small.outing()), (std::vector<std::string>{"fit.1 < fit.fix", "fit.1 < look.1 within 1 h",
                                                                   "look.1 < look.2 within 10 min"}));
}

TEST(Reading, WhatFollowsAPairThatStartsTogetherWaitsForBoth) {
    test::SmallOuting small;
    small
        .with("name = \"Look from the right\"\nat = \"tip\"",
              "name = \"Hold the lamp\"\nwho = \"helper\"\ntogether = \"1\"\nat = \"tip\"")
        .add("[[task.step]]\nname = \"Leave\"\nduration = \"1 min\"\n");
    EXPECT_EQ(orders_of(small.outing()),
              (std::vector<std::string>{"fit.1 < fit.fix", "look.1 = look.2", "look.2 < look.3", "look.1 < look.3"}));
}

TEST(Reading, AStepWithItsOwnNameMayAlsoBeCalledByItsNumber) {
    test::SmallOuting small;
    small.with("name = \"Look from the left\"", "name = \"Look from the left\"\nafter = [\"fit.2\"]");
    EXPECT_EQ(orders_of(small.outing())[1], "fit.fix < look.1");
}

TEST(Reading, TwoTasksThatExcludeEachOtherMayInstallTheSameItem) {
    test::SmallOuting small;
    small.with("effort = \"light\"", "effort = \"light\"\ninstalls = [\"part\"]")
        .with("value = 3", "value = 3\nnot_with = [\"fit\"]");
    EXPECT_TRUE(small.read().ok());
}

TEST(Reading, ConditionsOfTheOrbitNeedNoWindows) {
    test::SmallOuting small;
    small
        .with("name = \"Look from the left\"",
              "name = \"Look from the left\"\nduring = [\"daylight\", \"coverage\", \"lit\"]\nnot_during = [\"glare\", "
              "\"shadowed\"]")
        .add(
            "[orbit]\ntle = \"\"\"\n1 x\n2 y\n\"\"\"\n\n[[coverage.relay]]\nname = \"Relay\"\nlongitude = \"-46 "
            "deg\"\n");
    const Result<Outing> outing = small.read();
    ASSERT_TRUE(outing.ok()) << print(outing.errors().front());
    EXPECT_EQ(outing.value().orbit->text, "1 x\n2 y\n");
    EXPECT_FALSE(outing.value().coverage.relays[0].cone);
}

TEST(Reading, FiveHundredTasksAreNoTrouble) {
    test::SmallOuting small;
    for (int task = 0; task < 498; ++task) {
        const std::string id = "t" + std::to_string(task);
        std::string text = "[[task]]\nid = \"" + id + "\"\nname = \"Task " + id + "\"\n";
        if (task > 0) text += "after = [\"t" + std::to_string(task - 1) + "\"]\n";
        for (int step = 0; step < 10; ++step)
            text += "[[task.step]]\nname = \"Do\"\nat = \"bay\"\nduration = \"5 min\"\n";
        small.add(text);
    }
    const Result<Outing> outing = small.read();
    ASSERT_TRUE(outing.ok()) << print(outing.errors().front());
    EXPECT_EQ(outing.value().tasks.size(), 500U);
    EXPECT_EQ(outing.value().steps.size(), 4984U);
}

TEST(Model, AWalkTakesItsLengthAtThePersonsPaceRoundedUp) {
    const Outing outing = test::SmallOuting{}.outing();
    Route route = outing.station.routes[1];               // 10 m, normal
    const CrewMember& person = outing.person(Crew::ev1);  // 0.2 m/s
    EXPECT_EQ(translation_time(outing.rules, person, route, SizeClass::medium), Seconds{50});
    EXPECT_EQ(translation_time(outing.rules, person, route, SizeClass::large), Seconds{125});  // at 40 %
    route.pace = Pace::careful;
    EXPECT_EQ(translation_time(outing.rules, person, route, SizeClass::small), Seconds{67});  // 66.67 s
}

TEST(Model, AStepIsPlannedForItsSlowestParticipant) {
    const Outing outing =
        test::SmallOuting{}.with("name = \"Ben Probe\"", "name = \"Ben Probe\"\nexperience_factor = 1.1").outing();
    const Step& alone = outing.steps[0];  // 10 min, lead
    EXPECT_EQ(planned_duration(outing, alone, Crew::ev1), Seconds{600});
    EXPECT_EQ(planned_duration(outing, alone, Crew::ev2), Seconds{660});
    EXPECT_EQ(planned_duration(outing, outing.steps[1], Crew::ev1), Seconds{792});  // 12 min, both
}

TEST(Model, AStepTakesTheLanesOfItsRolesAndTheArm) {
    Step step = test::SmallOuting{}.outing().steps[1];
    EXPECT_EQ(crew_in(step, Crew::ev2), (std::vector{Crew::ev2, Crew::ev1}));
    EXPECT_EQ(lanes_of(step, Crew::ev2), (std::vector{Lane::ev1, Lane::ev2}));
    step.who = {Role::lead, Role::iv};
    step.arm = ArmUse::ride;
    EXPECT_EQ(lanes_of(step, Crew::ev2), (std::vector{Lane::ev2, Lane::arm, Lane::iv}));
    step.who = {Role::ground};
    step.arm = ArmUse::none;
    EXPECT_TRUE(crew_in(step, Crew::ev1).empty());
    EXPECT_EQ(lanes_of(step, Crew::ev1), std::vector{Lane::ground});
}

TEST(Model, AnArmMoveIsSetUpPlusTheStraightWay) {
    const Outing outing = test::SmallOuting{}
                              .add(
                                  "[station.arm]\nbase = [\"10 m\", \"0 m\", \"-3 m\"]\nreach = \"11 m\"\nspeed = "
                                  "\"0.15 m/s\"\nsetup = \"2 min\"\nparked = \"bay\"\n")
                              .outing();
    const WorksiteId bay{1};
    const WorksiteId tip{2};
    EXPECT_EQ(arm_move_time(outing.station, bay, tip), Seconds{120 + 67});  // 10 m at 0.15 m/s: 66.7 s
    EXPECT_EQ(arm_move_time(outing.station, bay, bay), Seconds{0});
    EXPECT_TRUE(arm_reaches(outing.station, tip)) << "10.44 m";
    EXPECT_TRUE(arm_reaches(outing.station, outing.station.airlock));
}

TEST(Model, AWorksiteWithoutAListOfItsOwnFollowsTheStation) {
    WindowTable table;
    table.set("lit", "", {Window{pet(Seconds{0}), pet(Seconds{100})}});
    table.set("lit", "tip", {Window{pet(Seconds{50}), pet(Seconds{60})}, Window{pet(Seconds{10}), pet(Seconds{20})}});
    EXPECT_EQ(table.of("lit", "bay").size(), 1U);
    ASSERT_EQ(table.of("lit", "tip").size(), 2U);
    EXPECT_EQ(table.of("lit", "tip")[0].from(), pet(Seconds{10}));
    EXPECT_TRUE(table.knows("lit"));
    EXPECT_FALSE(table.knows("li"));
    EXPECT_FALSE(table.knows("light"));
}

TEST(Errors, AreSentencesWithTheirPlace) {
    EXPECT_EQ(print({"outing.toml", "task \"Replace the camera\", step 2, duration", 12, 14,
                     "a time such as \"25 min\"", "25", "add the unit"}),
              "outing.toml:12:14: task \"Replace the camera\", step 2, duration: expected a time such as \"25 min\", "
              "found 25; add the unit");
    EXPECT_EQ(print({"outing.toml", "", 0, 0, "a text file", "a folder", "name a file in it"}),
              "outing.toml: expected a text file, found a folder; name a file in it");
}

}  // namespace
}  // namespace handrail
