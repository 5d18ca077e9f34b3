#include "plan/choice.h"

#include "plan/chain.h"

namespace handrail::plan::detail {
namespace {

/// In percent: nothing is taken out for it; one task is; one task is brought in, else two. Measured, as all of these.
constexpr int none_out_percent = 15, one_out_percent = 50, one_in_percent = 50;
/// What coming to a task and fetching for it takes of both crew beside its work.
constexpr double coming_s = 250;

}  // namespace

bool Choice::draw(const std::vector<std::uint8_t>& in, const std::vector<int>& done, const std::vector<int>& left_out,
                  double room_s, Random& random) {
    if (left_out.empty()) return false;
    in_ = in;
    more_s_ = 0;
    const auto any = [&random](const std::vector<int>& list) {
        return list[static_cast<std::size_t>(random.below(static_cast<int>(list.size())))];
    };
    const int luck = random.below(100);
    const int out = luck < none_out_percent ? 0 : luck < none_out_percent + one_out_percent ? 1 : 2;
    for (int i = 0; i < out && !done.empty(); ++i) {
        if (!take_out(any(done))) return false;
    }
    for (int i = random.below(100) < one_in_percent ? 1 : 2; i > 0; --i)
        if (!bring_in(any(left_out), 0)) return false;
    return more_s_ <= room_s && in_ != in;
}

/// False when a required task would go with it for which nothing else is done.
bool Choice::take_out(int task) {
    const auto t = static_cast<std::size_t>(task);
    if (!in_[t]) return true;
    in_[t] = 0;
    if (problem_.owed(task, in_)) return false;
    more_s_ -= terrain_.work[t] + coming_s;
    for (int other : terrain_.needed_by[t])
        if (may_drop(problem_, other) && !take_out(other)) return false;
    return true;
}

bool Choice::bring_in(int task, int depth) {
    const auto t = static_cast<std::size_t>(task);
    if (in_[t]) return true;
    if (depth > most_needed || !may_drop(problem_, task)) return false;
    in_[t] = 1;
    more_s_ += terrain_.work[t] + coming_s;
    for (int other : terrain_.excludes[t]) {
        if (!in_[static_cast<std::size_t>(other)]) continue;
        if (!may_drop(problem_, other) || !take_out(other)) return false;
    }
    for (int other : problem_.tasks[t].needs)
        if (!problem_.tasks[static_cast<std::size_t>(other)].started && !bring_in(other, depth + 1)) return false;
    return true;
}

}  // namespace handrail::plan::detail
