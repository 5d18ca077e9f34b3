#include "sky/windows.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>

#include "support.h"

namespace handrail::sky {
namespace {

using ::testing::HasSubstr;

/// A small invented outing on the synthetic low-beta orbit, an hour after its epoch.
Outing small_outing() {
    Outing outing;
    outing.name = "test";
    outing.pet_zero = test::utc("2030-03-20T13:00:00Z");
    outing.orbit = test::tle("1 90001U 00000A   30079.50000000  .00000000  00000-0  20000-4 0    14",
                             "2 90001  51.6000   0.0000 0005000  40.0000  10.0000 15.50000000    05");
    Worksite top, bottom;
    top.id = top.name = "top";
    top.position_station_m = {0, 0, -2.2};
    bottom.id = bottom.name = "bottom";
    bottom.position_station_m = {0, 0, 2.2};
    bottom.normal_station = {0, 0, 1};
    outing.station.worksites = {top, bottom};
    Solid module;
    module.name = "module";
    module.size_station_m = {12, 4, 4};
    outing.station.solids = {module};
    outing.coverage.relays = {{"Relay East", Degrees{85}, std::nullopt}, {"Relay West", Degrees{-150}, std::nullopt}};
    outing.coverage.ground_stations = {{"Northfield", Degrees{52}, Degrees{0}, Metres{100}, Degrees{5}}};
    return outing;
}

WindowTable windows(const Outing& outing, Utc pet_zero) {
    auto result = windows_of(outing, pet_zero);
    if (!result) throw std::runtime_error(print(result.errors().front()));
    return std::move(result).value();
}
std::string first_error(const Outing& outing, Utc pet_zero) {
    const auto result = windows_of(outing, pet_zero);
    return result ? "no error" : print(result.errors().front());
}

Milliseconds total(std::span<const Window> list) {
    Milliseconds sum{0};
    for (const Window& w : list) sum += w.to() - w.from();
    return sum;
}

TEST(Windows, DaylightPenumbraAndUmbraFillTheSpanOnce) {
    const Outing outing = small_outing();
    const WindowTable table = windows(outing, outing.pet_zero);
    const Milliseconds span = span_before + span_after;
    EXPECT_EQ(total(table.of("daylight", "")) + total(table.of("penumbra", "")) + total(table.of("umbra", "")), span);
    EXPECT_EQ(total(table.of("daylight", "")) + total(table.of("dark", "")), span);
    EXPECT_GE(table.of("daylight", "").size(), 9u);
    EXPECT_EQ(std::min(table.of("daylight", "").front().from(), table.of("dark", "").front().from()),
              pet(-span_before));
}

TEST(Windows, LitAndShadowedFillTheDaylightOfEveryWorksite) {
    const Outing outing = small_outing();
    const WindowTable table = windows(outing, outing.pet_zero);
    for (const char* id : {"top", "bottom"})
        EXPECT_NEAR(static_cast<double>((total(table.of("lit", id)) + total(table.of("shadowed", id))).count()),
                    static_cast<double>(total(table.of("daylight", "")).count()), 20)
            << id;
    EXPECT_NE(total(table.of("lit", "top")), total(table.of("lit", "bottom")));
    EXPECT_TRUE(table.knows("glare"));
    EXPECT_TRUE(table.of("glare", "top").empty()) << "the module hides the sun from a worker on top looking down";
}

TEST(Windows, CoverageNamesItsSources) {
    const Outing outing = small_outing();
    const WindowTable table = windows(outing, outing.pet_zero);
    ASSERT_FALSE(table.of("coverage", "").empty());
    EXPECT_THAT(table.of("coverage", "")[0].note(), HasSubstr("Relay"));
    Outing silent = outing;
    silent.coverage = {};
    EXPECT_FALSE(windows(silent, outing.pet_zero).knows("coverage"));
}

TEST(Windows, ASlipMovesTheOrbitsWindowsAgainstPet) {
    const Outing outing = small_outing();
    const Seconds slip{30 * 60};
    const WindowTable planned = windows(outing, outing.pet_zero), slipped = windows(outing, outing.pet_zero + slip);
    // The second sunrise after the span's start is the same instant of UTC, 30 minutes less of PET.
    const auto find = [](const WindowTable& table, Pet near) {
        for (const Window& w : table.of("daylight", ""))
            if (w.from() > near - Seconds{60} && w.from() < near + Seconds{60}) return w.from();
        return Pet{};
    };
    const Pet sunrise = planned.of("daylight", "")[3].from();
    const Pet moved = find(slipped, sunrise - slip);
    EXPECT_NEAR(static_cast<double>((sunrise - slip - moved).count()), 0, 5);
}

TEST(Windows, TheFilesWindowsStayWhereTheyAreInUtc) {
    Outing outing = small_outing();
    outing.orbit.reset();
    outing.windows.set("heater inhibit", "", {Window{pet(Seconds{3600}), pet(Seconds{7200}), "from the file"}});
    const auto same = windows(outing, outing.pet_zero).of("heater inhibit", "")[0];
    EXPECT_EQ(same.from(), pet(Seconds{3600}));
    const WindowTable later = windows(outing, outing.pet_zero + Seconds{600});
    ASSERT_EQ(later.of("heater inhibit", "").size(), 1u);
    EXPECT_EQ(later.of("heater inhibit", "")[0].from(), pet(Seconds{3000}));
    EXPECT_EQ(later.of("heater inhibit", "")[0].to(), pet(Seconds{6600}));
    EXPECT_EQ(later.of("heater inhibit", "")[0].note(), "from the file");
    EXPECT_FALSE(later.knows("daylight")) << "without an orbit nothing is computed";
}

TEST(Windows, AConditionTheFileGivesIsTheFilesAlone) {
    Outing outing = small_outing();
    outing.windows.set("coverage", "", {Window{pet(Seconds{0}), pet(Seconds{100})}});
    outing.windows.set("lit", "top", {Window{pet(Seconds{0}), pet(Seconds{50})}});
    const WindowTable table = windows(outing, outing.pet_zero);
    ASSERT_EQ(table.of("coverage", "").size(), 1u);
    EXPECT_EQ(table.of("coverage", "")[0].to(), pet(Seconds{100}));
    EXPECT_EQ(table.of("lit", "top").size(), 1u);
    EXPECT_TRUE(table.of("lit", "bottom").empty());
    EXPECT_GE(table.of("daylight", "").size(), 9u);
}

TEST(Windows, ElementsOfOtherTimesAreWarnedAboutAndThenRefused) {
    const Outing outing = small_outing();
    const auto at = [&](int days) {
        return survey(outing, outing.pet_zero + std::chrono::days{days}, Seconds{0}, Seconds{3600});
    };
    EXPECT_TRUE(at(0).value().warnings.empty());
    ASSERT_EQ(at(10).value().warnings.size(), 1u);
    EXPECT_THAT(at(10).value().warnings[0], HasSubstr("10.0 days older"));
    EXPECT_THAT(at(-10).value().warnings[0], HasSubstr("days younger"));
    EXPECT_THAT(first_error(outing, outing.pet_zero + std::chrono::days{400}), HasSubstr("test.tle:1:1"));
    EXPECT_THAT(first_error(outing, outing.pet_zero + std::chrono::days{365 * 300}), HasSubstr("days before"));
    EXPECT_THAT(first_error(outing, outing.pet_zero - std::chrono::days{365 * 300}), HasSubstr("days after"));
}

TEST(Windows, AnOrbitThatDecaysWithinTheSpanIsAnError) {
    // Published: AIAA 2006-6753 verification set, 28872: decayed 55 minutes after its epoch.
    Outing outing = small_outing();
    outing.orbit = test::tle("1 28872U 05037B   05333.02012661  .25992681  00000-0  24476-3 0  1534",
                             "2 28872  96.4736 157.9986 0303955 244.0492 110.6523 16.46015938 10708");
    EXPECT_THAT(first_error(outing, test::utc("2005-11-29T01:00:00Z")), HasSubstr("decayed"));
}

TEST(Windows, MasksBeyond90DegreesAndSolidsWithoutSizeAreErrors) {
    Outing outing = small_outing();
    outing.coverage.ground_stations[0].mask = Degrees{95};
    outing.station.solids[0].size_station_m.y = 0;
    const auto result = windows_of(outing, outing.pet_zero);
    ASSERT_FALSE(result);
    ASSERT_EQ(result.errors().size(), 2u);
    EXPECT_THAT(print(result.errors()[0]), HasSubstr("Northfield"));
    EXPECT_THAT(print(result.errors()[1]), HasSubstr("module"));
    outing = small_outing();
    outing.coverage.ground_stations[0].mask = Degrees{std::nan("")};
    EXPECT_FALSE(windows_of(outing, outing.pet_zero));
}

TEST(Survey, GapsCarryAReasonAndFillWhatCoverageLeaves) {
    const Outing outing = small_outing();
    const Survey s = survey(outing, outing.pet_zero, Seconds{0}, Seconds{9 * 3600}).value();
    double seconds = 0;
    for (const Stretch& c : s.covered) seconds += c.to_s - c.from_s;
    ASSERT_FALSE(s.gaps.empty());
    for (const Gap& gap : s.gaps) {
        seconds += gap.when.to_s - gap.when.from_s;
        EXPECT_THAT(gap.reason, HasSubstr("behind the Earth"));
    }
    EXPECT_NEAR(seconds, 9 * 3600, 1e-6);
}

}  // namespace
}  // namespace handrail::sky
