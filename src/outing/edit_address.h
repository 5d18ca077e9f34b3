#pragma once

#include <deque>
#include <optional>
#include <string>
#include <vector>

#include "outing/document.h"
#include "outing/input_error.h"

/// Finding the table that an edit means, over all files of an outing.
namespace handrail::detail {

/// "task[valve]" is one step of an address: the key, and which entry where the key holds a list.
struct AddressStep {
    std::string key;
    std::optional<std::string> entry;
};
/// "task[valve].step[open]". Whatever cannot be read so is an error.
Result<std::vector<AddressStep>> parse_address(const std::string& address);

/// A text of the outing that is TOML, with its tree.
struct ParsedText {
    Source source;
    Table root;
    std::size_t number;  ///< among the texts of the outing
};
/// The outing file and what it includes, the including one before the included ones.
struct ParsedTexts {
    std::deque<ParsedText> before;   ///< in order of precedence: what stands in an earlier one is in force
    std::vector<std::size_t> after;  ///< the order in which lists are put together
};
/// REQUIRES: the texts of an outing that was read, the outing file first; includes that are not among them are left
/// out.
Result<ParsedTexts> parse_texts(const std::vector<OutingText>& texts);

/// A table, or the part of it that stands in one of the files.
struct Part {
    const ParsedText* text;
    const Table* table;
};
/// An entry of a list of tables.
struct ListEntry {
    Part part;
    std::string name;  ///< its id, else its name, else nothing
};

/// All parts of a table in order of precedence; none when no file has it. An entry that is not there is an error.
Result<std::vector<Part>> find_parts(const ParsedTexts& texts, const std::vector<AddressStep>& address);
/// The entries of the list `key` in these parts, in the order of the outing.
std::vector<ListEntry> entries_of(const ParsedTexts& texts, const std::vector<Part>& parts, const std::string& key);
/// The entry with that id or name, else with that number.
Result<ListEntry> find_entry(const std::vector<ListEntry>& entries, const std::string& list, const std::string& entry);

}  // namespace handrail::detail
