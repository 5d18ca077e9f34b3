#pragma once

#include <cstdint>
#include <deque>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "outing/input_error.h"
#include "outing/model.h"
#include "outing/outing.h"

/// A TOML file as a tree that remembers where each thing was written. The TOML library is known to document.cpp only.
namespace handrail::detail {

/// Where something stands; `file` points into Sources.
struct Place {
    const std::string* file = nullptr;
    int line = 0, column = 0;
};
SourcePlace source_place(Place place);

struct Node;
struct Member;
using List = std::vector<Node>;
using Table = std::vector<Member>;  ///< by key
/// A TOML value that the outing file has no use for (dates and times).
struct Unused {};

struct Node {
    std::variant<Unused, bool, std::int64_t, double, std::string, List, Table> value;
    Place place;
    Place end = {};  ///< just after it; of a table written under a header: just after the header
};
struct Member {
    std::string key;
    Place place;  ///< of the key
    Node value;
};
const Node* find(const Table& table, std::string_view key);
/// "\"25 mm\"", "25", "a list", ...: what stands there, short enough for a message.
std::string describe(const Node& node);
/// The text in quotes, shortened, with control characters made visible.
std::string shown_text(std::string_view text);

/// Everything wrong so far. Keeps the first 200; after those it only counts.
class Errors {
public:
    void add(Place place, std::string field, std::string expected, std::string found, std::string remedy);
    void add(InputError error);
    std::size_t count() const { return count_; }
    bool full() const { return kept_.size() >= most_kept; }
    /// In file order, then line, then column. REQUIRES: count() > 0
    std::vector<InputError> sorted(const std::vector<std::string>& file_order) const;

private:
    static constexpr std::size_t most_kept = 200;
    std::vector<InputError> kept_;
    std::size_t count_ = 0;
};

/// One text that went into the outing.
struct Source {
    std::string name;  ///< as used in messages
    std::string text;  ///< without byte order mark
};

/// The texts read so far, in the order they were first met; addresses stay good.
class Sources {
public:
    Sources() = default;
    /// Where a file is looked for that is not among the kept texts.
    enum class Others : std::uint8_t { none, on_disk };
    /// Files come from these texts, by name, before any disk is asked. `kept` must outlive this.
    explicit Sources(const std::vector<OutingText>& kept, Others others = Others::none)
        : kept_(&kept), others_(others) {}
    /// Reads a text file; every reason not to is an error (missing, folder, over 16 MiB, empty, binary, not UTF-8).
    const Source* read(const std::filesystem::path& file, Errors& errors);
    /// Takes a text that is already in memory, with the same checks.
    const Source* take(std::string text, const std::string& name, Errors& errors);
    const std::deque<Source>& all() const { return all_; }
    std::vector<std::string> names() const;
    /// SHA-256 over all texts with their lengths, in hex; names do not count, so a copied folder has the same one.
    std::string fingerprint() const;

private:
    std::deque<Source> all_;
    const std::vector<OutingText>* kept_ = nullptr;
    Others others_ = Others::none;
};

/// Parses one TOML text; on a syntax error nothing is returned and the error is in `errors`.
std::optional<Table> parse_toml(const Source& source, Errors& errors);

/// Parses a file's text and lays it over everything it includes. A value of the including file replaces an included
/// one, lists of tables are put together (included ones first), a file included twice counts once, and a cycle or two
/// included files that disagree are errors.
Table load_document(const Source& main, const std::filesystem::path& folder, Sources& sources, Errors& errors);

/// Reads the outing whose first text is `texts.front()`. REQUIRES: !texts.empty()
Result<OutingWithTexts> read_texts(const std::vector<OutingText>& texts, Sources::Others others);

}  // namespace handrail::detail
