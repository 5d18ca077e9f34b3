#pragma once

#include <cstdint>
#include <string>

#include "outing/outing.h"

/// Random outings for tests of the planner, the checker and whatever stands on them. Invented through and through.
namespace handrail::test {

struct RandomSize {
    int fewest_worksites = 4, most_worksites = 12;
    int fewest_tasks = 2, most_tasks = 15;
};

/// An outing file: a station with routes and perhaps an arm, two suited crew members, bags, tools and parts, windows,
/// and tasks of many shapes (swaps, open panels, rides, lifts, steps together, steps within a time of another). The
/// same seed gives the same text on any machine. Most of these outings have a plan; some do not.
std::string random_outing_text(std::uint64_t seed, const RandomSize& size = {});

/// The same, read by read_outing_text(), so that it is valid; throws std::runtime_error with the errors otherwise.
Outing random_outing(std::uint64_t seed, const RandomSize& size = {});

}  // namespace handrail::test
