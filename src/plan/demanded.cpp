#include "plan/demanded.h"

#include <algorithm>

namespace handrail::plan::detail {

Freedom without_alternatives(const Outing& outing, const Situation& situation, Freedom freedom) {
    const auto demanded = [&](TaskId id) {
        return std::ranges::find(freedom.must_do, id) != freedom.must_do.end() ||
               std::ranges::find(freedom.wishes.must_do, id) != freedom.wishes.must_do.end();
    };
    const auto begun = [&](TaskId id) {
        return std::ranges::any_of(outing.task(id).steps, [&](StepId step) {
            const StepStatus status = situation.steps[index(step)];
            return status == StepStatus::done || status == StepStatus::running;
        });
    };
    for (const Task& task : outing.tasks)
        if (demanded(task.id))
            for (const TaskId other : task.instead_of)
                if (!demanded(other) && !begun(other)) freedom.leave_out.push_back(other);
    return freedom;
}

}  // namespace handrail::plan::detail
