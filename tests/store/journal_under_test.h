#pragma once

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <stdlib.h>

#include <filesystem>
#include <string>
#include <variant>
#include <vector>

#include "store/sqlite_journal.h"

namespace handrail::store {

/// A folder that is there for one test.
class TestFolder {
public:
    TestFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "handrail-store-XXXXXX").string();
        if (mkdtemp(name.data()) == nullptr) std::abort();
        path_ = name;
    }
    TestFolder(const TestFolder&) = delete;
    TestFolder& operator=(const TestFolder&) = delete;
    ~TestFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    std::filesystem::path operator/(const char* name) const { return path_ / name; }

private:
    std::filesystem::path path_;
};

inline live::Entry note(const std::string& text) {
    const Utc noon{std::chrono::sys_days{std::chrono::year{2031} / 4 / 5} + std::chrono::hours{12}};
    return {noon, noon, pet(Seconds{600}), "lead", live::Visibility::console, std::nullopt, live::Note{text}};
}

inline std::unique_ptr<Journal> created(const std::filesystem::path& file) {
    auto made = create_sqlite_journal(file);
    if (const auto* error = std::get_if<StoreError>(&made)) {
        ADD_FAILURE() << error->what;
        std::abort();
    }
    return std::get<0>(std::move(made));
}

inline std::unique_ptr<Journal> opened(const std::filesystem::path& file) {
    auto made = open_sqlite_journal(file);
    if (const auto* error = std::get_if<StoreError>(&made)) {
        ADD_FAILURE() << error->what;
        std::abort();
    }
    return std::get<0>(std::move(made));
}

/// Appends or stops the test program.
inline Position appended(Journal& journal, const live::Entry& entry, Position seen) {
    const auto result = journal.append(entry, seen);
    if (!std::holds_alternative<Position>(result)) {
        ADD_FAILURE() << "not appended";
        std::abort();
    }
    return std::get<Position>(result);
}

/// A journal of `count` notes "0", "1", ..., closed again.
inline void write_notes(const std::filesystem::path& file, int count) {
    const auto journal = created(file);
    Position last{};
    for (int i = 0; i < count; ++i) last = appended(*journal, note(std::to_string(i)), last);
}

/// What somebody with an SQLite shell could do to the file.
inline void meddle(const std::filesystem::path& file, const std::string& sql) {
    sqlite3* database = nullptr;
    ASSERT_EQ(sqlite3_open(file.c_str(), &database), SQLITE_OK);
    char* message = nullptr;
    EXPECT_EQ(sqlite3_exec(database, sql.c_str(), nullptr, nullptr, &message), SQLITE_OK) << message;
    sqlite3_free(message);
    sqlite3_close(database);
}

}  // namespace handrail::store
