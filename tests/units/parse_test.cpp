#include "units/parse.h"

#include <gtest/gtest.h>

namespace handrail {
namespace {

template <class T>
T good(const Parsed<T>& parsed) {
    const T* value = std::get_if<T>(&parsed);
    if (!value) {
        ADD_FAILURE() << std::get<ParseError>(parsed).found << ": " << std::get<ParseError>(parsed).remedy;
        return T{};
    }
    return *value;
}

template <class T>
std::string remedy(const Parsed<T>& parsed) {
    const ParseError* error = std::get_if<ParseError>(&parsed);
    if (!error) {
        ADD_FAILURE() << "was accepted";
        return {};
    }
    EXPECT_FALSE(error->expected.empty());
    return error->remedy;
}

TEST(ParseDuration, ReadsHoursMinutesAndSeconds) {
    EXPECT_EQ(good(parse_duration("25 min")), Seconds{1500});
    EXPECT_EQ(good(parse_duration("1 h 25 min")), Seconds{5100});
    EXPECT_EQ(good(parse_duration("1h25min")), Seconds{5100});
    EXPECT_EQ(good(parse_duration(" 90 s ")), Seconds{90});
    EXPECT_EQ(good(parse_duration("1.5 h")), Seconds{5400});
    EXPECT_EQ(good(parse_duration("2 min 30 s")), Seconds{150});
}

TEST(ParseDuration, RefusesWhatHasNoUnitOrMakesNoSense) {
    EXPECT_EQ(remedy(parse_duration("25")), "add the unit: h, min or s");
    EXPECT_EQ(remedy(parse_duration("-5 min")), "a time cannot be negative");
    EXPECT_EQ(remedy(parse_duration("25 kPa")), "'kPa' is not a unit of time; use h, min or s");
    EXPECT_EQ(remedy(parse_duration("5 min 1 h")), "write the larger unit first, each once");
    EXPECT_EQ(remedy(parse_duration("5 min 5 min")), "write the larger unit first, each once");
    for (const char* nonsense : {"", "min", "nan min", "inf h", "1e9 h", "0x10 min", "5 min x", "--5 min"})
        remedy(parse_duration(nonsense));
}

TEST(ParsePet, ReadsBothFormsAndTheWord) {
    EXPECT_EQ(good(parse_pet("02:40")), pet(Seconds{9600}));
    EXPECT_EQ(good(parse_pet("02:40:30 PET")), pet(Seconds{9630}));
    EXPECT_EQ(good(parse_pet("PET 00:35")), pet(Seconds{2100}));
    EXPECT_EQ(good(parse_pet("-00:30")), pet(Seconds{-1800}));
    EXPECT_EQ(good(parse_pet("100:00")), pet(Seconds{360000}));
}

TEST(ParsePet, RefusesAnythingElse) {
    for (const char* nonsense : {"", "40", "02:60", "02:4", "1234:00", ":30", "02:40:61", "02:40x", "2.5:00"})
        EXPECT_EQ(remedy(parse_pet(nonsense)), "write hh:mm or hh:mm:ss") << nonsense;
}

TEST(ParseUtc, ReadsIso8601) {
    EXPECT_EQ(print_utc(good(parse_utc("2031-04-05T08:30:00Z"))), "2031-04-05T08:30:00Z");
    EXPECT_EQ(print_utc(good(parse_utc("2031-04-05 08:30Z"))), "2031-04-05T08:30:00Z");
    EXPECT_EQ(print_utc(good(parse_utc("2031-04-05T08:30:00.250Z"))), "2031-04-05T08:30:00.250Z");
}

TEST(ParseUtc, ReadsALeapSecondAsTheNextSecond) {
    // The leap second at the end of 2016 (IERS Bulletin C 52).
    EXPECT_EQ(print_utc(good(parse_utc("2016-12-31T23:59:60Z"))), "2017-01-01T00:00:00Z");
}

TEST(ParseUtc, RefusesOtherZonesAndDaysThatDoNotExist) {
    EXPECT_EQ(remedy(parse_utc("2031-04-05T08:30:00+02:00")), "end it with Z: Handrail keeps UTC only");
    EXPECT_EQ(remedy(parse_utc("2031-04-05T08:30:00")), "end it with Z: Handrail keeps UTC only");
    EXPECT_EQ(remedy(parse_utc("2031-02-30T08:30:00Z")), "there is no such day");
    EXPECT_EQ(remedy(parse_utc("2031-02-28T24:30:00Z")), "there is no such time of day");
    for (const char* nonsense : {"", "today", "2031", "2031-04-05", "20310405T083000Z"}) remedy(parse_utc(nonsense));
}

TEST(ParseQuantity, ConvertsToTheUnitOfTheType) {
    // Factors: NIST SP 811 (2008), appendix B.8.
    EXPECT_NEAR(good(parse_pressure("4.3 psi")).value(), 29.647, 5e-4);
    EXPECT_NEAR(good(parse_pressure("29.6 kPa")).value(), 29.6, 1e-12);
    EXPECT_NEAR(good(parse_pressure("760 mmHg")).value(), 101.325, 1e-3);
    EXPECT_NEAR(good(parse_length("85 ft")).value(), 25.908, 1e-9);
    EXPECT_NEAR(good(parse_speed("0.5 ft/s")).value(), 0.1524, 1e-12);
    EXPECT_NEAR(good(parse_mass("1.217 lb")).value(), 0.55202, 1e-5);
    EXPECT_NEAR(good(parse_mass_flow("5 g/h")).value(), 0.005, 1e-15);
    EXPECT_NEAR(good(parse_power("1000 BTU/h")).value(), 293.07, 1e-2);
    EXPECT_NEAR(good(parse_power("100 kcal/h")).value(), 116.3, 1e-9);
    EXPECT_NEAR(good(parse_energy("3.6 MJ")).value(), 1000, 1e-9);
    EXPECT_NEAR(good(parse_volume_flow("36.2 cm3/min")).value(), 0.0362, 1e-12);
    EXPECT_NEAR(good(parse_angle("51.6°")).value(), 51.6, 1e-12);
    EXPECT_NEAR(good(parse_temperature("293.15 K")).value(), 20, 1e-9);
    EXPECT_NEAR(good(parse_fraction("26.5 %")).value(), 0.265, 1e-12);
    EXPECT_NEAR(good(parse_fraction("0.265")).value(), 0.265, 1e-12);
}

TEST(ParseQuantity, NamesTheUnitsThatFit) {
    EXPECT_EQ(remedy(parse_length("17")), "add the unit: m, cm, mm, km, ft, in");
    EXPECT_EQ(remedy(parse_length("17 kPa")), "'kPa' is not a unit that fits here; use one of m, cm, mm, km, ft, in");
    EXPECT_EQ(remedy(parse_pressure("high")), "write a number and its unit");
    for (const char* nonsense : {"", "nan m", "inf m", "1e999 m", "17 m m"}) remedy(parse_length(nonsense));
}

TEST(Quantity, DoesNotMixUnitsOrClocks) {
    static_assert(!std::is_convertible_v<double, KiloPascal>);
    static_assert(!std::is_convertible_v<Metres, Kilograms>);
    static_assert(!std::is_constructible_v<Pet, Utc> && !std::is_constructible_v<Utc, Pet>);
    EXPECT_DOUBLE_EQ((Metres{3} + Metres{4}).value(), 7);
    EXPECT_DOUBLE_EQ(Metres{8} / Metres{2}, 4);
}

}  // namespace
}  // namespace handrail
