#pragma once

#include <span>
#include <string>
#include <variant>
#include <vector>

namespace handrail::brief {

/// A self-contained HTML page to be laid out.
struct Page {
    std::string html;
    std::string identifier;  ///< of the PDF; without spaces
};
struct NoPaper {
    std::string why;  ///< a whole sentence that says what to do
};
using PaperOrNot = std::variant<std::string, NoPaper>;

/// Lays pages out as PDF with WeasyPrint (Debian package weasyprint): src/brief/paper.py run as one process, or as one
/// a core for several pages, because WeasyPrint takes longer to start than most pages to lay out. The processes read
/// and write memory, not files. The answers stand in the pages' order; a page gives the same bytes alone or among
/// others, with the same WeasyPrint.
std::vector<PaperOrNot> pdfs_of_html(std::span<const Page> pages);

}  // namespace handrail::brief
