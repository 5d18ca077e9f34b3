#pragma once

#include <string>

namespace handrail::cli {

/// Lays out a self-contained HTML page as PDF with WeasyPrint (Debian package weasyprint), run as a process of its own;
/// fails with a sentence that names the package when it is missing. The same page and identifier give the same bytes
/// with the same WeasyPrint.
std::string pdf_or_fail(const std::string& html, const std::string& identifier);

}  // namespace handrail::cli
