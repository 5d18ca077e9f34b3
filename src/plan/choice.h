#pragma once

#include <cstdint>
#include <vector>

#include "plan/problem.h"
#include "units/random.h"

namespace handrail::plan::detail {

struct Terrain;

/// Another choice of tasks, thought of before anything is placed: one or two tasks for up to two others, with what they
/// need and without what they exclude. Required tasks stay.
class Choice {
public:
    Choice(const Problem& problem, const Terrain& terrain) : problem_(problem), terrain_(terrain) {}
    /// Draws one beside `in` (by task); `done` and `left_out` are its tasks. False when what was drawn cannot be, or
    /// takes more of both crew than `room_s`.
    bool draw(const std::vector<std::uint8_t>& in, const std::vector<int>& done, const std::vector<int>& left_out,
              double room_s, Random& random);
    /// What was drawn, by task.
    const std::vector<std::uint8_t>& in() const { return in_; }

private:
    bool take_out(int task);
    bool bring_in(int task, int depth);

    const Problem& problem_;
    const Terrain& terrain_;
    std::vector<std::uint8_t> in_;
    double more_s_ = 0;  ///< of both crew, than before
};

}  // namespace handrail::plan::detail
