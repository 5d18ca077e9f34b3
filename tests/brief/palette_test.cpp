#include "brief/palette.h"

#include <gtest/gtest.h>

namespace handrail::brief {
namespace {

// WCAG 2.1, 1.4.3: 4.5 for text.
TEST(Palette, TextCanBeReadOnEveryGroundItStandsOn) {
    for (const palette::Tone& tone : palette::tasks) {
        EXPECT_GE(contrast(palette::paper, tone.deep), 4.5);
        EXPECT_GE(contrast(tone.deep, tone.tint), 4.5);
        EXPECT_GE(contrast(palette::ink, tone.tint), 7.0);
    }
    for (const Colour ground : {palette::paper, palette::lane, palette::dusk, palette::sunlit, palette::linked,
                                palette::quiet, palette::amber_tint}) {
        EXPECT_GE(contrast(palette::ink, ground), 7.0);
        EXPECT_GE(contrast(palette::muted, ground), 4.5);
    }
    EXPECT_GE(contrast(palette::paper, palette::dark), 7.0);
    EXPECT_GE(contrast(palette::alarm, palette::paper), 4.5);
    EXPECT_GE(contrast(palette::amber, palette::amber_tint), 4.5);
    EXPECT_GE(contrast(palette::linked_ink, palette::linked), 4.5);
}

}  // namespace
}  // namespace handrail::brief
