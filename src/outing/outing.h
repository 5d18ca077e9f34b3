#pragma once

#include <filesystem>

#include "outing/input_error.h"
#include "outing/model.h"

namespace handrail {

/// Reads an outing file and what it includes; every error of the files in one go. Nothing is printed or written.
Result<Outing> read_outing(const std::filesystem::path& file);
/// The same from text: `file` is the name used in messages, `folder` is where includes and CSV files are looked up.
Result<Outing> read_outing_text(const std::string& text, const std::string& file, const std::filesystem::path& folder);

}  // namespace handrail
