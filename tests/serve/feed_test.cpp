#include "serve/feed.h"

#include <gmock/gmock.h>

#include "fake_backend.h"

namespace handrail::serve {
namespace {

using nlohmann::json;
using test::morning;

struct FeedTest : testing::Test {
    test::FakeBackend backend;
    Listeners listeners;
    AllTold told;

    std::shared_ptr<Listener> join(Role role = Role::lead) {
        listeners.push_back(std::make_shared<Listener>(role));
        return listeners.back();
    }
    void write(const std::string& line) {
        (void)backend.append(EntryRequest{line, "lead", backend.newest(), morning()}, morning());
    }
    void round(bool refresh = false, Utc now = morning()) {
        const auto roles = wanted(listeners, told, backend.newest(), refresh);
        AllTold fresh = work_out(backend, roles, told, now);
        tell(listeners, fresh);
        for (auto& [role, what] : fresh) told[role] = std::move(what);
    }
    static std::vector<std::string> take(Listener& listener) {
        std::vector<std::string> frames;
        for (const Frame& frame : listener.queue) frames.push_back(*frame);
        listener.queue.clear();
        return frames;
    }
};

TEST(EventFrame, KeepsLineBreaksInsideTheDataFromEndingTheEvent) {
    EXPECT_EQ(event_frame("beat", "a\nb", 7), "id: 7\nevent: beat\ndata: a\ndata: b\n\n");
    EXPECT_EQ(event_frame("beat", "", std::nullopt), "event: beat\ndata: \n\n");
}

TEST(ChangeBetween, HoldsOnlyWhatDiffers) {
    const json before{{"a", 1}, {"b", {1, 2}}, {"gone", 1}, {"record", {{{"position", 1}, {"struck", false}}}}};
    const json after{{"a", 1}, {"b", {1, 3}}, {"record", {{{"position", 1}, {"struck", true}}, {{"position", 2}}}}};
    const json change = json::parse(change_between(before.dump(), after.dump()).value());
    EXPECT_EQ(change["set"], json({{"b", {1, 3}}, {"gone", nullptr}}));
    EXPECT_EQ(change["entries"], after["record"]);
    EXPECT_EQ(change_between(after.dump(), after.dump()), std::nullopt);
}

TEST(ChangeBetween, SendsARecordWholeWhenItsEntriesCannotBeToldApart) {
    const json before{{"record", {{{"words", "a"}}}}}, after{{"record", {{{"words", "a"}}, {{"words", "b"}}}}};
    const json change = json::parse(change_between(before.dump(), after.dump()).value());
    EXPECT_EQ(change["set"]["record"], after["record"]);
}

TEST_F(FeedTest, WhoeverComesGetsTheWholeDocumentAndThenOnlyChanges) {
    const auto first = join();
    round();
    auto frames = take(*first);
    ASSERT_EQ(frames.size(), 1u);
    EXPECT_THAT(frames[0], testing::StartsWith("id: 0\nevent: status\n"));
    round();
    EXPECT_TRUE(take(*first).empty());
    write("started valve.1");
    const auto second = join();
    round();
    frames = take(*first);
    ASSERT_EQ(frames.size(), 1u);
    EXPECT_THAT(frames[0], testing::StartsWith("id: 1\nevent: change\n"));
    EXPECT_THAT(frames[0], testing::HasSubstr("started valve.1"));
    frames = take(*second);
    ASSERT_EQ(frames.size(), 1u);
    EXPECT_THAT(frames[0], testing::StartsWith("id: 1\nevent: status\n"));
}

TEST_F(FeedTest, ARefreshTellsTheTimeThatPassed) {
    const auto listener = join();
    round();
    take(*listener);
    round(true, morning() + std::chrono::seconds{5});
    const auto frames = take(*listener);
    ASSERT_EQ(frames.size(), 1u);
    EXPECT_THAT(frames[0], testing::HasSubstr(R"("utc":"2031-04-05T08:00:05Z")"));
}

TEST_F(FeedTest, EachRoleIsToldItsOwnDocument) {
    const auto lead = join(), medical = join(Role::medical), everyone = join(Role::public_view);
    write("medical: the marker");
    round();
    EXPECT_THAT(take(*lead)[0], testing::Not(testing::HasSubstr("marker")));
    EXPECT_THAT(take(*medical)[0], testing::HasSubstr("marker"));
    EXPECT_THAT(take(*everyone)[0], testing::HasSubstr(R"("role":"public")"));
}

TEST_F(FeedTest, ThePublicCannotCountEntries) {
    const auto everyone = join(Role::public_view), lead = join();
    round();
    const auto first = take(*everyone);
    ASSERT_EQ(first.size(), 1u);
    EXPECT_THAT(first[0], testing::StartsWith("event: status\n"));
    write("medical: the marker");
    round(false, morning() + std::chrono::seconds{3});
    EXPECT_TRUE(take(*everyone).empty()) << "nothing they may see has changed";
    EXPECT_FALSE(take(*lead).empty());
    beat(listeners, morning(), 17);
    EXPECT_THAT(take(*everyone)[0], testing::Not(testing::HasSubstr("position")));
    EXPECT_THAT(take(*lead)[0], testing::HasSubstr(R"("position":17)"));
}

TEST_F(FeedTest, AReaderThatTakesNothingIsCutOff) {
    const auto slow = join();
    for (std::size_t i = 0; i <= Listener::longest_queue; ++i) beat(listeners, morning(), 0);
    EXPECT_TRUE(slow->lost);
    EXPECT_LE(slow->queue.size(), Listener::longest_queue);
}

TEST_F(FeedTest, NothingIsWorkedOutWhenNobodyListens) { EXPECT_TRUE(wanted(listeners, told, 3, true).empty()); }

TEST(Listener, WhatTheSocketTakesAtOnceIsNotQueuedAndTheRestWaitsInOrder) {
    Listener listener{Role::console};
    std::string taken;
    std::size_t room = 8;
    listener.write_now = [&](const std::string& frame) {
        const std::size_t size = std::min(room, frame.size());
        taken += frame.substr(0, size);
        room -= size;
        return size;
    };
    const auto frame = [](const char* text) { return std::make_shared<const std::string>(text); };
    listener.push(frame("first"));
    EXPECT_TRUE(listener.queue.empty());
    listener.push(frame("second"));
    listener.push(frame("third"));
    EXPECT_EQ(taken, "firstsec");
    ASSERT_EQ(listener.queue.size(), 2u);
    EXPECT_EQ(*listener.queue[0], "ond");
    EXPECT_EQ(*listener.queue[1], "third");
    listener.queue.clear();
    listener.writing = true;
    room = 100;
    listener.push(frame("fourth"));
    EXPECT_EQ(listener.queue.size(), 1u);
}

}  // namespace
}  // namespace handrail::serve
