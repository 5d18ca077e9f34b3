#include "edit/edit.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>

#include "plan/planner.h"
#include "sky/windows.h"
#include "support/random_outing.h"
#include "support/small_outing.h"

namespace handrail::edit {
namespace {

using test::SmallOuting;

Timeline planned(const Outing& outing, const WindowTable& windows, std::uint64_t iterations = 4000) {
    plan::Budget budget;
    budget.iterations = iterations;
    budget.threads = 1;
    auto result = plan::make_plan(outing, windows, plan::initial(outing), budget);
    return std::holds_alternative<Timeline>(result) ? std::get<Timeline>(std::move(result)) : Timeline{};
}

StepId step_of(const Outing& outing, std::string_view label) {
    for (const Step& step : outing.steps)
        if (step.label == label) return step.id;
    ADD_FAILURE() << label;
    return {};
}

const Activity& run_of(const Timeline& timeline, StepId step) {
    for (const Activity& activity : timeline.activities)
        if (activity.step == step) return activity;
    static const Activity none;
    ADD_FAILURE() << "the step is not on the timeline";
    return none;
}

struct Table {
    Outing outing;
    Timeline timeline;
    plan::Wishes wishes{};

    explicit Table(Outing from) : outing(std::move(from)), timeline(planned(outing, outing.windows)) {}
    Edited edited(const Edit& edit) const {
        auto result = apply(outing, outing.windows, plan::initial(outing), timeline, wishes, edit);
        if (const Refused* refused = std::get_if<Refused>(&result)) {
            ADD_FAILURE() << refused->why;
            return {};
        }
        return std::get<Edited>(std::move(result));
    }
    std::string refusal(const Edit& edit) const {
        auto result = apply(outing, outing.windows, plan::initial(outing), timeline, wishes, edit);
        if (const Refused* refused = std::get_if<Refused>(&result)) return refused->why;
        ADD_FAILURE() << "the edit was taken";
        return {};
    }
};

// On paper (tests/plan/planner_test.cpp) the cover is opened from 1080 s on at the earliest.
TEST(Pin, AStepStartsExactlyWhereItIsDragged) {
    const Table table(SmallOuting().outing());
    const StepId open = step_of(table.outing, "fit.1");
    const Edited edited = table.edited(Pin{open, pet(Seconds{1500}), pet(Seconds{1500})});
    EXPECT_EQ(since_zero(run_of(edited.timeline, open).start), Seconds{1500});
    EXPECT_FALSE(any_broken(edited.findings)) << print_findings(edited.findings);
    EXPECT_TRUE(edited.unkept.empty());
}

TEST(Pin, WhatCannotStartThatSoonStartsAsSoonAsItCanAndIsSaidToBeLate) {
    const Table table(SmallOuting().outing());
    const StepId open = step_of(table.outing, "fit.1");
    const Edited edited = table.edited(Pin{open, pet(Seconds{960}), pet(Seconds{960})});
    // Out until 900 s, a minute for the bag, a minute's way; the part is left for later, or it would be a minute more.
    EXPECT_EQ(since_zero(run_of(edited.timeline, open).start), Seconds{1020});
    ASSERT_EQ(edited.unkept.size(), 1u);
    EXPECT_THAT(edited.unkept[0], testing::HasSubstr("starts 1 min later than wanted"));
}

TEST(Pin, AnEarlierPinOfTheStepIsReplacedAndTakenBackWhenFreed) {
    Table table(SmallOuting().outing());
    const StepId open = step_of(table.outing, "fit.1");
    table.wishes = table.edited(Pin{open, pet(Seconds{1500}), pet(Seconds{1500})}).wishes;
    table.wishes = table.edited(Pin{open, pet(Seconds{2000}), pet(Seconds{2000})}).wishes;
    ASSERT_EQ(table.wishes.starts.size(), 1u);
    const Edited freed = table.edited(FreeStep{open});
    EXPECT_TRUE(freed.wishes.empty());
    EXPECT_EQ(since_zero(run_of(freed.timeline, open).start), Seconds{1080});
}

TEST(Give, TheTaskGoesToTheOtherOneAndTheDifferenceIsNamed) {
    const Table table(SmallOuting().outing());
    const TaskId fit{0};
    const Crew other = partner(*table.timeline.lead_of(fit));
    const Edited edited = table.edited(Give{fit, other});
    EXPECT_EQ(edited.timeline.lead_of(fit), other);
    EXPECT_FALSE(any_broken(edited.findings)) << print_findings(edited.findings);
    EXPECT_TRUE(std::ranges::any_of(
        edited.differences, [&](const Difference& d) { return d.kind == Difference::Kind::lead && d.task == fit; }));
}

TEST(PutBefore, TheOrderAskedForHolds) {
    const Table table(SmallOuting().outing());
    const StepId open = step_of(table.outing, "fit.1");
    const StepId look = step_of(table.outing, "look.2");
    const Edited edited = table.edited(PutBefore{look, open});
    EXPECT_GE(run_of(edited.timeline, open).start, run_of(edited.timeline, look).end());
    EXPECT_TRUE(edited.unkept.empty());
}

TEST(PutBefore, AStepThatMayBeInterruptedIsOverWithItsLastPart) {
    SmallOuting small;
    small.with("at = \"bay\"\nduration = \"10 min\"",
               "at = \"bay\"\ninterrupt = { every = \"5 min\" }\nduration = \"10 min\"");
    const Table table(small.outing());
    const Edited edited = table.edited(PutBefore{step_of(table.outing, "fit.1"), step_of(table.outing, "look.1")});
    EXPECT_GE(run_of(edited.timeline, step_of(table.outing, "look.1")).start,
              run_of(edited.timeline, step_of(table.outing, "fit.1-part-2")).end());
    EXPECT_TRUE(edited.unkept.empty());
}

TEST(Forbid, AStepIsKeptFromAPerson) {
    const Table table(SmallOuting().outing());
    const StepId open = step_of(table.outing, "fit.1");
    const Crew now = run_of(table.timeline, open).on(Lane::ev1) ? Crew::ev1 : Crew::ev2;
    const Edited edited = table.edited(Forbid{open, now});
    EXPECT_FALSE(run_of(edited.timeline, open).on(lane_of(now)));
    EXPECT_TRUE(edited.unkept.empty());
}

TEST(CloseSite, NobodyGoesThereAndItsTasksAreLeftOut) {
    const Table table(SmallOuting().outing());
    const Edited edited = table.edited(CloseSite{WorksiteId{2}});
    for (const Activity& activity : edited.timeline.activities)
        EXPECT_EQ(std::ranges::count(activity.path, WorksiteId{2}), 0);
    ASSERT_EQ(edited.timeline.left_out.size(), 1u);
    EXPECT_THAT(edited.timeline.left_out[0].reason, testing::HasSubstr("rules it out"));
    EXPECT_FALSE(any_broken(edited.findings)) << print_findings(edited.findings);
}

TEST(LeaveOutAndPutIn, ATaskGoesAndComesBack) {
    Table table(SmallOuting().outing());
    const TaskId look{1};
    const Edited out = table.edited(LeaveOut{look});
    EXPECT_FALSE(out.timeline.lead_of(look));
    table.timeline = out.timeline;
    table.wishes = out.wishes;
    const Edited in = table.edited(PutIn{look});
    EXPECT_TRUE(in.timeline.lead_of(look));
    EXPECT_EQ(since_zero(in.timeline.finish()), Seconds{4420});
}

TEST(Apply, RefusesWhatContradictsItselfOrTheFile) {
    Table table(SmallOuting().outing());
    const StepId open = step_of(table.outing, "fit.1");
    const StepId fix = step_of(table.outing, "fit.fix");
    EXPECT_THAT(table.refusal(PutBefore{fix, open}), testing::HasSubstr("runs in a circle"));
    EXPECT_THAT(table.refusal(CloseSite{WorksiteId{0}}), testing::HasSubstr("airlock"));
    EXPECT_THAT(table.refusal(Pin{open, pet(Seconds{200}), pet(Seconds{100})}), testing::HasSubstr("cannot start"));
    table.wishes.lead.emplace_back(TaskId{0}, Crew::ev1);
    EXPECT_THAT(table.refusal(Forbid{open, Crew::ev1}), testing::HasSubstr("which is forbidden"));
    table.wishes = {};
    EXPECT_THAT(table.refusal(Pin{open, pet(Seconds{-60}), pet(Seconds{-60})}),
                testing::HasSubstr("begins at PET 00:00"));
    EXPECT_THAT(table.refusal(Forbid{fix, Crew::ev2}), testing::HasSubstr("nobody is left"));
    table.wishes.not_by.push_back({open, Crew::ev1});
    EXPECT_THAT(table.refusal(Forbid{open, Crew::ev2}), testing::HasSubstr("nobody is left"));
    table.wishes = {};
    table.wishes.starts = {{open, pet(Seconds{1500}), pet(Seconds{1500})},
                           {open, pet(Seconds{2000}), pet(Seconds{2000})}};
    EXPECT_THAT(table.refusal(Nothing{}), testing::HasSubstr("pinned twice"));
    table.wishes = {};
    table.wishes.lead = {{TaskId{0}, Crew::ev1}, {TaskId{0}, Crew::ev2}};
    EXPECT_THAT(table.refusal(Nothing{}), testing::HasSubstr("both EV1 and EV2"));
    table.outing.tasks[0].lead = Crew::ev1;
    table.wishes = {};
    EXPECT_THAT(table.refusal(Give{TaskId{0}, Crew::ev2}), testing::HasSubstr("by the outing file"));
}

TEST(Apply, RefusesToPinWhatStartsTogetherToTwoTimes) {
    SmallOuting small;
    small.add(R"([[task]]
id = "press"
name = "Press both"
[[task.step]]
id = "left"
name = "Left"
at = "bay"
duration = "4 min"
[[task.step]]
id = "right"
name = "Right"
who = ["helper"]
at = "tip"
duration = "4 min"
together = "press.left"
)");
    Table table(small.outing());
    const StepId left = step_of(table.outing, "press.left");
    const StepId right = step_of(table.outing, "press.right");
    table.wishes.starts = {{left, pet(Seconds{3600}), pet(Seconds{3600})}};
    EXPECT_THAT(table.refusal(Pin{right, pet(Seconds{3900}), pet(Seconds{3900})}),
                testing::HasSubstr("start together by the outing file"));
    const Edited edited = table.edited(Pin{right, pet(Seconds{3600}), pet(Seconds{3600})});
    EXPECT_EQ(run_of(edited.timeline, right).start, run_of(edited.timeline, left).start);
}

// The law: a step dragged four minutes on starts there and nothing else changes places, unless the old order with the
// pin in it breaks a rule (a window missed, say) or brings the crew home half an hour later
// (docs/how-the-planner-thinks.md).
TEST(Apply, LeavesEveryOrderThatIsNotTouchedAsItWas) {
    const Result<Outing> demo = read_outing(HANDRAIL_SOURCE_DIR "/demo/larkspur/outing.toml");
    ASSERT_TRUE(demo);
    Outing outing = demo.value();
    const Result<WindowTable> windows = sky::windows_of(outing, outing.pet_zero);
    ASSERT_TRUE(windows);
    const auto order_of = [](const Timeline& timeline, Lane lane, StepId without) {
        std::vector<StepId> order;
        for (const Activity& activity : timeline.activities)
            if (activity.step && activity.step != without && activity.on(lane)) order.push_back(*activity.step);
        return order;
    };
    int dragged = 0;
    int kept = 0;
    for (const std::uint64_t iterations : {1500, 3000, 6000}) {
        outing.rules.limit = demo.value().rules.limit;
        const Timeline before = planned(outing, windows.value(), iterations);
        // A full plan has no four minutes to give: the hard end is put off once it stands.
        outing.rules.limit += Seconds{3600};
        for (const Activity& activity : before.activities) {
            if (!activity.step) continue;
            const Pet to = activity.start + Seconds{240};
            const auto result =
                apply(outing, windows.value(), plan::initial(outing), before, {}, Pin{*activity.step, to, to});
            ASSERT_TRUE(std::holds_alternative<Edited>(result));
            const Timeline& after = std::get<Edited>(result).timeline;
            const bool stays =
                run_of(after, *activity.step).start == to &&
                std::ranges::all_of(std::array{Lane::ev1, Lane::ev2}, [&](Lane lane) {
                    return order_of(after, lane, *activity.step) == order_of(before, lane, *activity.step);
                });
            plan::Freedom old_order;
            old_order.keep_order = true;
            old_order.start_from = before;
            old_order.wishes.starts = {{*activity.step, to, to}};
            const Timeline as_it_was =
                std::get<Timeline>(plan::make_plan(outing, windows.value(), plan::initial(outing), {}, old_order));
            const bool could_stay = run_of(as_it_was, *activity.step).start == to &&
                                    !any_broken(check(outing, windows.value(), as_it_was)) &&
                                    as_it_was.finish() < after.finish() + Seconds{1800};
            EXPECT_TRUE(stays || !could_stay) << outing.step(*activity.step).label;
            ++dragged;
            kept += stays ? 1 : 0;
        }
    }
    EXPECT_GE(kept * 20, dragged * 17) << kept << " of " << dragged;
}

// The law: whatever is dragged wherever, the step starts there or the answer says by how much it does not; nothing is
// ever lost on the way.
TEST(Apply, APinIsKeptOrSaidNotToBeOnRandomOutings) {
    int looked_at = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const Outing outing = test::random_outing(seed);
        const Timeline before = planned(outing, outing.windows, 400);
        for (std::size_t i = 0; i < before.activities.size(); i += 7) {
            if (!before.activities[i].step) continue;
            const StepId step = *before.activities[i].step;
            const Pet to = pet(Seconds{(since_zero(before.activities[i].start).count() * 37 + 911) % 20000});
            const auto result = apply(outing, outing.windows, plan::initial(outing), before, {}, Pin{step, to, to});
            const Edited& edited = std::get<Edited>(result);
            EXPECT_EQ(run_of(edited.timeline, step).start == to, edited.unkept.empty()) << seed;
            for (const Binding& binding : before.bindings) EXPECT_TRUE(edited.timeline.lead_of(binding.task)) << seed;
            ++looked_at;
        }
    }
    EXPECT_GT(looked_at, 100);
}

// One of two alternatives will do by the file: the one that is put in is done instead of the other, and both at once
// cannot be asked for.
TEST(LeaveOutAndPutIn, OfTwoAlternativesTheOneAskedForIsDone) {
    SmallOuting small;
    small.add(R"([[task]]
id = "patch"
name = "Patch it instead"
class = "required"
instead_of = ["fit"]
[[task.step]]
name = "Patch"
at = "bay"
duration = "5 min"
)");
    Table table(small.outing());
    for (const TaskId wanted : {TaskId{0}, TaskId{2}}) {
        const Edited edited = table.edited(PutIn{wanted});
        EXPECT_TRUE(edited.timeline.lead_of(wanted));
        EXPECT_TRUE(edited.unkept.empty());
        EXPECT_FALSE(any_broken(edited.findings));
    }
    table.wishes.must_do.push_back(TaskId{0});
    EXPECT_THAT(table.refusal(PutIn{TaskId{2}}), testing::HasSubstr("cannot both be demanded"));
}

}  // namespace
}  // namespace handrail::edit
