#pragma once

#include <optional>

#include "schedule/project.h"
#include "units/random.h"

namespace handrail::schedule::test {

/// Activities of one mode each, one resource; the numbers are invented.
inline Activity activity(Time duration, std::vector<int> demand) {
    Activity made;
    made.modes = {{duration, std::move(demand), {}}};
    return made;
}

/// What a random small project may contain.
struct Shape {
    int activities = 4, modes = 1, stocks = 0;
    bool largest_gaps = false, windows = false, optional = false;
};
Project random_project(Random& random, const Shape& shape);

struct Best {
    std::int64_t value = 0;
    Time makespan = 0;
};
/// Every choice, mode and start up to `horizon` tried; nothing where no schedule keeps the rules. Slow and obvious.
std::optional<Best> try_everything(const Project& project, Time horizon);

}  // namespace handrail::schedule::test
