#include "brief/labels.h"

#include <gtest/gtest.h>

#include <array>

namespace handrail::brief {
namespace {

Canvas sheet() { return Canvas({400, 200}, Unit::point, "t", "d"); }

TEST(Labels, AWideBoxGetsItsWordsLevelANarrowOneTurned) {
    Canvas canvas = sheet();
    EXPECT_TRUE(draw_label(canvas, {0, 0, 100, 30}, "Open the panel", {.size = 8}, Turning::allowed));
    EXPECT_TRUE(draw_label(canvas, {0, 50, 12, 100}, "Open the panel", {.size = 8}, Turning::allowed));
    EXPECT_GT(canvas.texts()[0].box.w, canvas.texts()[0].box.h);
    EXPECT_GT(canvas.texts()[1].box.h, canvas.texts()[1].box.w);
}

TEST(Labels, NothingIsWrittenWhereNotEvenATurnedLineFits) {
    Canvas canvas = sheet();
    EXPECT_FALSE(draw_label(canvas, {0, 0, 3, 100}, "Open the panel", {.size = 8}, Turning::allowed));
    EXPECT_FALSE(draw_label(canvas, {0, 0, 0, 0}, "Open the panel", {.size = 8}, Turning::allowed));
    EXPECT_TRUE(canvas.texts().empty());
}

TEST(Labels, TheLongestWordingThatFitsIsTaken) {
    Canvas canvas = sheet();
    const std::array wordings{std::string("A  Swap the coolant valve · value 40"), std::string("A  Swap"),
                              std::string("A")};
    EXPECT_GT(draw_longest(canvas, {0, 0, 300, 10}, wordings, {.size = 8}).w, 100);
    EXPECT_EQ(canvas.texts().back().text, wordings[0]);
    draw_longest(canvas, {0, 20, 40, 10}, wordings, {.size = 8});
    EXPECT_EQ(canvas.texts().back().text, wordings[1]);
}

TEST(Labels, FlagsThatStandCloseNeitherOverlapNorLeaveTheSheet) {
    Canvas canvas = sheet();
    const Colour ink{0};
    for (const double gap : {0.0, 3.0, 20.0, 60.0}) {
        const std::array flags{Flag{300, "margin from 06:15", ink}, Flag{300 + gap, "finish 06:15", ink},
                               Flag{300 + 2 * gap, "hard end 06:30", ink}};
        Canvas fresh = sheet();
        draw_flags(fresh, flags, 0, 400, 100, 10, 8);
        ASSERT_EQ(fresh.texts().size(), 3u);
        for (std::size_t i = 0; i < 3; ++i) {
            EXPECT_LE(fresh.texts()[i].box.right(), 400.01);
            for (std::size_t j = 0; j < i; ++j)
                EXPECT_FALSE(fresh.texts()[i].box.inset(0.1).overlaps(fresh.texts()[j].box.inset(0.1))) << gap;
        }
    }
}

}  // namespace
}  // namespace handrail::brief
