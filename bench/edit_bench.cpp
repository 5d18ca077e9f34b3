// How long does one edit of a timeline take, every rule checked again?
//   cmake --preset bench && cmake --build --preset bench --target edit_bench && build/bench/bench/edit_bench
// Random outings of tests/support/random_outing.h (invented). Up to 40 steps of each plan are dragged ten minutes on,
// one at a time; times are CPU milliseconds of the calling thread.
#include <fmt/format.h>
#include <time.h>

#include <algorithm>
#include <vector>

#include "edit/edit.h"
#include "plan/planner.h"
#include "support/random_outing.h"

namespace {

using namespace handrail;

double cpu_ms() {
    timespec now{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

void measure(int tasks) {
    test::RandomSize size;
    size.fewest_tasks = size.most_tasks = tasks;
    size.fewest_worksites = size.most_worksites = 12;
    const Outing outing = test::random_outing(1, size);
    plan::Budget budget;
    budget.iterations = 2000;
    budget.threads = 1;
    const auto planned = plan::make_plan(outing, outing.windows, plan::initial(outing), budget);
    const Timeline* timeline = std::get_if<Timeline>(&planned);
    if (!timeline) return;
    constexpr std::size_t most_edits = 40;
    std::vector<double> times;
    for (const Activity& activity : timeline->activities) {
        if (!activity.step || times.size() == most_edits) continue;
        const Pet to = activity.start + Seconds{600};
        const double begin = cpu_ms();
        const auto edited = edit::apply(outing, outing.windows, plan::initial(outing), *timeline, {},
                                        edit::Pin{*activity.step, to, to});
        times.push_back(cpu_ms() - begin);
        if (std::holds_alternative<edit::Refused>(edited)) fmt::print("refused\n");
    }
    std::sort(times.begin(), times.end());
    fmt::print("{:>5} {:>5} {:>5} {:>9.1f} {:>7.1f}\n", tasks, outing.steps.size(), times.size(),
               times[times.size() / 2], times.back());
}

}  // namespace

int main() {
    fmt::print("tasks steps edits median ms most ms\n");
    for (const int tasks : {12, 40, 100}) measure(tasks);
    return 0;
}
