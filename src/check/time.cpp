#include <fmt/format.h>

#include <algorithm>

#include "check/rules.h"

/// When things happen: one at a time, long enough, in their windows, between egress and the hard end.
namespace handrail::checking {
namespace {

constexpr Pet pet_zero{};
const std::vector<Lane> crew_lanes{Lane::ev1, Lane::ev2};

/// A planned activity lasts at least `needed`; what has happened is a fact.
void check_length(const Replay& replay, Report& report, std::string_view rule, const Activity& activity, Seconds needed,
                  std::string source = {}) {
    if (activity.as_run || activity.duration >= needed) return;
    report.add(rule, activity.lanes, activity.start, seconds(needed - activity.duration),
               fmt::format("{} takes {}, not {}: give it {} more.", replay.named(activity), print_duration(needed),
                           print_duration(activity.duration), print_duration(needed - activity.duration)),
               std::move(source));
}

void check_together(const Replay& replay, Report& report, std::string_view rule, const Activity& activity) {
    if (activity.lanes == crew_lanes) return;
    report.add(rule, activity.lanes, activity.start, {},
               fmt::format("{} takes both EV1 and EV2, together.", replay.named(activity)));
}

void check_count(const Replay& replay, Report& report, std::string_view rule, ActivityKind kind) {
    const auto count = std::ranges::count(replay.activities, kind, &Activity::kind);
    if (count > 1)
        report.add(rule, crew_lanes, replay.timeline.finish(), {},
                   fmt::format("there are {} activities \"{}\": keep one.", count, word(kind)));
}

Seconds handling_time(const Rules& rules, const Activity& activity) {
    switch (activity.kind) {
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
            return rules.pick_up * static_cast<Seconds::rep>(activity.items.size());
        case ActivityKind::glove_check:
            return rules.glove_check;
        case ActivityKind::rest:
            return rules.rest;
        case ActivityKind::egress:
        case ActivityKind::step:
        case ActivityKind::translate:
        case ActivityKind::tether_swap:
        case ActivityKind::arm_move:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            break;
    }
    return Seconds{0};
}

/// How much of [from, to) the windows cover.
Milliseconds covered(std::span<const Window> windows, Pet from, Pet to) {
    Milliseconds sum{0};
    for (const Window& window : windows) {
        const Pet a = std::max(window.from(), from), b = std::min(window.to(), to);
        if (a < b) sum += b - a;
    }
    return sum;
}

void check_step_windows(const Replay& replay, Report& report, const Activity& activity) {
    const Step& step = replay.outing.step(*activity.step);
    const std::string site = step.at ? replay.outing.worksite(*step.at).id : std::string{};
    const auto say = [&](Milliseconds wrong, std::string_view how, const std::string& condition) {
        report.add("window", activity.lanes, activity.start, seconds(wrong),
                   fmt::format("{} runs {} {} \"{}\", from {} to {}: move it.", replay.named(activity),
                               span_text(wrong), how, condition, clock(activity.start), clock(activity.end())),
                   source_of(step.place));
    };
    for (const std::string& condition : step.during) {
        const Milliseconds outside =
            activity.duration - covered(replay.windows.of(condition, site), activity.start, activity.end());
        if (outside > Milliseconds{0}) say(outside, "outside", condition);
    }
    for (const std::string& condition : step.not_during) {
        const Milliseconds inside = covered(replay.windows.of(condition, site), activity.start, activity.end());
        if (inside > Milliseconds{0}) say(inside, "in", condition);
    }
}

/// By step: the one that speaks for it. Steps that must start together are talked through as one.
std::vector<StepId> voices_of(const Outing& outing) {
    std::vector<StepId> voices;
    for (const Step& step : outing.steps) voices.push_back(step.id);
    for (const Order& order : outing.orders) {
        if (!order.starts_together) continue;
        const StepId from = voices[index(order.after)], to = voices[index(order.before)];
        std::ranges::replace(voices, from, to);
    }
    return voices;
}

}  // namespace

void check_overlaps(const Replay& replay, Report& report) {
    for (const Lane lane : all_lanes) {
        const Activity* latest = nullptr;  // of those so far, the one that ends last
        for (const Activity* activity : replay.on_lane[static_cast<std::size_t>(lane)]) {
            if (latest && activity->start < latest->end()) {
                const Milliseconds overlap = std::min(latest->end(), activity->end()) - activity->start;
                report.add("overlap", {lane}, activity->start, seconds(overlap),
                           fmt::format("{} starts {} before {} has ended on {}: start it at {}.",
                                       replay.named(*activity), span_text(latest->end() - activity->start),
                                       replay.named(*latest), word(lane), clock(latest->end())));
            }
            if (!latest || activity->end() > latest->end()) latest = activity;
        }
    }
}

void check_way_out(const Replay& replay, Report& report) {
    const Rules& rules = replay.outing.rules;
    if (!replay.egress) {
        report.add("egress", crew_lanes, pet_zero, {}, "there is no egress: both must go out before anything else.");
        return;
    }
    const Activity& egress = *replay.egress;
    check_together(replay, report, "egress", egress);
    check_count(replay, report, "egress", ActivityKind::egress);
    check_length(replay, report, "egress", egress, rules.egress);
    if (egress.start < pet_zero)
        report.add(
            "egress", egress.lanes, egress.start, seconds(pet_zero - egress.start),
            fmt::format("egress starts {} before PET zero: start it later.", span_text(pet_zero - egress.start)));
    for (const Crew c : both_crew) {
        const std::vector<Stage>& stages = replay.of(c);
        if (stages.empty() || stages.front().activity->kind == ActivityKind::egress) continue;
        report.add("egress", {lane_of(c)}, stages.front().activity->start, {},
                   fmt::format("{} of {} comes before egress: put it after.", replay.named(*stages.front().activity),
                               name(c)));
    }
    if (rules.egress_by && egress.end() > *rules.egress_by)
        report.add("egress-by", egress.lanes, egress.end(), seconds(egress.end() - *rules.egress_by),
                   fmt::format("egress ends {} after its latest time, {}: start it earlier.",
                               span_text(egress.end() - *rules.egress_by), clock(*rules.egress_by)));
}

void check_way_in(const Replay& replay, Report& report) {
    const Rules& rules = replay.outing.rules;
    const Pet finish = replay.ingress ? replay.ingress->end() : replay.timeline.finish();
    for (const auto& [last, kind, needed] : {std::tuple(replay.clean_up, ActivityKind::clean_up, rules.clean_up),
                                             std::tuple(replay.ingress, ActivityKind::ingress, rules.ingress)}) {
        if (!last) {
            report.add("ingress", crew_lanes, finish, {},
                       fmt::format("there is no {}: both must do it at the end.",
                                   kind == ActivityKind::clean_up ? "clean-up" : "ingress"));
            continue;
        }
        check_together(replay, report, "ingress", *last);
        check_count(replay, report, "ingress", kind);
        check_length(replay, report, "ingress", *last, needed);
    }
    for (const Crew c : both_crew) {
        if (!replay.clean_up || !replay.ingress) break;
        const std::vector<Stage>& stages = replay.of(c);
        const std::size_t count = stages.size();
        if (count >= 2 && stages[count - 1].activity->kind == ActivityKind::ingress &&
            stages[count - 2].activity->kind == ActivityKind::clean_up)
            continue;
        report.add(
            "ingress", {lane_of(c)}, finish, {},
            fmt::format("the last two activities of {} are not clean-up and ingress: nothing else may come after "
                        "or between them.",
                        name(c)));
    }

    const Pet limit{rules.limit};
    if (finish > limit)
        report.add("limit", crew_lanes, limit, seconds(finish - limit),
                   fmt::format("the hatch is closed at {}, {} after the hard end: leave something out or shorten it.",
                               clock(finish), span_text(finish - limit)));
    else if (finish > limit - rules.margin)
        report.note("limit", crew_lanes, limit - rules.margin, seconds(finish - (limit - rules.margin)),
                    fmt::format("the hatch is closed at {}, {} before the hard end; the wanted margin is {}.",
                                clock(finish), span_text(limit - finish), print_duration(rules.margin)));
}

void check_durations(const Replay& replay, Report& report) {
    for (const Activity* activity : replay.activities) {
        if (!activity->step) {
            check_length(replay, report, "handling-time", *activity, handling_time(replay.outing.rules, *activity));
            continue;
        }
        const Step& step = replay.outing.step(*activity->step);
        const Crew lead = replay.lead[index(step.task)];
        const bool by_hand = step.by_hand && !activity->on(Lane::arm);
        check_length(
            replay, report, "step-time", *activity,
            by_hand ? by_hand_duration(replay.outing, step, lead) : planned_duration(replay.outing, step, lead),
            source_of(step.place));
    }
}

void check_windows(const Replay& replay, Report& report) {
    for (const Activity* activity : replay.activities)
        if (activity->step) check_step_windows(replay, report, *activity);
}

void check_voice(const Replay& replay, Report& report) {
    struct Change {
        Pet at;
        int by;
        StepId voice;
    };
    std::vector<Change> changes;
    const std::vector<StepId> voices = voices_of(replay.outing);
    for (const Activity* activity : replay.activities) {
        const bool crew_step = activity->step && (activity->on(Lane::ev1) || activity->on(Lane::ev2));
        if (!crew_step || activity->duration <= Seconds{0}) continue;
        changes.push_back({activity->start, 1, voices[index(*activity->step)]});
        changes.push_back({activity->end(), -1, voices[index(*activity->step)]});
    }
    std::ranges::sort(changes, {}, [](const Change& c) { return std::pair(c.at, c.by); });
    const int loops = replay.outing.rules.voice_loops;
    std::vector<int> speaking(voices.size(), 0);
    int running = 0, most = 0;
    Pet since{};
    for (std::size_t i = 0; i < changes.size(); ++i) {
        int& steps = speaking[index(changes[i].voice)];
        running -= steps > 0 ? 1 : 0;
        steps += changes[i].by;
        running += steps > 0 ? 1 : 0;
        const bool settled = i + 1 == changes.size() || changes[i + 1].at != changes[i].at;
        if (!settled) continue;
        if (running > loops) {
            if (most == 0) since = changes[i].at;
            most = std::max(most, running);
        } else if (most > 0) {
            report.add("voice", crew_lanes, since, {static_cast<double>(most - loops), "steps"},
                       fmt::format("from {} to {} up to {} crew steps run at once and IV can talk through {}: let one "
                                   "wait.",
                                   clock(since), clock(changes[i].at), most, loops));
            most = 0;
        }
    }
}

}  // namespace handrail::checking
