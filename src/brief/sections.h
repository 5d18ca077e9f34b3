#pragma once

#include <string>
#include <vector>

#include "brief/document.h"

/// Documents made of headings, sentences and tables, written once and laid out as HTML or Markdown.
namespace handrail::brief {

enum class Kind : std::uint8_t {
    words,
    number,  ///< right-aligned
    box,     ///< a box to tick; the cells stay empty
    blank    ///< room to write in; the cells stay empty
};
struct Column {
    std::string title;
    Kind kind = Kind::words;
};
struct Grid {
    std::string caption;
    std::vector<Column> columns;
    std::vector<std::vector<std::string>> rows;  ///< the first words column names its row
};
enum class Weight : std::uint8_t { normal, strong, finding };
struct Sentence {
    std::string text;
    Weight weight = Weight::normal;
};
struct Section {
    std::string heading;  ///< empty: none
    std::vector<Sentence> sentences;
    std::vector<Grid> grids;
};

enum class Spacing : std::uint8_t { normal, tight };
/// Takes out columns of words and numbers in which no row says anything.
void drop_empty_columns(Grid& grid);

std::string sections_html(const std::vector<Section>& sections, Spacing spacing = Spacing::normal);
std::string sections_markdown(const std::vector<Section>& sections);
/// For a terminal or a mail: tables as aligned columns, long cells wrapped; 100 columns.
std::string sections_text(const std::vector<Section>& sections);
/// "handrail-document" JSON, version 1: identity, caution and the sections as they stand.
std::string sections_json(const Outing& outing, const Timeline& timeline, const Origin& origin, std::string_view kind,
                          const std::vector<Section>& sections);
/// Comma-separated values (RFC 4180, UTF-8): a line of titles, then the rows.
std::string grid_csv(const Grid& grid);

}  // namespace handrail::brief
