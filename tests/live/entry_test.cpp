#include "live/entry.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace handrail::live {
namespace {

using testing::HasSubstr;

const Utc noon{std::chrono::sys_days{std::chrono::year{2031} / 4 / 5} + std::chrono::hours{12}};

Entry with(Body body) {
    Entry entry;
    entry.logged = noon + Seconds{40};
    entry.happened = noon;
    entry.pet = pet(Seconds{600});
    entry.author = "lead";
    entry.body = std::move(body);
    return entry;
}

/// One of every kind, with text that needs care.
std::vector<Body> every_kind() {
    return {
        OutingOpened{
            "Yard", "ab12", "/tmp/outing.toml", noon, "{\"a\": 1}", {{"outing.toml", "x = \"1\"\n"}, {"b.toml", ""}}},
        PetZero{},
        PhaseBegan{Phase::work},
        StepStarted{"valve.1", Crew::ev2},
        StepStarted{"valve.1", std::nullopt},
        StepFinished{"valve.1"},
        StepSkipped{"valve.2", "bolt \"3\" is\tstuck"},
        StepUndone{"valve.1"},
        StepDelayed{"valve.1", Seconds{600}, ""},
        HoldBegan{"ü, 日本, \\ and /"},
        Resumed{},
        ItemPlaced{ItemPlaced::Where::in_bag, "wrench", "bag-2"},
        CrewPlaced{Crew::ev1, "mast", "bench"},
        CrewPlaced{Crew::ev1, "mast", std::nullopt},
        GlovesChecked{Crew::ev2},
        SuitReading{Crew::ev1, lifesupport::Consumable::co2, 310},
        Note{"text"},
        Decision{"text"},
        PlanAdopted{"replan", "Re-plan freely", "{}", {"camera", "sample"}},
        TaskDropped{"camera", "no time"},
        CrewAble{Crew::ev2, false, "private"},
        ArmAvailable{true, ""},
        StandDown{StandDownKind::abort, "smoke"},
        Closed{"done"},
        Struck{},
        PlanAdopted{"use:a:b", "Use a in place of b", "{}", {}, {{"b", "a"}}},
        ConditionChanged{"coverage", false, noon + Seconds{60}, "relay"},
        ConditionChanged{"coverage", true, std::nullopt, ""},
        WorksiteClosed{"mast", true, noon, "sharp edge"},
        WorksiteClosed{"mast", false, std::nullopt, ""},
        ItemReplaced{"driver-1", "driver-2"},
        PetZeroExpected{noon, "pump"},
        OxygenBreathed{Crew::ev1, false, ""},
        CrewInside{Crew::ev2}};
}

TEST(Entry, EveryKindIsReadBackToTheSameBytes) {
    for (const Body& body : every_kind()) {
        Entry entry = with(body);
        entry.visibility = Visibility::medical;
        entry.corrects = Position{7};
        ASSERT_TRUE(can_be_written(entry));
        const std::string text = to_json(entry);
        const auto read = read_entry(text);
        ASSERT_TRUE(std::holds_alternative<Entry>(read)) << text << ": " << std::get<std::string>(read);
        EXPECT_EQ(to_json(std::get<Entry>(read)), text);
        EXPECT_EQ(std::get<Entry>(read).body.index(), body.index());
    }
}

TEST(Entry, EveryKindIsCovered) {
    std::vector<bool> seen(std::variant_size_v<Body>, false);
    for (const Body& body : every_kind()) seen[body.index()] = true;
    EXPECT_THAT(seen, testing::Each(true));
}

TEST(Entry, TheTextIsCanonical) {
    // Sorted keys, no spaces, whole numbers (RFC 8785).
    EXPECT_EQ(to_json(with(StepStarted{"valve.1", Crew::ev1})),
              R"({"author":"lead","body":{"crew":"EV1","step":"valve.1"},"happened":"2031-04-05T12:00:00Z",)"
              R"("kind":"step_started","logged":"2031-04-05T12:00:40Z","pet_ms":600000,"visibility":"console"})");
}

TEST(Entry, MillisecondsAndEarlyTimesSurvive) {
    Entry entry = with(PetZero{});
    entry.happened = noon + Milliseconds{7};
    entry.pet = Pet{Milliseconds{-1}};
    const auto read = std::get<Entry>(read_entry(to_json(entry)));
    EXPECT_EQ(read.happened, entry.happened);
    EXPECT_EQ(read.pet, entry.pet);
}

TEST(Entry, WhatCannotBeWrittenIsKnownBeforehand) {
    EXPECT_FALSE(can_be_written(with(Note{"\xc3\x28"})));
    Entry far = with(PetZero{});
    far.happened = Utc::max();
    EXPECT_FALSE(can_be_written(far));
    far.happened = Utc::min();
    EXPECT_FALSE(can_be_written(far));
}

struct Bad {
    const char* what;
    const char* text;
    const char* said;
};
class BadEntry : public testing::TestWithParam<Bad> {};
TEST_P(BadEntry, IsRefusedWithASentence) {
    const auto read = read_entry(GetParam().text);
    ASSERT_TRUE(std::holds_alternative<std::string>(read));
    EXPECT_THAT(std::get<std::string>(read), HasSubstr(GetParam().said));
}
INSTANTIATE_TEST_SUITE_P(
    Kinds, BadEntry,
    testing::Values(
        Bad{"NotJson", "{", "not JSON"}, Bad{"NoObject", "[]", "should be an object"}, Bad{"Empty", "{}", "has no"},
        Bad{"UnknownKind",
            R"({"author":"a","body":{},"happened":"2031-04-05T12:00:00Z","kind":"dance","logged":"2031-04-05T12:00:00Z","pet_ms":0,"visibility":"console"})",
            "dance"},
        Bad{"BodyWithoutStep",
            R"({"author":"a","body":{},"happened":"2031-04-05T12:00:00Z","kind":"step_started","logged":"2031-04-05T12:00:00Z","pet_ms":0,"visibility":"console"})",
            "has no \"step\""},
        Bad{"FractionWhereAWholeNumberBelongs",
            R"({"author":"a","body":{},"happened":"2031-04-05T12:00:00Z","kind":"pet_zero","logged":"2031-04-05T12:00:00Z","pet_ms":0.5,"visibility":"console"})",
            "whole number"},
        Bad{"NumberPast2To53",
            R"({"author":"a","body":{},"happened":"2031-04-05T12:00:00Z","kind":"pet_zero","logged":"2031-04-05T12:00:00Z","pet_ms":18446744073709551615,"visibility":"console"})",
            "whole number"},
        Bad{"VisibilityNobodyKnows",
            R"({"author":"a","body":{},"happened":"2031-04-05T12:00:00Z","kind":"pet_zero","logged":"2031-04-05T12:00:00Z","pet_ms":0,"visibility":"secret"})",
            "secret"},
        Bad{"BodyThatIsAList",
            R"({"author":"a","body":[],"happened":"2031-04-05T12:00:00Z","kind":"pet_zero","logged":"2031-04-05T12:00:00Z","pet_ms":0,"visibility":"console"})",
            "should be an object"}),
    [](const auto& one) { return std::string(one.param.what); });

}  // namespace
}  // namespace handrail::live
