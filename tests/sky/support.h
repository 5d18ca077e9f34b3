#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "sky/ephemeris.h"
#include "units/parse.h"

/// What the tests of sky share: tables of published values, synthetic orbits, and Python as an oracle.
namespace handrail::sky::test {

using Row = std::map<std::string, std::string>;

/// A CSV file without quotes; empty when it is not there.
inline std::vector<Row> table(const std::filesystem::path& file) {
    std::ifstream in(file);
    std::vector<Row> rows;
    std::vector<std::string> header;
    for (std::string line; std::getline(in, line);) {
        std::vector<std::string> cells;
        std::istringstream cut(line);
        for (std::string cell; std::getline(cut, cell, ',');) cells.push_back(cell);
        if (header.empty()) {
            header = cells;
            continue;
        }
        Row row;
        for (std::size_t i = 0; i < header.size() && i < cells.size(); ++i) row[header[i]] = cells[i];
        rows.push_back(row);
    }
    return rows;
}
inline std::filesystem::path source_dir() { return HANDRAIL_SOURCE_DIR; }
inline std::vector<Row> data(const std::string& name) { return table(source_dir() / "tests/data" / name); }
/// Reference files that a public checkout does not have.
inline std::filesystem::path reference(const std::string& name) { return source_dir() / "../shared/reference" / name; }

inline OrbitSource tle(const std::string& line1, const std::string& line2) {
    return {OrbitSource::Kind::tle, line1 + "\n" + line2 + "\n", {"test.tle", 1, 1}};
}
inline Orbit orbit(const std::string& line1, const std::string& line2) {
    Result<Orbit> result = orbit_of(tle(line1, line2));
    if (!result) throw std::runtime_error(print(result.errors().front()));
    return std::move(result).value();
}
inline Utc utc(const std::string& text) { return std::get<Utc>(parse_utc(text)); }

/// Synthetic, 420 km, 51.6 degrees, beta near 0, epoch 2030-03-20T12:00Z: no real spacecraft.
inline Orbit low_beta() {
    return orbit("1 90001U 00000A   30079.50000000  .00000000  00000-0  20000-4 0    14",
                 "2 90001  51.6000   0.0000 0005000  40.0000  10.0000 15.50000000    05");
}
/// Synthetic, beta near 74 degrees: always in the sun. Epoch 2030-06-21T12:00Z.
inline Orbit full_sun() {
    return orbit("1 90003U 00000A   30172.50000000  .00000000  00000-0  20000-4 0    10",
                 "2 90003  51.6000 187.0000 0005000  40.0000  10.0000 15.50000000    03");
}

/// Runs tests/sky/<script> with Debian's Python, `input` as its file; nothing when `module` is not installed.
inline std::optional<std::string> python(const std::string& module, const std::string& script,
                                         const std::string& input) {
    const std::string python = "/usr/bin/python3";
    if (std::system((python + " -c 'import " + module + "' 2>/dev/null").c_str()) != 0) return std::nullopt;
    const auto file = std::filesystem::temp_directory_path() / ("handrail-" + script + "-" + std::to_string(getpid()));
    std::ofstream(file) << input;
    const std::string command =
        python + " " + (source_dir() / "tests/sky" / script).string() + " " + file.string() + " 2>&1";
    std::string output;
    if (FILE* pipe = popen(command.c_str(), "r")) {
        char buffer[4096];
        for (std::size_t n; (n = fread(buffer, 1, sizeof buffer, pipe)) > 0;) output.append(buffer, n);
        if (pclose(pipe) != 0) ADD_FAILURE() << script << " failed: " << output;
    }
    std::filesystem::remove(file);
    return output;
}

/// A small generator of our own, so that the same cases come up on every machine (SplitMix64).
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    double between(double low, double high) {
        state_ += 0x9e3779b97f4a7c15u;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return low + (high - low) * static_cast<double>((z ^ (z >> 31)) >> 11) * 0x1p-53;
    }

private:
    std::uint64_t state_;
};

}  // namespace handrail::sky::test
