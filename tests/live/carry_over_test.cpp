#include "live/carry_over.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "check/check.h"
#include "day_under_test.h"

/// What a day that is over leaves for the next one.
namespace handrail::live {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

struct After {
    LeftOver left;
    EditedOuting next;
};
LeftOver left_of(const DayUnderTest& t, const std::string& pet) {
    const Status status = t.status(pet);
    EXPECT_TRUE(can_close(status.day));
    return left_over(t.outing(), status.day, close_out_of(t.outing(), t.entries(), status));
}
std::vector<OutingText> texts_of(const DayUnderTest& t) {
    return std::get<OutingOpened>(t.entries().front().entry.body).sources;
}
After after(const DayUnderTest& t, const std::string& pet) {
    LeftOver left = left_of(t, pet);
    auto next = only_what_is_left(texts_of(t), t.outing(), left);
    if (!next) throw std::runtime_error(print(next.errors().front()));
    return {std::move(left), std::move(next).value()};
}
std::string all(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += line + "\n";
    return text;
}
std::vector<std::string> labels(const Outing& outing) {
    std::vector<std::string> names;
    for (const Step& step : outing.steps) names.push_back(step.label);
    return names;
}
/// A plan of the next outing that breaks nothing.
void expect_planned(const Outing& outing) {
    const Timeline plan = plan_of(outing, 500);
    const auto findings = check(outing, windows_for(outing)(outing.pet_zero), plan);
    EXPECT_FALSE(any_broken(findings));
}

TEST(CarryOver, AScrubbedDayCarriesEverythingAndChangesNothing) {
    const auto t = yard();
    t->say("-00:10", "scrub weather");
    const After a = after(*t, "-00:05");
    EXPECT_EQ(a.next.texts.front().text, small_outing);
    EXPECT_EQ(a.left.tasks.size(), 2U);
    EXPECT_THAT(all(sentences(t->outing(), a.left)), HasSubstr("Carried over whole: Mend the lamp; Paint the bench."));
    expect_planned(a.next.outing);
}

TEST(CarryOver, AFinishedDayLeavesNothing) {
    const auto t = yard();
    t->follow_plan_until("03:00");
    const LeftOver left = left_of(*t, "03:00");
    EXPECT_TRUE(left.tasks.empty());
    EXPECT_EQ(left.done.size(), 2U);
}

TEST(CarryOver, WorkInsideSomethingClosedAgainOpensAndClosesItOnceMore) {
    const auto t = yard();
    t->follow_plan_until("00:10")
        .say("00:15", "EV1 started lamp.1")
        .say("00:27", "done")
        .say("00:28", "terminate cold");
    t->say("00:29", "EV1 started lamp.3").say("00:34", "done").say("01:06", "hatch closed");
    const After a = after(*t, "01:10");
    ASSERT_EQ(a.left.tasks.size(), 2U);
    EXPECT_THAT(a.left.tasks[0].left, ElementsAre(t->step("lamp.2")));
    EXPECT_THAT(a.left.tasks[0].again, ElementsAre(t->step("lamp.1"), t->step("lamp.3")));
    EXPECT_TRUE(a.left.open.empty());
    EXPECT_EQ(labels(a.next.outing), labels(t->outing()));
    expect_planned(a.next.outing);
}

TEST(CarryOver, WhatIsStillOpenIsNotOpenedAgain) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:15", "EV1 started lamp.1").say("00:27", "done").say("00:28", "abort leak");
    t->say("00:50", "hatch closed");
    const After a = after(*t, "01:00");
    EXPECT_THAT(labels(a.next.outing), ElementsAre("lamp.1", "lamp.2", "paint.1", "paint.2"));
    EXPECT_EQ(a.next.outing.step(StepId{0}).name, "fit the lamp");
    EXPECT_THAT(a.left.open, ElementsAre(t->site("mast")));
    EXPECT_THAT(all(sentences(t->outing(), a.left)), HasSubstr("Left open: Mast."));
    EXPECT_THAT(a.next.texts.front().text,
                HasSubstr("# begun in Yard outing: what is left of it\n[[task]]\nid = \"lamp\""));
    expect_planned(a.next.outing);
}

TEST(CarryOver, PartsAndToolsStartWhereTheyAre) {
    const auto t = yard();
    t->follow_plan_until("00:10")
        .say("00:15", "EV1 started paint.1")
        .say("00:25", "done")
        .say("00:26", "EV1 started paint.2");
    t->say("00:36", "done").say("00:38", "bag 2 left at bench").say("00:39", "lamp left at mast").say("00:40", "abort");
    t->say("01:00", "hatch closed");
    const After a = after(*t, "01:10");
    const Outing& next = a.next.outing;
    ASSERT_EQ(next.tasks.size(), 1U);
    EXPECT_EQ(next.item(find_item(next, "bag-2").value()).at, find_worksite(next, "bench"));
    EXPECT_EQ(next.item(find_item(next, "lamp").value()).at, find_worksite(next, "mast"));
    EXPECT_EQ(next.item(find_item(next, "wrench").value()).in, find_item(next, "bag-2"));
    const std::string said = all(sentences(t->outing(), a.left));
    EXPECT_THAT(said, HasSubstr("Now at Bench: Tool bag."));
    EXPECT_THAT(said, HasSubstr("Done, not carried over: Paint the bench."));
    expect_planned(next);
}

TEST(CarryOver, ALostToolThatIsNeededIsCountedOnAgainAndSaidSo) {
    const auto t = yard();
    t->follow_plan_until("00:10").say("00:12", "wrench lost").say("00:13", "abort").say("00:40", "hatch closed");
    const After a = after(*t, "01:00");
    const Item& wrench = a.next.outing.item(find_item(a.next.outing, "wrench").value());
    EXPECT_EQ(wrench.at, find_worksite(a.next.outing, "shed"));
    EXPECT_FALSE(wrench.in);
    EXPECT_THAT(a.next.texts.front().text,
                HasSubstr("# lost in Yard outing: bring another one\n[[item]]\nid = \"wrench\""));
    EXPECT_THAT(all(sentences(t->outing(), a.left)), HasSubstr("Lost and still needed: Wrench."));
}

TEST(CarryOver, WhatAJobInstalledLeavesTheList) {
    const auto t = yard();
    t->follow_plan_until("00:10")
        .say("00:15", "EV1 started lamp.1")
        .say("00:25", "done")
        .say("00:26", "started lamp.2");
    t->say("00:41", "done")
        .say("00:42", "EV1 started lamp.3")
        .say("00:47", "done")
        .say("00:48", "terminate")
        .say("01:10", "hatch closed");
    const After a = after(*t, "01:15");
    EXPECT_FALSE(find_item(a.next.outing, "lamp"));
    EXPECT_TRUE(find_item(a.next.outing, "wrench")) << "tools stay";
    ASSERT_EQ(a.next.outing.tasks.size(), 1U);
    EXPECT_EQ(a.next.outing.tasks[0].key, "paint");
}

TEST(CarryOver, NothingAnybodySaidGoesAlong) {
    const auto t = yard();
    const std::string marker = "PLANTED-WORDS";
    t->follow_plan_until("00:10").say("00:12", "note " + marker, Visibility::medical);
    t->say("00:13", "drop paint " + marker, Visibility::medical).say("00:14", "wrench lost");
    t->say("00:15", "terminate " + marker, Visibility::medical).say("00:40", "hatch closed");
    const After a = after(*t, "01:00");
    for (const OutingText& text : a.next.texts) EXPECT_THAT(text.text, Not(HasSubstr(marker)));
    EXPECT_THAT(all(sentences(t->outing(), a.left)), Not(HasSubstr(marker)));
    EXPECT_EQ(a.left.tasks.size(), 2U) << "a task the lead left out is left for the next outing";
}

/// The next outing as it might stand already: the yard, its people, one other job.
std::string next_outing() {
    std::string text = small_outing;
    text.resize(text.find("[[task]]"));
    return text + R"toml([[task]]
id = "sweep"
name = "Sweep the shed"
[[task.step]]
name = "sweep"
at = "shed"
duration = "5 min"
)toml";
}

TEST(CarryOver, AnOutingThatIsThereGetsTheJobsAndTheNewPlaces) {
    const auto t = yard();
    t->follow_plan_until("00:10")
        .say("00:11", "bag 2 left at bench")
        .say("00:15", "abort")
        .say("00:40", "hatch closed");
    const After a = after(*t, "01:00");
    const auto added = added_to({{"next.toml", next_outing()}}, a.next.texts, t->outing(), a.left);
    ASSERT_TRUE(added.ok()) << print(added.errors().front());
    const Outing& next = added.value().next.outing;
    ASSERT_EQ(next.tasks.size(), 3U);
    EXPECT_EQ(next.tasks[0].key, "sweep");
    EXPECT_EQ(next.item(find_item(next, "bag-2").value()).at, find_worksite(next, "bench"));
    EXPECT_TRUE(
        added.value().next.texts.front().text.starts_with("\nhandrail = 1\n[outing]\nname = \"Yard outing\"\n"));
    EXPECT_EQ(added.value().next.changed.size(), 1U);
    expect_planned(next);
    const auto again = added_to(added.value().next.texts, a.next.texts, t->outing(), a.left);
    ASSERT_TRUE(again.ok());
    EXPECT_EQ(again.value().there_already.size(), 2U);
    EXPECT_TRUE(again.value().next.changed.empty()) << "doing it twice changes nothing";
}

TEST(CarryOver, AJobTheNextOutingCannotTakeIsLeftAsideAndTheOthersGoIn) {
    const auto t = yard();
    t->say("-00:10", "scrub");
    const After a = after(*t, "-00:05");
    std::string text = next_outing();
    const std::string mast = "[[station.worksite]]\nid = \"mast\"";
    text.replace(text.find(mast), mast.size(), "[[station.worksite]]\nid = \"pole\"");
    text.replace(text.find("[\"bench\", \"mast\"]"), 17, "[\"bench\", \"pole\"]");
    const auto added = added_to({{"next.toml", text}}, a.next.texts, t->outing(), a.left);
    ASSERT_TRUE(added.ok()) << print(added.errors().front());
    ASSERT_EQ(added.value().refused.size(), 1U);
    EXPECT_EQ(t->outing().task(added.value().refused[0].task).key, "lamp");
    EXPECT_THAT(print(added.value().refused[0].why), HasSubstr("mast"));
    EXPECT_EQ(added.value().added.size(), 1U);
}

TEST(CarryOver, WhatTheGroundMadeSafeIsMadeSafeAgain) {
    const auto t = demo("larkspur");
    t->follow_plan_until("00:16")
        .say("00:30", "started valve.set-up")
        .say("00:38", "done")
        .say("00:38", "started valve.isolate");
    t->say("00:43", "done").say("00:43", "started valve.confirm").say("00:45", "done").say("00:46", "terminate");
    t->say("01:10", "hatch closed");
    const After a = after(*t, "01:15");
    const auto valve = std::ranges::find(a.left.tasks, find_task(t->outing(), "valve").value(), &TaskLeft::task);
    ASSERT_NE(valve, a.left.tasks.end());
    EXPECT_THAT(valve->again, ElementsAre(t->step("valve.isolate"), t->step("valve.confirm")));
    const auto now = labels(a.next.outing);
    EXPECT_EQ(now.front(), "valve.isolate");
    EXPECT_EQ(std::ranges::count(now, "valve.set-up"), 0);
}

TEST(CarryOver, WhereverADayIsCutOffWhatIsLeftIsAnOuting) {
    for (const char* name : {"larkspur", "pool"}) {
        const auto whole = demo(name);
        for (int minutes = 20; minutes <= 340; minutes += 40) {
            const auto t =
                std::make_unique<DayUnderTest>(OutingWithTexts{whole->outing(), texts_of(*whole)}, whole->planned());
            const auto pet = [&](int m) { return print_pet(Pet{Seconds{m * 60}}); };
            t->follow_plan_until(pet(minutes));
            if (t->day(pet(minutes)).clean_up_from) break;
            t->say(pet(minutes), "terminate").say(pet(minutes + 20), "hatch closed");
            const LeftOver left = left_of(*t, pet(minutes + 21));
            const auto next = only_what_is_left(texts_of(*t), t->outing(), left);
            ASSERT_TRUE(next.ok()) << name << " cut off at " << pet(minutes) << ": " << print(next.errors().front());
            EXPECT_EQ(next.value().outing.tasks.size(), left.tasks.size());
        }
    }
}

TEST(CarryOver, NamesAreCountedOn) {
    EXPECT_EQ(next_name("Larkspur outing 3"), "Larkspur outing 4");
    EXPECT_EQ(next_name("Pool 9"), "Pool 10");
    EXPECT_EQ(next_name("Yard outing"), "Yard outing 2");
}

}  // namespace
}  // namespace handrail::live
