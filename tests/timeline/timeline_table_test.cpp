#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "support/yard.h"

namespace handrail::test {
namespace {

using testing::HasSubstr;
using enum Spot;

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

std::size_t code_points(const std::string& line) {
    return static_cast<std::size_t>(
        std::ranges::count_if(line, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

TEST(TimelineTable, ShowsTimeDurationWhoAndWhere) {
    const Yard yard;
    const std::string table = print_table(yard.outing, yard.timeline);
    EXPECT_THAT(table, HasSubstr("Yard · PET zero 2031-04-05T00:00:00Z · 2 tasks · ends at PET 00:49\n"));
    EXPECT_THAT(table, HasSubstr("\n00:17     5:00  valve: step 1 "));
    EXPECT_THAT(table, HasSubstr("EV1 Ada"));
    EXPECT_THAT(table, HasSubstr("with EV1"));
    EXPECT_THAT(table, testing::Not(HasSubstr("ground")));
    EXPECT_EQ(lines_of(table).size(), 1u + 1 + 2 + 14 + 1 + 2);  // title, head, rows, caution on two lines
}

TEST(TimelineTable, KeepsTo120ColumnsWithEveryLaneInUseAndLongNames) {
    Yard yard;
    yard.task("valve").name = "Die Umlaufpumpe des äußeren Kühlkreislaufs gegen die neue tauschen und entlüften";
    yard.step("valve.2").name = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft";
    yard.outing.station.worksites[2].name = "Aufbewahrungsort für Werkzeuge";
    yard.step("valve.2").who = {Role::lead, Role::arm, Role::iv, Role::ground};
    yard.step("valve.2").arm = ArmUse::hold;
    yard.run("valve.2").lanes = {Lane::ev1, Lane::arm, Lane::iv, Lane::ground};
    yard.timeline.left_out = {{TaskId{1}, "It needs " + std::string(200, 'x') + " and daylight."}};
    const std::string table = print_table(yard.outing, yard.timeline);
    for (const std::string& line : lines_of(table)) {
        EXPECT_LE(code_points(line), 120u) << line;
        EXPECT_FALSE(line.ends_with(' ')) << line;
    }
    EXPECT_THAT(table, HasSubstr("holds for EV1"));
}

TEST(TimelineTable, EndsWithWhatIsLeftOutAndTheCaution) {
    Yard yard;
    yard.timeline.left_out = {{TaskId{1}, "It would end 12 min after the limit."}};
    const std::string table = print_table(yard.outing, yard.timeline);
    EXPECT_THAT(table,
                HasSubstr("\nLeft out:\n- camera: It would end 12 min after the limit.\n\nHandrail is a planning "
                          "aid."));
    EXPECT_THAT(table, testing::EndsWith("govern.\n"));
}

TEST(TimelineTable, ATimelineWithoutActivitiesIsATableWithoutRows) {
    const Yard yard;
    EXPECT_THAT(print_table(yard.outing, Timeline{}), HasSubstr("ends at PET 00:00"));
}

}  // namespace
}  // namespace handrail::test
