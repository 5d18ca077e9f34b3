#include <algorithm>

#include "live/folding.h"
#include "live/ways.h"

/// What lies between two steps: read from the plan, squeezed in where a later fact proves it, assumed up to now.
namespace handrail::live::detail {

using plan::ItemPlace;

namespace {

bool is_move(ActivityKind kind) {
    switch (kind) {
        case ActivityKind::translate:
        case ActivityKind::tether_swap:
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
            return true;
        case ActivityKind::egress:
        case ActivityKind::step:
        case ActivityKind::arm_move:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            return false;
    }
    return false;
}

}  // namespace

void Folding::read_plan(const Timeline& timeline) {
    used_up_.assign(timeline.activities.size(), false);
    for (std::size_t i = 0; i < timeline.activities.size(); ++i) used_up_[i] = timeline.activities[i].as_run;
}

std::optional<std::size_t> Folding::planned_on(Lane lane, StepId step) const {
    if (!day_.plan) return std::nullopt;
    const auto& all = day_.plan->activities;
    for (std::size_t i = 0; i < all.size(); ++i)
        if (all[i].step == step && all[i].on(lane)) return i;
    return std::nullopt;
}

std::optional<std::size_t> Folding::next_planned(Lane lane) const {
    if (!day_.plan) return std::nullopt;
    const auto& all = day_.plan->activities;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!all[i].on(lane) || used_up_[i]) continue;
        if (all[i].kind == ActivityKind::clean_up) return i;
        if (all[i].kind != ActivityKind::step || !all[i].step) continue;
        if (steps_[index(*all[i].step)] != plan::StepStatus::to_do) continue;
        if (dropped_[index(outing_.step(*all[i].step).task)] && !outing_.step(*all[i].step).close_up) continue;
        return i;
    }
    return std::nullopt;
}

void Folding::add_way(std::vector<Move>& moves, Crew crew, WorksiteId& place, WorksiteId& anchor, WorksiteId to) const {
    if (place == to && (to != outing_.station.airlock || anchor == to)) return;
    const SizeClass load = load_of(crew);
    auto way = way_there(outing_, crew, place, anchor, to, load);
    if (!way && load >= SizeClass::large) way = way_there(outing_, crew, place, anchor, to, SizeClass::medium);
    if (way) {
        for (WayPart& part : way->parts)
            moves.push_back({part.kind, part.duration, std::move(part.path), {}, {}, {}, {}});
        anchor = way->anchor;
    }
    place = to;
}

std::vector<Move> Folding::approach(Crew crew, std::optional<std::size_t> planned,
                                    std::optional<WorksiteId> site) const {
    const Person& person = people_[index(crew)];
    WorksiteId place = person.at;
    WorksiteId anchor = person.anchor;
    std::vector<Move> moves;
    std::vector<std::size_t> stretch;
    if (planned) {
        // Back from the planned step to whatever else comes before it on this lane.
        const auto& all = day_.plan->activities;
        for (std::size_t i = *planned; i-- > 0;) {
            if (!all[i].on(lane_of(crew))) continue;
            if (!is_move(all[i].kind)) break;
            if (!used_up_[i]) stretch.push_back(i);
        }
        std::ranges::reverse(stretch);
        for (const std::size_t i : stretch) {
            const Activity& activity = all[i];
            const bool placed = !activity.path.empty();
            if (activity.kind == ActivityKind::translate && placed && activity.path.front() == place) {
                moves.push_back(move_of(i, lane_of(crew)));
                place = activity.path.back();
                continue;
            }
            if (activity.kind == ActivityKind::translate) {
                if (placed) add_way(moves, crew, place, anchor, activity.path.back());
                if (!moves.empty()) moves.back().planned = i;
                continue;
            }
            if (placed && activity.path.back() != place && activity.kind != ActivityKind::glove_check &&
                activity.kind != ActivityKind::rest)
                add_way(moves, crew, place, anchor, activity.path.back());
            moves.push_back(move_of(i, lane_of(crew)));
            if (activity.kind == ActivityKind::tether_swap && placed) anchor = activity.path.back();
        }
    }
    if (site) add_way(moves, crew, place, anchor, *site);
    return moves;
}

Move Folding::move_of(std::size_t planned, Lane lane) const {
    const auto& all = day_.plan->activities;
    const Activity& activity = all[planned];
    Move move{activity.kind, activity.duration, activity.path, activity.items, planned, activity.start, {}};
    for (std::size_t i = planned; i-- > 0;)
        if (all[i].on(lane)) {
            move.wait = std::max(Seconds{0}, std::chrono::floor<Seconds>(activity.start - all[i].end()));
            break;
        }
    return move;
}

namespace {

/// When a move begins if nothing hinders it: after the wait that the plan has there, but a person who is behind waits
/// no longer than until its planned start.
Pet usual_start(const Move& move, Pet free) {
    if (!move.planned_start) return free;
    return std::max(free, std::min(free + move.wait, *move.planned_start));
}

}  // namespace

void Folding::squeeze(Crew crew, const std::vector<Move>& moves, Pet until) {
    const Pet from = people_[index(crew)].free;
    Seconds wanted{0};
    for (const Move& move : moves) wanted += move.duration;
    const Seconds there = std::max(Seconds{0}, std::chrono::floor<Seconds>(until - from));
    if (wanted <= there) {
        Seconds rest = wanted;
        Pet free = from;
        for (const Move& move : moves) {
            const Pet start = std::min(usual_start(move, free), until - rest);
            make(crew, move, start, move.duration);
            free = start + move.duration;
            rest -= move.duration;
        }
        return;
    }
    // There was less time than planned: each move keeps its share. Shares are of the running total, so that rounding
    // never loses a second.
    Seconds done{0};
    Pet start = from;
    for (const Move& move : moves) {
        done += move.duration;
        const Pet end = from + Seconds{done.count() * there.count() / wanted.count()};
        make(crew, move, start, std::chrono::floor<Seconds>(end - start));
        start = end;
    }
}

std::optional<Pet> Folding::after_holds(Pet from) const {
    for (bool moved = true; moved;) {
        moved = false;
        for (const Hold& hold : day_.holds) {
            if (from < hold.from || (hold.to && from >= *hold.to)) continue;
            if (!hold.to) return std::nullopt;
            from = *hold.to;
            moved = true;
        }
    }
    return from;
}

bool Folding::possible(const Move& move, Crew crew) const {
    const auto here = [&](const ItemPlace& place) {
        return place.where == ItemPlace::Where::loose && !move.path.empty() && place.site == move.path.back();
    };
    for (const ItemId item : move.items) {
        const ItemPlace& place = items_[index(item)];
        // What the partner has in hand meanwhile has been put down before, though nobody said so.
        const bool in_hand =
            place.where == ItemPlace::Where::carried || in_bag_of(item, Crew::ev1) || in_bag_of(item, Crew::ev2);
        if (move.kind == ActivityKind::put_down && !in_hand) return false;
        if (move.kind == ActivityKind::pick_up && !here(place) && !in_bag_of(item, crew) &&
            !(place.where == ItemPlace::Where::in_bag && here(items_[index(place.bag)])))
            return false;
    }
    return true;
}

void Folding::go_on_until(Crew crew, Pet until) {
    Person& person = people_[index(crew)];
    if (!person.outside || person.running || !person.able || day_.stand_down || clean_up_from_ || !day_.plan) return;
    const auto next = next_planned(lane_of(crew));
    if (!next) return;
    const Activity& ahead = day_.plan->activities[*next];
    const auto site = ahead.step ? outing_.step(*ahead.step).at : std::optional(outing_.station.airlock);
    for (const Move& move : approach(crew, next, site)) {
        const auto start = after_holds(usual_start(move, person.free));
        if (!start || *start >= until || !possible(move, crew)) return;
        make(crew, move, *start, move.duration);
    }
}

void Folding::arm_goes_on_until(Pet until) {
    if (!day_.plan || !arm_available_ || day_.stand_down) return;
    const auto next = next_planned(Lane::arm);
    if (!next || !day_.plan->activities[*next].step) return;
    const auto to = outing_.step(*day_.plan->activities[*next].step).at;
    if (!to || *to == arm_at_) return;
    for (std::size_t s = 0; s < steps_.size(); ++s)
        if (steps_[s] == plan::StepStatus::running && outing_.steps[s].arm != ArmUse::none) return;
    for (std::size_t i = *next; i-- > 0;) {
        const Activity& activity = day_.plan->activities[i];
        if (!activity.on(Lane::arm)) continue;
        if (activity.kind != ActivityKind::arm_move || used_up_[i] || activity.path.empty() ||
            activity.path.back() != *to)
            return;
        const auto start = after_holds(std::max(arm_free_, activity.start));
        if (!start || *start >= until) return;
        used_up_[i] = true;
        bring_arm(*to, *start + arm_move_time(outing_.station, arm_at_, *to));
        return;
    }
}

void Folding::bring_arm(WorksiteId to, Pet by) {
    if (to == arm_at_ || !outing_.station.arm) return;
    const Pet from = std::max(arm_free_, by - arm_move_time(outing_.station, arm_at_, to));
    if (from < by) {
        AsRun run;
        run.activity = {ActivityKind::arm_move, {Lane::arm}, from, std::chrono::floor<Seconds>(by - from), {},
                        {arm_at_, to},          {},          true};
        run.assumed = true;
        run.running = by > day_.pet_now();
        record(std::move(run));
    }
    arm_at_ = to;
    arm_free_ = std::max(arm_free_, by);
}

void Folding::make(Crew crew, const Move& move, Pet start, Seconds duration) {
    Person& person = people_[index(crew)];
    const Pet end = start + duration;
    person.free = std::max(person.free, end);
    if (move.planned) used_up_[*move.planned] = true;
    if (duration > Seconds{0}) {
        AsRun run;
        run.activity = {move.kind, {lane_of(crew)}, start, duration, {}, move.path, move.items, true};
        // A glove check or a rest happens wherever they are, which need not be where the plan had them.
        const bool anywhere = move.kind == ActivityKind::glove_check || move.kind == ActivityKind::rest;
        if (anywhere && !move.path.empty()) run.activity.path = {person.at};
        run.assumed = true;
        run.running = end > day_.pet_now();  // what was under way at an entry may long be over
        if (move.planned) {
            run.planned_start = day_.plan->activities[*move.planned].start;
            run.planned_end = day_.plan->activities[*move.planned].end();
        }
        record(std::move(run));
    }
    switch (move.kind) {
        case ActivityKind::translate:
            person.at = move.path.back();
            break;
        case ActivityKind::tether_swap:
            person.anchor = move.path.back();
            break;
        case ActivityKind::pick_up:
            for (const ItemId item : move.items)
                if (items_[index(item)].where != ItemPlace::Where::lost) items_[index(item)] = carried_by(crew);
            break;
        case ActivityKind::put_down:
            for (const ItemId item : move.items) {
                const bool theirs =
                    (items_[index(item)].where == ItemPlace::Where::carried && items_[index(item)].carrier == crew) ||
                    in_bag_of(item, crew);
                if (!theirs) continue;
                ItemPlace place;
                place.site = person.at;
                items_[index(item)] = place;
            }
            break;
        case ActivityKind::glove_check:
            person.checked_at = std::max(person.checked_at, end);
            break;
        case ActivityKind::egress:
        case ActivityKind::step:
        case ActivityKind::rest:
        case ActivityKind::arm_move:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            break;
    }
}

void Folding::break_off_move(Crew crew, Pet at) {
    for (AsRun& run : day_.as_run) {
        if (!run.assumed || !run.activity.on(lane_of(crew)) || run.activity.end() <= at) continue;
        run.activity.duration = std::max(Seconds{0}, std::chrono::floor<Seconds>(at - run.activity.start));
        run.running = false;
    }
    people_[index(crew)].free = at;
}

void Folding::record(AsRun run) {
    run.load = {load_of(Crew::ev1), load_of(Crew::ev2)};
    day_.as_run.push_back(std::move(run));
}

SizeClass Folding::load_of(Crew crew) const {
    SizeClass largest = SizeClass::small;
    for (std::size_t i = 0; i < items_.size(); ++i)
        if (items_[i].where == ItemPlace::Where::carried && items_[i].carrier == crew)
            largest = std::max(largest, outing_.items[i].size);
    return largest;
}

bool Folding::in_bag_of(ItemId item, Crew crew) const {
    const ItemPlace& place = items_[index(item)];
    if (place.where != ItemPlace::Where::in_bag) return false;
    const ItemPlace& bag = items_[index(place.bag)];
    return bag.where == ItemPlace::Where::carried && bag.carrier == crew;
}

ItemPlace Folding::carried_by(Crew crew) {
    ItemPlace place;
    place.where = ItemPlace::Where::carried;
    place.carrier = crew;
    return place;
}

}  // namespace handrail::live::detail
