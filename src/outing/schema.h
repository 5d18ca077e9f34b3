#pragma once

#include <string>

namespace handrail {

/// JSON Schema (draft 2020-12) of the outing file, generated from the table of fields the reader itself uses. Checked
/// in as docs/outing.schema.json; a test keeps it current. Ends with a line feed.
std::string json_schema();

}  // namespace handrail
