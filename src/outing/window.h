#pragma once

#include <cassert>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "units/time.h"

namespace handrail {

/// A stretch of an outing in which something holds (daylight, coverage): [from, to), never empty.
class Window {
public:
    Window(Pet from, Pet to, std::string note = {}) : from_(from), to_(to), note_(std::move(note)) {
        assert(from < to);
    }
    Pet from() const { return from_; }
    Pet to() const { return to_; }
    /// Free text: which relay, why it ends. May be empty.
    const std::string& note() const { return note_; }
    bool holds(Pet start, Seconds length) const { return from_ <= start && start + length <= to_; }
    bool touches(Pet start, Seconds length) const { return start < to_ && from_ < start + length; }

private:
    Pet from_, to_;
    std::string note_;
};

/// When each condition holds. A condition is a word used by steps: "daylight", "coverage", "lit", "glare", or any word
/// of the outing's own ("heater inhibit"). Windows of one condition are in order and never overlap.
/// "lit" and "glare" can be known per worksite; where a worksite has no list of its own the station's list speaks for
/// it.
class WindowTable {
public:
    /// `worksite` is a worksite's id text, or empty for the whole station. Sorts, and joins windows that touch or
    /// overlap.
    void set(const std::string& condition, const std::string& worksite, std::vector<Window> windows);
    /// No list at all: the condition is unknown here (an error where a step names it).
    bool knows(const std::string& condition) const;
    std::span<const Window> of(const std::string& condition, const std::string& worksite) const;
    /// Every (condition, worksite) that has a list, in alphabetical order.
    const std::map<std::pair<std::string, std::string>, std::vector<Window>>& all() const { return lists_; }

private:
    std::map<std::pair<std::string, std::string>, std::vector<Window>> lists_;
};

}  // namespace handrail
