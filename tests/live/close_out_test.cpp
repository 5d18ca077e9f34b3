#include "live/close_out.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "day_under_test.h"

namespace handrail::live {
namespace {

using nlohmann::json;
using testing::HasSubstr;

struct Closed_ {
    Status status;
    CloseOut close_out;
};
Closed_ closed(const DayUnderTest& t, const std::string& pet) {
    Status status = t.status(pet);
    CloseOut close_out = close_out_of(t.outing(), t.entries(), status);
    return {std::move(status), std::move(close_out)};
}

TEST(CloseOutOfADay, TellsDonePartlyAndLeftWithReasons) {
    const auto t = yard();
    t->follow_plan_until("00:10")
        .say("00:15", "EV1 started lamp.1")
        .say("00:27", "done")
        .say("00:28", "drop paint the paint froze");
    t->say("00:40", "terminate cold").say("00:50", "clean-up").say("00:55", "ingress").say("01:06", "hatch closed");
    const auto c = closed(*t, "01:10");
    const json found = json::parse(close_out_json(t->outing(), c.status, c.close_out, Reader::console));
    EXPECT_EQ(found["ended"], "terminate");
    EXPECT_EQ(found["reason"], "cold");
    EXPECT_EQ(found["tasks"][0]["outcome"], "partly");
    EXPECT_THAT(found["tasks"][0]["steps_left"].dump(), HasSubstr("lamp.2"));
    EXPECT_EQ(found["tasks"][1]["outcome"], "left");
    EXPECT_EQ(found["tasks"][1]["reason"], "the paint froze");
    EXPECT_EQ(found["left_open"][0], "mast");
    EXPECT_EQ(found["outside_pet_s"], 600);
    EXPECT_EQ(found["inside_pet_s"], 66 * 60);
    EXPECT_EQ(found["as_run"][0]["label"], "lamp.1");
    EXPECT_EQ(found["as_run"][0]["duration_s"], 720);
    EXPECT_EQ(found["as_run"][0]["planned_duration_s"], 600);
    EXPECT_EQ(found["caution"], caution);
    const std::string text = print(t->outing(), c.status, c.close_out, Reader::console);
    for (const char* part : {"Partly done", "still to do lamp.2, lamp.3", "the paint froze", "Left open: Mast",
                             "terminate at 00:40: cold"})
        EXPECT_THAT(text, HasSubstr(part));
}

TEST(CloseOutOfADay, NamesWhatShouldBeInsideAndIsNot) {
    const auto t = yard();
    t->follow_plan_until("00:10")
        .say("00:30", "bag 2 left at bench")
        .say("00:31", "wrench lost")
        .say("01:00", "hatch closed");
    const auto c = closed(*t, "01:10");
    EXPECT_THAT(c.close_out.left_outside, testing::ElementsAre(t->item("bag-2")));
    EXPECT_THAT(c.close_out.lost, testing::ElementsAre(t->item("wrench")));
    EXPECT_THAT(print(t->outing(), c.status, c.close_out, Reader::console),
                HasSubstr("Tool bag: at Bench (should have come back in)"));
}

TEST(CloseOutOfADay, ADayThatWentAsPlannedLeavesNothing) {
    const auto t = yard();
    t->follow_plan_until("03:00");
    const auto c = closed(*t, "03:00");
    EXPECT_EQ(c.close_out.ended, "came in as planned");
    EXPECT_TRUE(c.close_out.left_outside.empty());
    EXPECT_TRUE(c.close_out.left_open.empty());
    const std::string text = print(t->outing(), c.status, c.close_out, Reader::console);
    EXPECT_THAT(text, testing::Not(HasSubstr("\nLeft\n")));
    EXPECT_THAT(text, HasSubstr("+0 min"));
}

TEST(CloseOutOfADay, CannotBeClosedWhileSomebodyIsOutside) {
    const auto t = yard();
    EXPECT_FALSE(can_close(t->day("-00:10")));
    t->follow_plan_until("00:10");
    EXPECT_FALSE(can_close(t->day("00:20")));
    t->say("00:30", "hatch closed");
    EXPECT_TRUE(can_close(t->day("00:31")));
}

TEST(Export, EveryLineIsOneJsonObjectAndEveryRowHasAsManyFields) {
    const auto t = yard();
    t->follow_plan_until("00:20").say("00:21", "note \"quoted\", with; commas, and 日本");
    const Status status = t->status("00:22");
    std::istringstream lines(export_json_lines(t->entries(), status, Reader::medical));
    std::size_t count = 0;
    for (std::string line; std::getline(lines, line); ++count) {
        const json one = json::parse(line);
        EXPECT_EQ(one["position"], count + 1);
        EXPECT_EQ(one["entry"].dump(), json::parse(to_json(t->entries()[count].entry)).dump());
    }
    EXPECT_EQ(count, t->entries().size());
    const std::string csv = export_csv(status, Reader::console);
    EXPECT_THAT(csv, HasSubstr("\"\"quoted\"\", with; commas, and 日本\"\r\n"));
    EXPECT_THAT(csv,
                testing::StartsWith("position,happened,logged,pet_s,kind,author,visibility,corrects,struck,words\r\n"));
}

}  // namespace
}  // namespace handrail::live
