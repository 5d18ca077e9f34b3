#pragma once

#include <filesystem>
#include <string>

#include "serve/backend.h"

namespace handrail::cli {

/// The outing file behind a day, shown and changed for the console's forms. The day itself goes on with the texts its
/// journal was opened with; what changes here is for the next one. Not safe from several threads at once.
class DayFile {
public:
    /// `fingerprint`: of the outing the day was opened with.
    DayFile(std::filesystem::path file, std::string fingerprint)
        : file_(std::move(file)), fingerprint_(std::move(fingerprint)) {}

    serve::Reply show() const;
    serve::Reply edit(const std::string& request) const;

private:
    std::filesystem::path file_;
    std::string fingerprint_;
};

}  // namespace handrail::cli
