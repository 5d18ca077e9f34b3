#include "store/sqlite_journal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <fstream>

#include "journal_under_test.h"

namespace handrail::store {
namespace {

using testing::HasSubstr;

Tampered tampering(const std::filesystem::path& file) {
    auto read = opened(file)->read(Position{0});
    if (const auto* tampered = std::get_if<Tampered>(&read)) return *tampered;
    ADD_FAILURE() << "the change was not noticed";
    return {};
}

TEST(SqliteJournal, TheFileIsReadableByItsOwnerOnly) {
    const TestFolder folder;
    write_notes(folder / "day.journal", 1);
    struct stat status {};
    ASSERT_EQ(stat((folder / "day.journal").c_str(), &status), 0);
    EXPECT_EQ(status.st_mode & 0777, 0600u);
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
