#include "brief/timeline_chart.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "brief/codes.h"
#include "golden.h"
#include "invented_outing.h"

namespace handrail::brief {
namespace {

using testing::Contains;
using testing::HasSubstr;

std::vector<Canvas> chart(const Invented& made, SheetKind sheet) {
    ChartOptions options;
    options.sheet = sheet;
    options.stamp.version = "(test)";
    return timeline_chart(made.outing, made.outing.windows, made.timeline, options);
}

std::vector<std::string> texts_of(const std::vector<Canvas>& pages) {
    std::vector<std::string> out;
    for (const Canvas& page : pages)
        for (const PlacedText& text : page.texts()) out.push_back(text.text);
    return out;
}

class EverySheet : public testing::TestWithParam<SheetKind> {};
INSTANTIATE_TEST_SUITE_P(Sheets, EverySheet, testing::Values(SheetKind::a3, SheetKind::a4, SheetKind::screen));

TEST_P(EverySheet, NoTwoLabelsOverlap) {
    for (const Canvas& page : chart(invented(), GetParam()))
        for (std::size_t i = 0; i < page.texts().size(); ++i)
            for (std::size_t j = 0; j < i; ++j) {
                const PlacedText &a = page.texts()[i], &b = page.texts()[j];
                // A line's box holds the space between lines too; letters fill four fifths of it.
                const Box box = a.box.inset(0.05 * a.size, 0.2 * a.size);
                EXPECT_FALSE(box.overlaps(b.box.inset(0.05 * b.size, 0.2 * b.size)))
                    << '"' << a.text << "\" over \"" << b.text << '"';
            }
}

TEST_P(EverySheet, EveryLabelLiesOnTheSheet) {
    for (const Canvas& page : chart(invented(), GetParam()))
        for (const PlacedText& text : page.texts())
            EXPECT_TRUE((Box{0, 0, page.size().w, page.size().h}).contains(text.box, 0.01)) << text.text;
}

TEST_P(EverySheet, LettersStayLargeEnoughToRead) {
    // 5.2 pt for the least note and 12 px on a screen at arm's length: common practice for dense charts.
    const double least = GetParam() == SheetKind::screen ? 10 : 5.2;
    for (const Canvas& page : chart(invented(), GetParam()))
        for (const PlacedText& text : page.texts()) EXPECT_GE(text.size, least * 0.86) << text.text;
}

TEST_P(EverySheet, EveryStepInThePlanIsNamedByItsCode) {
    const Invented made = invented();
    const std::vector<std::string> texts = texts_of(chart(made, GetParam()));
    for (const Activity& activity : made.timeline.activities) {
        if (!activity.step) continue;
        const std::string code = step_code(made.outing, *activity.step);
        EXPECT_THAT(texts, Contains(testing::AnyOf(testing::StartsWith(code + " "), code)));
    }
}

TEST(TimelineChart, ShowsFinishHardEndMarginLeftOutTasksAndTheCaution) {
    const Invented made = invented();
    const std::vector<std::string> texts = texts_of(chart(made, SheetKind::a3));
    EXPECT_THAT(texts, Contains("finish " + print_pet(made.timeline.finish())));
    EXPECT_THAT(texts, Contains("hard end 06:30"));
    EXPECT_THAT(texts, Contains("margin from 06:00"));
    EXPECT_THAT(texts, Contains(HasSubstr(made.timeline.left_out[0].reason)));
    EXPECT_THAT(texts, Contains(std::string(caution)));
    EXPECT_THAT(texts, Contains(HasSubstr(plan_id(made.outing, made.timeline))));
    EXPECT_THAT(texts, Contains(HasSubstr("clock times are UTC")));
}

TEST(TimelineChart, NamesWindowsInWords) {
    const std::vector<std::string> texts = texts_of(chart(invented(), SheetKind::a3));
    EXPECT_THAT(texts, Contains("dark 00:37–01:12"));
    EXPECT_THAT(texts, Contains("coverage 01:24–02:30 (relay west)"));
}

TEST(TimelineChart, AnA3SheetHoldsTheWholeOuting) { EXPECT_EQ(chart(invented(), SheetKind::a3).size(), 1u); }

TEST(TimelineChart, ShowsNowAndThePlanOfBeforeWhenAsked) {
    const Invented made = invented();
    Timeline live = made.timeline;
    for (Activity& activity : live.activities) {
        activity.as_run = activity.start < pet(Seconds{6000});
        if (!activity.as_run) activity.start += Seconds{600};
    }
    ChartOptions options;
    options.now = pet(Seconds{6060});
    options.planned_before = &made.timeline;
    const auto pages = timeline_chart(made.outing, made.outing.windows, live, options);
    EXPECT_THAT(texts_of(pages), Contains("now 01:41"));
    EXPECT_THAT(texts_of(pages), Contains("as planned before"));
}

TEST(TimelineChart, AnOutingOfFiveHundredTasksStillHasEveryTaskInItsTables) {
    Invented made = invented();
    for (std::uint32_t i = 5; i < 500; ++i) {
        Task task = made.outing.tasks[4];
        task.id = TaskId{i};
        task.name = fmt::format("Extra task {}", i);
        task.steps.clear();
        made.outing.tasks.push_back(task);
    }
    const auto pages = chart(made, SheetKind::a4);
    EXPECT_GT(pages.size(), 3u);
    EXPECT_THAT(texts_of(pages), Contains("Extra task 499"));
}

TEST(TimelineChart, AnEmptyTimelineGivesAnEmptyChartNotACrash) {
    Invented made = invented();
    made.timeline.activities.clear();
    made.timeline.bindings.clear();
    EXPECT_THAT(texts_of(chart(made, SheetKind::a3)), Contains("hard end 06:30"));
}

TEST(TimelineChart, LooksAsApproved) {
    std::string listing;
    for (const Canvas& page : chart(invented(), SheetKind::a3))
        for (const PlacedText& text : page.texts())
            listing += fmt::format("{:.0f} {:.0f} {:.0f} {:.0f} {:.1f}{} {}\n", text.box.x, text.box.y, text.box.w,
                                   text.box.h, text.size, text.cut ? " cut" : "", text.text);
    expect_golden("timeline-a3.txt", listing);
}

}  // namespace
}  // namespace handrail::brief
