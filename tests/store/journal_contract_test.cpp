// What every journal promises, wherever it lies.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <thread>

#include "shelf.h"
#include "store/hash_chain.h"

namespace handrail::store {
namespace {

using testing::HasSubstr;

std::vector<live::Recorded> all(Journal& journal) {
    auto read = journal.read(Position{0});
    if (!std::holds_alternative<std::vector<live::Recorded>>(read)) {
        ADD_FAILURE() << "the journal cannot be read";
        return {};
    }
    return std::get<std::vector<live::Recorded>>(std::move(read));
}

class AnyJournal : public testing::TestWithParam<bool> {
protected:
    void SetUp() override {
        if (GetParam() && postgres_folder().empty())
            GTEST_SKIP() << "no PostgreSQL server here; ctest starts one and names it in HANDRAIL_TEST_POSTGRES";
    }
    std::string day() const { return shelf.address("day"); }
    void write_notes_to_day(int count) const {
        const auto journal = made(day());
        Position last{};
        for (int i = 0; i < count; ++i) last = appended(*journal, note(std::to_string(i)), last);
    }
    Shelf shelf{GetParam()};
};

TEST_P(AnyJournal, GivesBackInOrderWhatWasAppendedAfterReopening) {
    write_notes_to_day(3);
    const auto entries = all(*reopened(day()));
    ASSERT_EQ(entries.size(), 3u);
    for (std::size_t i = 0; i < 3; ++i) {
        EXPECT_EQ(live::number(entries[i].position), i + 1);
        EXPECT_EQ(live::to_json(entries[i].entry), live::to_json(note(std::to_string(i))));
    }
}

TEST_P(AnyJournal, HasTheChainDescribedInTheFormat) {
    write_notes_to_day(2);
    const auto entries = all(*reopened(day()));
    // Of the ASCII text "handrail-journal 1", computed with sha256sum(1).
    EXPECT_EQ(print(chain_start()), "1404c02f25c4fb6b0f749de0547075a7392673bb27a1c0c8d9ce16a2f7cc17b6");
    const Hash first = chain_next(chain_start(), live::to_json(note("0")));
    EXPECT_EQ(entries.at(0).hash, print(first));
    EXPECT_EQ(entries.at(1).hash, print(chain_next(first, live::to_json(note("1")))));
}

TEST_P(AnyJournal, TellsAWriterWhoHasNotSeenTheLastEntryWhichItIs) {
    const auto journal = made(day());
    const Position first = appended(*journal, note("first"), Position{0});
    const auto result = journal->append(note("late"), Position{0});
    ASSERT_TRUE(std::holds_alternative<Stale>(result));
    EXPECT_EQ(std::get<Stale>(result).newest, first);
    EXPECT_EQ(all(*journal).size(), 1u);
}

TEST_P(AnyJournal, ReadsOnFromAPosition) {
    write_notes_to_day(5);
    const auto journal = reopened(day());
    auto read = journal->read(Position{3});
    const auto& entries = std::get<std::vector<live::Recorded>>(read);
    ASSERT_EQ(entries.size(), 2u);
    EXPECT_EQ(live::number(entries[0].position), 4u);
    EXPECT_EQ(std::get<std::vector<live::Recorded>>(journal->read(Position{5})).size(), 0u);
    EXPECT_EQ(std::get<std::vector<live::Recorded>>(journal->read(Position{9})).size(), 0u);
}

TEST_P(AnyJournal, WritersWithJournalsOfTheirOwnNeitherLoseNorRepeatAPosition) {
    (void)made(day());
    constexpr int writers = 4;
    constexpr int each = 20;
    std::vector<std::vector<std::uint64_t>> got(writers);
    {
        std::vector<std::jthread> threads;
        for (int w = 0; w < writers; ++w)
            threads.emplace_back([&, w] {
                const auto journal = reopened(day());
                Position seen{0};
                while (got[w].size() < each) {
                    const auto result = journal->append(note(std::to_string(w)), seen);
                    if (const auto* stale = std::get_if<Stale>(&result)) seen = stale->newest;
                    if (const auto* at = std::get_if<Position>(&result)) {
                        got[w].push_back(live::number(*at));
                        seen = *at;
                    }
                    if (const auto* error = std::get_if<StoreError>(&result)) FAIL() << error->what;
                }
            });
    }
    const auto entries = all(*reopened(day()));
    ASSERT_EQ(entries.size(), static_cast<std::size_t>(writers * each));
    for (int w = 0; w < writers; ++w)
        for (const std::uint64_t at : got[w])
            EXPECT_EQ(std::get<live::Note>(entries[at - 1].entry.body).text, std::to_string(w));
}

/// Asks until the journal knows of `wanted`; two seconds is long before a PostgreSQL journal would ask by itself, so it
/// must have been told.
bool hears_of(Journal& journal, Position wanted) {
    for (int i = 0; i < 200; ++i) {
        if (std::get<Position>(journal.newest()) == wanted) return true;
        std::this_thread::sleep_for(std::chrono::milliseconds{10});
    }
    return false;
}

TEST_P(AnyJournal, HearsOfAnotherProgramsEntry) {
    const auto mine = made(day());
    const auto theirs = reopened(day());
    EXPECT_EQ(std::get<Position>(mine->newest()), Position{0});
    appended(*theirs, note("theirs"), Position{0});
    EXPECT_TRUE(hears_of(*mine, Position{1}));
    EXPECT_TRUE(hears_of(*theirs, Position{1}));
    appended(*mine, note("mine"), Position{1});
    EXPECT_EQ(std::get<Position>(mine->newest()), Position{2}) << "one's own entry is known at once";
}

TEST_P(AnyJournal, KeepsOddTextToTheByte) {
    const std::string text = "it's \"quoted\"; -- \\ $1 \t \xe2\x98\x80 \xf0\x9f\x94\xa7 DROP TABLE entry";
    const auto journal = made(day());
    appended(*journal, note(text), Position{0});
    EXPECT_EQ(std::get<live::Note>(all(*reopened(day())).at(0).entry.body).text, text);
}

TEST_P(AnyJournal, IsNeverOverwritten) {
    write_notes_to_day(2);
    const auto again = create_journal(day());
    ASSERT_TRUE(std::holds_alternative<StoreError>(again));
    EXPECT_THAT(std::get<StoreError>(again).what, HasSubstr("never overwritten"));
    EXPECT_EQ(all(*reopened(day())).size(), 2u);
}

TEST_P(AnyJournal, SaysWhetherItIsThere) {
    EXPECT_FALSE(std::get<bool>(journal_is_there(day())));
    const auto missing = open_journal(day());
    ASSERT_TRUE(std::holds_alternative<StoreError>(missing));
    EXPECT_THAT(std::get<StoreError>(missing).what, HasSubstr("no such journal"));
    write_notes_to_day(0);
    EXPECT_TRUE(std::get<bool>(journal_is_there(day())));
}

TEST_P(AnyJournal, RefusesTextThatIsNotUtf8AndAppendsNothing) {
    const auto journal = made(day());
    EXPECT_TRUE(std::holds_alternative<StoreError>(journal->append(note("\xff\xfe"), Position{0})));
    EXPECT_EQ(all(*journal).size(), 0u);
}

INSTANTIATE_TEST_SUITE_P(Stores, AnyJournal, testing::Values(false, true),
                         [](const auto& one) { return one.param ? "Postgres" : "Sqlite"; });

}  // namespace
}  // namespace handrail::store
