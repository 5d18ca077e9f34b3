#pragma once

#include <filesystem>
#include <memory>
#include <variant>

#include "store/journal.h"

namespace handrail::store {

/// Makes a new, empty journal file that only its owner may read. An error when the file is already there: a journal
/// is never overwritten.
std::variant<std::unique_ptr<Journal>, StoreError> create_sqlite_journal(const std::filesystem::path& file);

/// Opens a journal file that is there. An error when it is missing, is not a journal, was written by a newer version,
/// or is damaged; the hash chain itself is checked by read().
std::variant<std::unique_ptr<Journal>, StoreError> open_sqlite_journal(const std::filesystem::path& file);

}  // namespace handrail::store
