#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "check/rules.h"

/// The arm: where its tip is, what it can reach, how long it takes.
namespace handrail::checking {
namespace {

double distance_m(const Vec3& a, const Vec3& b) { return std::hypot(a.x - b.x, a.y - b.y, a.z - b.z); }

class ArmRun {
public:
    ArmRun(const Replay& replay, Report& report, const Arm& arm)
        : replay_(replay), report_(report), arm_(arm), tip_(arm.parked) {}

    void see(const Activity& activity) {
        if (activity.kind == ActivityKind::arm_move && !activity.path.empty()) {
            starts_at(activity, activity.path.front());
            reaches(activity, activity.path.front(), activity.path.back());
            lasts(activity);
            tip_ = activity.path.back();
        }
        if (!activity.step || replay_.outing.step(*activity.step).arm == ArmUse::none) return;
        const Step& step = replay_.outing.step(*activity.step);
        if (step.arm == ArmUse::ride && !replay_.rides_the_arm(activity)) return;
        const std::optional<WorksiteId> from = replay_.happens_at(activity);
        const std::optional<WorksiteId> to = replay_.ends_at(activity);
        if (!from || !to) return;
        starts_at(activity, *from);
        tip_ = step.arm == ArmUse::ride ? *to : *from;
        reaches(activity, *from, tip_);
    }

private:
    const Vec3& position(WorksiteId site) const { return replay_.outing.worksite(site).position_station_m; }

    void starts_at(const Activity& activity, WorksiteId site) {
        if (tip_ == site) return;
        report_.add("arm", activity.lanes, activity.start, metres(distance_m(position(tip_), position(site))),
                    fmt::format("{} needs the tip of the arm at {}, but it is at {}: move it there first.",
                                replay_.named(activity), replay_.site_name(site), replay_.site_name(tip_)));
    }
    void reaches(const Activity& activity, WorksiteId from, WorksiteId to) {
        for (const WorksiteId site : {from, to}) {
            const double over = distance_m(position(site), arm_.base_station_m) - arm_.reach.value();
            if (over > 0)
                report_.add("arm", activity.lanes, activity.start, metres(over),
                            fmt::format("{} lies {:.1f} m beyond the reach of the arm, which {} needs there.",
                                        replay_.site_name(site), over, replay_.named(activity)));
            if (from == to) return;
        }
    }
    void lasts(const Activity& activity) {
        const Seconds needed = arm_move_time(replay_.outing.station, activity.path.front(), activity.path.back());
        if (activity.as_run || activity.duration >= needed) return;
        report_.add(
            "arm", activity.lanes, activity.start, seconds(needed - activity.duration),
            fmt::format("{} takes {}, not {}: give it {} more.", replay_.named(activity), print_duration(needed),
                        print_duration(activity.duration), print_duration(needed - activity.duration)));
    }

    const Replay& replay_;
    Report& report_;
    const Arm& arm_;
    WorksiteId tip_;
};

/// One lane's share of a task's work with the arm: from the first to the last of its steps on that lane that use it.
struct ArmSpan {
    Lane lane{};
    Pet from{}, to{};
};

std::vector<ArmSpan> arm_spans(const Replay& replay, const Task& task) {
    std::vector<ArmSpan> spans;
    for (const Lane lane : {Lane::ev1, Lane::ev2, Lane::arm}) {
        std::optional<ArmSpan> span;
        for (const StepId id : task.steps) {
            if (replay.outing.step(id).arm == ArmUse::none) continue;
            for (const Activity* run : replay.runs[index(id)]) {
                if (!run->on(lane)) continue;
                if (replay.outing.step(id).by_hand && !run->on(Lane::arm)) continue;
                if (!span) span = ArmSpan{lane, run->start, run->end()};
                span->from = std::min(span->from, run->start);
                span->to = std::max(span->to, run->end());
            }
        }
        if (span) spans.push_back(*span);
    }
    return spans;
}

void check_arm_span(const Replay& replay, Report& report, const Task& task, const std::vector<ArmSpan>& spans) {
    for (const Activity* activity : replay.activities) {
        if (!activity->step || replay.outing.step(*activity->step).task == task.id) continue;
        std::vector<Lane> shared;
        Milliseconds most{0};
        Pet until{};
        for (const ArmSpan& span : spans) {
            const Milliseconds inside = std::min(activity->end(), span.to) - std::max(activity->start, span.from);
            if (!activity->on(span.lane) || inside <= Milliseconds{0}) continue;
            shared.push_back(span.lane);
            most = std::max(most, inside);
            until = std::max(until, span.to);
        }
        if (shared.empty()) continue;
        report.add("arm-span", std::move(shared), activity->start, seconds(most),
                   fmt::format("{} comes in between, while \"{}\" is at work with the arm until {}: put it before or "
                               "after.",
                               replay.named(*activity), task.name, clock(until)));
    }
}

}  // namespace

void check_arm_spans(const Replay& replay, Report& report) {
    for (const Task& task : replay.outing.tasks) check_arm_span(replay, report, task, arm_spans(replay, task));
}

void check_arm(const Replay& replay, Report& report) {
    const std::vector<const Activity*>& activities = replay.on_lane[static_cast<std::size_t>(Lane::arm)];
    if (activities.empty()) return;
    const std::optional<Arm>& arm = replay.outing.station.arm;
    if (!arm) {
        report.add("arm", {Lane::arm}, activities.front()->start, {},
                   fmt::format("{} uses an arm, and the station has none.", replay.named(*activities.front())));
        return;
    }
    ArmRun run(replay, report, *arm);
    for (const Activity* activity : activities) run.see(*activity);
}

}  // namespace handrail::checking
