#pragma once

#include <memory>
#include <string>
#include <variant>

#include "store/journal.h"

namespace handrail::store {

/// Where a journal lies in a PostgreSQL database: postgresql://user@host:port/database?options#journal. What stands
/// before # goes to libpq as it is (PostgreSQL 15 manual, 34.1.1.2); the journal's name is 1 to 64 letters, digits,
/// ".", "_" or "-".
struct PostgresAddress {
    std::string connection, journal;
    /// For messages: without a password.
    std::string shown() const;
};
bool is_postgres(const std::string& address);
std::variant<PostgresAddress, StoreError> read_postgres_address(const std::string& address);

/// A control centre's journal: several servers write and read it at once. Appends are told to all of them by NOTIFY,
/// so that newest() costs no query while nothing happens. A lost connection gives a StoreError and is made anew with
/// the next call; an append whose commit was cut off is looked up before anything is said about it.
///
/// Made with its tables when they are not there yet; an error when the database already has a journal of this name.
std::variant<std::unique_ptr<Journal>, StoreError> create_postgres_journal(const PostgresAddress& address);
/// An error when there is no such journal, when a newer version wrote it, or when the server runs without fsync: an
/// acknowledged entry would not survive power loss there.
std::variant<std::unique_ptr<Journal>, StoreError> open_postgres_journal(const PostgresAddress& address);
std::variant<bool, StoreError> postgres_journal_is_there(const PostgresAddress& address);

}  // namespace handrail::store
