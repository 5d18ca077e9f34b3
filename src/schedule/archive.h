#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>

namespace handrail::schedule::detail {

/// The regular files of a .tar.xz archive by their last name; nothing where it cannot be read or is damaged.
std::optional<std::map<std::string, std::string>> read_tar_xz(const std::filesystem::path& file);
/// The regular files of a folder by name, at most 1 MiB each.
std::map<std::string, std::string> read_folder(const std::filesystem::path& folder);

}  // namespace handrail::schedule::detail
