#include "outing/edit_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

namespace handrail::detail {
namespace {

InputError refused(std::string_view key, std::string expected, std::string found, std::string remedy) {
    return {{}, std::string(key), 0, 0, std::move(expected), std::move(found), std::move(remedy)};
}

/// The piece with the line ends of the text it goes into.
std::string adapted(std::string_view piece, std::string_view line_end) {
    std::string result;
    for (const char c : piece) {
        if (c == '\r') continue;
        if (c == '\n')
            result += line_end;
        else
            result += c;
    }
    return result;
}

std::string replaced(const Layout& layout, std::size_t from, std::size_t to, std::string_view piece) {
    std::string text = layout.text();
    text.replace(from, to - from, adapted(piece, layout.line_end()));
    return text;
}

/// Whole lines put in at a line's start; a last line without an end gets one.
std::string with_lines(const Layout& layout, std::size_t at, const std::string& lines) {
    const bool open_line = at == layout.text().size() && at > 0 && layout.text().back() != '\n';
    return replaced(layout, at, at, (open_line ? "\n" : "") + lines);
}

std::string_view line_at(const Layout& layout, std::size_t at) {
    return std::string_view(layout.text()).substr(at, layout.next_line(at) - at);
}

/// Tables under headers, and tables written by dotted keys, have no value that could be replaced.
bool has_value(const Layout& layout, const Node& node) {
    if (const Table* table = std::get_if<Table>(&node.value)) return layout.form(*table) == Form::in_line;
    const List* list = std::get_if<List>(&node.value);
    if (!list || list->empty()) return true;
    const Table* first = std::get_if<Table>(&list->front().value);
    return !first || layout.form(*first) == Form::in_line;
}

/// A value in place of another; a comment behind it keeps its column as long as there is room.
std::string with_value(const Layout& layout, const Node& old, std::string_view value) {
    const std::size_t from = layout.begin(old);
    const std::size_t to = layout.end(old);
    const std::string_view rest = std::string_view(layout.text()).substr(to, layout.next_line(to) - to);
    const std::size_t comment = rest.find_first_not_of(' ');
    const bool one_line =
        value.find('\n') == std::string_view::npos && layout.line_start(from) == layout.line_start(to);
    if (!one_line || comment == std::string_view::npos || comment == 0 || rest[comment] != '#')
        return replaced(layout, from, to, value);
    const auto room = static_cast<std::ptrdiff_t>(to - from + comment) - static_cast<std::ptrdiff_t>(value.size());
    const std::string spaces(static_cast<std::size_t>(std::max<std::ptrdiff_t>(1, room)), ' ');
    return replaced(layout, from, to + comment, std::string(value) + spaces);
}

/// The members in the order they are written.
std::vector<const Member*> as_written(const Layout& layout, const Table& table) {
    std::vector<const Member*> members;
    for (const Member& member : table) members.push_back(&member);
    std::ranges::sort(members, {}, [&](const Member* member) { return layout.offset(member->place); });
    return members;
}

/// Where an inline table is written. The tree gives places to nodes, not to tables.
const Node* node_of(const Node& node, const Table& table) {
    if (const Table* here = std::get_if<Table>(&node.value)) {
        if (here == &table) return &node;
        for (const Member& member : *here)
            if (const Node* found = node_of(member.value, table)) return found;
    } else if (const List* list = std::get_if<List>(&node.value)) {
        for (const Node& element : *list)
            if (const Node* found = node_of(element, table)) return found;
    }
    return nullptr;
}
const Node& node_of(const Layout& layout, const Table& table) {
    const Node* found = nullptr;
    for (const Member& member : layout.root())
        if (!found) found = node_of(member.value, table);
    assert(found && "a table of this text");
    return *found;
}

std::string with_key_in_line(const Layout& layout, const Table& table, const std::string& line) {
    const std::vector<const Member*> members = as_written(layout, table);
    if (members.empty()) {
        const Node& node = node_of(layout, table);
        return replaced(layout, layout.begin(node), layout.end(node), fmt::format("{{ {} }}", line));
    }
    const std::size_t at = layout.end(members.back()->value);
    return replaced(layout, at, at, ", " + line);
}

/// Below the last key of the block; keys of tables in dotted form stand in between as they like.
std::string with_key_in_block(const Layout& layout, const Block& block, const Table& table, const std::string& line) {
    std::string indent;
    for (const Member& member : table) {
        const std::size_t at = layout.offset(member.place);
        if (at < block.header || at >= block.last_key || !has_value(layout, member.value)) continue;
        const std::string_view before =
            std::string_view(layout.text()).substr(layout.line_start(at), at - layout.line_start(at));
        if (is_blank(before)) indent = before;
    }
    return with_lines(layout, block.last_key, indent + line + "\n");
}

/// crew.EV1.name = ...: the new key gets the same dots.
Result<std::string> with_key_dotted(const Layout& layout, const Table& table, std::string_view key,
                                    std::string_view value) {
    for (const Member* member : as_written(layout, table)) {
        if (!has_value(layout, member->value)) continue;
        const std::size_t at = layout.offset(member->place);
        const std::size_t start = layout.line_start(at);
        const std::string before = layout.text().substr(start, at - start);
        if (before.find_first_of("{[") != std::string::npos) break;
        return with_lines(layout, layout.next_line(layout.end(member->value) - 1),
                          fmt::format("{}{} = {}\n", before, toml_key(key), value));
    }
    return refused(key, "a table with a header or in braces", "keys with dots", "write a header for the table first");
}

/// From the end of what is kept before to the start of what is kept after, with the blank lines that become spare.
struct Gap {
    std::size_t from, to;
};

/// Where the last comment that stands by itself between `from` and `to` begins, or `to`.
std::size_t heading_before(const Layout& layout, std::size_t from, std::size_t to) {
    std::size_t heading = to;
    bool in_comment = false;
    for (std::size_t at = from; at < to; at = layout.next_line(at)) {
        const bool comment = is_comment(line_at(layout, at));
        if (comment && !in_comment) heading = at;
        in_comment = comment;
    }
    return in_comment ? to : heading;
}

bool has_comment(const Layout& layout, std::size_t from, std::size_t to) {
    for (std::size_t at = from; at < to; at = layout.next_line(at))
        if (is_comment(line_at(layout, at))) return true;
    return false;
}

Gap gap_of(const Layout& layout, std::size_t first, std::size_t last) {
    const std::vector<Block>& blocks = layout.blocks();
    const std::size_t size = layout.text().size();
    const std::size_t before = first > 0 ? blocks[first - 1].end : 0;
    const bool at_end = last + 1 == blocks.size();
    const std::size_t after = at_end ? size : blocks[last + 1].comments;
    Gap gap{blocks[first].comments, blocks[last].end};
    // A heading goes with the last table under it: the next heading follows, or nothing does.
    if (at_end || has_comment(layout, gap.to, after)) gap.from = heading_before(layout, before, gap.from);
    while (gap.to < after && is_blank(line_at(layout, gap.to))) gap.to = layout.next_line(gap.to);
    if (gap.to == size)
        while (gap.from > before && is_blank(line_at(layout, layout.line_start(gap.from - 1))))
            gap.from = layout.line_start(gap.from - 1);
    return gap;
}

/// Numbers that follow each other, as first and last.
std::vector<std::pair<std::size_t, std::size_t>> runs_of(const std::vector<std::size_t>& numbers) {
    std::vector<std::pair<std::size_t, std::size_t>> runs;
    for (const std::size_t number : numbers) {
        if (!runs.empty() && runs.back().second + 1 == number)
            runs.back().second = number;
        else
            runs.emplace_back(number, number);
    }
    return runs;
}

std::string ended(std::string_view body) {
    std::string text(body);
    while (!text.empty() && (text.back() == '\n' || text.back() == '\r' || text.back() == ' ')) text.pop_back();
    return text + "\n";
}

}  // namespace

std::vector<InputError> fault_of_value(const std::string& value) {
    Errors errors;
    const Source source{"the value", "x = " + value + "\n"};
    const std::optional<Table> parsed = parse_toml(source, errors);
    const bool comment_only =
        parsed && parsed->size() == 1 && Layout(source, *parsed).end(parsed->front().value) != source.text.size() - 1;
    if (parsed && parsed->size() == 1 && parsed->front().key == "x" && !comment_only) return {};
    return {refused({}, "one TOML value such as \"25 min\" (with its quotes), 3, true or [\"a\", \"b\"]",
                    shown_text(value), "write texts in quotes")};
}

Result<std::string> with_key(const Layout& layout, const Table& table, std::string_view key, std::string_view value) {
    if (const Node* old = find(table, key)) {
        if (has_value(layout, *old)) return with_value(layout, *old, value);
        return refused(key, "a key with a value", "a table of its own",
                       "set the keys of that table, or remove it first");
    }
    const std::string line = fmt::format("{} = {}", toml_key(key), value);
    switch (layout.form(table)) {
        case Form::in_line:
            return with_key_in_line(layout, table, line);
        case Form::dotted:
            return with_key_dotted(layout, table, key, value);
        case Form::implied:
            return with_new_table(layout, layout.keys_of(table), key, value);
        case Form::root:
        case Form::header:
            break;
    }
    return with_key_in_block(layout, *layout.block_of(table), table, line);
}

Result<std::string> without_key(const Layout& layout, const Table& table, std::string_view key) {
    const std::vector<const Member*> members = as_written(layout, table);
    const auto found = std::ranges::find(members, key, &Member::key);
    assert(found != members.end());
    const Member& member = **found;
    if (!has_value(layout, member.value))
        return refused(key, "a key with a value", "a table of its own", "remove that table");
    const std::size_t begin = layout.offset(member.place);
    const std::size_t end = layout.end(member.value);
    if (layout.form(table) == Form::in_line) {
        if (members.size() == 1) return replaced(layout, begin, end, "");
        if (found == members.begin()) return replaced(layout, begin, layout.offset(members[1]->place), "");
        return replaced(layout, layout.end((*std::prev(found))->value), end, "");
    }
    const std::size_t line = layout.line_start(begin);
    if (layout.text().substr(line, begin - line).find_first_of("{[") != std::string::npos)
        return refused(key, "a key on a line of its own", "one inside braces", "set the whole value instead");
    return replaced(layout, line, layout.next_line(end - 1), "");
}

std::string with_new_table(const Layout& layout, const std::vector<std::string>& keys, std::string_view key,
                           std::string_view value) {
    std::vector<std::string> written;
    for (const std::string& one : keys) written.push_back(toml_key(one));
    return with_block_last(layout, fmt::format("[{}]\n{} = {}\n", fmt::join(written, "."), toml_key(key), value));
}

std::string with_block_before(const Layout& layout, const Table& table, std::string_view body) {
    return with_lines(layout, layout.blocks()[layout.blocks_within(table).front()].comments, ended(body) + "\n");
}

std::string with_block_after(const Layout& layout, const Table& table, std::string_view body) {
    const std::size_t at = layout.blocks()[layout.blocks_within(table).back()].end;
    const bool room = at >= layout.text().size() || is_blank(line_at(layout, at));
    return with_lines(layout, at, "\n" + ended(body) + (room ? "" : "\n"));
}

std::string with_block_last(const Layout& layout, std::string_view body) {
    return with_lines(layout, layout.text().size(), "\n" + ended(body));
}

std::string with_remark(const Layout& layout, const Table& table, std::string_view remark) {
    std::string lines;
    for (std::size_t at = 0; at < remark.size();) {
        const std::size_t stop = std::min(remark.find('\n', at), remark.size());
        lines += fmt::format("# {}\n", remark.substr(at, stop - at));
        at = stop + 1;
    }
    return with_lines(layout, layout.block_of(table)->header, lines);
}

std::string without_table(const Layout& layout, const Table& table) {
    std::string text = layout.text();
    const auto runs = runs_of(layout.blocks_within(table));
    for (auto run = runs.rbegin(); run != runs.rend(); ++run) {
        const Gap gap = gap_of(layout, run->first, run->second);
        text.erase(gap.from, gap.to - gap.from);
    }
    return text;
}

std::string text_of(const Layout& layout, const Table& table) {
    std::string text;
    for (const auto& [first, last] : runs_of(layout.blocks_within(table))) {
        const std::size_t from = layout.blocks()[first].comments;
        if (!text.empty()) text += "\n";
        text += ended(std::string_view(layout.text()).substr(from, layout.blocks()[last].end - from));
    }
    return text;
}

}  // namespace handrail::detail
