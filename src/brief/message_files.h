#pragma once

#include <string_view>

namespace handrail::brief {

/// The message files as they stand in src/brief/messages, built into the program.
std::string_view english_messages();
std::string_view german_messages();
/// src/brief/paper.py.
std::string_view paper_program();

}  // namespace handrail::brief
