#pragma once

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <charconv>
#include <string>

/// What an option's text must look like before it is read.
namespace handrail::cli {

/// A whole number from `lowest` to `most`; anything else, a sign where none belongs too, is refused with a sentence.
inline CLI::Validator whole_number(std::uint64_t lowest, std::uint64_t most) {
    return CLI::Validator(
        [lowest, most](const std::string& text) {
            std::uint64_t value = 0;
            const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
            const bool good =
                error == std::errc{} && end == text.data() + text.size() && value >= lowest && value <= most;
            return good ? std::string{}
                        : fmt::format("expected a whole number from {} to {}, found \"{}\"", lowest, most, text);
        },
        "");
}

/// The same for any number; NaN is none.
inline CLI::Validator number(double lowest, double most) {
    return CLI::Validator(
        [lowest, most](const std::string& text) {
            double value = 0;
            const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
            const bool good =
                error == std::errc{} && end == text.data() + text.size() && value >= lowest && value <= most;
            return good ? std::string{}
                        : fmt::format("expected a number from {:g} to {:g}, found \"{}\"", lowest, most, text);
        },
        "");
}

/// Seeds are any number of 64 bits, iterations no more than weeks of searching.
inline constexpr std::uint64_t most_iterations = 1'000'000'000'000;

}  // namespace handrail::cli
