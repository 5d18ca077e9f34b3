#pragma once

#include <string>
#include <variant>

namespace handrail::brief {

struct NoPaper {
    std::string why;  ///< a whole sentence that says what to do
};
/// Lays a self-contained HTML page out as PDF with WeasyPrint (Debian package weasyprint), run as a process of its own
/// that reads and writes memory, not files. The same page and identifier give the same bytes with the same WeasyPrint.
std::variant<std::string, NoPaper> pdf_of_html(const std::string& html, const std::string& identifier);

}  // namespace handrail::brief
