#include "edit/edit_json.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "plan/planner.h"
#include "support/small_outing.h"

namespace handrail::edit {
namespace {

using test::SmallOuting;

std::string first_error(const Result<Edit>& result) {
    if (result.ok()) return "no error";
    return print(result.errors().front());
}

TEST(WishesJson, ComesBackAsItWent) {
    const Outing outing = SmallOuting().outing();
    plan::Wishes wishes;
    wishes.starts.push_back({StepId{0}, pet(Seconds{1200}), pet(Seconds{1300})});
    wishes.before.push_back({StepId{2}, StepId{0}});
    wishes.not_by.push_back({StepId{3}, Crew::ev2});
    wishes.lead.emplace_back(TaskId{0}, Crew::ev1);
    wishes.must_do = {TaskId{0}};
    wishes.leave_out = {TaskId{1}};
    wishes.closed = {WorksiteId{2}};
    const std::string text = to_json(outing, wishes);
    const auto read = read_wishes(outing, text, "wishes.json");
    ASSERT_TRUE(read) << print(read.errors().front());
    EXPECT_EQ(to_json(outing, read.value()), text);
    EXPECT_EQ(read.value().starts[0].to, pet(Seconds{1300}));
}

TEST(WishesJson, NamesWhatIsWrong) {
    const Outing outing = SmallOuting().outing();
    const auto read = read_wishes(
        outing, R"({"format":"handrail-wishes","version":1,"starts":[{"step":"fit.9","from_s":"soon"}],"clsed":[]})",
        "wishes.json");
    ASSERT_FALSE(read);
    std::string all;
    for (const InputError& error : read.errors()) all += print(error) + "\n";
    EXPECT_THAT(all, testing::AllOf(testing::HasSubstr("fit.9"), testing::HasSubstr("starts 1, from_s"),
                                    testing::HasSubstr("clsed")));
}

TEST(EditJson, ReadsEveryKindAndRefusesTheRest) {
    const Outing outing = SmallOuting().outing();
    for (const char* text :
         {R"({"kind":"nothing"})", R"({"kind":"pin","step":"fit.1","from_s":1500})",
          R"({"kind":"free step","step":"fit.1"})", R"({"kind":"give","task":"fit","lead":"EV2"})",
          R"({"kind":"put in","task":"look"})", R"({"kind":"leave out","task":"look"})",
          R"({"kind":"free task","task":"look"})", R"({"kind":"put before","first":"look.1","then":"fit.1"})",
          R"({"kind":"forbid","step":"fit.1","crew":"EV1"})", R"({"kind":"close site","site":"tip"})",
          R"({"kind":"open site","site":"tip"})"})
        EXPECT_TRUE(read_edit(outing, text, "edit")) << text;
    EXPECT_THAT(first_error(read_edit(outing, R"({"kind":"shove"})", "edit")), testing::HasSubstr("shove"));
    EXPECT_THAT(first_error(read_edit(outing, R"({"kind":"pin","step":"fit.1"})", "edit")),
                testing::HasSubstr("from_s"));
    EXPECT_THAT(first_error(read_edit(outing, "[", "edit")), testing::HasSubstr("not JSON"));
    EXPECT_THAT(first_error(read_edit(outing, R"({"kind":"pin","step":7,"from_s":1e99})", "edit")),
                testing::HasSubstr("label"));
}

TEST(Answer, GivesTimelineFindingsAndDifferencesForADrag) {
    const Outing outing = SmallOuting().outing();
    plan::Budget budget;
    budget.iterations = 2000;
    budget.threads = 1;
    const auto planned = plan::make_plan(outing, outing.windows, plan::initial(outing), budget);
    const std::string timeline = to_json(outing, std::get<Timeline>(planned));
    const auto reply =
        answer(outing, outing.windows, plan::initial(outing),
               fmt::format(R"({{"timeline":{},"edit":{{"kind":"pin","step":"fit.1","from_s":1500}}}})", timeline));
    ASSERT_TRUE(reply) << print(reply.errors().front());
    const auto json = nlohmann::json::parse(reply.value());
    EXPECT_EQ(json["refused"], nullptr);
    EXPECT_EQ(json["wishes"]["starts"][0]["from_s"], 1500);
    EXPECT_FALSE(json["differences"].empty());
    EXPECT_TRUE(read_timeline(outing, json["timeline"].dump(), "reply"));
    EXPECT_EQ(json["caution"], std::string(caution));

    const auto refused = answer(
        outing, outing.windows, plan::initial(outing),
        fmt::format(R"({{"timeline":{},"edit":{{"kind":"put before","first":"fit.fix","then":"fit.1"}}}})", timeline));
    ASSERT_TRUE(refused);
    EXPECT_THAT(nlohmann::json::parse(refused.value())["refused"].get<std::string>(), testing::HasSubstr("circle"));
}

TEST(Answer, NamesWhatIsWrongWithARequest) {
    const Outing outing = SmallOuting().outing();
    for (const char* text : {"", "[]", "{}", R"({"timeline":{},"edit":{"kind":"nothing"}})",
                             R"({"timeline":3,"edit":{"kind":"nothing"}})", R"({"timeline":{},"edit":{},"x":1})"}) {
        const auto reply = answer(outing, outing.windows, plan::initial(outing), text);
        EXPECT_FALSE(reply) << text;
    }
}

}  // namespace
}  // namespace handrail::edit
