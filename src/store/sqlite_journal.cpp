#include "store/sqlite_journal.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <mutex>
#include <optional>

#include "store/chain_check.h"

namespace handrail::store {
namespace {

// "HRjl", so that file(1) and we can tell a journal from another SQLite database.
constexpr int application_id = 0x48526a6c;
constexpr int schema_version = 1;
// How long a writer waits for another program's append, which takes milliseconds, before it gives up.
constexpr int busy_timeout_ms = 5000;

constexpr const char* schema = R"sql(
CREATE TABLE entry (position INTEGER PRIMARY KEY, hash BLOB NOT NULL, content TEXT NOT NULL) STRICT;
CREATE TABLE head (only_row INTEGER PRIMARY KEY CHECK (only_row = 1), position INTEGER NOT NULL, hash BLOB NOT NULL) STRICT;
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'a journal is append-only'); END;
CREATE TRIGGER entry_is_never_removed BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'a journal is append-only'); END;
)sql";

struct CloseDatabase {
    void operator()(sqlite3* database) const { sqlite3_close_v2(database); }
};
struct FinishStatement {
    void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
};
using Database = std::unique_ptr<sqlite3, CloseDatabase>;

/// A SQLite call failed; caught at the edge of this file and turned into a StoreError.
struct Failure {
    int code;
    std::string what;
};
[[noreturn]] void fail(sqlite3* database) {
    throw Failure{sqlite3_extended_errcode(database), sqlite3_errmsg(database)};
}

/// One prepared statement, used once.
class Statement {
public:
    Statement(sqlite3* database, const char* sql) : database_(database) {
        sqlite3_stmt* made = nullptr;
        if (sqlite3_prepare_v2(database, sql, -1, &made, nullptr) != SQLITE_OK) fail(database);
        statement_.reset(made);
    }
    Statement& bind(int at, std::int64_t value) {
        if (sqlite3_bind_int64(statement_.get(), at, value) != SQLITE_OK) fail(database_);
        return *this;
    }
    Statement& bind(int at, std::string_view text) {
        if (sqlite3_bind_text64(statement_.get(), at, text.data(), text.size(), SQLITE_TRANSIENT, SQLITE_UTF8) !=
            SQLITE_OK)
            fail(database_);
        return *this;
    }
    Statement& bind(int at, const Hash& hash) {
        if (sqlite3_bind_blob64(statement_.get(), at, hash.data(), hash.size(), SQLITE_TRANSIENT) != SQLITE_OK)
            fail(database_);
        return *this;
    }
    /// True when there is a row.
    bool step() {
        const int code = sqlite3_step(statement_.get());
        if (code != SQLITE_ROW && code != SQLITE_DONE) fail(database_);
        return code == SQLITE_ROW;
    }
    std::int64_t integer(int column) { return sqlite3_column_int64(statement_.get(), column); }
    std::string_view bytes(int column) {
        const void* data = sqlite3_column_blob(statement_.get(), column);
        const int size = sqlite3_column_bytes(statement_.get(), column);
        return data == nullptr ? std::string_view{}
                               : std::string_view(static_cast<const char*>(data), static_cast<std::size_t>(size));
    }

private:
    sqlite3* database_;
    std::unique_ptr<sqlite3_stmt, FinishStatement> statement_;
};

void run(sqlite3* database, const char* sql) {
    if (sqlite3_exec(database, sql, nullptr, nullptr, nullptr) != SQLITE_OK) fail(database);
}

/// Rolled back unless committed.
class Transaction {
public:
    enum class Kind : std::uint8_t { reading, writing };
    Transaction(sqlite3* database, Kind kind) : database_(database) {
        run(database, kind == Kind::writing ? "BEGIN IMMEDIATE" : "BEGIN");
    }
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    ~Transaction() {
        if (!done_ && sqlite3_get_autocommit(database_) == 0)
            sqlite3_exec(database_, "ROLLBACK", nullptr, nullptr, nullptr);
    }
    void commit() {
        run(database_, "COMMIT");
        done_ = true;
    }

private:
    sqlite3* database_;
    bool done_ = false;
};

std::int64_t pragma(sqlite3* database, const char* sql) {
    Statement statement(database, sql);
    return statement.step() ? statement.integer(0) : 0;
}

StoreError explain(const std::string& file, const Failure& failure) {
    const auto say = [&](std::string_view what, std::string_view remedy) {
        return StoreError{fmt::format("{}: {} ({}); {}.", file, what, failure.what, remedy)};
    };
    switch (failure.code & 0xff) {
        case SQLITE_FULL:
            return say("the disk is full, nothing was appended", "free some space and write the entry again");
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return say("another program holds the journal, nothing was appended", "try again");
        case SQLITE_READONLY:
        case SQLITE_PERM:
        case SQLITE_CANTOPEN:
            return say("the journal cannot be written", "check the permissions of the file and its folder");
        case SQLITE_CORRUPT:
            return say("the journal file is damaged", "go on with a copy, and keep this one for repair");
        case SQLITE_NOTADB:
            return say("this is not a journal, or it is damaged from its first bytes", "check the name");
        default:
            return say("the journal could not be read or written", "check the disk");
    }
}

class SqliteJournal : public Journal {
public:
    SqliteJournal(Database database, std::string file) : database_(std::move(database)), file_(std::move(file)) {}

    std::variant<Position, Stale, StoreError> append(const live::Entry& entry, Position seen) override {
        if (!live::can_be_written(entry))
            return StoreError{
                fmt::format("{}: the entry holds text that is not UTF-8 or a time no calendar has; "
                            "nothing was appended, write it again.",
                            file_)};
        const std::string content = live::to_json(entry);
        const std::lock_guard lock(mutex_);
        try {
            Transaction transaction(database_.get(), Transaction::Kind::writing);
            const auto [last, hash] = head();
            if (last != seen) return Stale{last};
            const Position next{live::number(last) + 1};
            const auto at = static_cast<std::int64_t>(live::number(next));
            const Hash chained = chain_next(hash, content);
            Statement(database_.get(), "INSERT INTO entry (position, hash, content) VALUES (?1, ?2, ?3)")
                .bind(1, at)
                .bind(2, chained)
                .bind(3, content)
                .step();
            Statement(database_.get(), "UPDATE head SET position = ?1, hash = ?2").bind(1, at).bind(2, chained).step();
            transaction.commit();
            return next;
        } catch (const Failure& failure) {
            return explain(file_, failure);
        }
    }

    std::variant<std::vector<live::Recorded>, Tampered, StoreError> read(Position after) override {
        const std::lock_guard lock(mutex_);
        try {
            const Transaction transaction(database_.get(), Transaction::Kind::reading);
            return read_checked(after);
        } catch (const Failure& failure) {
            return explain(file_, failure);
        }
    }

    std::variant<Position, StoreError> newest() override {
        const std::lock_guard lock(mutex_);
        try {
            return head().first;
        } catch (const Failure& failure) {
            return explain(file_, failure);
        }
    }

private:
    std::pair<Position, Hash> head() {
        Statement statement(database_.get(), "SELECT position, hash FROM head");
        if (!statement.step()) throw Failure{SQLITE_CORRUPT, "its head is missing"};
        const auto hash = hash_of(statement.bytes(1));
        if (!hash) throw Failure{SQLITE_CORRUPT, "its head is not a hash"};
        return {Position{static_cast<std::uint64_t>(statement.integer(0))}, *hash};
    }

    std::variant<std::vector<live::Recorded>, Tampered, StoreError> read_checked(Position after) {
        const auto [last, head_hash] = head();
        if (after > last) return std::vector<live::Recorded>{};
        const auto from = static_cast<std::int64_t>(live::number(after));
        std::string before;
        Statement earlier(database_.get(), "SELECT hash FROM entry WHERE position = ?1");
        if (earlier.bind(1, from).step()) before = earlier.bytes(0);
        ChainCheck check(file_, after, before);
        if (auto wrong = check.start_wrong()) return *wrong;
        Statement rows(database_.get(),
                       "SELECT position, hash, content FROM entry WHERE position > ?1 ORDER BY position");
        rows.bind(1, from);
        while (rows.step())
            if (auto wrong = check.take(rows.integer(0), rows.bytes(1), rows.bytes(2)))
                return std::visit([](auto& it) { return decltype(read_checked(after))(std::move(it)); }, *wrong);
        return check.finish({last, head_hash});
    }

    std::mutex mutex_;  ///< guards database_
    Database database_;
    std::string file_;
};

Database open_database(const std::filesystem::path& file) {
    sqlite3* made = nullptr;
    const int code = sqlite3_open_v2(file.c_str(), &made, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, nullptr);
    Database database(made);
    if (code != SQLITE_OK) throw Failure{code, made != nullptr ? sqlite3_errmsg(made) : sqlite3_errstr(code)};
    sqlite3_extended_result_codes(made, 1);
    sqlite3_busy_timeout(made, busy_timeout_ms);
    return database;
}

/// Write-ahead log, and a commit returns only once it is on disk (sqlite.org/pragma.html#pragma_synchronous).
void make_durable(sqlite3* database) {
    Statement mode(database, "PRAGMA journal_mode = WAL");
    if (!mode.step() || mode.bytes(0) != "wal") throw Failure{SQLITE_CANTOPEN, "its write-ahead log cannot be used"};
    run(database, "PRAGMA synchronous = FULL");
}

void check_whole(sqlite3* database) {
    Statement check(database, "PRAGMA integrity_check(1)");
    if (!check.step()) throw Failure{SQLITE_CORRUPT, "it cannot be checked"};
    if (check.bytes(0) != "ok") throw Failure{SQLITE_CORRUPT, std::string(check.bytes(0))};
}

}  // namespace

std::variant<std::unique_ptr<Journal>, StoreError> create_sqlite_journal(const std::filesystem::path& file) {
    // Readable by its owner only from the first moment, because it holds medical entries; SQLite gives its side files
    // the same mode.
    const int handle = ::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (handle < 0) {
        const bool there = errno == EEXIST;
        return StoreError{
            there ? fmt::format("{}: is already there; a journal is never overwritten, name a new file.", file.string())
                  : fmt::format("{}: cannot be made ({}); check the folder.", file.string(), std::strerror(errno))};
    }
    ::close(handle);
    try {
        Database database = open_database(file);
        make_durable(database.get());
        Transaction transaction(database.get(), Transaction::Kind::writing);
        run(database.get(), schema);
        Statement(database.get(), "INSERT INTO head (only_row, position, hash) VALUES (1, 0, ?1)")
            .bind(1, chain_start())
            .step();
        run(database.get(), fmt::format("PRAGMA application_id = {}", application_id).c_str());
        run(database.get(), fmt::format("PRAGMA user_version = {}", schema_version).c_str());
        transaction.commit();
        return std::make_unique<SqliteJournal>(std::move(database), file.string());
    } catch (const Failure& failure) {
        ::unlink(file.c_str());
        return explain(file.string(), failure);
    }
}

std::variant<std::unique_ptr<Journal>, StoreError> open_sqlite_journal(const std::filesystem::path& file) {
    std::error_code error;
    if (!std::filesystem::exists(file, error))
        return StoreError{fmt::format("{}: there is no such journal; check the name, or make one with handrail open.",
                                      file.string())};
    if (!std::filesystem::is_regular_file(file, error))
        return StoreError{fmt::format("{}: this is not a file; name a journal.", file.string())};
    try {
        Database database = open_database(file);
        if (pragma(database.get(), "PRAGMA application_id") != application_id)
            return StoreError{fmt::format("{}: this is not a Handrail journal; check the name.", file.string())};
        const auto version = pragma(database.get(), "PRAGMA user_version");
        if (version != schema_version)
            return StoreError{
                fmt::format("{}: this journal has format {}, and this Handrail reads format {}; use the "
                            "version that wrote it.",
                            file.string(), version, schema_version)};
        check_whole(database.get());
        make_durable(database.get());
        return std::make_unique<SqliteJournal>(std::move(database), file.string());
    } catch (const Failure& failure) {
        return explain(file.string(), failure);
    }
}

}  // namespace handrail::store
