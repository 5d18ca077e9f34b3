#include "store/postgres_journal.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <mutex>
#include <optional>
#include <pqxx/pqxx>

#include "store/chain_check.h"

namespace handrail::store {
namespace {

constexpr int schema_version = 1;
// How long a writer waits for another server's append, which takes milliseconds; for a server that does not answer;
// and for one that has stopped answering (from memory).
constexpr const char* lock_timeout = "5s";
constexpr const char* connection_limits = "connect_timeout=5&tcp_user_timeout=10000&application_name=handrail";
// NOTIFY tells of every append; asking once in a while all the same costs nothing and needs no trust (from memory).
constexpr std::chrono::seconds ask_again{5};
// Guards the making of the tables, which CREATE ... IF NOT EXISTS does not by itself: "HRjl" as a number.
constexpr int schema_lock = 0x48526a6c;

constexpr const char* schema = R"sql(
CREATE TABLE IF NOT EXISTS handrail_journal (
    id BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY, name TEXT NOT NULL UNIQUE, version INTEGER NOT NULL,
    position BIGINT NOT NULL, hash BYTEA NOT NULL);
CREATE TABLE IF NOT EXISTS handrail_entry (
    journal BIGINT NOT NULL REFERENCES handrail_journal (id), position BIGINT NOT NULL, hash BYTEA NOT NULL,
    content TEXT NOT NULL, PRIMARY KEY (journal, position));
CREATE OR REPLACE FUNCTION handrail_entry_stays() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'a journal is append-only'; END $$;
CREATE OR REPLACE TRIGGER handrail_entry_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON handrail_entry
    FOR EACH STATEMENT EXECUTE FUNCTION handrail_entry_stays();
)sql";

/// SQLSTATE classes (PostgreSQL 15 manual, appendix A) in words.
StoreError explain(const std::string& shown, const pqxx::sql_error& failure) {
    const std::string& state = failure.sqlstate();
    std::string first_line = failure.what();
    first_line = first_line.substr(0, first_line.find('\n'));
    const auto say = [&](std::string_view what, std::string_view remedy) {
        return StoreError{fmt::format("{}: {} ({}); {}.", shown, what, first_line, remedy)};
    };
    if (state == "55P03") return say("another server holds the journal, nothing was appended", "try again");
    if (state == "42501") return say("this user may not do that", "have the rights to the tables handrail_* granted");
    if (state.starts_with("53")) return say("the database server is out of something", "see to it and try again");
    if (state == "25006") return say("the database only reads", "name the primary server");
    return say("the database refused", "check the server's log");
}

StoreError cut_off(const std::string& shown, std::string_view why) {
    std::string first_line(why.substr(0, why.find('\n')));
    return StoreError{
        fmt::format("{}: the database server does not answer ({}); nothing was appended. Check that it "
                    "runs, then try again.",
                    shown, first_line)};
}

/// A connection that acknowledges only what is on disk, and hears of other servers' appends.
class Link {
public:
    explicit Link(const PostgresAddress& address) : connection_(uri(address)) {
        // A connection made anew behind our back would have lost the settings below. (Deprecated because libpqxx 7
        // never does that.)
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wdeprecated-declarations"
        connection_.inhibit_reactivation(true);
#pragma GCC diagnostic pop
        connection_.set_client_encoding("UTF8");
        pqxx::nontransaction work(connection_);
        work.exec(fmt::format("SET lock_timeout = '{}'", lock_timeout));
        work.exec("SET client_min_messages = warning");
        const std::string commit = work.exec1("SHOW synchronous_commit")[0].as<std::string>();
        if (commit == "off" || commit == "local") work.exec("SET synchronous_commit = on");
        fsync_ = work.exec1("SHOW fsync")[0].as<std::string>() == "on" &&
                 work.exec1("SHOW full_page_writes")[0].as<std::string>() == "on";
    }
    pqxx::connection& connection() { return connection_; }
    bool survives_power_loss() const { return fsync_; }

    /// From now on `heard()` is the newest position that was told.
    void listen(std::int64_t journal) { ear_.emplace(connection_, fmt::format("handrail_{}", journal)); }
    std::uint64_t heard() {
        connection_.get_notifs();
        return ear_ ? ear_->newest : 0;
    }

private:
    struct Ear : pqxx::notification_receiver {
        using pqxx::notification_receiver::notification_receiver;
        void operator()(const std::string& payload, int) override {
            newest = std::max(newest, static_cast<std::uint64_t>(std::stoull(payload)));
        }
        std::uint64_t newest = 0;
    };
    static std::string uri(const PostgresAddress& address) {
        return address.connection + (address.connection.find('?') == std::string::npos ? "?" : "&") + connection_limits;
    }

    pqxx::connection connection_;
    std::optional<Ear> ear_;  ///< after connection_: it must go first
    bool fsync_ = false;
};

struct Known {
    std::int64_t id = 0;
    int version = 0;
    Head head;
};
std::optional<Known> find(pqxx::transaction_base& work, const std::string& name, bool lock) {
    const pqxx::result rows =
        work.exec_params(fmt::format("SELECT id, version, position, hash FROM handrail_journal WHERE name = $1{}",
                                     lock ? " FOR UPDATE" : ""),
                         name);
    if (rows.empty()) return std::nullopt;
    const auto hash = hash_of(pqxx::binarystring(rows[0][3]).str());
    return Known{rows[0][0].as<std::int64_t>(),
                 rows[0][1].as<int>(),
                 {Position{rows[0][2].as<std::uint64_t>()}, hash.value_or(Hash{})}};
}

bool has_tables(pqxx::transaction_base& work) {
    return !work.exec1("SELECT to_regclass('handrail_journal')")[0].is_null();
}

pqxx::binarystring bytes(const Hash& hash) { return {hash.data(), hash.size()}; }

class PostgresJournal : public Journal {
public:
    PostgresJournal(PostgresAddress address, std::unique_ptr<Link> link, std::int64_t id)
        : address_(std::move(address)), shown_(address_.shown()), link_(std::move(link)), id_(id) {
        link_->listen(id_);
    }

    std::variant<Position, Stale, StoreError> append(const live::Entry& entry, Position seen) override {
        if (!live::can_be_written(entry))
            return StoreError{
                fmt::format("{}: the entry holds text that is not UTF-8 or a time no calendar has; "
                            "nothing was appended, write it again.",
                            shown_)};
        const std::string content = live::to_json(entry);
        const std::lock_guard lock(mutex_);
        Written written;
        auto done = with_link<std::variant<Position, Stale, StoreError>>([&] { return write(content, seen, written); });
        if (link_ || !written.committing) return done;
        // The connection broke while the commit was under way: only the database knows whether it took place.
        return with_link<std::variant<Position, Stale, StoreError>>(
            [&]() -> std::variant<Position, Stale, StoreError> {
                if (was_written(written)) return written.position;
                return cut_off(shown_, "the connection broke during the commit, which did not take place");
            },
            fmt::format(
                "{}: the database server went away during the commit, and cannot be asked whether the entry was "
                "taken. Read the record before you write it again.",
                shown_));
    }

    std::variant<std::vector<live::Recorded>, Tampered, StoreError> read(Position after) override {
        using Answer = std::variant<std::vector<live::Recorded>, Tampered, StoreError>;
        const std::lock_guard lock(mutex_);
        return with_link<Answer>([&] { return read_checked(after); });
    }

    std::variant<Position, StoreError> newest() override {
        const std::lock_guard lock(mutex_);
        return with_link<std::variant<Position, StoreError>>([&]() -> std::variant<Position, StoreError> {
            newest_ = std::max(newest_, link_->heard());
            const auto now = std::chrono::steady_clock::now();
            if (!asked_ || now - *asked_ >= ask_again) {
                pqxx::nontransaction work(link_->connection());
                newest_ = work.exec_params1("SELECT position FROM handrail_journal WHERE id = $1", id_)[0]
                              .as<std::uint64_t>();
                asked_ = now;
            }
            return Position{newest_};
        });
    }

private:
    /// An append under way: enough to look it up afterwards.
    struct Written {
        Position position{};
        Hash hash{};
        bool committing = false;
    };

    /// `ask`, over a new connection when the last one broke. When this one breaks it is given up and the answer says
    /// so, or is `when_cut_off` where that is given.
    template <class Answer>
    Answer with_link(const std::function<Answer()>& ask, const std::string& when_cut_off = "") {
        try {
            if (!link_) {
                link_ = std::make_unique<Link>(address_);
                link_->listen(id_);
                asked_.reset();
            }
            return ask();
        } catch (const pqxx::sql_error& failure) {
            // 57P01 to 57P03: the server is being shut down; the connection goes with it.
            if (!failure.sqlstate().starts_with("57P")) return explain(shown_, failure);
            return gone(failure.what(), when_cut_off);
        } catch (const pqxx::failure& failure) {
            return gone(failure.what(), when_cut_off);
        }
    }
    StoreError gone(const char* why, const std::string& when_cut_off) {
        link_.reset();
        return when_cut_off.empty() ? cut_off(shown_, why) : StoreError{when_cut_off};
    }

    std::variant<Position, Stale, StoreError> write(const std::string& content, Position seen, Written& written) {
        pqxx::work work(link_->connection());
        const auto known = find(work, address_.journal, true);
        if (!known) return StoreError{fmt::format("{}: the journal is no longer in the database.", shown_)};
        if (known->head.position != seen) return Stale{known->head.position};
        written.position = Position{live::number(seen) + 1};
        written.hash = chain_next(known->head.hash, content);
        const std::uint64_t at = live::number(written.position);
        work.exec_params0("INSERT INTO handrail_entry (journal, position, hash, content) VALUES ($1, $2, $3, $4)", id_,
                          at, bytes(written.hash), content);
        work.exec_params0("UPDATE handrail_journal SET position = $2, hash = $3 WHERE id = $1", id_, at,
                          bytes(written.hash));
        work.exec(fmt::format("NOTIFY handrail_{}, '{}'", id_, at));
        written.committing = true;
        work.commit();
        newest_ = std::max(newest_, at);
        return written.position;
    }

    bool was_written(const Written& written) {
        pqxx::nontransaction work(link_->connection());
        const pqxx::result rows =
            work.exec_params("SELECT hash FROM handrail_entry WHERE journal = $1 AND position = $2", id_,
                             live::number(written.position));
        return !rows.empty() && hash_of(pqxx::binarystring(rows[0][0]).str()) == written.hash;
    }

    std::variant<std::vector<live::Recorded>, Tampered, StoreError> read_checked(Position after) {
        // One snapshot: an entry appended meanwhile is in neither the head nor the rows.
        pqxx::transaction<pqxx::repeatable_read, pqxx::readwrite_policy::read_only> work(link_->connection());
        const auto known = find(work, address_.journal, false);
        if (!known) return StoreError{fmt::format("{}: the journal is no longer in the database.", shown_)};
        if (after > known->head.position) return std::vector<live::Recorded>{};
        const pqxx::result earlier = work.exec_params(
            "SELECT hash FROM handrail_entry WHERE journal = $1 AND position = $2", id_, live::number(after));
        ChainCheck check(shown_, after, earlier.empty() ? "" : pqxx::binarystring(earlier[0][0]).str());
        if (auto wrong = check.start_wrong()) return *wrong;
        const pqxx::result rows = work.exec_params(
            "SELECT position, hash, content FROM handrail_entry WHERE journal = $1 AND position > $2 ORDER BY position",
            id_, live::number(after));
        for (const auto& row : rows)
            if (auto wrong = check.take(row[0].as<std::int64_t>(), pqxx::binarystring(row[1]).str(), row[2].c_str()))
                return std::visit([](auto& it) { return decltype(read_checked(after))(std::move(it)); }, *wrong);
        return check.finish(known->head);
    }

    std::mutex mutex_;  ///< guards everything below
    const PostgresAddress address_;
    const std::string shown_;
    std::unique_ptr<Link> link_;  ///< none while the server does not answer
    const std::int64_t id_;
    std::uint64_t newest_ = 0;
    std::optional<std::chrono::steady_clock::time_point> asked_;
};

/// Runs `ask` with a fresh connection; every failure becomes a sentence.
template <class Answer>
std::variant<Answer, StoreError> connected(
    const PostgresAddress& address, const std::function<std::variant<Answer, StoreError>(std::unique_ptr<Link>)>& ask) {
    try {
        return ask(std::make_unique<Link>(address));
    } catch (const pqxx::sql_error& failure) {
        return explain(address.shown(), failure);
    } catch (const pqxx::failure& failure) {
        return cut_off(address.shown(), failure.what());
    }
}

std::optional<StoreError> forgetful(const PostgresAddress& address, const Link& link) {
    if (link.survives_power_loss()) return std::nullopt;
    return StoreError{
        fmt::format("{}: the server runs with fsync or full_page_writes off, so an acknowledged entry "
                    "would not survive power loss; switch both on.",
                    address.shown())};
}

}  // namespace

std::string PostgresAddress::shown() const {
    const std::size_t user = connection.find("://") + 3;
    const std::size_t at = connection.find('@', user);
    const std::size_t colon = connection.find(':', user);
    std::string text = connection.substr(0, connection.find('?'));
    if (at != std::string::npos && colon < at) text.erase(colon, at - colon);
    return text + "#" + journal;
}

bool is_postgres(const std::string& address) {
    return address.starts_with("postgresql://") || address.starts_with("postgres://");
}

std::variant<PostgresAddress, StoreError> read_postgres_address(const std::string& address) {
    const std::size_t hash = address.rfind('#');
    PostgresAddress read{address.substr(0, hash), hash == std::string::npos ? "" : address.substr(hash + 1)};
    const bool named =
        !read.journal.empty() && read.journal.size() <= 64 && std::ranges::all_of(read.journal, [](unsigned char c) {
            return c < 0x80 && (std::isalnum(c) != 0 || c == '.' || c == '_' || c == '-');
        });
    if (!named)
        return StoreError{
            fmt::format("{}: expected the journal's name after a # (1 to 64 letters, digits, \".\", "
                        "\"_\" or \"-\"), as in postgresql://host/database#outing-3.",
                        PostgresAddress{read.connection, ""}.shown())};
    return read;
}

std::variant<std::unique_ptr<Journal>, StoreError> create_postgres_journal(const PostgresAddress& address) {
    using Answer = std::variant<std::unique_ptr<Journal>, StoreError>;
    return connected<std::unique_ptr<Journal>>(address, [&](std::unique_ptr<Link> link) -> Answer {
        if (auto error = forgetful(address, *link)) return *error;
        std::int64_t id = 0;
        {
            pqxx::work work(link->connection());
            work.exec_params("SELECT pg_advisory_xact_lock($1)", schema_lock);
            // Whoever may only write entries may not make tables, and need not when they are there.
            if (!has_tables(work)) work.exec(schema);
            const pqxx::result made = work.exec_params(
                "INSERT INTO handrail_journal (name, version, position, hash) VALUES ($1, $2, 0, $3) "
                "ON CONFLICT (name) DO NOTHING RETURNING id",
                address.journal, schema_version, bytes(chain_start()));
            if (made.empty())
                return StoreError{fmt::format("{}: is already there; a journal is never overwritten, name a new one.",
                                              address.shown())};
            id = made[0][0].as<std::int64_t>();
            work.commit();
        }
        return std::make_unique<PostgresJournal>(address, std::move(link), id);
    });
}

std::variant<std::unique_ptr<Journal>, StoreError> open_postgres_journal(const PostgresAddress& address) {
    using Answer = std::variant<std::unique_ptr<Journal>, StoreError>;
    return connected<std::unique_ptr<Journal>>(address, [&](std::unique_ptr<Link> link) -> Answer {
        if (auto error = forgetful(address, *link)) return *error;
        std::optional<Known> known;
        {
            pqxx::nontransaction work(link->connection());
            if (has_tables(work)) known = find(work, address.journal, false);
        }
        if (!known)
            return StoreError{
                fmt::format("{}: there is no such journal; check the name, or make one with handrail "
                            "open.",
                            address.shown())};
        if (known->version != schema_version)
            return StoreError{
                fmt::format("{}: this journal has format {}, and this Handrail reads format {}; use the "
                            "version that wrote it.",
                            address.shown(), known->version, schema_version)};
        return std::make_unique<PostgresJournal>(address, std::move(link), known->id);
    });
}

std::variant<bool, StoreError> postgres_journal_is_there(const PostgresAddress& address) {
    return connected<bool>(address, [&](std::unique_ptr<Link> link) -> std::variant<bool, StoreError> {
        pqxx::nontransaction work(link->connection());
        return has_tables(work) && find(work, address.journal, false).has_value();
    });
}

}  // namespace handrail::store
