#pragma once

#include <string>
#include <string_view>

#include "outing/edit_layout.h"
#include "outing/edit_outing.h"

namespace handrail::detail {

/// `value` is one TOML value. An existing value that is written under headers of its own cannot be replaced so.
Result<std::string> with_key(const Layout& layout, const Table& table, std::string_view key, std::string_view value);
Result<std::string> without_key(const Layout& layout, const Table& table, std::string_view key);
/// A table that is not there yet, with one key. `keys` lead to it from the root.
std::string with_new_table(const Layout& layout, const std::vector<std::string>& keys, std::string_view key,
                           std::string_view value);

/// The block of `body` before or behind everything that belongs to `table`.
std::string with_block_before(const Layout& layout, const Table& table, std::string_view body);
std::string with_block_after(const Layout& layout, const Table& table, std::string_view body);
std::string with_block_last(const Layout& layout, std::string_view body);
/// REQUIRES: the table is written under a header.
std::string with_remark(const Layout& layout, const Table& table, std::string_view remark);
/// REQUIRES: the table is written under a header.
std::string without_table(const Layout& layout, const Table& table);
/// REQUIRES: the table is written under a header.
std::string text_of(const Layout& layout, const Table& table);

/// What is wrong with `value` as one TOML value, if anything.
std::vector<InputError> fault_of_value(const std::string& value);

/// Replaces the files whose texts are others than before. All are on disk before the first takes its place.
std::vector<InputError> write_changed(const std::vector<OutingText>& before, const EditedOuting& after);
/// Writes files that are not there yet.
std::vector<InputError> write_new(const std::vector<OutingText>& texts);
// const std::vector<OutingText>& before, const EditedOuting& after);

}  // namespace handrail::detail
