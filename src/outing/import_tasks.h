#pragma once

#include <string>

#include "outing/input_error.h"

namespace handrail {

/// Turns a CSV table of tasks, one step a row, into the TOML of `[[task]]` sections (docs/outing-file.md names the
/// columns). Every value is judged by the fields of the outing file; references to worksites and items are judged when
/// the outing file that includes the result is read. `file` is the name used in messages.
Result<std::string> import_tasks(const std::string& csv, const std::string& file);

}  // namespace handrail
