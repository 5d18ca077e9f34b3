#include <fmt/format.h>

#include <algorithm>

#include "check/rules.h"

/// What tasks ask of others: eyes, inhibits, quiet, resources, room for the arm, and what people wish.
namespace handrail::checking {
namespace {

bool hand_heavy(const Step& step) { return step.effort == Effort::tools || step.effort == Effort::forced; }

std::string quoted(const Step& step) { return fmt::format("\"{}\" ({})", step.name, step.label); }
std::string quoted(const Task& task) { return "\"" + task.name + "\""; }

/// Length of the common part of [a, b) and [c, d).
Milliseconds common(Pet a, Pet b, Pet c, Pet d) { return std::max(Milliseconds{0}, std::min(b, d) - std::max(a, c)); }

struct Sweep {
    const Activity* activity = nullptr;
    Pet from{}, to{};
};

/// Everything that moves the tip.
std::vector<Sweep> sweeps(const Replay& replay) {
    std::vector<Sweep> all;
    for (const Activity* activity : replay.on_lane[static_cast<std::size_t>(Lane::arm)]) {
        const bool moves =
            activity->kind == ActivityKind::arm_move ||
            (replay.rides_the_arm(*activity) && replay.happens_at(*activity) != replay.ends_at(*activity));
        if (moves) all.push_back({activity, activity->start, activity->end()});
    }
    return all;
}

void check_clear_of(const Replay& replay, Report& report, const Sweep& sweep, Crew c) {
    const std::vector<WorksiteId>& clears = replay.outing.station.arm->clears;
    // Presence: from the end of what brings them to the start of what takes them away.
    WorksiteId place = replay.outing.station.airlock;
    Pet since = Pet::min();
    const auto look = [&](Pet until) {
        const Milliseconds there = common(since, until, sweep.from, sweep.to);
        if (there <= Milliseconds{0} || std::ranges::find(clears, place) == clears.end()) return;
        report.add("arm-clear", {lane_of(c), Lane::arm}, std::max(since, sweep.from), seconds(there),
                   fmt::format("{} is at {} for {} while {} moves the arm: nobody may be there then.", name(c),
                               replay.site_name(place), span_text(there), replay.named(*sweep.activity)));
    };
    for (const Stage& stage : replay.of(c)) {
        if (stage.after == place) continue;
        look(stage.activity->start);
        place = stage.after;
        since = stage.activity->end();
    }
    look(Pet::max());
}

void check_inhibit(const Replay& replay, Report& report, const Step& step, InhibitId id) {
    const Activity* run = replay.first_run(step.id);
    if (!run) return;
    const Inhibit& inhibit = replay.outing.inhibits[index(id)];
    const Activity* confirmed = nullptr;
    const Activity* released = nullptr;
    for (const StepId other : replay.outing.task(step.task).steps) {
        if (replay.outing.step(other).confirms == id) confirmed = replay.first_run(other);
        if (replay.outing.step(other).releases == id) released = replay.first_run(other);
    }
    if (!confirmed || confirmed->end() > run->start)
        report.add("inhibit", run->lanes, run->start, confirmed ? seconds(confirmed->end() - run->start) : Amount{},
                   fmt::format("{} starts before {} is confirmed: confirm it first.", quoted(step), inhibit.name),
                   source_of(step.place));
    if (released && released->start < run->end())
        report.add("inhibit", run->lanes, released->start, seconds(run->end() - released->start),
                   fmt::format("{} is released while {} still needs it: release it later.", inhibit.name, quoted(step)),
                   source_of(step.place));
}

/// Everything that is commanded must be released, even when its task is given up.
void check_release(const Replay& replay, Report& report, const Step& command) {
    const Activity* run = replay.first_run(command.id);
    if (!run) return;
    const InhibitId id = *command.commands;
    for (const StepId other : replay.outing.task(command.task).steps)
        if (replay.outing.step(other).releases == id && replay.first_run(other)) return;
    report.add("inhibit", run->lanes, run->end(), {},
               fmt::format("{} is commanded and never released: release it.", replay.outing.inhibits[index(id)].name),
               source_of(command.place));
}

void check_gap(const Replay& replay, Report& report, const Step& part) {
    const Activity* before = replay.first_run(*part.continues);
    const Activity* after = replay.first_run(part.id);
    if (!before || !after || after->start <= before->end()) return;
    for (const Crew c : replay.crew_of(*after))
        for (const Stage& stage : replay.of(c)) {
            const Activity& between = *stage.activity;
            if (between.start < before->end() || between.end() > after->start) continue;
            if (&between == before || &between == after) continue;
            if (between.kind == ActivityKind::glove_check || between.kind == ActivityKind::rest) continue;
            const bool let_in =
                between.step &&
                std::ranges::find(part.lets_in, replay.outing.step(*between.step).task) != part.lets_in.end();
            // Who may do other work in between may also walk there and fetch for it.
            if (let_in || (!between.step && !part.lets_in.empty())) continue;
            report.add("interruption", {lane_of(c)}, between.start, seconds(between.duration),
                       fmt::format("{} interrupts {} and may not: put it before or after.", replay.named(between),
                                   quoted(part)),
                       source_of(part.place));
        }
}

struct Level {
    Pet at;
    double by;
};

void check_resource(const Replay& replay, Report& report, ResourceId id) {
    const Resource& resource = replay.outing.resources[index(id)];
    std::vector<Level> levels;
    for (const Activity* activity : replay.activities) {
        if (!activity->step || activity->duration <= Seconds{0}) continue;
        for (const ResourceUse& use : replay.outing.step(*activity->step).uses) {
            if (use.resource != id) continue;
            levels.push_back({activity->start, use.amount});
            levels.push_back({activity->end(), -use.amount});
        }
    }
    // What ends at a moment gives back before what starts at it takes.
    std::ranges::sort(levels, {}, [](const Level& l) { return std::pair(l.at, l.by); });
    double level = 0;
    double most = 0;
    Pet since{};
    for (std::size_t i = 0; i < levels.size(); ++i) {
        level += levels[i].by;
        if (i + 1 < levels.size() && levels[i + 1].at == levels[i].at) continue;
        const double over = level - resource.capacity;
        if (over > 1e-9) {
            if (most <= 0) since = levels[i].at;
            most = std::max(most, over);
        } else if (most > 0) {
            report.add("resource", {}, since, {most, "units"},
                       fmt::format("from {} to {} up to {:g} {} of {} too much is used ({:g} are there): let one wait.",
                                   clock(since), clock(levels[i].at), most,
                                   resource.unit.empty() ? "units" : resource.unit, resource.name, resource.capacity));
            most = 0;
        }
    }
}

/// Crew steps of the task that are not wholly in the condition.
std::size_t steps_outside(const Replay& replay, const Task& task, const std::string& condition) {
    std::size_t outside = 0;
    for (const StepId id : task.steps) {
        const Activity* run = replay.first_run(id);
        if (!run || replay.crew_of(*run).empty()) continue;
        const Step& step = replay.outing.step(id);
        const std::string site = step.at ? replay.outing.worksite(*step.at).id : std::string{};
        Milliseconds inside{0};
        for (const Window& window : replay.windows.of(condition, site))
            inside += common(run->start, run->end(), window.from(), window.to());
        if (inside < run->duration) ++outside;
    }
    return outside;
}

}  // namespace

void check_arm_clears(const Replay& replay, Report& report) {
    if (!replay.outing.station.arm || replay.outing.station.arm->clears.empty()) return;
    for (const Sweep& sweep : sweeps(replay))
        for (const Crew c : both_crew)
            if (!sweep.activity->on(lane_of(c))) check_clear_of(replay, report, sweep, c);
}

void check_watches(const Replay& replay, Report& report) {
    for (const Step& watch : replay.outing.steps) {
        if (!watch.watches) continue;
        const Activity* watched = replay.first_run(*watch.watches);
        const Activity* watching = replay.first_run(watch.id);
        if (!watched || watched->as_run) continue;
        if (watching && watching->start <= watched->start && watching->end() >= watched->end()) continue;
        const Milliseconds seen =
            watching ? common(watching->start, watching->end(), watched->start, watched->end()) : Milliseconds{0};
        report.add("watch", watched->lanes, watched->start, seconds(watched->duration - seen),
                   fmt::format("{} is not watched for {}: the other one must watch all of it.", replay.named(*watched),
                               span_text(watched->duration - seen)),
                   source_of(watch.place));
    }
}

void check_inhibits(const Replay& replay, Report& report) {
    for (const Step& step : replay.outing.steps) {
        for (const InhibitId id : step.inhibits) check_inhibit(replay, report, step, id);
        if (step.commands) check_release(replay, report, step);
    }
}

void check_quiet(const Replay& replay, Report& report) {
    for (const Rules::Quiet& quiet : replay.outing.rules.quiet)
        for (const Window& window : replay.windows.of(quiet.condition, ""))
            for (const Activity* activity : replay.activities) {
                if (!activity->step) continue;
                std::vector<Lane> lanes;
                for (const Lane lane : quiet.lanes)
                    if (activity->on(lane)) lanes.push_back(lane);
                const Milliseconds in = common(activity->start, activity->end(), window.from(), window.to());
                if (lanes.empty() || in <= Milliseconds{0}) continue;
                report.add("quiet", lanes, std::max(activity->start, window.from()), seconds(in),
                           fmt::format("{} runs {} into \"{}\", from {} to {}, when no step may: move it.",
                                       replay.named(*activity), span_text(in), quiet.condition, clock(window.from()),
                                       clock(window.to())));
            }
}

void check_interruptions(const Replay& replay, Report& report) {
    for (const Step& step : replay.outing.steps)
        if (step.continues) check_gap(replay, report, step);
}

void check_persons(const Replay& replay, Report& report) {
    for (const Crew c : both_crew) {
        Seconds work{0};
        Seconds heavy{0};
        Pet last{};
        for (const Activity* activity : replay.activities) {
            if (!activity->step || !activity->on(lane_of(c))) continue;
            work += activity->duration;
            if (hand_heavy(replay.outing.step(*activity->step))) heavy += activity->duration;
            last = activity->end();
        }
        const CrewMember& person = replay.outing.person(c);
        const auto look = [&](std::optional<Seconds> most, Seconds is, std::string_view what) {
            if (most && is > *most)
                report.add("person-limit", {lane_of(c)}, last, seconds(is - *most),
                           fmt::format("{} has {} of {} and may have {}: give some of it to {} or leave it out.",
                                       name(c), print_duration(is), what, print_duration(*most), name(partner(c))));
        };
        look(person.work_limit, work, "steps");
        look(person.heavy_total, heavy, "hand-heavy steps");
    }
}

void check_resources(const Replay& replay, Report& report) {
    for (std::size_t i = 0; i < replay.outing.resources.size(); ++i)
        check_resource(replay, report, static_cast<ResourceId>(i));
}

void check_preferences(const Replay& replay, Report& report) {
    for (const Preference& wish : replay.outing.preferences) {
        const Task& task = replay.outing.task(wish.task);
        std::optional<Pet> start;
        std::optional<Pet> end;
        for (const StepId id : task.steps)
            if (const Activity* run = replay.first_run(id)) {
                start = start ? std::min(*start, run->start) : run->start;
                end = end ? std::max(*end, run->end()) : run->end();
            }
        if (!start) continue;
        std::string what;
        if (wish.lead && replay.lead[index(task.id)] != *wish.lead)
            what = fmt::format("{} is led by {} and would rather be by {}", quoted(task),
                               name(replay.lead[index(task.id)]), name(*wish.lead));
        if (wish.ends_by && *end > *wish.ends_by)
            what = fmt::format("{} ends {} after {}, by when it would rather have ended", quoted(task),
                               span_text(*end - *wish.ends_by), clock(*wish.ends_by));
        if (wish.starts_after && *start < *wish.starts_after)
            what = fmt::format("{} starts {} before {}, when it would rather start", quoted(task),
                               span_text(*wish.starts_after - *start), clock(*wish.starts_after));
        if (!wish.during.empty())
            if (const std::size_t outside = steps_outside(replay, task, wish.during); outside > 0)
                what = fmt::format("{} of the crew steps of {} are not all in \"{}\", which is wished", outside,
                                   quoted(task), wish.during);
        if (!what.empty())
            report.note("preference", {}, *start, seconds(wish.worth),
                        fmt::format("{}; worth {}.", what, print_duration(wish.worth)));
    }
}

}  // namespace handrail::checking
