#include "plan/written.h"

#include "plan/bound.h"

namespace handrail::plan::detail {
namespace {

void add_bounds(const Problem& problem, const Found& found, PlanNote& note) {
    const Bounds bounds = value_bound(problem);
    note.value_bound = bounds.value;
    const Time finish_s = finish_bound(problem, found.score.missing);
    note.finish_bound = pet(Seconds{finish_s});
    note.proven = note.value >= bounds.value - 1e-9 && found.score.finish <= finish_s;
}

PlanNote note_of(const Problem& problem, const Found& found, Bounded bounded) {
    PlanNote note;
    note.iterations = found.iterations;
    note.value = value_of(problem, found.sequence);
    if (bounded == Bounded::yes) add_bounds(problem, found, note);
    for (const int unit : found.sequence.order) {
        const Unit& data = problem.units[static_cast<std::size_t>(unit)];
        if (!found.sequence.in[static_cast<std::size_t>(data.task)]) continue;
        for (const int step : data.steps) note.order.push_back(static_cast<StepId>(step));
    }
    return note;
}

}  // namespace

double value_of(const Problem& problem, const Sequence& sequence) {
    double value = 0;
    for (std::size_t t = 0; t < problem.tasks.size(); ++t)
        if (sequence.in[t]) value += problem.tasks[t].value;
    return value;
}

Timeline timeline_of(const Problem& problem, const Found& found, Bounded bounded) {
    const Outing& outing = *problem.outing;
    Timeline timeline;
    timeline.outing = outing.name;
    timeline.fingerprint = outing.fingerprint;
    timeline.pet_zero = outing.pet_zero;
    Decoder(problem).record(found.sequence, timeline.activities);
    std::vector<bool> present(outing.tasks.size(), false);
    for (const Activity& activity : timeline.activities)
        if (activity.step) present[index(outing.step(*activity.step).task)] = true;
    for (std::size_t t = 0; t < outing.tasks.size(); ++t)
        if (present[t]) {
            const auto& fact = problem.situation->lead[t];
            timeline.bindings.push_back(
                {static_cast<TaskId>(t), fact ? *fact : static_cast<Crew>(found.sequence.lead[t])});
        }
    put_in_order(timeline);
    timeline.note = note_of(problem, found, bounded);
    return timeline;
}

}  // namespace handrail::plan::detail
