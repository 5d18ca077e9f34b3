#include "brief/canvas.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>

namespace handrail::brief {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

Canvas small_drawing() {
    Canvas canvas({200, 100}, Unit::point, "A <small> drawing", "Two boxes & a word");
    canvas.fill({10, 10, 80, 30}, Colour{0x1f4e79});
    canvas.pattern({100, 10, 80, 30}, Pattern::crossed, {Colour{0x333333}, 0.5}, 4);
    canvas.text({10, 50}, "Airlock", {.size = 10});
    canvas.text_in({100, 45, 20, 50}, "turned words", {.size = 8}, Turn::up);
    return canvas;
}

TEST(Canvas, TheSameDrawingGivesTheSameBytesEveryTime) {
    const Canvas first = small_drawing(), second = small_drawing();
    EXPECT_EQ(first.svg(), second.svg());
    EXPECT_EQ(first.svg(), first.svg());
    EXPECT_EQ(first.png(2), second.png(2));
    const std::string one = pdf(std::span(&first, 1), "t"), two = pdf(std::span(&second, 1), "t");
    EXPECT_EQ(one, two);
}

TEST(Canvas, APdfCarriesNoDateUnlessOneIsGiven) {
    const Canvas canvas = small_drawing();
    const std::span<const Canvas> page(&canvas, 1);
    EXPECT_THAT(pdf(page, "t"), Not(HasSubstr("CreationDate")));
    EXPECT_THAT(pdf(page, "t", Utc{std::chrono::sys_days{std::chrono::year{2031} / 4 / 5}}),
                HasSubstr("CreationDate (20310405"));
    EXPECT_THAT(pdf(page, "t"), StartsWith("%PDF-1."));
}

TEST(Canvas, AnSvgTellsAScreenReaderWhatItShows) {
    const std::string svg = small_drawing().svg();
    EXPECT_THAT(svg, HasSubstr("role=\"img\""));
    EXPECT_THAT(svg, HasSubstr("<title>A &lt;small&gt; drawing</title>"));
    EXPECT_THAT(svg, HasSubstr("<desc>Two boxes &amp; a word</desc>"));
    EXPECT_THAT(svg, HasSubstr("width=\"200pt\""));
}

TEST(Canvas, APngHasTheSizeAskedFor) {
    const std::string png = small_drawing().png(2.5);
    ASSERT_GT(png.size(), 24u);
    const auto big_endian = [&](std::size_t at) {
        unsigned value = 0;
        for (std::size_t i = 0; i < 4; ++i) value = value << 8 | static_cast<unsigned char>(png[at + i]);
        return value;
    };
    EXPECT_EQ(big_endian(16), 500u);
    EXPECT_EQ(big_endian(20), 250u);
}

TEST(Canvas, TextThatDoesNotFitIsCutAndSaysSo) {
    Canvas canvas({100, 100}, Unit::point, "t", "d");
    canvas.text_in({0, 0, 30, 10}, "a great many words for a little box", {.size = 8});
    canvas.text_in({0, 20, 90, 40}, "few words", {.size = 8});
    ASSERT_EQ(canvas.texts().size(), 2u);
    EXPECT_TRUE(canvas.texts()[0].cut);
    EXPECT_LE(canvas.texts()[0].box.w, 30.01);
    EXPECT_FALSE(canvas.texts()[1].cut);
}

TEST(Canvas, AWordWiderThanItsColumnIsNotWhole) {
    const Canvas canvas({100, 100}, Unit::point, "t", "d");
    EXPECT_FALSE(canvas.measure("incompressible", {.size = 8}, 20.0).whole);
    EXPECT_TRUE(canvas.measure("in a box", {.size = 8}, 20.0).whole);
    EXPECT_GT(canvas.measure("in a box", {.size = 8}, 20.0).lines, 1);
}

TEST(Canvas, TurnedTextRunsAlongTheHeightOfItsArea) {
    Canvas canvas({100, 100}, Unit::point, "t", "d");
    const Box box = canvas.text_in({10, 10, 12, 80}, "upwards", {.size = 8}, Turn::up);
    EXPECT_GT(box.h, box.w);
    EXPECT_DOUBLE_EQ(box.bottom(), 90);
}

// Contrast of black on white is 21 by definition; 0x767676 on white is the well-known edge of 4.5 (WCAG 2.1, 1.4.3).
TEST(Canvas, ContrastFollowsTheWcagDefinition) {
    EXPECT_NEAR(contrast(Colour{0x000000}, Colour{0xffffff}), 21.0, 1e-9);
    EXPECT_NEAR(contrast(Colour{0x767676}, Colour{0xffffff}), 4.54, 0.005);
}

}  // namespace
}  // namespace handrail::brief
