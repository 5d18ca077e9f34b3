#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>

#include "brief/codes.h"
#include "brief/sections.h"

namespace handrail::brief {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t text_width = 100, widest_cell = 44;

std::size_t letters(std::string_view text) {
    return static_cast<std::size_t>(
        std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

/// Words in lines of at most `width` letters; a longer word stands on a line of its own.
std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
    std::vector<std::string> lines{""};
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(' '), text.size());
        const std::string_view word = text.substr(0, end);
        std::string& line = lines.back();
        if (!line.empty() && letters(line) + 1 + letters(word) > width)
            lines.emplace_back(word);
        else
            line += (line.empty() ? "" : " ") + std::string(word);
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return lines;
}

std::string cell_text(const Column& column, const std::string& cell) {
    return column.kind == Kind::box ? "[ ]" : column.kind == Kind::blank ? "________" : cell;
}

std::size_t longest_word(std::string_view text) {
    std::size_t longest = 0;
    for (const std::string& word : wrapped(text, 1)) longest = std::max(longest, letters(word));
    return longest;
}

/// As wide as the widest cell, but never wider than the sheet has room for, nor narrower than a word.
std::vector<std::size_t> widths_of(const Grid& grid) {
    std::vector<std::size_t> widths, words;
    for (std::size_t i = 0; i < grid.columns.size(); ++i) {
        std::size_t width = letters(grid.columns[i].title), word = longest_word(grid.columns[i].title);
        for (const auto& row : grid.rows) {
            width = std::max(width, letters(cell_text(grid.columns[i], row[i])));
            word = std::max(word, longest_word(cell_text(grid.columns[i], row[i])));
        }
        widths.push_back(std::max(word, std::min(width, widest_cell)));
        words.push_back(word);
    }
    const auto sum = [&] {
        std::size_t all = 2 * (widths.size() - 1);
        for (const std::size_t w : widths) all += w;
        return all;
    };
    while (sum() > text_width) {
        std::optional<std::size_t> widest;  // of those that can give
        for (std::size_t i = 0; i < widths.size(); ++i)
            if (widths[i] > std::max<std::size_t>(words[i], 10) && (!widest || widths[i] > widths[*widest])) widest = i;
        if (!widest) break;
        --widths[*widest];
    }
    return widths;
}

std::string row_text(const Grid& grid, const std::vector<std::size_t>& widths, const std::vector<std::string>& cells) {
    std::vector<std::vector<std::string>> columns;
    std::size_t height = 1;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        columns.push_back(wrapped(cells[i], widths[i]));
        height = std::max(height, columns.back().size());
    }
    std::string out;
    for (std::size_t line = 0; line < height; ++line) {
        std::string text;
        for (std::size_t i = 0; i < columns.size(); ++i) {
            const std::string part = line < columns[i].size() ? columns[i][line] : "";
            const std::string room(widths[i] - std::min(widths[i], letters(part)), ' ');
            text += (i == 0 ? "" : "  ") + (grid.columns[i].kind == Kind::number ? room + part : part + room);
        }
        text.erase(text.find_last_not_of(' ') + 1);
        out += text + "\n";
    }
    return out;
}

std::string grid_text(const Grid& grid) {
    const std::vector<std::size_t> widths = widths_of(grid);
    std::string out;
    if (!grid.caption.empty())
        for (const std::string& line : wrapped(grid.caption, text_width)) out += line + "\n";
    std::vector<std::string> titles, rule;
    for (std::size_t i = 0; i < grid.columns.size(); ++i) {
        titles.push_back(grid.columns[i].title);
        rule.emplace_back(widths[i], '-');
    }
    out += row_text(grid, widths, titles) + row_text(grid, widths, rule);
    for (const auto& row : grid.rows) {
        std::vector<std::string> cells;
        for (std::size_t i = 0; i < grid.columns.size(); ++i) cells.push_back(cell_text(grid.columns[i], row[i]));
        out += row_text(grid, widths, cells);
    }
    return out + "\n";
}

std::string quoted(const std::string& cell) {
    if (cell.find_first_of(",\"\r\n") == std::string::npos) return cell;
    std::string out = "\"";
    for (const char c : cell) out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + "\"";
}

std::string_view weight_word(Weight weight) {
    return weight == Weight::normal ? "normal" : weight == Weight::strong ? "strong" : "finding";
}

}  // namespace

std::string sections_text(const std::vector<Section>& sections) {
    std::string out;
    for (const Section& section : sections) {
        if (!section.heading.empty()) out += section.heading + "\n" + std::string(letters(section.heading), '=') + "\n";
        for (const Sentence& sentence : section.sentences) {
            const std::string mark = sentence.weight == Weight::finding ? "! " : "";
            bool first = true;
            for (const std::string& line : wrapped(sentence.text, text_width - mark.size())) {
                out += (first ? mark : std::string(mark.size(), ' ')) + line + "\n";
                first = false;
            }
        }
        if (!section.sentences.empty()) out += "\n";
        for (const Grid& grid : section.grids) out += grid_text(grid);
    }
    return out;
}

std::string sections_json(const Outing& outing, const Timeline& timeline, const Origin& origin, std::string_view kind,
                          const std::vector<Section>& sections) {
    Json list = Json::array();
    for (const Section& section : sections) {
        Json sentences = Json::array(), tables = Json::array();
        for (const Sentence& sentence : section.sentences)
            sentences.push_back({{"text", sentence.text}, {"weight", weight_word(sentence.weight)}});
        for (const Grid& grid : section.grids) {
            Json columns = Json::array();
            for (const Column& column : grid.columns) columns.push_back(column.title);
            tables.push_back({{"caption", grid.caption}, {"columns", columns}, {"rows", grid.rows}});
        }
        list.push_back({{"heading", section.heading}, {"sentences", sentences}, {"tables", tables}});
    }
    const Stamp& stamp = origin.stamp;
    const std::string plan = stamp.plan.empty() ? plan_id(outing, timeline) : stamp.plan;
    Json json{{"format", "handrail-document"},
              {"version", 1},
              {"kind", kind},
              {"language", tag(origin.say.language())},
              {"title", origin.title},
              {"outing", outing.name},
              {"note", outing.note},
              {"fingerprint", outing.fingerprint},
              {"plan", plan},
              {"position", stamp.position ? Json(*stamp.position) : Json()},
              {"code", document_code(plan, stamp.position)},
              {"made", stamp.made ? Json(print_utc(*stamp.made)) : Json()},
              {"program", "handrail " + (stamp.version.empty() ? std::string(version()) : stamp.version)},
              {"pet_zero", print_utc(timeline.pet_zero)},
              {"warning", origin.warning},
              {"sections", std::move(list)},
              {"caution", origin.say.caution()}};
    // Names in an outing file are UTF-8; what is not is replaced rather than thrown at the reader.
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string grid_csv(const Grid& grid) {
    std::string out;
    for (std::size_t i = 0; i < grid.columns.size(); ++i) out += (i == 0 ? "" : ",") + quoted(grid.columns[i].title);
    out += "\r\n";
    for (const auto& row : grid.rows) {
        for (std::size_t i = 0; i < row.size(); ++i) out += (i == 0 ? "" : ",") + quoted(row[i]);
        out += "\r\n";
    }
    return out;
}

}  // namespace handrail::brief
