#include "live/odds.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "day_under_test.h"

namespace handrail::live {
namespace {

std::optional<OddsNow> odds_at(const DayUnderTest& t, const std::string& pet, WithGates gates = WithGates::no) {
    const Day day = t.day(pet);
    return odds_now(t.outing(), day, carry_on(t.outing(), day), gates, 1);
}

TEST(OddsNow, RestOnTheLastEntryAndNameTheTasksAhead) {
    const auto t = yard();
    t->follow_plan_until("00:20");
    const auto odds = odds_at(*t, "00:21", WithGates::yes);
    ASSERT_TRUE(odds);
    EXPECT_EQ(odds->position, t->day("00:21").position);
    EXPECT_FALSE(odds->tasks.empty());
    EXPECT_GT(odds->home, 0.5);
    EXPECT_LE(odds->finish_p10, odds->finish_p50);
    EXPECT_LE(odds->finish_p50, odds->finish_p90);
    EXPECT_GT(odds->finish_p10, pet(Seconds{21 * 60}));
}

TEST(OddsNow, AHoldCostsTimeAndAPrivateOneCostsTheSame) {
    const auto before = yard();
    before->follow_plan_until("00:20");
    const auto plain = odds_at(*before, "00:21");
    const auto held_odds = [&](const std::string& line) {
        const auto t = yard();
        t->follow_plan_until("00:20");
        t->say("00:21", line);
        return odds_at(*t, "00:50");
    };
    const auto open_hold = held_odds("hold waiting for coverage");
    const auto private_hold = held_odds("hold private");
    ASSERT_TRUE(plain && open_hold && private_hold);
    EXPECT_GT(open_hold->finish_p50, plain->finish_p50 + Seconds{600});
    EXPECT_EQ(open_hold->finish_p50, private_hold->finish_p50);
    EXPECT_EQ(open_hold->home, private_hold->home);
}

TEST(OddsNow, NameTheEarliestDeadlineFirstEvenIfItsTaskComesUpLater) {
    const auto deadline = [](const NextGate& gate) { return gate.begin_until.value_or(gate.planned); };
    bool orders_differ = false;
    for (const char* pet : {"00:05", "00:50", "01:10"}) {
        const auto t = demo("larkspur");
        t->follow_plan_until(pet);
        const auto odds = odds_at(*t, pet, WithGates::yes);
        ASSERT_TRUE(odds);
        ASSERT_FALSE(odds->gates.empty());
        EXPECT_TRUE(std::ranges::is_sorted(odds->gates, {}, deadline)) << pet;
        EXPECT_EQ(odds->gate->task, odds->gates.front().task) << pet;
        orders_differ |= !std::ranges::is_sorted(odds->gates, {}, &NextGate::planned);
    }
    EXPECT_TRUE(orders_differ) << "these days do not tell the order of the deadlines from that of the plan";
}

TEST(OddsNow, AreNoneWhenNothingIsLeftToDecide) {
    const auto t = yard();
    t->follow_plan_until("03:00");
    EXPECT_FALSE(odds_at(*t, "03:00"));
}

TEST(OddsNow, StandInTheStatusWhenGivenAndNeverInThePublicOne) {
    const auto t = yard();
    t->follow_plan_until("00:20");
    Status status = status_of(t->outing(), t->entries(), t->day("00:21"));
    using nlohmann::json;
    EXPECT_FALSE(json::parse(status_json(t->outing(), status, Reader::console)).contains("odds"));
    status.odds = odds_at(*t, "00:21", WithGates::yes);
    const json odds = json::parse(status_json(t->outing(), status, Reader::console))["odds"];
    EXPECT_EQ(odds["required_done"], std::round(status.odds->required * 1e4) / 1e4);
    EXPECT_EQ(odds["tasks"].size(), status.odds->tasks.size());
    EXPECT_NE(print(t->outing(), status, Reader::console).find("odds: all required"), std::string::npos);
    EXPECT_EQ(print(t->outing(), status, Reader::everyone).find("odds"), std::string::npos);
}

TEST(OddsOfOptions, LeavingATaskOutLeavesNoOddsOfIt) {
    const auto t = yard();
    t->follow_plan_until("00:10");
    const Day day = t->day("00:11");
    std::vector<Option> options = options_of(t->outing(), day, {1, 300, std::nullopt});
    add_odds(t->outing(), day, options);
    for (const Option& option : options) {
        EXPECT_EQ(option.odds.has_value(), option.id != "abort" && option.forecast.possible) << option.id;
        if (option.id == "leave-out:lamp") {
            EXPECT_EQ(option.odds->required, 0);
        }
        if (option.id == "come-in") {
            EXPECT_TRUE(option.odds->tasks.empty());
        }
    }
    const auto document = nlohmann::json::parse(options_json(t->outing(), day, options, Timelines::left_out));
    EXPECT_TRUE(document["options"][0]["odds"].contains("in_time_with_reserves"));
}

}  // namespace
}  // namespace handrail::live
