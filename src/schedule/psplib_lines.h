#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "schedule/psplib.h"

namespace handrail::schedule::detail {

/// Walks a text line by line; the first thing that is not as expected is kept as the error, and what follows is
/// harmless.
class Lines {
public:
    explicit Lines(std::string_view text) : rest_(text) {}

    /// The next line that is not empty, without its end; nothing at the end of the text.
    std::optional<std::string_view> next();
    /// Skips to the line after the first that begins with `heading` (blanks before it do not count).
    bool skip_past(std::string_view heading);
    /// The numbers of a line; brackets count as blanks. Anything else is an error.
    std::vector<int> numbers(std::string_view line);
    /// The number after the colon of the next line that contains `label`.
    int labelled(std::string_view label);
    /// The numbers of the next line, at least `least` of them; empty after an error.
    std::vector<int> next_numbers(std::size_t least, std::string_view what);

    void fail(std::string expected, std::string found, std::string remedy = "");
    bool failed() const { return error_.has_value(); }
    const ReadError& error() const { return *error_; }

private:
    std::string_view rest_;
    int line_ = 0;
    std::optional<ReadError> error_;
};

}  // namespace handrail::schedule::detail
