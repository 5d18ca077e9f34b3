#include "outing/edit_layout.h"

#include <algorithm>
#include <cassert>

#include "outing/edit_outing.h"

namespace handrail::detail {
namespace {

std::string_view trimmed(std::string_view line) {
    const std::size_t from = line.find_first_not_of(" \t\r\n");
    return from == std::string_view::npos ? std::string_view{} : line.substr(from);
}

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

}  // namespace

bool is_comment(std::string_view line) { return trimmed(line).starts_with('#'); }
bool is_blank(std::string_view line) { return trimmed(line).empty(); }

std::string toml_key(std::string_view key) {
    const bool bare = !key.empty() && std::ranges::all_of(key, [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    });
    return bare ? std::string(key) : toml_text(key);
}

Layout::Layout(const Source& source, const Table& root) : source_(source), root_(root) {
    lines_.push_back(0);
    for (std::size_t at = 0; at < text().size(); ++at)
        if (text()[at] == '\n') lines_.push_back(at + 1);
    walk(root, 0, {});
    std::ranges::sort(values_);
    spots_.front().form = Form::root;
    find_owners();
    find_blocks();
}

std::size_t Layout::offset(Place place) const {
    const auto line = static_cast<std::size_t>(place.line - 1);
    if (line >= lines_.size()) return text().size();
    // The library counts columns in characters, not in bytes.
    std::size_t at = lines_[line];
    for (int column = 1; column < place.column && at < text().size(); ++column) do
            ++at;
        while (at < text().size() && continues_character(text()[at]));
    return at;
}

std::size_t Layout::line_start(std::size_t at) const { return *std::prev(std::ranges::upper_bound(lines_, at)); }

std::size_t Layout::next_line(std::size_t at) const {
    const auto next = std::ranges::upper_bound(lines_, at);
    return next == lines_.end() ? text().size() : *next;
}

void Layout::enter(const Node& node, const std::vector<std::string>& keys) {
    if (const Table* table = std::get_if<Table>(&node.value)) {
        walk(*table, begin(node), keys);
    } else if (const List* list = std::get_if<List>(&node.value)) {
        for (const Node& element : *list) enter(element, keys);
    }
}

void Layout::walk(const Table& table, std::size_t at, std::vector<std::string> keys) {
    const std::size_t order = spots_.size();
    const char first = at < text().size() ? text()[at] : '\0';
    const Form form = first == '{' ? Form::in_line : first == '[' ? Form::implied : Form::dotted;
    spots_.push_back({&table, form, keys, at, order, 0});
    for (const Member& member : table) {
        keys.push_back(member.key);
        enter(member.value, keys);
        keys.pop_back();
        values_.emplace_back(offset(member.place), end(member.value));
    }
    spots_[order].within = spots_.size();
}

void Layout::find_owners() {
    // A header makes every table on its way that has no header of its own; the last one on the way owns it.
    for (Spot& spot : spots_) {
        if (spot.form != Form::implied) continue;
        const bool deeper = std::any_of(spots_.begin() + static_cast<std::ptrdiff_t>(spot.order) + 1,
                                        spots_.begin() + static_cast<std::ptrdiff_t>(spot.within),
                                        [&](const Spot& inside) { return inside.at == spot.at; });
        if (!deeper) spot.form = Form::header;
    }
}

void Layout::find_blocks() {
    std::vector<const Spot*> headers;
    for (const Spot& spot : spots_)
        if (spot.form == Form::header || spot.form == Form::root) headers.push_back(&spot);
    std::ranges::sort(headers, {}, [](const Spot* spot) { return std::pair{spot->at, spot->order}; });
    for (const Spot* spot : headers) blocks_.push_back({spot->table, 0, line_start(spot->at), 0, 0});
    for (std::size_t i = 0; i < blocks_.size(); ++i)
        measure(i, i + 1 < blocks_.size() ? blocks_[i + 1].header : text().size());
}

/// `stop`: where the next header's line begins.
void Layout::measure(std::size_t number, std::size_t stop) {
    Block& block = blocks_[number];
    const bool has_header = block.owner != &root_;
    block.last_key = has_header ? next_line(block.header) : 0;
    const auto first = std::ranges::lower_bound(values_, std::pair{block.last_key, std::size_t{0}});
    for (auto value = first; value != values_.end() && value->first < stop; ++value)
        block.last_key = std::max(block.last_key, next_line(value->second - 1));
    const bool last = number + 1 == blocks_.size();
    std::size_t comments = stop;
    while (!last && comments > block.last_key) {
        const std::size_t line = line_start(comments - 1);
        if (line < block.last_key || !is_comment(std::string_view(text()).substr(line, comments - line))) break;
        comments = line;
    }
    block.end = block.last_key;
    while (block.end < comments && block.end > 0) {
        const std::size_t next = next_line(block.end);
        if (!is_comment(std::string_view(text()).substr(block.end, next - block.end))) break;
        block.end = next;
    }
    if (!last) blocks_[number + 1].comments = comments;
}

const Layout::Spot& Layout::spot(const Table& table) const {
    const auto found = std::ranges::find(spots_, &table, &Spot::table);
    assert(found != spots_.end() && "a table of this text");
    return *found;
}

Form Layout::form(const Table& table) const { return spot(table).form; }
const std::vector<std::string>& Layout::keys_of(const Table& table) const { return spot(table).keys; }

const Block* Layout::block_of(const Table& table) const {
    const auto found = std::ranges::find(blocks_, &table, &Block::owner);
    return found == blocks_.end() ? nullptr : &*found;
}

std::vector<std::size_t> Layout::blocks_within(const Table& table) const {
    const Spot& outer = spot(table);
    std::vector<std::size_t> numbers;
    for (std::size_t i = 0; i < blocks_.size(); ++i) {
        const std::size_t order = spot(*blocks_[i].owner).order;
        if (order >= outer.order && order < outer.within) numbers.push_back(i);
    }
    return numbers;
}

std::string_view Layout::line_end() const {
    const std::size_t first = text().find('\n');
    return first != std::string::npos && first > 0 && text()[first - 1] == '\r' ? "\r\n" : "\n";
}

}  // namespace handrail::detail
