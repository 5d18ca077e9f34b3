#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "outing/document.h"

/// How a TOML text is laid out: which bytes belong to which table, for edits that leave all other bytes alone.
namespace handrail::detail {

/// How a table is written.
enum class Form : std::uint8_t {
    root,     ///< the keys before the first header
    header,   ///< under a header of its own
    in_line,  ///< { ... }
    dotted,   ///< by keys such as crew.EV1.name alone
    implied   ///< by the header of a table inside it alone
};

/// The lines under one header, the header and the comment lines right above it. The file's first block has no header.
struct Block {
    const Table* owner = nullptr;
    std::size_t comments = 0;  ///< where the comment lines right above the header begin
    std::size_t header = 0;    ///< where the header's line begins
    std::size_t last_key = 0;  ///< after the line on which the last key or the header ends
    std::size_t end = 0;       ///< last_key, or after the comment lines that follow it at once
};

/// A text and its tree. `source` and `root` must outlive it; the tree must come from that text.
class Layout {
public:
    Layout(const Source& source, const Table& root);

    const std::string& text() const { return source_.text; }
    const Table& root() const { return root_; }
    std::size_t offset(Place place) const;
    std::size_t begin(const Node& node) const { return offset(node.place); }
    std::size_t end(const Node& node) const { return offset(node.end); }
    std::size_t line_start(std::size_t at) const;
    /// After the line's end, or the end of the text.
    std::size_t next_line(std::size_t at) const;
    Form form(const Table& table) const;
    const std::vector<Block>& blocks() const { return blocks_; }
    /// The block under the table's own header (or the first one, for the root).
    const Block* block_of(const Table& table) const;
    /// Numbers of the blocks that hold the table and everything inside it, in file order.
    std::vector<std::size_t> blocks_within(const Table& table) const;
    /// The keys on the way from the root to the table.
    const std::vector<std::string>& keys_of(const Table& table) const;
    /// The line end this text uses.
    std::string_view line_end() const;

private:
    struct Spot {
        const Table* table;
        Form form;
        std::vector<std::string> keys;
        std::size_t at;      ///< where it is written
        std::size_t order;   ///< of the walk: a table comes before those inside it
        std::size_t within;  ///< order of the first spot that is not inside it
    };
    void walk(const Table& table, std::size_t at, std::vector<std::string> keys);
    void enter(const Node& node, const std::vector<std::string>& keys);
    void find_owners();
    void find_blocks();
    void measure(std::size_t number, std::size_t stop);
    const Spot& spot(const Table& table) const;

    const Source& source_;
    const Table& root_;
    std::vector<std::size_t> lines_;
    std::vector<Spot> spots_;
    std::vector<std::pair<std::size_t, std::size_t>> values_;  ///< where a key stands, where its value ends
    std::vector<Block> blocks_;
};

/// A key as TOML writes it, in quotes where it must be.
std::string toml_key(std::string_view key);
/// Nothing but spaces and perhaps a comment.
bool is_comment(std::string_view line);
bool is_blank(std::string_view line);

}  // namespace handrail::detail
