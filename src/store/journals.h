#pragma once

#include <memory>
#include <string>
#include <variant>

#include "store/journal.h"

/// One name for a journal, wherever it lies: a file (SQLite), or postgresql://user@host/database#journal.
namespace handrail::store {

std::variant<std::unique_ptr<Journal>, StoreError> create_journal(const std::string& address);
std::variant<std::unique_ptr<Journal>, StoreError> open_journal(const std::string& address);
std::variant<bool, StoreError> journal_is_there(const std::string& address);
bool is_file(const std::string& address);
/// How to name it on a screen: without a password.
std::string shown(const std::string& address);

}  // namespace handrail::store
