#include "live/suit_curves.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "day_under_test.h"

namespace handrail::live {
namespace {

using nlohmann::json;

json curves(const DayUnderTest& t, const std::string& pet, Reader reader = Reader::console) {
    return json::parse(suit_curves_json(t.outing(), t.status(pet), reader));
}
const json& oxygen(const json& document, int crew) {
    for (const json& one : document["crew"][crew]["consumables"])
        if (one["id"] == "oxygen") return one;
    throw std::runtime_error("no oxygen");
}

TEST(SuitCurves, RunFromAFullSuitAtPetZeroToTheForecastReturnAndNeverRiseWithoutAReading) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const json curve = oxygen(curves(*t, "00:20"), 0);
    const json& course = curve["course"];
    EXPECT_EQ(course["pet_s"].front(), 0);
    EXPECT_EQ(course["left"].front(), curve["capacity"]);
    EXPECT_EQ(course["pet_s"].back(), t->status("00:20").forecast.finish.time_since_epoch() / Seconds{1});
    for (std::size_t i = 1; i < course["left"].size(); ++i) {
        EXPECT_LE(course["left"][i].get<double>(), course["left"][i - 1].get<double>());
        EXPECT_LE(course["low"][i].get<double>(), course["left"][i].get<double>());
        EXPECT_GE(course["high"][i].get<double>(), course["left"][i].get<double>());
    }
}

TEST(SuitCurves, StepToAReadingAndNarrowThere) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    const double believed = t->status("01:00").people[0].suit.consumables[0].left;
    t->say("01:00", fmt::format("reading EV1 oxygen {:.4f} kg", believed - 0.005));
    const json curve = oxygen(curves(*t, "01:01"), 0);
    const json& course = curve["course"];
    std::vector<std::size_t> there;
    for (std::size_t i = 0; i < course["pet_s"].size(); ++i)
        if (course["pet_s"][i] == 3600) there.push_back(i);
    ASSERT_EQ(there.size(), 2U);
    const double before = course["left"][there[0]], after = course["left"][there[1]];
    EXPECT_GT(before, after);
    EXPECT_GE(after, believed - 0.0051);
    const auto width = [&](std::size_t i) { return course["high"][i].get<double>() - course["low"][i].get<double>(); };
    EXPECT_LT(width(there[1]), width(there[0]));
    ASSERT_EQ(curve["readings"].size(), 1U);
    // The journal keeps thousandths of a kilogram.
    EXPECT_NEAR(curve["readings"][0]["left"].get<double>(), believed - 0.005, 5.1e-4);
    EXPECT_EQ(curve["readings"][0]["used"], true);
    EXPECT_TRUE(oxygen(curves(*t, "01:01"), 1)["readings"].empty());
}

TEST(SuitCurves, ShowAReadingOnlyToThoseWhoMayReadIt) {
    const auto t = yard();
    t->say("00:00", "pet zero").say("00:10", "egress done");
    t->say("00:30", "reading EV1 oxygen 0.5 kg");
    Status status = t->status("00:31");
    status.day.readings.front().visibility = Visibility::medical;
    const auto read_by = [&](Reader reader) {
        return oxygen(json::parse(suit_curves_json(t->outing(), status, reader)), 0)["readings"].size();
    };
    EXPECT_EQ(read_by(Reader::console), 0U);
    EXPECT_EQ(read_by(Reader::medical), 1U);
}

}  // namespace
}  // namespace handrail::live
