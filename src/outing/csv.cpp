#include "outing/csv.h"

#include <fmt/format.h>

#include <algorithm>

#include "outing/nearest.h"

namespace handrail::detail {
namespace {

std::string trimmed(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
    return std::string(text);
}

/// Cuts the text into rows. An open quote at the end is an error.
class Cutter {
public:
    Cutter(const Source& source, Errors& errors) : source_(source), errors_(errors), text_(source.text) {
        const std::string_view head = first_line();
        separator_ = head.find(',') == std::string_view::npos && head.find(';') != std::string_view::npos ? ';' : ',';
    }

    std::vector<Row> rows() {
        std::vector<Row> rows;
        while (at_ < text_.size()) {
            if (text_[at_] == '#') {
                while (at_ < text_.size() && text_[at_] != '\n') ++at_;
                end_line();
                continue;
            }
            Row row = one_row();
            const bool blank = row.size() == 1 && row.front().text.empty();
            if (!blank) rows.push_back(std::move(row));
        }
        return rows;
    }

private:
    std::string_view first_line() const {
        std::string_view rest = text_;
        while (!rest.empty()) {
            const std::size_t end = std::min(rest.find('\n'), rest.size());
            const std::string line = trimmed(rest.substr(0, end));
            if (!line.empty() && line.front() != '#' && line != "\r") return rest.substr(0, end);
            rest.remove_prefix(std::min(end + 1, rest.size()));
        }
        return {};
    }
    Place here() const { return {&source_.name, line_, static_cast<int>(at_ - line_start_) + 1}; }
    void end_line() {
        if (at_ < text_.size()) ++at_;
        ++line_;
        line_start_ = at_;
    }
    Row one_row() {
        Row row;
        while (true) {
            row.push_back(one_cell());
            if (at_ < text_.size() && text_[at_] == separator_) {
                ++at_;
                continue;
            }
            end_line();
            return row;
        }
    }
    Cell one_cell() {
        while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t')) ++at_;
        Cell cell{{}, here()};
        if (at_ < text_.size() && text_[at_] == '"') {
            cell.text = quoted_text(cell.place);
            while (at_ < text_.size() && text_[at_] != separator_ && text_[at_] != '\n') ++at_;
            return cell;
        }
        const std::size_t start = at_;
        while (at_ < text_.size() && text_[at_] != separator_ && text_[at_] != '\n') ++at_;
        std::string_view text = text_.substr(start, at_ - start);
        if (text.ends_with('\r')) text.remove_suffix(1);
        cell.text = trimmed(text);
        return cell;
    }
    std::string quoted_text(Place start) {
        std::string text;
        ++at_;
        while (at_ < text_.size()) {
            const char c = text_[at_++];
            if (c == '"') {
                if (at_ >= text_.size() || text_[at_] != '"') return text;
                ++at_;
            }
            if (c == '\n') {
                ++line_;
                line_start_ = at_;
            }
            text += c;
        }
        errors_.add(start, {}, "a closing quote", "the end of the file", "close the quote");
        return text;
    }

    const Source& source_;
    Errors& errors_;
    std::string_view text_;
    char separator_ = ',';
    std::size_t at_ = 0, line_start_ = 0;
    int line_ = 1;
};

}  // namespace

std::optional<CsvTable> CsvTable::read(const Source& source, const std::vector<std::string_view>& known,
                                       const std::vector<std::string_view>& needed, Errors& errors) {
    const std::size_t before = errors.count();
    std::vector<Row> rows = Cutter(source, errors).rows();
    CsvTable table;
    const Place top{&source.name, 1, 1};
    if (rows.empty()) {
        errors.add(top, {}, fmt::format("a first line with the columns {}", fmt::join(known, ", ")), "no line",
                   "add it");
        return std::nullopt;
    }
    for (const Cell& cell : rows.front()) {
        if (std::ranges::find(known, cell.text) == known.end())
            errors.add(cell.place, "header", fmt::format("the columns {}", fmt::join(known, ", ")),
                       shown_text(cell.text), did_you_mean(cell.text, known, "take the column out, or rename it"));
        else if (std::ranges::find(table.columns_, cell.text) != table.columns_.end())
            errors.add(cell.place, "header", "each column once", shown_text(cell.text) + " again", "take one out");
        table.columns_.push_back(cell.text);
    }
    if (errors.count() != before) return std::nullopt;
    for (const std::string_view column : needed)
        if (!table.has(column))
            errors.add(rows.front().front().place, "header", fmt::format("a column {}", column), "none", "add it");
    if (errors.count() != before) return std::nullopt;
    rows.erase(rows.begin());
    for (const Row& row : rows)
        if (row.size() > table.columns_.size())
            errors.add(row[table.columns_.size()].place, {}, fmt::format("{} cells in a row", table.columns_.size()),
                       fmt::format("{}", row.size()), "put a text with a separator in it in quotes");
    table.rows_ = std::move(rows);
    return table;
}

bool CsvTable::has(std::string_view column) const { return std::ranges::find(columns_, column) != columns_.end(); }

Cell CsvTable::cell(const Row& row, std::string_view column) const {
    const auto found = std::ranges::find(columns_, column);
    const auto at = static_cast<std::size_t>(found - columns_.begin());
    if (found == columns_.end() || at >= row.size()) return {{}, row.front().place};
    return row[at];
}

}  // namespace handrail::detail
