#include "brief/sections.h"

#include <fmt/format.h>

#include <algorithm>

#include "brief/markup.h"

namespace handrail::brief {
namespace {

/// A row's name of so many letters stays on one line where the columns are few.
constexpr std::size_t short_name = 34;

std::string grid_html(const Grid& grid) {
    std::string out = "<table>\n";
    if (!grid.caption.empty()) out += "<caption>" + escape(grid.caption) + "</caption>\n";
    out += "<thead>\n<tr>";
    for (const Column& column : grid.columns)
        out += fmt::format("<th scope=\"col\"{}>{}</th>", column.kind == Kind::number ? " class=\"num\"" : "",
                           escape(column.title));
    out += "</tr>\n</thead>\n";
    for (const std::vector<std::string>& row : grid.rows) {
        out += "<tbody>\n<tr>";
        bool named = false;
        for (std::size_t i = 0; i < grid.columns.size(); ++i) switch (grid.columns[i].kind) {
                case Kind::words:
                    out += named ? "<td>" + escape(row[i]) + "</td>"
                                 : fmt::format(
                                       "<th scope=\"row\" class=\"{}\">{}</th>",
                                       grid.columns.size() <= 6 && row[i].size() <= short_name ? "name line1" : "name",
                                       escape(row[i]));
                    named = true;
                    break;
                case Kind::number:
                    out += "<td class=\"num\">" + escape(row[i]) + "</td>";
                    break;
                case Kind::box:
                    out += "<td class=\"tick\"><span class=\"box\"></span></td>";
                    break;
                case Kind::blank:
                    out += "<td class=\"blank\"><span class=\"line\"></span></td>";
                    break;
            }
        out += "</tr>\n</tbody>\n";
    }
    return out + "</table>\n";
}

std::string grid_markdown(const Grid& grid) {
    std::string out, rule = "|";
    if (!grid.caption.empty()) out += markdown_escape(grid.caption) + "\n\n";
    out += "|";
    for (const Column& column : grid.columns) {
        out += " " + markdown_escape(column.title) + " |";
        rule += column.kind == Kind::number ? " ---: |" : " --- |";
    }
    out += "\n" + rule + "\n";
    for (const std::vector<std::string>& row : grid.rows) {
        out += "|";
        for (std::size_t i = 0; i < grid.columns.size(); ++i)
            out += grid.columns[i].kind == Kind::box     ? " ☐ |"
                   : grid.columns[i].kind == Kind::blank ? "  |"
                                                         : " " + markdown_escape(row[i]) + " |";
        out += "\n";
    }
    return out + "\n";
}

}  // namespace

void drop_empty_columns(Grid& grid) {
    for (std::size_t c = grid.columns.size(); c-- > 0;) {
        const bool written = grid.columns[c].kind == Kind::box || grid.columns[c].kind == Kind::blank;
        const auto says = [&](const std::vector<std::string>& row) { return !row[c].empty(); };
        if (written || std::ranges::any_of(grid.rows, says)) continue;
        grid.columns.erase(grid.columns.begin() + static_cast<std::ptrdiff_t>(c));
        for (std::vector<std::string>& row : grid.rows) row.erase(row.begin() + static_cast<std::ptrdiff_t>(c));
    }
}

std::string sections_html(const std::vector<Section>& sections, Spacing spacing) {
    std::string out = spacing == Spacing::tight ? "<div class=\"tight\">\n" : "<div>\n";
    for (const Section& section : sections) {
        out += "<section>\n";
        if (!section.heading.empty()) out += "<h2>" + escape(section.heading) + "</h2>\n";
        for (const Sentence& sentence : section.sentences) switch (sentence.weight) {
                case Weight::normal:
                    out += "<p>" + escape(sentence.text) + "</p>\n";
                    break;
                case Weight::strong:
                    out += "<p><strong>" + escape(sentence.text) + "</strong></p>\n";
                    break;
                case Weight::finding:
                    out += "<p class=\"finding\">" + escape(sentence.text) + "</p>\n";
                    break;
            }
        for (const Grid& grid : section.grids) out += grid_html(grid);
        out += "</section>\n";
    }
    return out + "</div>\n";
}

std::string sections_markdown(const std::vector<Section>& sections) {
    std::string out;
    for (const Section& section : sections) {
        if (!section.heading.empty()) out += "## " + markdown_escape(section.heading) + "\n\n";
        for (const Sentence& sentence : section.sentences) {
            const std::string text = markdown_escape(sentence.text);
            switch (sentence.weight) {
                case Weight::normal:
                    out += text + "\n\n";
                    break;
                case Weight::strong:
                    out += "**" + text + "**\n\n";
                    break;
                case Weight::finding:
                    out += "- " + text + "\n\n";
                    break;
            }
        }
        for (const Grid& grid : section.grids) out += grid_markdown(grid);
    }
    return out;
}

}  // namespace handrail::brief
