#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "outing/slip.h"
#include "support/small_outing.h"

/// Every slip gives one message, at its line, that names the field and what to do.
namespace handrail {
static void PrintTo(const Slip& slip, std::ostream* out) { *out << slip.name; }

namespace {

int line_of(const std::string& text, const std::string& piece) {
    const std::size_t at = text.find(piece);
    return at == std::string::npos
               ? -1
               : static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n')) + 1;
}

class BadInput : public testing::TestWithParam<Slip> {};

TEST_P(BadInput, GivesOneErrorAtItsPlace) {
    const Slip& slip = GetParam();
    test::SmallOuting small;
    for (const auto& [before, after] : slip.edits) small.with(before, after);
    if (!slip.add.empty()) small.add(slip.add);
    const Result<Outing> outing = small.read();
    ASSERT_FALSE(outing.ok());
    std::string all;
    for (const InputError& error : outing.errors()) all += print(error) + "\n";
    ASSERT_EQ(outing.errors().size(), 1U) << all;
    const InputError& error = outing.errors().front();
    EXPECT_EQ(error.file, "small.toml");
    EXPECT_EQ(error.line, line_of(small.text(), slip.line)) << all;
    EXPECT_GT(error.column, 0) << all;
    EXPECT_NE(error.field.find(slip.field), std::string::npos) << all;
    EXPECT_NE(print(error).find(slip.says), std::string::npos) << all;
    EXPECT_FALSE(error.remedy.empty()) << all;
}

const std::string sun = R"([[window]]
condition = "daylight"
from = "00:10"
to = "01:00"
)";

const std::vector<Slip> quantities{
    {"UnitMissing",
     {{R"(length = "12 m")", R"(length = "12")"}},
     "",
     R"(length = "12")",
     "route 1, length",
     "add the unit: m, cm"},
    {"BareNumber",
     {{R"(length = "12 m")", "length = 12"}},
     "",
     "length = 12",
     "route 1, length",
     "add the unit, in quotes"},
    {"UnitOfTheWrongKind",
     {{R"(length = "12 m")", R"(length = "12 min")"}},
     "",
     R"("12 min")",
     "route 1, length",
     "'min' is not a unit that fits here"},
    {"BareDuration",
     {{R"(duration = "10 min")", "duration = 10"}},
     "",
     "duration = 10",
     R"(task "Fit the part", step 1, duration)",
     "add the unit"},
    {"DurationInMetres",
     {{R"(duration = "10 min")", R"(duration = "10 m")"}},
     "",
     R"(duration = "10 m")",
     "step 1, duration",
     "'m' is not a unit of time"},
    {"ZeroDuration",
     {{R"(duration = "10 min")", R"(duration = "0 min")"}},
     "",
     R"("0 min")",
     "step 1, duration",
     "more than zero"},
    {"NegativeDuration",
     {{R"(duration = "10 min")", R"(duration = "-10 min")"}},
     "",
     R"("-10 min")",
     "step 1, duration",
     "cannot be negative"},
    {"LowOverLikely",
     {{R"(low = "8 min")", R"(low = "13 min")"}},
     "",
     "low = ",
     "step 2, duration",
     "found 13 min, 12 min, 20 min; put them in order"},
    {"LikelyOverHigh",
     {{R"(high = "20 min")", R"(high = "11 min")"}},
     "",
     "low = ",
     "step 2, duration",
     "put them in order"},
    {"HighMissing",
     {{R"(, high = "20 min")", ""}},
     "",
     "low = ",
     "step 2, duration, high",
     "found nothing; add high = "},
    {"NegativeLength",
     {{R"(length = "12 m")", R"(length = "-12 m")"}},
     "",
     R"("-12 m")",
     "length",
     "it must be more than zero"},
    {"HugeLength", {{R"(length = "12 m")", R"(length = "1e300 km")"}}, "", R"("1e300 km")", "length", "check the unit"},
    {"NotANumber", {{"value = 10", "value = nan"}}, "", "value = nan", "value", "write a number"},
    {"PositionWithoutUnits",
     {{R"(["10 m", "0 m", "0 m"])", "[10, 0, 0]"}},
     "",
     "[10, 0, 0]",
     "position",
     R"(add the unit, in quotes: "10 m")"},
    {"PositionOfTwo",
     {{R"(["10 m", "0 m", "0 m"])", R"(["10 m", "0 m"])"}},
     "",
     R"(["10 m", "0 m"])",
     "position",
     "found 2 of them"},
    {"NormalZero",
     {{"normal = [1, 0, 0]", "normal = [0, 0, 0]"}},
     "",
     "normal = [0, 0, 0]",
     R"(worksite "tip", normal)",
     "say which way it points"},
    {"PetZeroWithoutZ", {{"08:30:00Z", "08:30:00"}}, "", "pet_zero", "outing, pet_zero", "end it with Z"},
    {"PetZeroAsTomlDate",
     {{R"("2031-04-05T08:30:00Z")", "2031-04-05T08:30:00Z"}},
     "",
     "pet_zero",
     "outing, pet_zero",
     "found a TOML date or time"},
    {"NoSuchDay", {{"2031-04-05", "2031-02-30"}}, "", "pet_zero", "outing, pet_zero", "there is no such day"},
    {"ShareOverOne", {}, "[rules]\nlarge_item_pace = \"140 %\"\n", "140 %", "rules, large_item_pace", "at most 100 %"},
};

const std::vector<Slip> names{
    {"NulInAName",
     {{R"(name = "Fit the part")", R"(name = "Fit\u0000the part")"}},
     "",
     R"(name = "Fit\u0000)",
     "name",
     "without control characters"},
    {"LineBreakInAName",
     {{R"(name = "Fit the part")", R"(name = "Fit\nthe part")"}},
     "",
     R"(name = "Fit\n)",
     "name",
     "on one line"},
    {"EscapeCharacterInWords",
     {{R"(name = "Fit the part")", "name = \"Fit the part\"\nwhy = \"red \\u001b[31m\""}},
     "",
     "why = ",
     "why",
     "without control characters"},
    {"UnknownKey",
     {{"[[task.step]]\nname = \"Open the cover\"", "[[task.step]]\nname = \"Open the cover\"\ndurations = \"10 min\""}},
     "",
     "durations",
     R"(task "Fit the part", step 1)",
     R"(did you mean "duration"?)"},
    {"UnknownSection", {}, "[rule]\nlimit = \"6 h\"\n", "[rule]", "", R"(did you mean "rules"?)"},
    {"UnknownKeyNearNothing",
     {{"name = \"Small outing\"", "name = \"Small outing\"\nxyzzy = 1"}},
     "",
     "xyzzy",
     "outing",
     "use one of name, about"},
    {"UnknownWorksiteInStep",
     {{"[[task.step]]\nname = \"Look from the left\"\nat = \"tip\"",
       "[[task.step]]\nname = \"Look from the left\"\nat = \"tpi\""}},
     "",
     "\"tpi\"",
     R"(step 1, at)",
     R"(did you mean "tip"?)"},
    {"UnknownWorksiteInRoute",
     {{R"(["bay", "tip"])", R"(["bay", "top"])"}},
     "",
     "\"top\"",
     "route 2, between",
     R"(did you mean "tip"?)"},
    {"UnknownAirlock",
     {{"airlock = \"airlock\"", "airlock = \"hatch\""}},
     "",
     "\"hatch\"",
     "station, airlock",
     "a worksite of this outing"},
    {"UnknownItemInStep",
     {{R"(needs = ["driver"])", R"(needs = ["drivr"])"}},
     "",
     "drivr",
     "step 1, needs",
     R"(did you mean "driver"?)"},
    {"UnknownTask",
     {{"name = \"Look at the tip\"", "name = \"Look at the tip\"\nafter = [\"fti\"]"}},
     "",
     "\"fti\"",
     R"(task "Look at the tip", after)",
     R"(did you mean "fit"?)"},
    {"UnknownStep",
     {{"name = \"Look from the left\"", "name = \"Look from the left\"\nafter = [\"fit.fixx\"]"}},
     "",
     "fit.fixx",
     "step 1, after",
     R"(did you mean "fit.fix"?)"},
    {"UnknownRole",
     {{R"(["lead", "helper"])", R"(["lead", "helpr"])"}},
     "",
     "helpr",
     "step 2, who",
     R"(did you mean "helper"?)"},
    {"UnknownSuit",
     {{"suit = \"suit\"\n\n[crew.EV2]", "suit = \"siut\"\n\n[crew.EV2]"}},
     "",
     "siut",
     "crew, EV1, suit",
     R"(did you mean "suit"?)"},
    {"UnknownEffort",
     {{"effort = \"light\"", "effort = \"lihgt\""}},
     "",
     "lihgt",
     "effort",
     R"(did you mean "light"?)"},
    {"UnknownClass",
     {{"class = \"required\"", "class = \"must\""}},
     "",
     "\"must\"",
     "class",
     R"(one of "required", "wanted", "get-ahead")"},
    {"UnknownCondition",
     {{"name = \"Look from the left\"", "name = \"Look from the left\"\nduring = [\"daylihgt\"]"}},
     sun,
     "daylihgt",
     "step 1, during",
     R"(did you mean "daylight"?)"},
    {"ConditionWithoutOrbitOrWindows",
     {{"name = \"Look from the left\"", "name = \"Look from the left\"\nduring = [\"daylight\"]"}},
     "",
     "during",
     "step 1, during",
     "add windows for it, or [orbit]"},
    {"CoverageWithoutAntennas",
     {{"name = \"Look from the left\"", "name = \"Look from the left\"\nduring = [\"coverage\"]"}},
     "[orbit]\ntle = \"1 x\\n2 y\"\n",
     "during",
     "step 1, during",
     "a condition that has windows"},
    {"DuplicateWorksite",
     {{"id = \"tip\"", "id = \"bay\""},
      {R"(["bay", "tip"])", R"(["bay", "airlock"])"},
      {"at = \"tip\"", "at = \"bay\""},
      {"at = \"tip\"", "at = \"bay\""}},
     "",
     "id = \"bay\"\nposition",
     "id",
     "a name no other worksite has"},
    {"DuplicateItem",
     {},
     "[[item]]\nid = \"part\" \nat = \"bay\"\n",
     "\"part\" \nat",
     "item \"part\", id",
     "rename it; the other one is in small.toml:"},
    {"DuplicateTask",
     {{"id = \"look\"", "id = \"fit\" "},
      {"name = \"Look from the left\"", "id = \"a\"\nname = \"Look from the left\""},
      {"name = \"Look from the right\"", "id = \"b\"\nname = \"Look from the right\""}},
     "",
     "id = \"fit\" ",
     R"(task "Look at the tip", id)",
     "a name no other task has"},
    {"DuplicateStep",
     {{"name = \"Open the cover\"", "id = \"fix\" \nname = \"Open the cover\""}},
     "",
     "id = \"fix\"\n",
     "step 2, id",
     "a name no other step has"},
    {"DuplicateSuit",
     {},
     "[[suit]]\nid = \"suit\" \n",
     "id = \"suit\" ",
     "suit \"suit\", id",
     "a name no other suit type has"},
    {"DuplicateKey", {{"value = 3", "value = 3\nvalue = 4"}}, "", "value = 4", "", "valid TOML"},
    {"SamePersonTwice", {{"Ben Probe", "Ada Testa"}}, "", "[crew.EV2]", "crew, EV2", "another name than EV1's"},
    {"TaskNameWithADot", {{"id = \"look\"", "id = \"look.tip\""}}, "", "look.tip", "id", "a short name of letters"},
    {"StepNameOfDigits", {{"id = \"fix\"", "id = \"7\""}}, "", "id = \"7\"", "id", "a short name of letters"},
};

std::string name_of(const testing::TestParamInfo<Slip>& info) { return info.param.name; }
INSTANTIATE_TEST_SUITE_P(Quantities, BadInput, testing::ValuesIn(quantities), name_of);
INSTANTIATE_TEST_SUITE_P(Names, BadInput, testing::ValuesIn(names), name_of);
INSTANTIATE_TEST_SUITE_P(HangsTogether, BadInput, testing::ValuesIn(contradictions()), name_of);

TEST(BadInput, AllErrorsOfAFileComeInOneGo) {
    test::SmallOuting small;
    small.with("length = \"12 m\"", "length = 12")
        .with("value = 3", "valu = 3")
        .with("at = \"tip\"", "at = \"nowhere\"");
    const Result<Outing> outing = small.read();
    ASSERT_FALSE(outing.ok());
    ASSERT_EQ(outing.errors().size(), 3U);
    EXPECT_LT(outing.errors()[0].line, outing.errors()[1].line);
    EXPECT_LT(outing.errors()[1].line, outing.errors()[2].line);
}

TEST(BadInput, WordsMayRunOverLines) {
    test::SmallOuting small;
    small.with(R"(name = "Fit the part")", "name = \"Fit the part\"\nwhy = \"\"\"So that it works,\nand\tlasts.\"\"\"");
    const Result<Outing> outing = small.read();
    ASSERT_TRUE(outing.ok()) << print(outing.errors().front());
    EXPECT_EQ(outing.value().tasks.front().why, "So that it works,\nand\tlasts.");
}

TEST(BadInput, ThousandsOfErrorsAreCutShortAndCounted) {
    test::SmallOuting small;
    for (int i = 0; i < 3000; ++i) small.add("[[item]]\nid = \"i" + std::to_string(i) + "\"\nat = \"nowhere\"\n");
    const Result<Outing> outing = small.read();
    ASSERT_FALSE(outing.ok());
    EXPECT_EQ(outing.errors().size(), 201U);
    EXPECT_EQ(outing.errors().back().remedy, "2800 more errors are not shown");
}

}  // namespace
}  // namespace handrail
