#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "outing/input_error.h"
#include "outing/model.h"

namespace handrail {

/// Reads an outing file and what it includes; every error of the files in one go. Nothing is printed or written.
Result<Outing> read_outing(const std::filesystem::path& file);
/// The same from text: `file` is the name used in messages, `folder` is where includes and CSV files are looked up.
Result<Outing> read_outing_text(const std::string& text, const std::string& file, const std::filesystem::path& folder);

/// A file that an outing was read from, as it stood.
struct OutingText {
    std::string name, text;
};
struct OutingWithTexts {
    Outing outing;
    std::vector<OutingText> texts;  ///< the outing file, then what it includes, in reading order
};
/// Like read_outing(), keeping the texts, so that the outing can be had again when the files have changed or are gone.
Result<OutingWithTexts> read_outing_with_texts(const std::filesystem::path& file);
/// The same outing from those texts alone; no file is read. REQUIRES: texts are what read_outing_with_texts() gave.
Result<Outing> read_outing_from(const std::vector<OutingText>& texts);

}  // namespace handrail
