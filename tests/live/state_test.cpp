#include "live/state.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "day_under_test.h"

namespace handrail::live {
namespace {

using plan::ItemPlace;
using plan::StepStatus;
using testing::HasSubstr;

StepStatus state_of(const DayUnderTest& t, const Day& day, const std::string& label) {
    return day.situation.steps[index(t.step(label))];
}

TEST(State, BeforeAnythingIsLoggedEveryoneIsInTheAirlock) {
    const auto t = yard();
    const Day day = t->day("-00:30");
    EXPECT_EQ(day.phase, Phase::planned);
    EXPECT_FALSE(day.pet_running);
    EXPECT_EQ(day.at[0], t->site("shed"));
    EXPECT_EQ(day.pet_now(), pet(Seconds{-1800}));
    EXPECT_TRUE(day.plan.has_value());
}

TEST(State, AnOverduePetZeroSlipsThePlanButNotTheWindows) {
    const auto t = yard();
    const Day day = t->day("00:30");
    EXPECT_EQ(day.pet_zero, t->outing().pet_zero + Seconds{1800});
    EXPECT_EQ(day.pet_now(), Pet{});
    // Coverage ended an hour after the planned PET zero; half an hour of that is gone.
    EXPECT_EQ(day.windows.of("coverage", "").back().to(), pet(Seconds{1800}));
}

TEST(State, AStepThatRunsPutsItsPersonThereWithWhatThePlanSaysTheyBring) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1");
    const Day day = t->day("00:18");
    EXPECT_EQ(state_of(*t, day, "lamp.1"), StepStatus::running);
    EXPECT_EQ(day.at[0], t->site("mast"));
    const ItemPlace& bag = day.items[index(t->item("bag-2"))];
    const ItemPlace& wrench = day.items[index(t->item("wrench"))];
    const bool brought = (bag.where == ItemPlace::Where::carried && wrench.where == ItemPlace::Where::in_bag) ||
                         wrench.where == ItemPlace::Where::carried;
    EXPECT_TRUE(brought);
    EXPECT_EQ(day.expected_end[index(t->step("lamp.1"))], pet(Seconds{26 * 60}));
    // The walk and the pick-up were not logged, and say so.
    int assumed = 0;
    for (const AsRun& run : day.as_run)
        if (run.assumed && run.activity.on(Lane::ev1)) ++assumed;
    EXPECT_GE(assumed, 2);
}

TEST(State, MovesBetweenStepsNeverOverlapWhatWasLogged) {
    const auto t = yard();
    // Two minutes are far less than the walk takes; the record is right all the same.
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:12", "EV1 started lamp.1");
    const Day day = t->day("00:14");
    for (const Crew crew : both_crew) {
        Pet free{};
        for (const AsRun& run : day.as_run) {
            if (!run.activity.on(lane_of(crew))) continue;
            EXPECT_GE(run.activity.start, free);
            free = run.activity.end();
        }
    }
}

TEST(State, WhoIsFreeIsTakenToGoOnAsPlannedUntilToldOtherwise) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const Day soon = t->day("00:10:20");
    const bool moving = std::ranges::any_of(soon.as_run, [](const AsRun& run) { return run.running && run.assumed; });
    EXPECT_TRUE(moving);
    // Ten minutes later the walk is over, and nothing more is assumed: no step begins by itself.
    const Day later = t->day("00:25");
    for (const AsRun& run : later.as_run) EXPECT_FALSE(run.activity.step.has_value());
    EXPECT_EQ(later.at[0], t->site("mast"));
}

TEST(State, AHoldStopsWhatIsAssumed) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:10", "hold looking at a glove");
    EXPECT_EQ(t->day("00:25").at[0], t->site("shed"));
    t->say("00:30", "resume");
    EXPECT_EQ(t->day("00:45").at[0], t->site("mast"));
}

TEST(State, EffectsOfAFinishedStepAreWhereTheyBelong) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1").say("00:26", "done");
    t->say("00:30", "started lamp.2").say("00:44", "done");
    const Day day = t->day("00:44");
    EXPECT_EQ(day.items[index(t->item("lamp"))].where, ItemPlace::Where::installed);
    EXPECT_EQ(day.items[index(t->item("lamp"))].site, t->site("mast"));
    EXPECT_EQ(day.at[1], t->site("mast"));
}

TEST(State, ARunningStepHasEndedInTheSituationButNotForTheReader) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1").say("00:26", "done");
    t->say("00:30", "started lamp.2");
    const Day day = t->day("00:32");
    EXPECT_EQ(day.situation.items[index(t->item("lamp"))].where, ItemPlace::Where::installed);
    EXPECT_NE(day.items[index(t->item("lamp"))].where, ItemPlace::Where::installed);
    EXPECT_EQ(day.situation.crew[0].free_at, pet(Seconds{45 * 60}));
}

TEST(State, AStepThatTakesLongerThanThoughtIsExpectedToEndNow) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1");
    EXPECT_EQ(t->day("00:40").expected_end[index(t->step("lamp.1"))], pet(Seconds{40 * 60}));
    t->say("00:40", "lamp.1 stuck, +10 min");
    EXPECT_EQ(t->day("00:40").expected_end[index(t->step("lamp.1"))], pet(Seconds{40 * 60}));
    t->say("00:41", "lamp.1 +20 min");
    EXPECT_EQ(t->day("00:41").expected_end[index(t->step("lamp.1"))], pet(Seconds{56 * 60}));
}

TEST(State, StartingTheNextStepEndsTheOneBefore) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("00:16", "EV1 started lamp.1")
        .say("00:30", "started lamp.2");
    const Day day = t->day("00:31");
    EXPECT_EQ(state_of(*t, day, "lamp.1"), StepStatus::done);
    const auto ended =
        std::ranges::find_if(day.as_run, [&](const AsRun& run) { return run.activity.step == t->step("lamp.1"); });
    ASSERT_NE(ended, day.as_run.end());
    EXPECT_TRUE(ended->end_assumed);
    EXPECT_LE(ended->activity.end(), pet(Seconds{30 * 60}));
}

TEST(State, AFinishWithoutAStartBeganWhenItCouldHave) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:30", "finished lamp.1");
    const Day day = t->day("00:30");
    EXPECT_EQ(state_of(*t, day, "lamp.1"), StepStatus::done);
    EXPECT_EQ(day.situation.step_start[index(t->step("lamp.1"))], pet(Seconds{20 * 60}));
}

TEST(State, ABackDatedEntryIsAppliedWhenItHappened) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("00:30", "note late")
        .say("00:30", "EV1 started lamp.1 at 00:16");
    EXPECT_EQ(t->day("00:31").situation.step_start[index(t->step("lamp.1"))], pet(Seconds{16 * 60}));
    // Looked at as of a moment before it happened, it had not.
    EXPECT_EQ(state_of(*t, t->day("00:15"), "lamp.1"), StepStatus::to_do);
}

TEST(State, TheLastPetZeroCountsForTheWholeDay) {
    const auto t = yard();
    t->say("00:05", "pet zero");
    EXPECT_EQ(t->day("00:10").pet_zero, t->outing().pet_zero + Seconds{300});
    t->say("00:01", "fix 2 at 2031-06-01T10:04:00Z");
    EXPECT_EQ(t->day_at(t->outing().pet_zero + Seconds{900}).pet_zero, t->outing().pet_zero + Seconds{240});
}

TEST(State, AStepBeforePetZeroChangesNothingAndSaysSo) {
    const auto t = yard();
    t->say("-00:10", "EV1 started lamp.1");
    const Day day = t->day("-00:05");
    EXPECT_EQ(state_of(*t, day, "lamp.1"), StepStatus::to_do);
    ASSERT_EQ(day.unapplied.size(), 1u);
    EXPECT_THAT(day.unapplied.front().why, HasSubstr("PET zero"));
}

TEST(State, AMoveUnderWayAtAnEntryIsOverOnceItsTimeIsUp) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const auto moving = [&](const std::string& pet) {
        return std::ranges::count_if(t->day(pet).as_run, [](const AsRun& run) { return run.running && run.assumed; });
    };
    ASSERT_GT(moving("00:10:20"), 0);
    t->say("00:10:20", "wrench lost");
    EXPECT_GT(moving("00:10:20"), 0);
    for (const char* later : {"00:13", "00:20"}) {
        const Day day = t->day(later);
        for (const AsRun& run : day.as_run)
            EXPECT_FALSE(run.running && run.activity.end() <= day.pet_now()) << title(t->outing(), run.activity);
    }
}

TEST(State, PeopleAndItemsGoWhereTheyAreSaidToBe) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("00:20", "EV2 at Bench")
        .say("00:20", "lamp left at bench");
    t->say("00:21", "wrench lost").say("00:21", "bag 2 with EV2");
    const Day day = t->day("00:21");
    EXPECT_EQ(day.at[1], t->site("bench"));
    EXPECT_EQ(day.items[index(t->item("lamp"))].site, t->site("bench"));
    EXPECT_EQ(day.items[index(t->item("wrench"))].where, ItemPlace::Where::lost);
    EXPECT_EQ(day.items[index(t->item("bag-2"))].carrier, Crew::ev2);
}

TEST(State, AReadingSetsWhatTheSuitHas) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:40", "reading EV1 oxygen 0.40 kg");
    const Day day = t->day("00:40");
    const double computed = 0.55 - t->day("00:39").suit[0].used[index(lifesupport::Consumable::oxygen)];
    const double left = 0.55 - day.suit[0].used[index(lifesupport::Consumable::oxygen)];
    // Between what was computed and what was read, nearer the reading.
    EXPECT_LT(std::abs(left - 0.40), std::abs(computed - 0.40) / 2);
}

TEST(State, APersonsSuitDrawsWhatTheirRecordSays) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1").say("00:26", "done");
    const Day day = t->day("00:26");
    // Added up on paper from the record: every activity at its effort, waits at rest, daylight from 00:20 on.
    double oxygen = 0;
    Pet from{};
    const SuitType& suit = t->outing().suit_of(Crew::ev1);
    const auto draw = [&](Pet to, Effort effort) {
        const bool lit = from + (to - from) / 2 >= pet(Seconds{20 * 60});
        const Watts rate = lifesupport::metabolic_rate(t->outing().rules, t->outing().person(Crew::ev1), effort);
        oxygen += lifesupport::draw_per_second(suit, rate, lit)[index(lifesupport::Consumable::oxygen)] *
                  static_cast<double>((to - from).count()) / 1000;
        from = to;
    };
    for (const AsRun& run : day.as_run) {
        if (!run.activity.on(Lane::ev1)) continue;
        if (run.activity.start > from) draw(run.activity.start, Effort::rest);
        draw(std::min(run.activity.end(), pet(Seconds{26 * 60})), effort_of(t->outing(), run.activity, run.load[0]));
    }
    EXPECT_NEAR(day.suit[0].used[index(lifesupport::Consumable::oxygen)], oxygen, 1e-9);
}

TEST(State, ComingInEndsWithBothInside) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("01:00", "clean-up")
        .say("01:06", "ingress")
        .say("01:17", "hatch closed");
    const Day day = t->day("01:20");
    EXPECT_TRUE(day.situation.crew[0].inside_again);
    EXPECT_FALSE(day.outside[0]);
    EXPECT_EQ(day.phase, Phase::repress);
    EXPECT_EQ(day.as_run.back().activity.kind, ActivityKind::ingress);
    EXPECT_EQ(day.as_run.back().activity.duration, Seconds{11 * 60});
}

TEST(State, AHatchClosedWithoutMoreWordsHasCleanUpAndIngressBeforeIt) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("01:17", "hatch closed");
    const Day day = t->day("01:20");
    ASSERT_GE(day.as_run.size(), 3u);
    EXPECT_EQ(day.as_run.back().activity.kind, ActivityKind::ingress);
    EXPECT_EQ(day.as_run.back().activity.end(), pet(Seconds{77 * 60}));
    EXPECT_EQ(day.as_run[day.as_run.size() - 2].activity.kind, ActivityKind::clean_up);
}

TEST(State, TheSameJournalGivesTheSameBytes) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:12", "egress done")
        .say("00:16", "EV1 started lamp.1")
        .say("00:20", "hold private reason");
    t->say("00:24", "resume")
        .say("00:29", "done")
        .say("00:30", "fix 4 at 00:15")
        .say("00:31", "reading EV2 battery 90 %");
    const std::string first = to_json(t->outing(), t->day("00:35"));
    EXPECT_EQ(first, to_json(t->outing(), t->day("00:35")));
    // Also after a trip through the text form.
    std::vector<Recorded> again;
    for (const Recorded& recorded : t->entries())
        again.push_back({recorded.position, std::get<Entry>(read_entry(to_json(recorded.entry))), {}});
    EXPECT_EQ(first, to_json(t->outing(), fold(t->outing(), t->windows(), again, t->utc("00:35"))));
}

TEST(State, AClockSetBackHidesNothing) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    EXPECT_EQ(moment(t->entries(), t->utc("00:05")), t->utc("00:10"));
    EXPECT_EQ(moment(t->entries(), t->utc("00:15")), t->utc("00:15"));
}

// ---- corrections

TEST(Corrections, AStruckEntryNeverWas) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("00:16", "EV1 started lamp.1")
        .say("00:17", "fix 4 undo");
    const Day day = t->day("00:18");
    EXPECT_EQ(state_of(*t, day, "lamp.1"), StepStatus::to_do);
    EXPECT_FALSE(day.in_force[3]);
}

TEST(Corrections, StrikingACorrectionBringsBackWhatItCorrected) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1");
    t->say("00:17", "fix 4 undo").say("00:18", "fix 5 undo");
    EXPECT_EQ(state_of(*t, t->day("00:18"), "lamp.1"), StepStatus::running);
}

TEST(Corrections, ReplacingAReplacementLeavesOneInForce) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "EV1 started lamp.1");
    t->say("00:17", "fix 4 EV2 started paint.1").say("00:18", "fix 5 EV1 started paint.1");
    const Day day = t->day("00:18");
    EXPECT_EQ(state_of(*t, day, "lamp.1"), StepStatus::to_do);
    EXPECT_EQ(state_of(*t, day, "paint.1"), StepStatus::running);
    EXPECT_EQ(day.situation.lead[index(find_task(t->outing(), "paint").value())], Crew::ev1);
    EXPECT_THAT(day.in_force, testing::ElementsAre(true, true, true, false, false, true));
}

TEST(Corrections, UndoTakesBackAStepWithAllItsEntries) {
    const auto t = yard();
    t->say("00:00", "pet zero")
        .say("00:10", "egress done")
        .say("00:16", "EV1 started lamp.1")
        .say("00:26", "done")
        .say("00:27", "undo lamp.1");
    EXPECT_EQ(state_of(*t, t->day("00:28"), "lamp.1"), StepStatus::to_do);
    // And it can be done again.
    t->say("00:30", "EV1 started lamp.1");
    EXPECT_EQ(state_of(*t, t->day("00:31"), "lamp.1"), StepStatus::running);
}

TEST(Corrections, AreNeverWiderThanWhatTheyCorrect) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done").say("00:16", "hold private pulse is high");
    Entry wide = t->entries().back().entry;
    wide.corrects = Position{4};
    wide.visibility = Visibility::everyone;
    t->add(wide);
    EXPECT_EQ(t->day("00:17").entry_visibility.back(), Visibility::medical);
    EXPECT_EQ(t->day("00:17").holds.front().visibility, Visibility::medical);
}

}  // namespace
}  // namespace handrail::live
