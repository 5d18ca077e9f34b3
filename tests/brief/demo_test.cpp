#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "brief/codes.h"
#include "brief/cue_sheet.h"
#include "brief/director_page.h"
#include "brief/public_script.h"
#include "brief/timeline_chart.h"
#include "brief/tool_list.h"
#include "check/check.h"
#include "html_check.h"
#include "outing/outing.h"
#include "plan/planner.h"
#include "sky/windows.h"

/// The documents of the demo outings, from a real plan of the planner.
namespace handrail::brief {
namespace {

struct Planned {
    Outing outing;
    WindowTable windows;
    Timeline timeline;
};

class Demo : public testing::TestWithParam<const char*> {
protected:
    static Planned planned() {
        const std::filesystem::path file =
            std::filesystem::path(HANDRAIL_SOURCE_DIR) / "demo" / GetParam() / "outing.toml";
        auto outing = read_outing(file);
        if (!outing) throw std::runtime_error(print(outing.errors().front()));
        auto windows = sky::windows_of(outing.value(), outing.value().pet_zero);
        if (!windows) throw std::runtime_error(print(windows.errors().front()));
        plan::Budget budget;
        budget.iterations = 300;
        const auto plan = plan::make_plan(outing.value(), windows.value(), plan::initial(outing.value()), budget);
        return {outing.value(), windows.value(), std::get<Timeline>(plan)};
    }
};
INSTANTIATE_TEST_SUITE_P(Outings, Demo, testing::Values("larkspur", "pool"));

TEST_P(Demo, TheChartFitsOneA3SheetAndNoTwoLabelsOverlap) {
    const Planned p = planned();
    for (const SheetKind kind : {SheetKind::a3, SheetKind::a4, SheetKind::screen}) {
        ChartOptions options;
        options.sheet = kind;
        const std::vector<Canvas> pages = timeline_chart(p.outing, p.windows, p.timeline, options);
        EXPECT_TRUE(kind != SheetKind::a3 || pages.size() == 1);
        for (const Canvas& page : pages)
            for (std::size_t i = 0; i < page.texts().size(); ++i)
                for (std::size_t j = 0; j < i; ++j) {
                    const PlacedText &a = page.texts()[i], &b = page.texts()[j];
                    EXPECT_FALSE(
                        a.box.inset(0.05 * a.size, 0.2 * a.size).overlaps(b.box.inset(0.05 * b.size, 0.2 * b.size)))
                        << '"' << a.text << "\" over \"" << b.text << '"';
                }
    }
}

TEST_P(Demo, EveryDocumentStandsAloneAndIsWellFormed) {
    const Planned p = planned();
    const Origin origin{"a document", ""};
    for (const Reader reader : {Reader::ev1, Reader::ev2, Reader::iv, Reader::arm})
        EXPECT_EQ(html_faults(cue_sheet_html(p.outing, p.windows, p.timeline, reader, origin)), "");
    for (const std::vector<Section>& sections :
         {tool_list(p.outing, p.timeline), script_sections(script(p.outing, p.windows, p.timeline), p.timeline),
          director_page(p.outing, p.windows, p.timeline, check(p.outing, p.windows, p.timeline))})
        EXPECT_EQ(html_faults(html_document(p.outing, p.timeline, origin, sections_html(sections))), "");
}

TEST_P(Demo, NothingThatMustComeBackStaysOutside) {
    const Planned p = planned();
    EXPECT_THAT(sections_markdown(tool_list(p.outing, p.timeline)),
                testing::Not(testing::HasSubstr("does not: it is")));
}

TEST_P(Demo, EveryStepOfThePlanIsOnTheSheetOfIv) {
    const Planned p = planned();
    const std::string page = cue_sheet_markdown(p.outing, p.windows, p.timeline, Reader::iv, {"a document", ""});
    for (const Activity& activity : p.timeline.activities)
        EXPECT_TRUE(!activity.step || page.find("**" + step_code(p.outing, *activity.step) + " ") != std::string::npos);
}

}  // namespace
}  // namespace handrail::brief
