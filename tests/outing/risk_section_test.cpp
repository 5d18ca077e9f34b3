#include <gtest/gtest.h>

#include "outing/risk_defaults.h"
#include "support/small_outing.h"

/// The [risk] table of an outing file.
namespace handrail {
namespace {

using test::SmallOuting;

TEST(RiskSection, LeftOutGivesTheDefaults) {
    const Risk risk = SmallOuting().outing().risk;
    EXPECT_EQ(risk.day, default_risk().day);
    EXPECT_EQ(risk.translation.median, default_risk().translation.median);
    EXPECT_EQ(risk.work[index(Effort::tools)].spread, Spread::log_normal);
    EXPECT_EQ(risk.work[index(Effort::light)].spread, Spread::pert);
    EXPECT_TRUE(risk.troubles.empty());
}

TEST(RiskSection, IsReadAsItStands) {
    const Risk risk = SmallOuting()
                          .add(R"([risk]
day = "12 %"
person = "0 %"
confidence = "90 %"
translation = { median = 1.2, sigma = 0.1 }

[risk.work]
light = { spread = "none" }
tools = { median = 1.3, sigma = 0.2, weight = 45, sources = ["Outing 1", "Outing 2"] }

[[risk.known_person]]
name = "Ada Testa"
factor = 0.93
sigma = 0.02

[[risk.trouble]]
name = "stuck cover"
probability = "4 %"
extra = { low = "10 min", likely = "15 min", high = "40 min" }
effort = "forced"
steps = ["fit.1", "fit.fix"]

[[risk.trouble]]
name = "late start"
kind = "late start"
probability = "5 %"
extra = "20 min"
)")
                          .outing()
                          .risk;
    EXPECT_DOUBLE_EQ(risk.day, 0.12);
    EXPECT_EQ(risk.person, 0);
    EXPECT_DOUBLE_EQ(risk.confidence.value(), 0.9);
    EXPECT_EQ(risk.translation.median, 1.2);
    EXPECT_EQ(risk.work[index(Effort::light)].spread, Spread::none);
    const WorkClass& tools = risk.work[index(Effort::tools)];
    ASSERT_TRUE(tools.share);
    EXPECT_EQ(tools.share->median, 1.3);
    EXPECT_EQ(tools.share->weight, 45);
    EXPECT_EQ(tools.share->sources.size(), 2U);
    ASSERT_EQ(risk.people.size(), 1U);
    EXPECT_EQ(risk.people[0].factor, 0.93);
    ASSERT_EQ(risk.troubles.size(), 2U);
    EXPECT_EQ(risk.troubles[0].steps, (std::vector{StepId{0}, StepId{1}}));
    EXPECT_EQ(risk.troubles[0].extra.high, Seconds{2400});
    EXPECT_EQ(risk.troubles[0].effort, Effort::forced);
    EXPECT_EQ(risk.troubles[1].kind, Trouble::Kind::late_start);
}

TEST(RiskSection, SaysWhatIsWrongAndWhatToDo) {
    struct Case {
        const char* text;
        const char* field;
        const char* says;
    };
    for (const Case& wrong : {
             Case{"[risk.work]\ntools = { median = 1.1 }\n", "median", "give both"},
             Case{"[risk.work]\ntools = { spread = \"PERT\", median = 1.1, sigma = 0.2 }\n", "spread",
                  "leave spread out"},
             Case{"[[risk.trouble]]\nname = \"x\"\nprobability = \"4 %\"\nextra = \"5 min\"\n", "steps", "name them"},
             Case{"[[risk.trouble]]\nname = \"x\"\nkind = \"hold\"\nprobability = \"4 %\"\nextra = \"5 min\"\n"
                  "steps = [\"fit.1\"]\n",
                  "steps", "take them out"},
             Case{"[[risk.trouble]]\nname = \"x\"\nprobability = \"4 %\"\nextra = \"5 min\"\nsteps = [\"fit.2x\"]\n",
                  "steps", "step"},
             Case{"[risk]\nconfidence = \"100 %\"\n", "confidence", "smaller"},
             Case{"[risk]\ndays = \"10 %\"\n", "days", "day"},
         }) {
        const Result<Outing> read = SmallOuting().add(wrong.text).read();
        ASSERT_FALSE(read.ok()) << wrong.text;
        ASSERT_EQ(read.errors().size(), 1U) << wrong.text << print(read.errors().front());
        const std::string message = print(read.errors().front());
        EXPECT_NE(message.find(wrong.field), std::string::npos) << message;
        EXPECT_NE(message.find(wrong.says), std::string::npos) << message;
        EXPECT_GT(read.errors().front().line, 0) << message;
    }
}

}  // namespace
}  // namespace handrail
