#include "store/sqlite_journal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <fstream>
#include <thread>

#include "journal_under_test.h"
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

Tampered tampering(const std::filesystem::path& file) {
    auto read = opened(file)->read(Position{0});
    if (const auto* tampered = std::get_if<Tampered>(&read)) return *tampered;
    ADD_FAILURE() << "the change was not noticed";
    return {};
}

TEST(SqliteJournal, WhatWasAppendedIsReadBackInOrderAfterReopening) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 3);
    const auto entries = all(*opened(folder / "day.journal"));
    ASSERT_EQ(entries.size(), 3u);
    for (std::size_t i = 0; i < 3; ++i) {
        EXPECT_EQ(live::number(entries[i].position), i + 1);
        EXPECT_EQ(live::to_json(entries[i].entry), live::to_json(note(std::to_string(i))));
    }
}

TEST(SqliteJournal, TheChainIsTheOneDescribedInTheFormat) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 2);
    const auto entries = all(*opened(folder / "day.journal"));
    // Of the ASCII text "handrail-journal 1", computed with sha256sum(1).
    EXPECT_EQ(print(chain_start()), "1404c02f25c4fb6b0f749de0547075a7392673bb27a1c0c8d9ce16a2f7cc17b6");
    const Hash first = chain_next(chain_start(), live::to_json(note("0")));
    EXPECT_EQ(entries.at(0).hash, print(first));
    EXPECT_EQ(entries.at(1).hash, print(chain_next(first, live::to_json(note("1")))));
}

TEST(SqliteJournal, AWriterWhoHasNotSeenTheLastEntryIsToldWhichItIs) {
    const TestFolder folder;
    const auto journal = created(folder / "day.journal");
    const Position first = appended(*journal, note("first"), Position{0});
    const auto result = journal->append(note("late"), Position{0});
    ASSERT_TRUE(std::holds_alternative<Stale>(result));
    EXPECT_EQ(std::get<Stale>(result).newest, first);
    EXPECT_EQ(all(*journal).size(), 1u);
}

TEST(SqliteJournal, ReadingOnFromAPositionGivesOnlyWhatCameAfter) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 5);
    const auto journal = opened(folder / "day.journal");
    auto read = journal->read(Position{3});
    const auto& entries = std::get<std::vector<live::Recorded>>(read);
    ASSERT_EQ(entries.size(), 2u);
    EXPECT_EQ(live::number(entries[0].position), 4u);
    EXPECT_EQ(std::get<std::vector<live::Recorded>>(journal->read(Position{5})).size(), 0u);
}

TEST(SqliteJournal, WritersInSeveralThreadsWithJournalsOfTheirOwnNeitherLoseNorRepeatAPosition) {
    const TestFolder folder;
    (void)created(folder / "day.journal");
    constexpr int writers = 4;
    constexpr int each = 20;
    std::vector<std::vector<std::uint64_t>> got(writers);
    {
        std::vector<std::jthread> threads;
        for (int w = 0; w < writers; ++w)
            threads.emplace_back([&, w] {
                const auto journal = opened(folder / "day.journal");
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
    const auto entries = all(*opened(folder / "day.journal"));
    ASSERT_EQ(entries.size(), static_cast<std::size_t>(writers * each));
    for (int w = 0; w < writers; ++w)
        for (const std::uint64_t at : got[w])
            EXPECT_EQ(std::get<live::Note>(entries[at - 1].entry.body).text, std::to_string(w));
}

TEST(SqliteJournal, TheFileIsReadableByItsOwnerOnly) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 1);
    struct stat status {};
    ASSERT_EQ(stat((folder / "day.journal").c_str(), &status), 0);
    EXPECT_EQ(status.st_mode & 0777, 0600u);
}

TEST(SqliteJournal, AJournalIsNeverOverwritten) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 2);
    const auto again = create_sqlite_journal(folder / "day.journal");
    ASSERT_TRUE(std::holds_alternative<StoreError>(again));
    EXPECT_THAT(std::get<StoreError>(again).what, HasSubstr("never overwritten"));
    EXPECT_EQ(all(*opened(folder / "day.journal")).size(), 2u);
}

TEST(SqliteJournal, TextThatIsNotUtf8IsRefusedAndNothingIsAppended) {
    const TestFolder folder;
    const auto journal = created(folder / "day.journal");
    EXPECT_TRUE(std::holds_alternative<StoreError>(journal->append(note("\xff\xfe"), Position{0})));
    EXPECT_EQ(all(*journal).size(), 0u);
}

TEST(SqliteJournal, TheFileItselfRefusesToChangeOrRemoveAnEntry) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 2);
    sqlite3* database = nullptr;
    ASSERT_EQ(sqlite3_open((folder / "day.journal").c_str(), &database), SQLITE_OK);
    for (const char* sql : {"UPDATE entry SET content = '{}'", "DELETE FROM entry"})
        EXPECT_EQ(sqlite3_exec(database, sql, nullptr, nullptr, nullptr), SQLITE_CONSTRAINT) << sql;
    sqlite3_close(database);
}

// Somebody who drops the triggers can change the file; the chain then says where.
struct Meddling {
    const char* what;
    const char* sql;
    std::uint64_t found_at;
};
class MeddledJournal : public testing::TestWithParam<Meddling> {};

TEST_P(MeddledJournal, IsReportedWithTheFirstPositionThatDoesNotFit) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 5);
    meddle(folder / "day.journal",
           std::string("DROP TRIGGER entry_is_never_changed; DROP TRIGGER entry_is_never_removed;") + GetParam().sql);
    const Tampered found = tampering(folder / "day.journal");
    EXPECT_EQ(live::number(found.at), GetParam().found_at) << found.what;
    EXPECT_THAT(found.what, HasSubstr("day.journal: entry " + std::to_string(GetParam().found_at)));
}

INSTANTIATE_TEST_SUITE_P(
    Ways, MeddledJournal,
    testing::Values(
        Meddling{"Reworded",
                 "UPDATE entry SET content = replace(content, '\"text\":\"2\"', '\"text\":\"9\"') WHERE position = 3",
                 3},
        Meddling{"Removed", "DELETE FROM entry WHERE position = 2", 2},
        Meddling{"RemovedAndClosedUp",
                 "DELETE FROM entry WHERE position = 2; UPDATE entry SET position = position - 1 WHERE position > 2",
                 2},
        Meddling{"CutOff", "DELETE FROM entry WHERE position > 3", 4},
        Meddling{"Swapped",
                 "UPDATE entry SET position = 100 WHERE position = 2; UPDATE entry SET position = 2 WHERE position = "
                 "3; UPDATE entry SET position = 3 WHERE position = 100",
                 2},
        Meddling{"HashBlanked", "UPDATE entry SET hash = x'00' WHERE position = 4", 4},
        Meddling{"Added", "INSERT INTO entry SELECT 6, hash, content FROM entry WHERE position = 5", 6},
        Meddling{"CutOffWithItsHead", "DELETE FROM entry WHERE position = 5; UPDATE head SET position = 4", 4}),
    [](const auto& one) { return std::string(one.param.what); });

struct BadFile {
    const char* what;
    std::string content;
    const char* said;
};
class FileThatIsNoJournal : public testing::TestWithParam<BadFile> {};

TEST_P(FileThatIsNoJournal, IsRefusedInOneSentence) {
    const TestFolder folder;
    std::ofstream(folder / "day.journal", std::ios::binary) << GetParam().content;
    const auto result = open_sqlite_journal(folder / "day.journal");
    ASSERT_TRUE(std::holds_alternative<StoreError>(result));
    EXPECT_THAT(std::get<StoreError>(result).what, HasSubstr(GetParam().said));
}

INSTANTIATE_TEST_SUITE_P(Kinds, FileThatIsNoJournal,
                         testing::Values(BadFile{"Empty", "", "not a Handrail journal"},
                                         BadFile{"Text", std::string(4096, 'x'), "not a journal"},
                                         BadFile{"FirstBytesOnly", "SQLite format 3", "not a journal"}),
                         [](const auto& one) { return std::string(one.param.what); });

TEST(SqliteJournal, AMissingFileAndAFolderAreNamedAsSuch) {
    const TestFolder folder;
    EXPECT_THAT(std::get<StoreError>(open_sqlite_journal(folder / "none.journal")).what, HasSubstr("no such journal"));
    EXPECT_THAT(std::get<StoreError>(open_sqlite_journal(folder / "")).what, HasSubstr("not a file"));
    EXPECT_THAT(std::get<StoreError>(create_sqlite_journal(folder / "no-folder/day.journal")).what,
                HasSubstr("cannot be made"));
}

TEST(SqliteJournal, ANewerFormatIsRefused) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 1);
    meddle(folder / "day.journal", "PRAGMA user_version = 2");
    EXPECT_THAT(std::get<StoreError>(open_sqlite_journal(folder / "day.journal")).what, HasSubstr("format 2"));
}

}  // namespace
}  // namespace handrail::store
