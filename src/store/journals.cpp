#include "store/journals.h"

#include <filesystem>

#include "store/postgres_journal.h"
#include "store/sqlite_journal.h"

namespace handrail::store {
namespace {

/// `in_database` with the address read, or what is wrong with it.
template <class Answer, class InDatabase>
std::variant<Answer, StoreError> asked(const std::string& address, InDatabase in_database) {
    auto read = read_postgres_address(address);
    if (auto* error = std::get_if<StoreError>(&read)) return std::move(*error);
    return in_database(std::get<PostgresAddress>(read));
}

}  // namespace

std::variant<std::unique_ptr<Journal>, StoreError> create_journal(const std::string& address) {
    if (!is_postgres(address)) return create_sqlite_journal(address);
    return asked<std::unique_ptr<Journal>>(address, create_postgres_journal);
}

std::variant<std::unique_ptr<Journal>, StoreError> open_journal(const std::string& address) {
    if (!is_postgres(address)) return open_sqlite_journal(address);
    return asked<std::unique_ptr<Journal>>(address, open_postgres_journal);
}

std::variant<bool, StoreError> journal_is_there(const std::string& address) {
    if (is_postgres(address)) return asked<bool>(address, postgres_journal_is_there);
    std::error_code ignored;
    return std::filesystem::exists(address, ignored);
}

bool is_file(const std::string& address) { return !is_postgres(address); }

std::string shown(const std::string& address) {
    if (!is_postgres(address)) return address;
    const auto read = read_postgres_address(address);
    if (const auto* it = std::get_if<PostgresAddress>(&read)) return it->shown();
    return "postgresql://...";
}

}  // namespace handrail::store
