#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "outing/input_error.h"
#include "outing/model.h"

/// The only code that talks to the terminal and ends the program.
namespace handrail::cli {

/// Prints every error on stderr and ends with exit code 2.
[[noreturn]] void fail(const std::vector<InputError>& errors);
/// The same for a single thing that is wrong with the command line: `what` is a whole sentence.
[[noreturn]] void fail(const std::string& what);

/// Reads the outing file or fails.
Outing outing_or_fail(const std::filesystem::path& file);
/// A whole text file (at most 64 MiB), or fails.
std::string text_or_fail(const std::filesystem::path& file);
/// Writes a file whole or not at all (temporary file beside it, fsync, rename), or fails. "-" is stdout.
void write_or_fail(const std::filesystem::path& file, const std::string& content);
/// `--start` and the like: UTC (ISO 8601), or PET relative to the planned PET zero ("00:30"), or "+30 min"; or fails.
Utc instant_or_fail(const std::string& text, Utc pet_zero, const std::string& option = "");

}  // namespace handrail::cli
