#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "check/rules.h"

/// Where people are, how they get there and what holds them.
namespace handrail::checking {
namespace {

// ---- translations

void check_translation(Replay& replay, Report& report, Crew c, const Stage& stage) {
    const Activity& activity = *stage.activity;
    const Outing& outing = replay.outing;
    Seconds needed{0};
    bool passable = activity.path.size() >= 2;
    if (!passable)
        report.add("route", activity.lanes, activity.start, {},
                   fmt::format("{} leads nowhere: name at least two worksites.", replay.named(activity)));
    for (std::size_t i = 1; i < activity.path.size(); ++i) {
        const WorksiteId from = activity.path[i - 1], to = activity.path[i];
        const Route* route = replay.ways.route(from, to, stage.load_before);
        if (route) {
            needed += translation_time(outing.rules, outing.person(c), *route, stage.load_before);
            continue;
        }
        passable = false;
        const bool other_load = replay.ways.route(from, to, SizeClass::small) != nullptr;
        report.add("route", activity.lanes, activity.start, {},
                   other_load
                       ? fmt::format("the route from {} to {} does not permit the {} item that {} carries: go "
                                     "another way or leave it behind.",
                                     replay.site_name(from), replay.site_name(to), word(stage.load_before), name(c))
                       : fmt::format("no route joins {} and {}, which {} takes: go another way.",
                                     replay.site_name(from), replay.site_name(to), name(c)));
    }
    if (passable && stage.load_before == SizeClass::oversize)
        report.add("route", activity.lanes, activity.start, {},
                   fmt::format("{} carries an oversize item along; only a step that moves it may do that.", name(c)));
    if (!passable || activity.as_run || activity.duration >= needed) return;
    report.add("translation-time", activity.lanes, activity.start, seconds(needed - activity.duration),
               fmt::format("{} takes {} at least {} with what they carry, not {}: give it {} more.",
                           replay.named(activity), name(c), print_duration(needed), print_duration(activity.duration),
                           print_duration(needed - activity.duration)));
}

// ---- tethers

void check_reach(Replay& replay, Report& report, const Stage& stage, const std::vector<WorksiteId>& sites) {
    double excess = 0;
    WorksiteId farthest{};
    for (const WorksiteId site : sites) {
        if (replay.ways.tether_reaches(stage.anchor_before, site)) continue;
        const double over = replay.ways.tether_length_m(stage.anchor_before, site) - replay.outing.rules.tether.value();
        if (over <= excess) continue;
        excess = over;
        farthest = site;
    }
    if (excess <= 0) return;
    const Activity& activity = *stage.activity;
    report.add(
        "tether", activity.lanes, activity.start, metres(excess),
        fmt::format("at {} the tether anchored at {} is {:.1f} m too short for {}: swap it nearer first.",
                    replay.site_name(farthest), replay.site_name(stage.anchor_before), excess, replay.named(activity)));
}

void check_swap(Replay& replay, Report& report, const Stage& stage) {
    const Activity& activity = *stage.activity;
    if (!replay.outing.worksite(stage.at).anchor)
        report.add(
            "tether", activity.lanes, activity.start, {},
            fmt::format("{} is no place to anchor a tether: swap at a worksite that is.", replay.site_name(stage.at)));
    const Seconds needed = replay.outing.rules.tether_swap;
    if (activity.as_run || activity.duration >= needed) return;
    report.add("tether", activity.lanes, activity.start, seconds(needed - activity.duration),
               fmt::format("{} takes {}, not {}: give it {} more.", replay.named(activity), print_duration(needed),
                           print_duration(activity.duration), print_duration(needed - activity.duration)));
}

void check_last_anchor(Replay& replay, Report& report, Crew c, const Stage& stage) {
    const WorksiteId airlock = replay.outing.station.airlock;
    if (stage.anchor_before == airlock) return;
    report.add("tether", {lane_of(c)}, stage.activity->start,
               metres(replay.ways.tether_length_m(stage.anchor_before, airlock)),
               fmt::format("{} comes in with the tether still anchored at {}: swap it to {} first.", name(c),
                           replay.site_name(stage.anchor_before), replay.site_name(airlock)));
}

// ---- open worksites

struct Presence {
    Pet from, to;
};

/// When a crew member is at a worksite: from the end of what brings them there to the start of what takes them away.
std::vector<Presence> presence(const Replay& replay, Crew c, WorksiteId site, Pet end) {
    std::vector<Presence> stays;
    bool there = site == replay.outing.station.airlock;
    Pet since{};
    const auto leave = [&](Pet t) {
        if (there && since < t) stays.push_back({since, t});
        there = false;
    };
    for (const Stage& stage : replay.of(c)) {
        const bool stays_put = stage.at == stage.after && stage.activity->kind != ActivityKind::translate;
        if (stage.at != site || !stays_put) leave(stage.activity->start);
        if (stage.after != site || there) continue;
        there = true;
        since = stays_put ? stage.activity->start : stage.activity->end();
    }
    leave(end);
    return stays;
}

/// How long nobody of `stays` is there within [from, to), and since when first.
struct Absence {
    Milliseconds length{0};
    Pet first{};
};
Absence absence(std::vector<Presence> stays, Pet from, Pet to) {
    std::ranges::sort(stays, {}, &Presence::from);
    Absence result;
    const auto missing = [&](Pet a, Pet b) {
        if (a >= b) return;
        if (result.length == Milliseconds{0}) result.first = a;
        result.length += b - a;
    };
    Pet covered = from;
    for (const Presence& stay : stays) {
        missing(covered, std::min(stay.from, to));
        covered = std::max(covered, std::min(stay.to, to));
    }
    missing(covered, to);
    return result;
}

void check_open_site(const Replay& replay, Report& report, const Opening& opening) {
    const Outing& outing = replay.outing;
    const Step& opener = outing.step(opening.opener);
    const Task& task = outing.task(opener.task);
    const WorksiteId site = opening.site;
    const Pet last = replay.clean_up ? replay.clean_up->start : replay.timeline.finish();
    const bool closed = opening.closed && *opening.closed <= last;
    if (!closed)
        report.add("open-site", replay.first_run(opener.id)->lanes, last, {},
                   fmt::format("{} is left open by \"{}: {}\": close it up before clean-up.", replay.site_name(site),
                               task.name, opener.name),
                   source_of(opener.place));
    const Pet until = closed ? *opening.closed : last;

    std::vector<Presence> stays;
    std::vector<Lane> lanes;
    for (const Crew c : both_crew) {
        const bool takes_part = std::ranges::any_of(task.steps, [&](StepId id) {
            return std::ranges::any_of(replay.runs[index(id)],
                                       [&](const Activity* run) { return run->on(lane_of(c)); });
        });
        if (!takes_part) continue;
        lanes.push_back(lane_of(c));
        for (const Presence& stay : presence(replay, c, site, until)) stays.push_back(stay);
    }
    const Absence gone = absence(std::move(stays), opening.opened, until);
    if (gone.length <= Milliseconds{0}) return;
    report.add("open-site", std::move(lanes), gone.first, seconds(gone.length),
               fmt::format("{} stands open without anyone of \"{}\" there for {} from {}: close it up before leaving "
                           "or let one of them stay.",
                           replay.site_name(site), task.name, span_text(gone.length), clock(gone.first)),
               source_of(opener.place));
}

}  // namespace

void check_places(const Replay& replay, Report& report) {
    for (const Crew c : both_crew)
        for (const Stage& stage : replay.of(c)) {
            if (stage.at == stage.before) continue;
            report.add(
                "place", {lane_of(c)}, stage.activity->start, {},
                fmt::format("{} starts at {}, but {} is at {}: bring them there first.", replay.named(*stage.activity),
                            replay.site_name(stage.at), name(c), replay.site_name(stage.before)));
        }
}

void check_translations(Replay& replay, Report& report) {
    for (const Crew c : both_crew)
        for (const Stage& stage : replay.of(c))
            if (stage.activity->kind == ActivityKind::translate) check_translation(replay, report, c, stage);
}

void check_tethers(Replay& replay, Report& report) {
    for (const Crew c : both_crew)
        for (const Stage& stage : replay.of(c)) {
            const Activity& activity = *stage.activity;
            if (activity.kind == ActivityKind::translate) check_reach(replay, report, stage, activity.path);
            if (activity.kind == ActivityKind::tether_swap) check_swap(replay, report, stage);
            if (&activity == replay.ingress) check_last_anchor(replay, report, c, stage);
            if (activity.step && !replay.rides_the_arm(activity))
                check_reach(replay, report, stage, {stage.at, stage.after});
        }
}

void check_partners(Replay& replay, Report& report) {
    std::set<Pet> moments;
    for (const Crew c : both_crew)
        for (const Stage& stage : replay.of(c)) moments.insert(stage.activity->end());
    const Seconds within = replay.outing.rules.partner_within;

    std::array<std::size_t, 2> next{};
    std::array<WorksiteId, 2> place{replay.outing.station.airlock, replay.outing.station.airlock};
    struct Apart {
        Pet since, worst_at;
        std::optional<Seconds> worst;  ///< nothing: no way at all
        std::array<WorksiteId, 2> place;
    };
    std::optional<Apart> apart;
    const auto say = [&] {
        if (!apart) return;
        const std::string where = fmt::format("EV1 at {} and EV2 at {}", replay.site_name(apart->place[0]),
                                              replay.site_name(apart->place[1]));
        if (apart->worst)
            report.add("partner", {Lane::ev1, Lane::ev2}, apart->since, seconds(*apart->worst - within),
                       fmt::format("from {} the two are too far apart; at {}, {} need {} to reach each other: keep "
                                   "within {}.",
                                   clock(apart->since), clock(apart->worst_at), where, print_duration(*apart->worst),
                                   print_duration(within)));
        else
            report.add("partner", {Lane::ev1, Lane::ev2}, apart->since, {},
                       fmt::format("from {} no way joins {}.", clock(apart->since), where));
        apart.reset();
    };
    for (const Pet t : moments) {
        for (const Crew c : both_crew) {
            const std::vector<Stage>& stages = replay.of(c);
            std::size_t& i = next[index(c)];
            for (; i < stages.size() && stages[i].activity->end() <= t; ++i) place[index(c)] = stages[i].after;
        }
        const bool outside =
            replay.egress && replay.egress->end() <= t && (!replay.ingress || t <= replay.ingress->start);
        if (!outside) continue;
        const std::optional<Seconds> time = replay.ways.between(place[0], place[1]);
        if (time && *time <= within) {
            say();
        } else if (!apart) {
            apart = Apart{t, t, time, place};
        } else if (apart->worst && (!time || *time > *apart->worst)) {
            apart->worst = time;
            apart->worst_at = t;
            apart->place = place;
        }
    }
    say();
}

void check_open_sites(const Replay& replay, Report& report) {
    for (const Opening& opening : replay.openings) check_open_site(replay, report, opening);
}

}  // namespace handrail::checking
