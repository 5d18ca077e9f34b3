#include <gtest/gtest.h>

#include "day_under_test.h"

namespace handrail::live {
namespace {

/// The yard, where a heater is switched off while the first coat goes on.
std::unique_ptr<DayUnderTest> yard_with_inhibit() {
    std::string text = small_outing;
    const std::string coat = "name = \"first coat\"\n";
    text.insert(text.find(coat) + coat.size(), "inhibits = [\"heater\"]\n");
    text += "\n[[inhibit]]\nid = \"heater\"\nname = \"Bench heater\"\n";
    OutingWithTexts outing = outing_text(text);
    Timeline plan = plan_of(outing.outing, 300);
    return std::make_unique<DayUnderTest>(std::move(outing), std::move(plan));
}

const Step& made_for_the_inhibit(const Outing& outing, std::optional<InhibitId> Step::*what) {
    for (const Step& step : outing.steps)
        if (step.*what) return step;
    throw std::runtime_error("no such step");
}

TEST(InhibitOfADroppedTask, IsReleasedInTheForecast) {
    const auto t = yard_with_inhibit();
    const Step& commanded = made_for_the_inhibit(t->outing(), &Step::commands);
    const Step& released = made_for_the_inhibit(t->outing(), &Step::releases);
    const auto planned =
        std::ranges::find_if(t->planned().activities, [&](const Activity& a) { return a.step == commanded.id; });
    ASSERT_NE(planned, t->planned().activities.end());
    const std::string after = print_pet_seconds(planned->end() + Milliseconds{1000});
    t->follow_plan_until(after).say(after, "drop paint the paint froze");
    const Forecast forecast = carry_on(t->outing(), t->day(after));
    EXPECT_TRUE(std::ranges::any_of(forecast.ahead, [&](const AsRun& run) { return run.activity.step == released.id; }))
        << "the heater would stay off";
}

}  // namespace
}  // namespace handrail::live
