#pragma once

#include <string>
#include <utility>
#include <vector>

namespace handrail {

/// One edit of the small outing that makes it wrong, and where and how the message must say so.
struct Slip {
    std::string name;
    std::vector<std::pair<std::string, std::string>> edits;  ///< old piece, new piece
    std::string add;                                         ///< more sections at the end
    std::string line;                                        ///< text that stands on the line of the error
    std::string field;                                       ///< part of the field
    std::string says;                                        ///< part of the printed message
};

/// Files that can be read but do not hang together.
std::vector<Slip> contradictions();

}  // namespace handrail
