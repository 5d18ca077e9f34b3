#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "outing/input_error.h"
#include "outing/outing.h"

/// Changing an outing file where it stands: comments, order and layout of everything else stay byte for byte.
///
/// A table is named by an address: keys with dots between them, and in brackets which entry of a list is meant, by its
/// id (or, where it has none, its name) or by its number from 1, counted as read_outing() counts:
///     "rules"   "crew.EV1"   "task[valve]"   "task[valve].step[open]"   "item[driver-1]"   "station.worksite[bay]"
///     "station.route[3]"   "risk.trouble[stuck bolt]"   ""  (the keys at the top of the file)
/// An outing may span several included files; an edit lands in the file that holds the table or key it names, and
/// what has no place yet goes into the outing file itself.
namespace handrail {

/// Gives a key of a table this value, as TOML: "\"25 min\"", "true", "[\"lead\", \"helper\"]" (toml_text() and
/// toml_list() write them). A key that is there keeps its place and its comment; a new one is written under the last
/// key of its table. A table that is not there yet is made, unless it would be an entry of a list.
struct SetKey {
    std::string table, key, value;
};
/// Takes a key and its line out of a table.
struct RemoveKey {
    std::string table, key;
};
/// Writes a new entry of a list of tables ("task", "task[valve].step", "item", "station.worksite", ...).
/// `text` is TOML: its keys, and below them the tables inside it (`[[task.step]]`); its own header may be left out.
struct InsertTable {
    enum class Where : std::uint8_t { last, before, after };
    std::string list, text;
    Where where = Where::last;
    std::string sibling = {};  ///< before, after: id, name or number of an entry of the same list
};
/// Takes a table out with everything inside it and the comment lines right above it; for an entry of a list give the
/// entry's address. A comment that stands by itself goes when nothing is left between it and the next such comment.
struct RemoveTable {
    std::string table;
};
/// Writes a comment right above a table's header; each line of the text becomes one.
struct Remark {
    std::string table, text;
};
using OutingEdit = std::variant<SetKey, RemoveKey, InsertTable, RemoveTable, Remark>;

struct EditedOuting {
    Outing outing;
    std::vector<OutingText> texts;     ///< all texts of the outing after the edits, in reading order
    std::vector<std::string> changed;  ///< names of those that are not what they were
};

/// Makes the edits one after the other and reads the result once, so that edits may lean on each other. An edit that
/// cannot be made, or a result that read_outing() would refuse, is an error and nothing has changed; the reader's
/// errors then name lines of the text as it would have become. REQUIRES: `texts` are what read_outing_with_texts()
/// gave, the outing file first.
Result<EditedOuting> edit_texts(const std::vector<OutingText>& texts, const std::vector<OutingEdit>& edits);

/// The same on disk. Each changed file is replaced in one piece after it has reached the disk (temporary file, fsync,
/// rename); a file that somebody else changed meanwhile is an error. Nothing is written unless everything is valid.
Result<EditedOuting> edit_outing(const std::filesystem::path& file, const std::vector<OutingEdit>& edits);

/// Writes an edit made in memory: `before` are the texts `after` was made from. As edit_outing() does it.
[[nodiscard]] std::vector<InputError> replace_texts(const std::vector<OutingText>& before, const EditedOuting& after);

/// Makes an outing of these texts, the outing file first, once all of it is valid; included files that are not among
/// them are read from the disk. A file that is already there is an error and stays as it is.
Result<Outing> create_outing(const std::vector<OutingText>& texts);

/// A table as it is written, with the comment lines right above it and all tables inside it: what InsertTable takes.
Result<std::string> table_text(const std::vector<OutingText>& texts, const std::string& table);

/// "a \"word\"" as a TOML string; characters TOML does not allow are escaped.
std::string toml_text(std::string_view text);
/// A TOML list of strings.
std::string toml_list(const std::vector<std::string>& texts);

/// Replaces a file in one piece: temporary file beside it, fsync, rename, fsync of the folder. Keeps the file's
/// permissions and follows a symbolic link to the file it names. On failure the old file stands as it was.
/// Nothing, or why it could not be written.
[[nodiscard]] std::vector<InputError> replace_file(const std::filesystem::path& file, std::string_view content);

}  // namespace handrail
