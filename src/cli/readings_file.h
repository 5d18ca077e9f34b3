#pragma once

#include <array>
#include <filesystem>
#include <vector>

#include "lifesupport/estimator.h"

namespace handrail::cli {

/// Readings by crew member, in the file's order.
using CrewReadings = std::array<std::vector<lifesupport::Reading>, 2>;

/// Reads a CSV of gauge readings, or fails with every error in it. Columns: `crew` (EV1, EV2), `pet`, and any of
/// `oxygen`, `co2` (capacity left), `water` (masses), `battery` (energy), `gas` (volume); an empty cell was not read.
CrewReadings readings_or_fail(const std::filesystem::path& file);

}  // namespace handrail::cli
