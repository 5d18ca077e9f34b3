#include "brief/suits_chart.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "invented_outing.h"
#include "timeline/loads.h"

namespace handrail::brief {
namespace {

using namespace lifesupport;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

/// A closed-loop suit whose numbers are round (invented), for both.
SuitType round_suit() {
    SuitType suit;
    suit.name = "Round suit";
    suit.oxygen = Kilograms{0.5};
    suit.leak = KilogramsPerHour{0.005};
    suit.co2_capacity = Kilograms{0.7};
    suit.battery = WattHours{400};
    suit.electrical_load = Watts{60};
    suit.reserve = Seconds{1800};
    suit.reserve_rate = Watts{200};
    return suit;
}

enum class With : std::uint8_t { nothing_read, readings };

Canvas chart(const SuitType& suit, With with) {
    const Invented made = invented();
    std::array<SuitCurve, 2> curves;
    for (Crew crew : both_crew) {
        const CrewLoads work = loads_of(made.outing, made.outing.windows, made.timeline, crew);
        SuitCurve& curve = curves[index(crew)];
        curve.plan = forecast(suit, work.loads);
        if (with == With::nothing_read) continue;
        std::vector<Reading> readings(3);
        for (int i = 0; i < 3; ++i) {
            readings[static_cast<std::size_t>(i)].at = pet(Seconds{1800 * (i + 1)});
            readings[static_cast<std::size_t>(i)].left[index(Consumable::oxygen)] = i == 1 ? 0.9 : 0.45 - 0.03 * i;
        }
        const Estimate corrected = estimate(suit, work.loads, readings);
        curve.now = forecast(suit, work.loads, corrected.state);
        curve.readings = corrected.values;
    }
    return suits_chart(made.outing, made.outing.windows, made.timeline, curves);
}

std::vector<std::string> texts_of(const Canvas& canvas) {
    std::vector<std::string> out;
    for (const PlacedText& text : canvas.texts()) out.push_back(text.text);
    return out;
}

TEST(SuitsChart, NoTwoLabelsOverlapAndAllLieOnTheSheet) {
    for (With with : {With::nothing_read, With::readings}) {
        const Canvas canvas = chart(round_suit(), with);
        for (std::size_t i = 0; i < canvas.texts().size(); ++i) {
            const PlacedText& a = canvas.texts()[i];
            EXPECT_TRUE((Box{0, 0, canvas.size().w, canvas.size().h}).contains(a.box, 0.01)) << a.text;
            for (std::size_t j = 0; j < i; ++j) {
                const PlacedText& b = canvas.texts()[j];
                const Box box = a.box.inset(0.05 * a.size, 0.2 * a.size);
                EXPECT_FALSE(box.overlaps(b.box.inset(0.05 * b.size, 0.2 * b.size)))
                    << '"' << a.text << "\" over \"" << b.text << '"';
            }
        }
    }
}

TEST(SuitsChart, ShowsEachConsumableItsReserveTheHardEndAndTheCaution) {
    const auto texts = texts_of(chart(round_suit(), With::nothing_read));
    for (const char* name : {"oxygen", "CO2 removal", "battery", "reserve 30 Wh", "hard end", "end of ingress"})
        EXPECT_EQ(std::ranges::count(texts, name), 2) << name;  // once for each suit
    EXPECT_THAT(texts, Contains(std::string(caution)));
    EXPECT_THAT(texts, Contains(HasSubstr("odds the reserve is touched")));
    EXPECT_THAT(texts, Not(Contains("feedwater")));
}

TEST(SuitsChart, SaysWhatDotsAndCrossesAreOnceSomethingWasRead) {
    EXPECT_THAT(texts_of(chart(round_suit(), With::readings)), Contains(HasSubstr("crosses")));
    EXPECT_THAT(texts_of(chart(round_suit(), With::nothing_read)), Not(Contains(HasSubstr("crosses"))));
}

TEST(SuitsChart, OfSuitsThatNeverRunOutSaysSo) {
    EXPECT_THAT(texts_of(chart(SuitType{}, With::nothing_read)),
                Contains("Neither suit carries anything that runs out."));
}

}  // namespace
}  // namespace handrail::brief
