#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "schedule/project.h"

namespace handrail::schedule::detail {

/// A project with one mode an activity, nothing optional, no stock that could run out and only least gaps that end
/// after the activity they start from, as flat arrays for the decoder. What does not fit this form is left to the
/// learning search.
///
/// All demands of an activity sit side by side in lanes of 16 bits; the top bit of a lane is kept free, so that one
/// subtraction and one mask tell whether a period has enough of four resources at once.
struct Flat {
    static constexpr int lanes = 4, lane_bits = 16;
    static constexpr std::uint64_t guard = 0x8000'8000'8000'8000u;

    int count = 0, words = 0;
    std::vector<Time> duration, release;
    std::vector<std::uint64_t> demand;    ///< count × words
    std::vector<std::uint64_t> capacity;  ///< words, guard bits set
    std::vector<int> next_at;             ///< count + 1; arcs next_at[i] to next_at[i + 1] leave i
    std::vector<int> next_to;
    std::vector<Time> next_gap;  ///< start to start
    std::vector<int> order;      ///< predecessors first
    Time horizon = 0;            ///< no schedule that the decoder makes is longer
};

/// Nothing where the project does not have this form, or where it cannot be done at all (a cycle, a demand above
/// capacity).
std::optional<Flat> flatten(const Project& project);
/// The same project seen from its end: arcs turned round, releases forgotten.
Flat mirrored(const Flat& flat);
/// Longest chain from the start of an activity to the end of the project, by lags and durations alone.
std::vector<Time> tails(const Flat& flat);

}  // namespace handrail::schedule::detail
