#include "outing/input_error.h"

#include <fmt/format.h>

namespace handrail {

std::string print(const InputError& error) {
    std::string text = error.file;
    if (error.line > 0) text += fmt::format(":{}", error.line);
    if (error.line > 0 && error.column > 0) text += fmt::format(":{}", error.column);
    if (!text.empty()) text += ": ";
    if (!error.field.empty()) text += error.field + ": ";
    if (!error.expected.empty()) text += "expected " + error.expected;
    if (!error.found.empty()) text += fmt::format("{}found {}", error.expected.empty() ? "" : ", ", error.found);
    if (!error.remedy.empty()) text += (error.expected.empty() && error.found.empty() ? "" : "; ") + error.remedy;
    return text;
}

}  // namespace handrail
