#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "schedule/psplib.h"

/// Folders of published instances: NAME/ or NAME.tar.xz beside a list NAME-bounds.csv or NAME-best.csv of what is
/// known.
namespace handrail::schedule {

struct PublishedCase {
    std::string name;
    Project project;
    std::optional<Time> critical_path;
    bool infeasible = false;  ///< proved so
    std::optional<Time> lower_bound, upper_bound;
    bool closed() const { return infeasible || (lower_bound && lower_bound == upper_bound); }
};

struct PublishedError {
    std::string file;
    ReadError error;
};

/// Names of the sets in a folder, by name: those with a list and instances.
std::vector<std::string> published_sets(const std::filesystem::path& folder);
/// Every `every`-th case of a set in the order of its list, from the `first`-th (from 0).
std::variant<std::vector<PublishedCase>, PublishedError> read_published(const std::filesystem::path& folder,
                                                                        const std::string& set, int every, int first);

}  // namespace handrail::schedule
