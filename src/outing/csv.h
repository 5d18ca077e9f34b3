#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "outing/document.h"

/// CSV as people write it (RFC 4180), with places: comma or semicolon, quotes, blank lines and lines that start with #.
namespace handrail::detail {

struct Cell {
    std::string text;  ///< without quotes and surrounding blanks
    Place place;
};
using Row = std::vector<Cell>;

/// The rows under a header, each cell found by its column's name.
class CsvTable {
public:
    /// Columns not among `known` and rows with too many cells are errors; `needed` ones must be there.
    static std::optional<CsvTable> read(const Source& source, const std::vector<std::string_view>& known,
                                        const std::vector<std::string_view>& needed, Errors& errors);
    const std::vector<Row>& rows() const { return rows_; }
    bool has(std::string_view column) const;
    /// The cell, empty at the row's place when the column is absent.
    Cell cell(const Row& row, std::string_view column) const;

private:
    std::vector<std::string> columns_;
    std::vector<Row> rows_;
};

}  // namespace handrail::detail
