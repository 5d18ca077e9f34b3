#include "sky/elements.h"

#include <gmock/gmock.h>

#include "support.h"

namespace handrail::sky {
namespace {

using ::testing::HasSubstr;

// Invented elements; the checksums are right.
const std::string line1 = "1 90001U 00000A   30079.50000000  .00000000  00000-0  20000-4 0    14";
const std::string line2 = "2 90001  51.6000   0.0000 0005000  40.0000  10.0000 15.50000000    05";

OrbitSource text(const std::string& content, OrbitSource::Kind kind = OrbitSource::Kind::tle) {
    return {kind, content, {"station.toml", 7, 1}};
}
std::string errors(const OrbitSource& source) {
    const auto result = read_elements(source);
    if (result) return "no error";
    std::string all;
    for (const InputError& e : result.errors()) all += print(e) + "\n";
    return all;
}
/// The line with a character replaced and the checksum made right again, so that only that one thing is wrong.
std::string with(std::string line, std::size_t column, const std::string& replacement) {
    line.replace(column - 1, replacement.size(), replacement);
    int sum = 0;
    for (char c : line.substr(0, 68)) sum += c >= '0' && c <= '9' ? c - '0' : c == '-';
    line[68] = static_cast<char>('0' + sum % 10);
    return line;
}

TEST(Tle, ReadsEveryField) {
    // Published: Vallado et al., AIAA 2006-6753, verification set; its output gives the epoch as 2000 6 28 and, six
    // hours later, 0:50:19.733571 the next day.
    const auto result =
        read_elements(test::tle("1 00005U 58002B   00179.78495062  .00000023  00000-0  28098-4 0  4753",
                                "2 00005  34.2682 348.7242 1859667 331.7664  19.3264 10.82419157413667"));
    ASSERT_TRUE(result) << print(result.errors()[0]);
    const Elements& e = result.value();
    EXPECT_EQ(e.catalogue, "00005");
    EXPECT_EQ(print_utc(Utc{e.epoch.day}), "2000-06-27T00:00:00Z");
    EXPECT_NEAR(e.epoch.seconds_of_day, 18 * 3600 + 50 * 60 + 19.733571, 1e-5);
    EXPECT_DOUBLE_EQ(e.inclination.value(), 34.2682);
    EXPECT_DOUBLE_EQ(e.node.value(), 348.7242);
    EXPECT_DOUBLE_EQ(e.eccentricity, 0.1859667);
    EXPECT_DOUBLE_EQ(e.perigee.value(), 331.7664);
    EXPECT_DOUBLE_EQ(e.anomaly.value(), 19.3264);
    EXPECT_DOUBLE_EQ(e.mean_motion_rev_per_day, 10.82419157);
    EXPECT_DOUBLE_EQ(e.bstar_per_earth_radius, 0.28098e-4);
}

TEST(Tle, TakesANameLineAndAnyLineEnding) {
    for (const std::string end : {"\n", "\r\n", "  \r\n"})
        for (const std::string name : {"", "LARKSPUR", "0 LARKSPUR"}) {
            const std::string first = name.empty() ? "" : name + end;
            const auto result = read_elements(text(first + line1 + end + line2 + end));
            ASSERT_TRUE(result) << print(result.errors()[0]);
            EXPECT_EQ(result.value().object, name.empty() ? "" : "LARKSPUR");
        }
    EXPECT_TRUE(read_elements(text(line1 + "\n" + line2))) << "the last line end may be missing";
}

TEST(Tle, ReadsAlpha5CatalogueNumbers) {
    const auto result = read_elements(text(with(line1, 3, "B0042") + "\n" + with(line2, 3, "B0042")));
    ASSERT_TRUE(result) << print(result.errors()[0]);
    EXPECT_EQ(result.value().catalogue, "110042");
    const auto last = read_elements(text(with(line1, 3, "Z9999") + "\n" + with(line2, 3, "Z9999")));
    ASSERT_TRUE(last);
    EXPECT_EQ(last.value().catalogue, "339999");
    EXPECT_THAT(errors(text(with(line1, 3, "I0042") + "\n" + with(line2, 3, "I0042"))), HasSubstr("alpha-5"));
}

TEST(Tle, YearsFrom57OnAreOfThe1900s) {
    const auto old = read_elements(text(with(line1, 19, "57") + "\n" + line2));
    const auto late = read_elements(text(with(line1, 19, "56") + "\n" + line2));
    ASSERT_TRUE(old && late);
    EXPECT_EQ(print_utc(nearest(old.value().epoch)).substr(0, 4), "1957");
    EXPECT_EQ(print_utc(nearest(late.value().epoch)).substr(0, 4), "2056");
}

TEST(Tle, AWrongChecksumIsNamedWithItsPlace) {
    std::string wrong = line1;
    wrong.back() = '5';
    const std::string message = errors(text(wrong + "\n" + line2));
    EXPECT_THAT(message, HasSubstr("station.toml:7:69"));
    EXPECT_THAT(message, HasSubstr("checksum"));
    EXPECT_THAT(message, HasSubstr("expected 4"));
}

TEST(Tle, BothChecksumsAreReportedAtOnce) {
    std::string first = line1, second = line2;
    first.back() = '5';
    second.back() = '9';
    const auto result = read_elements(text(first + "\n" + second));
    ASSERT_FALSE(result);
    ASSERT_EQ(result.errors().size(), 2u);
    EXPECT_EQ(result.errors()[1].line, 8);
}

TEST(Tle, WhatCannotBeAnElementSetIsRefusedWithItsReason) {
    EXPECT_THAT(errors(text(line2 + "\n" + line1)), HasSubstr("swap the two lines"));
    EXPECT_THAT(errors(text(line1 + "\n" + with(line2, 3, "90002"))), HasSubstr("different objects"));
    EXPECT_THAT(errors(text(line1.substr(0, 68) + "\n" + line2)), HasSubstr("69 columns"));
    EXPECT_THAT(errors(text(line1 + "0\n" + line2)), HasSubstr("69 columns"));
    EXPECT_THAT(errors(text(line1)), HasSubstr("two lines"));
    EXPECT_THAT(errors(text("")), HasSubstr("two lines"));
    EXPECT_THAT(errors(text(line1 + "\n" + line2 + "\n" + line1 + "\n" + line2)), HasSubstr("exactly one element set"));
    EXPECT_THAT(errors(text(line1 + "\n" + line1)), HasSubstr("TLE line 2"));
    EXPECT_THAT(errors(text(line1 + "\n" + with(line2, 27, "1.00000"))), HasSubstr("eccentricity"));
    EXPECT_THAT(errors(text(line1 + "\n" + with(line2, 9, "190.0000"))), HasSubstr("inclination"));
    EXPECT_THAT(errors(text(line1 + "\n" + with(line2, 53, "00.00000000"))), HasSubstr("mean motion"));
    EXPECT_THAT(errors(text(with(line1, 21, "367.0000") + "\n" + line2)), HasSubstr("day of the year"));
    EXPECT_THAT(errors(text(with(line1, 63, "4") + "\n" + line2)), HasSubstr("another theory"));
    EXPECT_THAT(errors(text(with(line1, 54, " 2x000-4") + "\n" + line2)), HasSubstr("BSTAR"));
    EXPECT_THAT(errors(text(with(line1, 9, "7") + "\n" + line2)), HasSubstr("blank in column 9"));
    EXPECT_THAT(errors(text(std::string(2u << 20, 'x'))), HasSubstr("1 MiB"));
    EXPECT_THAT(errors(text(std::string("1 \0\xff\x01", 5) + "\n" + line2)), HasSubstr("expected"));
}

TEST(Tle, DeepSpaceElementsAreRefusedByTheOrbit) {
    // Invented: half-day orbit.
    const std::string slow = with(line2, 53, " 2.00000000");
    const auto result = orbit_of(text(line1 + "\n" + slow));
    ASSERT_FALSE(result);
    EXPECT_THAT(print(result.errors()[0]), HasSubstr("below 225 min"));
}

const char* const kvn = R"(CCSDS_OMM_VERS = 2.0
COMMENT invented
CREATION_DATE = 2030-03-20T12:00:00
ORIGINATOR = INVENTED
OBJECT_NAME = LARKSPUR
OBJECT_ID = 2030-000A
CENTER_NAME = EARTH
REF_FRAME = TEME
TIME_SYSTEM = UTC
MEAN_ELEMENT_THEORY = SGP4
EPOCH = 2030-03-20T12:00:00.000000
MEAN_MOTION = 15.50000000 [rev/day]
ECCENTRICITY = 0.0005
INCLINATION = 51.6 [deg]
RA_OF_ASC_NODE = 0.0 [deg]
ARG_OF_PERICENTER = 40.0 [deg]
MEAN_ANOMALY = 10.0 [deg]
EPHEMERIS_TYPE = 0
NORAD_CAT_ID = 90001
BSTAR = 0.00002
)";
const char* const xml = R"(<?xml version="1.0" encoding="UTF-8"?>
<ndm><omm id="CCSDS_OMM_VERS" version="2.0">
<header><CREATION_DATE>2030-03-20T12:00:00</CREATION_DATE><ORIGINATOR>INVENTED</ORIGINATOR></header>
<body><segment>
<metadata><OBJECT_NAME>LARKSPUR</OBJECT_NAME><OBJECT_ID>2030-000A</OBJECT_ID><CENTER_NAME>EARTH</CENTER_NAME>
<REF_FRAME>TEME</REF_FRAME><TIME_SYSTEM>UTC</TIME_SYSTEM><MEAN_ELEMENT_THEORY>SGP4</MEAN_ELEMENT_THEORY></metadata>
<data><meanElements><EPOCH>2030-079T12:00:00.0Z</EPOCH><MEAN_MOTION units="rev/day">15.5</MEAN_MOTION>
<ECCENTRICITY>5e-4</ECCENTRICITY><INCLINATION>51.6</INCLINATION><RA_OF_ASC_NODE>0</RA_OF_ASC_NODE>
<ARG_OF_PERICENTER>40</ARG_OF_PERICENTER><MEAN_ANOMALY>10</MEAN_ANOMALY></meanElements>
<tleParameters><NORAD_CAT_ID>90001</NORAD_CAT_ID><BSTAR>+2e-5</BSTAR></tleParameters></data>
</segment></body></omm></ndm>
)";
std::string replaced(std::string in, const std::string& what, const std::string& by) {
    const std::size_t at = in.find(what);
    EXPECT_NE(at, std::string::npos) << what;
    return in.replace(at, what.size(), by);
}
std::string kvn_errors(const std::string& content) { return errors(text(content, OrbitSource::Kind::omm_kvn)); }
std::string xml_errors(const std::string& content) { return errors(text(content, OrbitSource::Kind::omm_xml)); }

TEST(Omm, BothNotationsSayWhatTheTleSays) {
    const auto tle = read_elements(text(line1 + "\n" + line2));
    for (const auto& source : {text(kvn, OrbitSource::Kind::omm_kvn), text(xml, OrbitSource::Kind::omm_xml)}) {
        const auto omm = read_elements(source);
        ASSERT_TRUE(omm) << print(omm.errors()[0]);
        EXPECT_EQ(omm.value().object, "LARKSPUR");
        EXPECT_EQ(omm.value().catalogue, tle.value().catalogue);
        EXPECT_EQ(nearest(omm.value().epoch), nearest(tle.value().epoch));
        EXPECT_DOUBLE_EQ(omm.value().mean_motion_rev_per_day, tle.value().mean_motion_rev_per_day);
        EXPECT_DOUBLE_EQ(omm.value().eccentricity, tle.value().eccentricity);
        EXPECT_DOUBLE_EQ(omm.value().inclination.value(), tle.value().inclination.value());
        EXPECT_DOUBLE_EQ(omm.value().perigee.value(), tle.value().perigee.value());
        EXPECT_DOUBLE_EQ(omm.value().anomaly.value(), tle.value().anomaly.value());
        EXPECT_DOUBLE_EQ(omm.value().bstar_per_earth_radius, tle.value().bstar_per_earth_radius);
    }
}

TEST(Omm, EveryMissingFieldIsNamedAtOnce) {
    const std::string message = kvn_errors("CCSDS_OMM_VERS = 2.0\n");
    for (const char* key :
         {"CENTER_NAME", "REF_FRAME", "TIME_SYSTEM", "MEAN_ELEMENT_THEORY", "EPOCH", "MEAN_MOTION", "ECCENTRICITY",
          "INCLINATION", "RA_OF_ASC_NODE", "ARG_OF_PERICENTER", "MEAN_ANOMALY", "BSTAR"})
        EXPECT_THAT(message, HasSubstr(key));
}

TEST(Omm, WrongValuesAreNamedWithTheirLine) {
    EXPECT_THAT(kvn_errors(replaced(kvn, "ECCENTRICITY = 0.0005", "ECCENTRICITY = 1.2")),
                HasSubstr("station.toml:19:1: orbit, ECCENTRICITY"));
    EXPECT_THAT(kvn_errors(replaced(kvn, "15.50000000", "nan")), HasSubstr("MEAN_MOTION"));
    EXPECT_THAT(kvn_errors(replaced(kvn, "= TEME", "= EME2000")), HasSubstr("REF_FRAME"));
    EXPECT_THAT(kvn_errors(replaced(kvn, "= SGP4", "= DSST")), HasSubstr("another theory"));
    EXPECT_THAT(kvn_errors(replaced(kvn, "= EARTH", "= MARS")), HasSubstr("CENTER_NAME"));
    EXPECT_THAT(kvn_errors(replaced(kvn, "2030-03-20T12:00:00.000000", "2030-02-30T12:00:00")), HasSubstr("EPOCH"));
    EXPECT_THAT(kvn_errors(replaced(kvn, "OBJECT_ID =", "OBJECT_ID")), HasSubstr("KEYWORD = value"));
    EXPECT_THAT(kvn_errors(std::string(kvn) + kvn), HasSubstr("one element set"));
    EXPECT_THAT(kvn_errors("OBJECT_NAME = X\n"), HasSubstr("CCSDS_OMM_VERS"));
    EXPECT_THAT(xml_errors(replaced(xml, "<BSTAR>+2e-5</BSTAR>", "")), HasSubstr("BSTAR"));
    EXPECT_THAT(xml_errors(replaced(xml, "</segment>", "")), HasSubstr("well-formed XML"));
    EXPECT_THAT(xml_errors("<html/>"), HasSubstr("outermost"));
    EXPECT_THAT(xml_errors(""), HasSubstr("well-formed XML"));
}

TEST(Omm, EntitiesAreRefusedBeforeAnyIsExpanded) {
    std::string bomb = "<?xml version=\"1.0\"?>\n<!DOCTYPE ndm [<!ENTITY a \"0123456789\">\n";
    for (char c = 'b'; c <= 'k'; ++c) {
        bomb += std::string("<!ENTITY ") + c + " \"";
        for (int i = 0; i < 10; ++i) bomb += std::string("&") + static_cast<char>(c - 1) + ";";
        bomb += "\">\n";
    }
    bomb += "]><ndm><omm><BSTAR>&k;</BSTAR></omm></ndm>";
    const std::string message = xml_errors(bomb);
    EXPECT_THAT(message, HasSubstr("DOCTYPE"));
    EXPECT_THAT(message, HasSubstr("station.toml:8"));
    EXPECT_THAT(xml_errors("<?xml version=\"1.0\"?><!DOCTYPE ndm SYSTEM \"file:///etc/passwd\"><ndm/>"),
                HasSubstr("DOCTYPE"));
    EXPECT_THAT(xml_errors("<ndm><omm><BSTAR>&x;</BSTAR></omm></ndm>"), HasSubstr("well-formed XML"));
    std::string deep;
    for (int i = 0; i < 5000; ++i) deep += i == 0 ? "<ndm>" : "<a>";
    EXPECT_THAT(xml_errors(deep), HasSubstr("nested"));
    EXPECT_THAT(xml_errors("<omm><A>" + std::string(10000, 'x') + "</A></omm>"), HasSubstr("4096"));
}

TEST(Elements, DamagedTextNeverCrashesAndNeverPassesAWrongNumber) {
    // Law: whatever single character is replaced, reading ends in elements that are finite and in range, or in errors.
    test::Random random(69);
    const std::string sources[] = {line1 + "\n" + line2 + "\n", kvn, xml};
    const OrbitSource::Kind kinds[] = {OrbitSource::Kind::tle, OrbitSource::Kind::omm_kvn, OrbitSource::Kind::omm_xml};
    for (int s = 0; s < 3; ++s)
        for (int i = 0; i < 3000; ++i) {
            std::string damaged = sources[s];
            for (int n = 0; n <= i % 3; ++n)
                damaged[static_cast<std::size_t>(random.between(0, static_cast<double>(damaged.size()) - 0.5))] =
                    static_cast<char>(random.between(0, 256));
            const auto result = read_elements(text(damaged, kinds[s]));
            if (!result) {
                ASSERT_FALSE(result.errors().empty());
                continue;
            }
            const Elements& e = result.value();
            ASSERT_TRUE(e.eccentricity >= 0 && e.eccentricity < 1) << damaged;
            ASSERT_TRUE(e.mean_motion_rev_per_day > 0 && e.mean_motion_rev_per_day <= 18) << damaged;
            ASSERT_TRUE(e.inclination.value() >= 0 && e.inclination.value() <= 180) << damaged;
            ASSERT_TRUE(std::isfinite(e.bstar_per_earth_radius)) << damaged;
        }
}

}  // namespace
}  // namespace handrail::sky
