#include "schedule/published.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <fstream>
#include <iterator>
#include <map>

#include "schedule/archive.h"

namespace handrail::schedule {
namespace {

namespace fs = std::filesystem;
using Row = std::map<std::string, std::string>;

std::vector<std::string> cells(const std::string& line) {
    std::vector<std::string> found(1);
    bool quoted = false;
    for (const char c : line) {
        if (c == '"') {
            quoted = !quoted;
        } else if (c == ',' && !quoted) {
            found.emplace_back();
        } else if (c != '\r') {
            found.back() += c;
        }
    }
    return found;
}

std::optional<Time> number(const Row& row, const std::string& column) {
    const auto cell = row.find(column);
    Time value = 0;
    if (cell == row.end() || cell->second.empty()) return std::nullopt;
    const char* const end = cell->second.data() + cell->second.size();
    const auto [stop, code] = std::from_chars(cell->second.data(), end, value);
    if (code != std::errc{} || stop != end) return std::nullopt;
    return value;
}

fs::path list_of(const fs::path& folder, const std::string& set) {
    const fs::path bounds = folder / (set + "-bounds.csv");
    return fs::exists(bounds) ? bounds : folder / (set + "-best.csv");
}

std::vector<Row> read_list(const fs::path& file) {
    std::ifstream in(file);
    std::string line;
    std::getline(in, line);
    const std::vector<std::string> columns = cells(line);
    std::vector<Row> rows;
    while (std::getline(in, line)) {
        const std::vector<std::string> row = cells(line);
        Row named;
        for (std::size_t c = 0; c < std::min(columns.size(), row.size()); ++c) named[columns[c]] = row[c];
        rows.push_back(std::move(named));
    }
    return rows;
}

Reading read_instance(const std::string& name, const std::string& text) {
    std::string ending = name.substr(std::min(name.size(), name.rfind('.') + 1));
    std::ranges::transform(ending, ending.begin(),
                           [](char c) { return static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c); });
    return ending == "sch" ? read_progen_max(text) : read_psplib(text);
}

PublishedCase known_about(const Row& row) {
    PublishedCase known;
    known.name = row.at("instance");
    known.critical_path = number(row, "critical_path");
    known.infeasible = number(row, "feasible") == 0;
    known.lower_bound = number(row, "lower_bound");
    known.upper_bound = number(row, "upper_bound");
    if (const auto optimum = number(row, "optimum")) known.lower_bound = known.upper_bound = optimum;
    return known;
}

}  // namespace

std::vector<std::string> published_sets(const fs::path& folder) {
    std::vector<std::string> sets;
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(folder, error)) {
        const std::string file = entry.path().filename().string();
        const std::size_t ending = std::min(file.find(".tar.xz"), file.size());
        if (ending == file.size() && !entry.is_directory()) continue;
        const std::string set = file.substr(0, ending);
        if (fs::exists(list_of(folder, set)) && !std::ranges::count(sets, set)) sets.push_back(set);
    }
    // j30 before j120
    std::ranges::sort(sets, [](const std::string& a, const std::string& b) {
        return std::pair(a.size(), a) < std::pair(b.size(), b);
    });
    return sets;
}

std::variant<std::vector<PublishedCase>, PublishedError> read_published(const fs::path& folder, const std::string& set,
                                                                        int every, int first) {
    const fs::path list = list_of(folder, set);
    const std::vector<Row> rows = read_list(list);
    if (rows.empty() || !rows.front().contains("instance"))
        return PublishedError{list.string(),
                              {0, "a list with a column \"instance\"", "none", "see --help for the layout"}};
    std::map<std::string, std::string> files;
    if (fs::is_directory(folder / set)) {
        files = detail::read_folder(folder / set);
    } else {
        const fs::path archive = folder / (set + ".tar.xz");
        auto unpacked = detail::read_tar_xz(archive);
        if (!unpacked)
            return PublishedError{archive.string(),
                                  {0, "a .tar.xz archive", "none, or a damaged one", "take it again"}};
        files = std::move(*unpacked);
    }
    std::vector<PublishedCase> cases;
    for (std::size_t r = static_cast<std::size_t>(first); r < rows.size(); r += static_cast<std::size_t>(every)) {
        PublishedCase known = known_about(rows[r]);
        const auto file = files.find(known.name);
        if (file == files.end())
            return PublishedError{list.string(),
                                  {static_cast<int>(r + 2), "a listed instance", known.name + ", not in the set", ""}};
        Reading reading = read_instance(known.name, file->second);
        if (const auto* error = std::get_if<ReadError>(&reading)) return PublishedError{set + "/" + known.name, *error};
        known.project = std::get<Project>(std::move(reading));
        cases.push_back(std::move(known));
    }
    return cases;
}

}  // namespace handrail::schedule
