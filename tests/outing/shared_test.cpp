#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/small_outing.h"

namespace handrail {
namespace {

using test::SmallOuting;
using testing::HasSubstr;

std::string errors_of(const SmallOuting& small) {
    const Result<Outing> read = small.read();
    if (read.ok()) return "no error";
    std::string all;
    for (const InputError& error : read.errors()) all += print(error) + "\n";
    return all;
}

const Step& step_of(const Outing& outing, std::string_view label) {
    for (const Step& step : outing.steps)
        if (step.label == label) return step;
    throw std::logic_error("no step " + std::string(label));
}

bool has_order(const Outing& outing, std::string_view before, std::string_view after) {
    for (const Order& order : outing.orders)
        if (!order.starts_together && outing.step(order.before).label == before &&
            outing.step(order.after).label == after)
            return true;
    return false;
}

TEST(Interrupt, ASplitStepBecomesPartsInARowAndWhatFollowsFollowsTheLast) {
    SmallOuting small;
    small.with("needs = [\"driver\"]", "needs = [\"driver\"]\ninterrupt = { every = \"4 min\", by = [\"look\"] }");
    const Outing outing = small.outing();
    ASSERT_EQ(outing.tasks[0].steps.size(), 4u);  // ten minutes in three parts, then the other step
    EXPECT_EQ(step_of(outing, "fit.1").duration.likely, Seconds{200});
    EXPECT_EQ(step_of(outing, "fit.1-part-3").duration.likely, Seconds{200});
    EXPECT_EQ(step_of(outing, "fit.1-part-2").continues, step_of(outing, "fit.1").id);
    EXPECT_EQ(step_of(outing, "fit.1-part-3").lets_in, std::vector{TaskId{1}});
    EXPECT_TRUE(has_order(outing, "fit.1", "fit.1-part-2"));
    EXPECT_TRUE(has_order(outing, "fit.1-part-3", "fit.fix"));
    EXPECT_FALSE(has_order(outing, "fit.1", "fit.fix"));
    EXPECT_EQ(step_of(outing, "fit.fix").label, "fit.fix");
}

TEST(Interrupt, ItemsGoToTheLastPartAndNamesKeepTheirNumbers) {
    SmallOuting small;
    small.with("installs = [\"part\"]", "installs = [\"part\"]\ninterrupt = { every = \"6 min\" }");
    small.with("name = \"Look from the left\"", "name = \"Look from the left\"\nafter = [\"fit.2\"]");
    const Outing outing = small.outing();
    EXPECT_TRUE(step_of(outing, "fit.fix").installs.empty());
    EXPECT_EQ(step_of(outing, "fit.fix").needs.size(), 1u);
    EXPECT_EQ(step_of(outing, "fit.fix-part-2").installs.size(), 1u);
    EXPECT_TRUE(has_order(outing, "fit.fix-part-2", "look.1"));  // "fit.2" is the step written second
}

TEST(WatchedFrom, TheOtherOneGetsAStepAsLongAsTheWatchedOne) {
    SmallOuting small;
    small.with("needs = [\"driver\"]", "needs = [\"driver\"]\nwatched_from = \"tip\"");
    const Outing outing = small.outing();
    const Step& watch = step_of(outing, "fit.1-watch");
    EXPECT_EQ(watch.who, std::vector{Role::helper});
    EXPECT_EQ(watch.watches, step_of(outing, "fit.1").id);
    EXPECT_EQ(outing.worksite(*watch.at).id, "tip");
    EXPECT_EQ(planned_duration(outing, watch, Crew::ev1),
              planned_duration(outing, step_of(outing, "fit.1"), Crew::ev1));
    SmallOuting both;
    both.with("installs = [\"part\"]", "installs = [\"part\"]\nwatched_from = \"tip\"");
    EXPECT_THAT(errors_of(both), HasSubstr("a step of one crew member"));
}

TEST(Inhibits, CommandConfirmationAndReleaseAreMadeSteps) {
    SmallOuting small;
    small.with("id = \"fix\"", "id = \"fix\"\ninhibits = [\"heater\"]");
    small.add(
        "[[inhibit]]\nid = \"heater\"\nname = \"Heater bus\"\ncommand = \"4 min\"\nduring = [\"heard\"]\n"
        "[[window]]\ncondition = \"heard\"\nfrom = \"00:00\"\nto = \"05:00\"\n");
    const Outing outing = small.outing();
    const Step& command = step_of(outing, "fit.inhibit-heater");
    EXPECT_EQ(command.who, std::vector{Role::ground});
    EXPECT_EQ(command.duration.likely, Seconds{240});
    EXPECT_EQ(command.during, std::vector<std::string>{"heard"});
    EXPECT_TRUE(has_order(outing, "fit.inhibit-heater", "fit.confirm-heater"));
    EXPECT_TRUE(has_order(outing, "fit.confirm-heater", "fit.fix"));
    EXPECT_TRUE(has_order(outing, "fit.fix", "fit.release-heater"));
    SmallOuting unknown;
    unknown.with("id = \"fix\"", "id = \"fix\"\ninhibits = [\"heeter\"]");
    EXPECT_THAT(errors_of(unknown), HasSubstr("heeter"));
}

TEST(Resources, AreReadAndTooMuchForOneStepIsAnError) {
    SmallOuting small;
    small.with("id = \"fix\"", "id = \"fix\"\nuses = [{ resource = \"bus\", amount = 200 }]");
    small.add("[[resource]]\nid = \"bus\"\ncapacity = 300\nunit = \"W\"\n");
    const Outing outing = small.outing();
    ASSERT_EQ(step_of(outing, "fit.fix").uses.size(), 1u);
    EXPECT_EQ(step_of(outing, "fit.fix").uses[0].amount, 200);
    small.with("amount = 200", "amount = 301");
    EXPECT_THAT(errors_of(small), HasSubstr("at most the 300 there are"));
}

TEST(TaskLinks, WithAndInsteadOfHoldBothWays) {
    SmallOuting with;
    with.with("value = 3", "value = 3\nwith = [\"fit\"]");
    EXPECT_EQ(with.outing().tasks[0].needs, std::vector{TaskId{1}});
    EXPECT_EQ(with.outing().tasks[1].needs, std::vector{TaskId{0}});
    SmallOuting instead;
    instead.with("value = 3", "value = 3\ninstead_of = [\"fit\"]");
    EXPECT_EQ(instead.outing().tasks[0].instead_of, std::vector{TaskId{1}});
    EXPECT_EQ(instead.outing().tasks[0].not_with, std::vector{TaskId{1}});
    SmallOuting both;
    both.with("value = 3", "value = 3\nwith = [\"fit\"]\nnot_with = [\"fit\"]");
    EXPECT_THAT(errors_of(both), HasSubstr("tasks that may be in one outing with it"));
}

TEST(Preferences, OneWishEach) {
    SmallOuting small;
    small.add("[[prefer]]\ntask = \"look\"\nlead = \"EV2\"\nworth = \"5 min\"\n");
    ASSERT_EQ(small.outing().preferences.size(), 1u);
    EXPECT_EQ(small.outing().preferences[0].lead, Crew::ev2);
    small.add("[[prefer]]\ntask = \"look\"\nlead = \"EV2\"\nends_by = \"03:00\"\nworth = \"5 min\"\n");
    EXPECT_THAT(errors_of(small), HasSubstr("one of lead, during, ends_by and starts_after"));
}

TEST(Items, StowingAndHandingOverAreCheckedAsTheFileIsRead) {
    SmallOuting small;
    small.with("installs = [\"part\"]", "stows = [\"part\"]\ninto = \"driver\"");
    EXPECT_THAT(errors_of(small), HasSubstr("a bag: an item with holds"));
    SmallOuting alone;
    alone.with("needs = [\"driver\"]", "hands_over = [\"driver\"]");
    EXPECT_THAT(errors_of(alone), HasSubstr("a step of lead and helper"));
    SmallOuting two;
    two.with("id = \"part\"", "id = \"part\"\ntwo_people = true");
    EXPECT_EQ(errors_of(two), "no error");
    two.with("who = [\"lead\", \"helper\"]\n", "");
    EXPECT_THAT(errors_of(two), HasSubstr("as the item takes two people"));
}

TEST(Quiet, PersonLimitsAndWishesOfTheCrewAreRead) {
    SmallOuting small;
    small.with("name = \"Ada Testa\"", "name = \"Ada Testa\"\nwork_limit = \"2 h\"\nheavy_total = \"1 h\"");
    small.add(
        "[[rules.quiet]]\ncondition = \"docking\"\nlanes = [\"EV1\", \"arm\"]\n"
        "[[window]]\ncondition = \"docking\"\nfrom = \"01:00\"\nto = \"01:10\"\n");
    const Outing outing = small.outing();
    EXPECT_EQ(outing.crew[0].work_limit, Seconds{7200});
    ASSERT_EQ(outing.rules.quiet.size(), 1u);
    EXPECT_EQ(outing.rules.quiet[0].lanes, (std::vector{Lane::ev1, Lane::arm}));
    small.add("[[rules.quiet]]\ncondition = \"undocking\"\n");
    EXPECT_THAT(errors_of(small), HasSubstr("undocking"));
}

TEST(ByHand, BelongsToARideOnly) {
    SmallOuting small;
    small.with("needs = [\"driver\"]", "by_hand = \"12 min\"");
    EXPECT_THAT(errors_of(small), HasSubstr("a step with arm = \"ride\""));
}

}  // namespace
}  // namespace handrail
