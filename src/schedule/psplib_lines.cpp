#include "schedule/psplib_lines.h"

#include <fmt/format.h>

#include <charconv>

namespace handrail::schedule::detail {
namespace {

constexpr std::string_view blanks = " \t\r[]";
// A number in a published instance has at most four digits; this keeps every sum of times within an int.
constexpr int largest_number = 1'000'000;

}  // namespace

std::optional<std::string_view> Lines::next() {
    while (!rest_.empty()) {
        const std::size_t end = rest_.find('\n');
        const std::string_view line = rest_.substr(0, end);
        rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
        ++line_;
        if (line.find_first_not_of(" \t\r") != std::string_view::npos) return line;
    }
    return std::nullopt;
}

bool Lines::skip_past(std::string_view heading) {
    if (failed()) return false;
    const int from = line_;
    while (const auto line = next()) {
        const std::size_t first = line->find_first_not_of(" \t");
        if (line->substr(first).starts_with(heading)) return true;
    }
    line_ = from;
    fail(fmt::format("a line \"{}\" further on", heading), "none", "take the instance from its source again");
    return false;
}

std::vector<int> Lines::numbers(std::string_view line) {
    std::vector<int> found;
    for (std::size_t at = line.find_first_not_of(blanks); at != std::string_view::npos && !failed();
         at = line.find_first_not_of(blanks, at)) {
        const std::size_t end = std::min(line.find_first_of(blanks, at), line.size());
        const std::string_view word = line.substr(at, end - at);
        int number = 0;
        const auto [stop, code] = std::from_chars(word.data(), word.data() + word.size(), number);
        if (code != std::errc{} || stop != word.data() + word.size() || number > largest_number ||
            number < -largest_number)
            fail(fmt::format("a whole number up to {}", largest_number), fmt::format("\"{}\"", word.substr(0, 40)));
        found.push_back(number);
        at = end;
    }
    return found;
}

int Lines::labelled(std::string_view label) {
    while (const auto line = failed() ? std::nullopt : next()) {
        const std::size_t colon = line->find(':');
        if (line->find(label) == std::string_view::npos || colon == std::string_view::npos) continue;
        // A letter (the unit) may follow the number.
        std::string_view rest = line->substr(colon + 1);
        rest = rest.substr(0, rest.find_last_of("0123456789") + 1);
        const std::vector<int> found = numbers(rest);
        if (found.size() == 1 && found[0] >= 0) return found[0];
        fail(fmt::format("a number after \"{}\"", label), fmt::format("\"{}\"", line->substr(0, 60)));
    }
    fail(fmt::format("a line with \"{}\"", label), "none");
    return 0;
}

std::vector<int> Lines::next_numbers(std::size_t least, std::string_view what) {
    if (failed()) return {};
    const auto line = next();
    if (!line) {
        fail(std::string(what), "the end of the text", "take the instance from its source again");
        return {};
    }
    std::vector<int> found = numbers(*line);
    if (!failed() && found.size() < least) fail(std::string(what), fmt::format("{} numbers", found.size()));
    return failed() ? std::vector<int>{} : found;
}

void Lines::fail(std::string expected, std::string found, std::string remedy) {
    if (!error_) error_ = ReadError{line_, std::move(expected), std::move(found), std::move(remedy)};
}

}  // namespace handrail::schedule::detail
