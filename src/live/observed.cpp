#include "live/observed.h"

#include <algorithm>

namespace handrail::live {
namespace {

/// How much of [from, to) lay in holds. Holds do not overlap: one begins only when the one before has ended.
Seconds held_between(const Day& day, Pet from, Pet to) {
    Seconds sum{0};
    for (const Hold& hold : day.holds) {
        const Pet begin = std::max(from, hold.from);
        const Pet end = std::min(to, hold.to.value_or(to));
        if (end > begin) sum += std::chrono::round<Seconds>(end - begin);
    }
    return sum;
}

}  // namespace

Timeline observed(const Outing& outing, const Day& day) {
    Timeline timeline;
    if (day.plan) timeline = *day.plan;
    timeline.outing = outing.name;
    timeline.pet_zero = day.pet_zero;
    timeline.activities.clear();
    for (const AsRun& run : day.as_run) {
        if (run.running || run.assumed || run.end_assumed) continue;
        Activity activity = run.activity;
        activity.as_run = true;
        activity.duration -= held_between(day, activity.start, activity.start + activity.duration);
        if (activity.duration > Seconds{0}) timeline.activities.push_back(std::move(activity));
    }
    return timeline;
}

}  // namespace handrail::live
