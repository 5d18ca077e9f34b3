#include <gtest/gtest.h>

#include <fstream>
#include <set>
#include <sstream>

#include "expect.h"

namespace handrail::test {
namespace {

TEST(CheckRegistry, NamesExactlyTheRulesOfTheDocumentInItsOrder) {
    std::ifstream in(std::string(HANDRAIL_SOURCE_DIR) + "/docs/rules.md");
    ASSERT_TRUE(in);
    std::vector<std::string> documented, known;
    for (std::string line; std::getline(in, line);) {
        if (!line.starts_with("| `")) continue;
        std::string cell = line.substr(2, line.find('|', 2) - 2);
        for (std::size_t from = cell.find('`'); from != std::string::npos; from = cell.find('`', from)) {
            const std::size_t to = cell.find('`', from + 1);
            documented.push_back(cell.substr(from + 1, to - from - 1));
            from = to + 1;
        }
    }
    for (const RuleEntry& rule : rule_registry()) known.emplace_back(rule.id);
    EXPECT_EQ(known, documented);
}

TEST(CheckReport, FindingsComeByTimeAndPrintAsSentencesWithTheirSource) {
    Yard yard;
    yard.run("valve.2").duration = Seconds{190};
    yard.nth(ActivityKind::egress, Lane::ev1).duration = Seconds{590};
    const auto found = findings(yard);
    ASSERT_EQ(found.size(), 2u);
    EXPECT_EQ(found[0].rule, "egress");
    const std::string text = print_findings(found);
    EXPECT_THAT(text, testing::HasSubstr("PET 00:22:50  step-time  EV1  10 s\n"));
    EXPECT_THAT(text, testing::HasSubstr("\"valve: step 2\" takes 3 min 20 s, not 3 min 10 s: give it 10 s more."));
    EXPECT_THAT(text, testing::HasSubstr("(yard.toml:11)"));
    EXPECT_THAT(text, testing::EndsWith("2 findings, no notes.\n"));
}

TEST(CheckReport, JsonCarriesEveryFieldAndTheCaution) {
    Yard yard;
    yard.run("valve.2").duration = Seconds{190};
    const std::string json = findings_json(findings(yard));
    for (const char* part :
         {"\"rule\": \"step-time\"", "\"severity\": \"finding\"", "\"at_s\": 1370.0", "\"amount\": 10.0",
          "\"unit\": \"s\"", "\"source\": \"yard.toml:11\"", "\"broken\": 1", "\"EV1\"", "planning aid"})
        EXPECT_THAT(json, testing::HasSubstr(part));
}

TEST(Check, AnEmptyTimelineIsJudgedLikeAnyOther) {
    Yard yard;
    yard.timeline = {};
    EXPECT_EQ(broken(yard), (std::set<std::string>{"egress", "ingress", "required"}));
}

}  // namespace
}  // namespace handrail::test
