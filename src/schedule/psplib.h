#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "schedule/project.h"

/// The two text formats of the published project scheduling instances.
namespace handrail::schedule {

/// What is wrong with the text, where (line from 1; 0: the whole), and what to do.
struct ReadError {
    int line = 0;
    std::string expected, found, remedy;
};
using Reading = std::variant<Project, ReadError>;

/// PSPLIB's .sm and .mm (Kolisch and Sprecher 1996): finish-to-start precedence, one or several modes, shared resources
/// and stocks.
Reading read_psplib(std::string_view text);
/// ProGen/max's .sch (Schwindt 1998): least and largest gaps from start to start, one mode, shared resources only. The
/// first activity starts at 0.
Reading read_progen_max(std::string_view text);

}  // namespace handrail::schedule
