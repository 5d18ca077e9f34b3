#include <algorithm>

#include "plan/decoder.h"

/// The part of the decoder that moves people and items: ways, fetching, putting down, glove checks, the way home.
namespace handrail::plan::detail {

Time Decoder::fit(const CrewState& crew, Time ready, Time duration, Checks& checks) const {
    checks.count = 0;
    if (problem_.check_every <= 0) return ready;
    Time free = crew.free;
    Time last = crew.checked;
    Time start = std::max(ready, free);
    while (start + duration > last + problem_.check_every) {
        if (last == start && duration > problem_.check_every) break;  // a long step right after its check
        const Time due = last + problem_.check_every;
        Time at = std::max(free, start - problem_.check);
        if (at > due) at = std::max(free, due);
        if (checks.count == static_cast<int>(checks.at.size())) break;
        checks.at[static_cast<std::size_t>(checks.count++)] = at;
        last = at + problem_.check;
        free = last;
        start = std::max(start, last);
    }
    return start;
}

void Decoder::commit(int c, Time start, Time duration, Effort effort, const Checks& checks) {
    CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    for (int i = 0; i < checks.count; ++i) {
        const Time at = checks.at[static_cast<std::size_t>(i)];
        if (at > crew.free) {
            draw(c, Effort::rest, crew.free, at - crew.free);
            now_.score.idle += at - crew.free;
            crew.waited += at - crew.free;
        }
        draw(c, Effort::light, at, problem_.check);
        crew.free = crew.checked = at + problem_.check;
        if (record_)
            note(ActivityKind::glove_check, {lane_of(static_cast<Crew>(c))}, at, problem_.check,
                 {static_cast<WorksiteId>(crew.site)});
    }
    if (start > crew.free) {
        draw(c, Effort::rest, crew.free, start - crew.free);
        now_.score.idle += start - crew.free;
        crew.waited += start - crew.free;
    }
    draw(c, effort, start, duration);
    crew.free = start + duration;
}

Time Decoder::solo(int c, Time ready, Time duration, Effort effort) {
    CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    Checks checks;
    const Time start = fit(crew, std::max(ready, crew.free), duration, checks);
    commit(c, start, duration, effort, checks);
    return start;
}

bool Decoder::lit(Time start, Time duration) const {
    if (!problem_.daylight_known) return true;
    const std::int64_t middle = (2LL * start + duration) * 500;
    return std::any_of(daylight_ms_.begin(), daylight_ms_.end(),
                       [middle](const auto& window) { return window.first <= middle && middle < window.second; });
}

void Decoder::draw(int c, Effort effort, Time start, Time duration) {
    const auto& rate =
        problem_.draw[static_cast<std::size_t>(c)][static_cast<std::size_t>(effort)][lit(start, duration) ? 1 : 0];
    auto& used = now_.crew[static_cast<std::size_t>(c)].used;
    for (std::size_t i = 0; i < rate.size(); ++i) used[i] += rate[i] * duration;
}

void Decoder::check_turn_back(int c) {
    const CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    const auto& home = problem_.home_draw[static_cast<std::size_t>(c)][static_cast<std::size_t>(state_of(crew))];
    for (std::size_t i = 0; i < lifesupport::consumable_count; ++i)
        if (crew.used[i] + home[i] + crew.close_up[i] > problem_.usable[static_cast<std::size_t>(c)][i] + 1e-9) {
            brake(Broken::turn_back, 60);
            return;
        }
}

void Decoder::leave_site(int c, Time at) { now_.stays[static_cast<std::size_t>(c)].back().to = at; }

void Decoder::arrive(int c, int site, Time at) {
    now_.crew[static_cast<std::size_t>(c)].site = site;
    now_.stays[static_cast<std::size_t>(c)].push_back({site, at, never});
    check_turn_back(c);
}

Time Decoder::way_time(int c, int state) const {
    const CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    return problem_.ways[static_cast<std::size_t>(c)][crew.hand_large > 0 ? 1 : 0].time(state_of(crew), state);
}

int Decoder::target_state(int c, const StepData& step, bool ride) const {
    int best = -1;
    Time best_time = never;
    const bool far_end_matters = !ride && step.to >= 0 && step.to != step.at;
    for (int a = 0; a < static_cast<int>(problem_.anchors.size()); ++a) {
        if (far_end_matters && problem_.tether_m(a, step.to) > problem_.reach_m) continue;
        const Time time = way_time(c, problem_.state(step.at, a));
        if (time < best_time) {
            best_time = time;
            best = problem_.state(step.at, a);
        }
    }
    return best;
}

bool Decoder::go(int c, int target) {
    CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    const int from = state_of(crew);
    if (from == target) return true;
    const int load = crew.hand_large > 0 ? 1 : 0;
    const WayTable& ways = problem_.ways[static_cast<std::size_t>(c)][static_cast<std::size_t>(load)];
    if (ways.time(from, target) >= never) return false;
    const int anchors = static_cast<int>(problem_.anchors.size());
    const Lane lane = lane_of(static_cast<Crew>(c));
    for (const Leg& leg : ways.legs(from, target)) {
        if (leg.swap) {
            const Time start = solo(c, 0, leg.time, Effort::light);
            crew.anchor = problem_.anchor_index(static_cast<WorksiteId>(crew.site));
            if (record_) note(ActivityKind::tether_swap, {lane}, start, leg.time, {static_cast<WorksiteId>(crew.site)});
        } else {
            const int site = static_cast<int>(index(ways.paths()[leg.path_to - 1]));
            Time ready = 0;
            if (problem_.clears && problem_.clear[static_cast<std::size_t>(site)])
                for (const Sweep& sweep : now_.sweeps)  // arrives when the arm is still again
                    if (const Time arrival = std::max(crew.free, ready) + leg.time;
                        sweep.from <= arrival && arrival < sweep.to)
                        ready = std::max(ready, sweep.to - leg.time);
            const Time start = solo(c, ready, leg.time, load ? Effort::heavy : Effort::translate);
            leave_site(c, start);
            now_.score.idle += leg.time;
            if (record_) note(ActivityKind::translate, {lane}, start, leg.time, ways.path(leg));
            arrive(c, site, start + leg.time);
        }
    }
    crew.anchor = target % anchors;
    return true;
}

int Decoder::top(int item) const {
    while (now_.items[static_cast<std::size_t>(item)].where == ItemPlace::Where::in_bag)
        item = now_.items[static_cast<std::size_t>(item)].holder;
    return item;
}

Time Decoder::available(int item) const {
    Time free = now_.items[static_cast<std::size_t>(item)].free;
    while (now_.items[static_cast<std::size_t>(item)].where == ItemPlace::Where::in_bag) {
        item = now_.items[static_cast<std::size_t>(item)].holder;
        free = std::max(free, now_.items[static_cast<std::size_t>(item)].free);
    }
    return free;
}

void Decoder::used_until(int item, Time end) {
    Time& free = now_.items[static_cast<std::size_t>(item)].free;
    free = std::max(free, end);
    Time& outer = now_.items[static_cast<std::size_t>(top(item))].free;
    outer = std::max(outer, end);
}

bool Decoder::at_hand(int item, unsigned crew_mask, int site) const {
    const ItemState& outer = now_.items[static_cast<std::size_t>(top(item))];
    switch (outer.where) {
        case ItemPlace::Where::carried:
            return (crew_mask >> outer.holder) & 1u;
        case ItemPlace::Where::loose:
        case ItemPlace::Where::installed:
            return outer.site == site;
        case ItemPlace::Where::in_bag:
        case ItemPlace::Where::lost:
            return false;
    }
    return false;
}

bool Decoder::needed_by(int item, int step) const {
    if (step < 0) return false;
    const StepData& data = problem_.steps[static_cast<std::size_t>(step)];
    return std::any_of(data.at_hand.begin(), data.at_hand.end(),
                       [&](int other) { return other == item || top(other) == item; });
}

void Decoder::out_of_hand(int item) {
    const ItemState& state = now_.items[static_cast<std::size_t>(item)];
    if (state.where != ItemPlace::Where::carried) return;
    CrewState& crew = now_.crew[static_cast<std::size_t>(state.holder)];
    const SizeClass size = problem_.outing->items[static_cast<std::size_t>(item)].size;
    crew.hand_units -= size_units(size);
    if (size >= SizeClass::large) --crew.hand_large;
}

void Decoder::into_hand(int item, int c, Time at) {
    out_of_hand(item);
    ItemState& state = now_.items[static_cast<std::size_t>(item)];
    state.where = ItemPlace::Where::carried;
    state.holder = c;
    state.free = std::max(state.free, at);
    CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    const SizeClass size = problem_.outing->items[static_cast<std::size_t>(item)].size;
    crew.hand_units += size_units(size);
    if (size >= SizeClass::large) ++crew.hand_large;
    if (crew.hand_units > problem_.outing->crew[static_cast<std::size_t>(c)].carry) brake(Broken::capacity, hopeless);
}

void Decoder::loose_at(int item, int site, Time at) {
    out_of_hand(item);
    ItemState& state = now_.items[static_cast<std::size_t>(item)];
    state.where = ItemPlace::Where::loose;
    state.site = site;
    state.free = std::max(state.free, at);
}

void Decoder::stow(const StepData& step, Time at) {
    const Outing& outing = *problem_.outing;
    for (int item : step.stows) {
        out_of_hand(item);
        ItemState& state = now_.items[static_cast<std::size_t>(item)];
        state.where = ItemPlace::Where::in_bag;
        state.holder = step.bag;
        state.free = std::max(state.free, at);
    }
    int units = 0;
    for (std::size_t i = 0; i < now_.items.size(); ++i)
        if (now_.items[i].where == ItemPlace::Where::in_bag && now_.items[i].holder == step.bag)
            units += size_units(outing.items[i].size);
    if (units > outing.items[static_cast<std::size_t>(step.bag)].holds) brake(Broken::capacity, hopeless);
}

void Decoder::put_down(int c, int item) {
    CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    const Time start = solo(c, available(item), problem_.pick_up, Effort::light);
    loose_at(item, crew.site, start + problem_.pick_up);
    if (record_)
        note(ActivityKind::put_down, {lane_of(static_cast<Crew>(c))}, start, problem_.pick_up,
             {static_cast<WorksiteId>(crew.site)}, {static_cast<ItemId>(item)});
}

bool Decoder::make_room(int c, int units, int keep_for_step) {
    const Outing& outing = *problem_.outing;
    CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
    const int carry = outing.crew[static_cast<std::size_t>(c)].carry;
    if (units > carry) return false;
    for (std::size_t i = 0; i < now_.items.size() && crew.hand_units + units > carry; ++i) {
        const bool in_hand = now_.items[i].where == ItemPlace::Where::carried && now_.items[i].holder == c;
        if (in_hand && !needed_by(static_cast<int>(i), keep_for_step)) put_down(c, static_cast<int>(i));
    }
    return crew.hand_units + units <= carry;
}

bool Decoder::pick_up(int c, int item, int keep_for_step) {
    const Outing& outing = *problem_.outing;
    if (outing.items[static_cast<std::size_t>(item)].two_people) return false;
    if (!make_room(c, size_units(outing.items[static_cast<std::size_t>(item)].size), keep_for_step)) return false;
    const Time start = solo(c, available(item), problem_.pick_up, Effort::light);
    used_until(item, start + problem_.pick_up);  // a bag it is taken out of stays there until then
    into_hand(item, c, start + problem_.pick_up);
    if (record_)
        note(ActivityKind::pick_up, {lane_of(static_cast<Crew>(c))}, start, problem_.pick_up,
             {static_cast<WorksiteId>(now_.crew[static_cast<std::size_t>(c)].site)}, {static_cast<ItemId>(item)});
    return true;
}

void Decoder::fetch_for(int s, const Sequence& sequence) {
    const Outing& outing = *problem_.outing;
    const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
    std::array<int, 2> crew{};
    const int count = problem_.crew_of(step, sequence.lead[static_cast<std::size_t>(step.task)], crew);
    if (count == 0) return;
    unsigned mask = 0;
    for (int i = 0; i < count; ++i) mask |= 1u << crew[static_cast<std::size_t>(i)];

    const auto carried_by_us = [&](int item) {
        const ItemState& outer = now_.items[static_cast<std::size_t>(top(item))];
        return outer.where == ItemPlace::Where::carried && ((mask >> outer.holder) & 1u);
    };
    const auto site_of_work = [&] {
        return step.at >= 0 ? step.at : now_.crew[static_cast<std::size_t>(crew[0])].site;
    };
    const auto must_carry = [&](int item) {
        return std::find(step.leaves.begin(), step.leaves.end(), item) != step.leaves.end() ||
               std::find(step.hands_over.begin(), step.hands_over.end(), item) != step.hands_over.end();
    };
    const auto missing = [&](int item) {
        if (carried_by_us(item)) return false;
        return must_carry(item) || !at_hand(item, mask, site_of_work());
    };
    const auto give_up = [&](int item) {
        now_.missing_items.push_back({s, item});
        brake(Broken::item, hopeless);
    };
    // What the partner carries is put down first, where they are.
    for (int item : step.at_hand) {
        const int outer = top(item);
        const ItemState& state = now_.items[static_cast<std::size_t>(outer)];
        if (missing(item) && state.where == ItemPlace::Where::carried) put_down(state.holder, outer);
    }
    for (std::size_t round = 0; round <= step.at_hand.size(); ++round) {
        // The nearest missing item next, fetched by whoever of us is nearest to it.
        int best_item = -1;
        int best_crew = -1;
        int best_state = -1;
        Time best_time = never;
        for (int item : step.at_hand) {
            if (!missing(item)) continue;
            const ItemState& outer = now_.items[static_cast<std::size_t>(top(item))];
            if (outer.where != ItemPlace::Where::loose) {
                give_up(item);
                return;
            }
            for (int i = 0; i < count; ++i) {
                const int c = crew[static_cast<std::size_t>(i)];
                if (size_units(outing.items[static_cast<std::size_t>(item)].size) >
                    outing.crew[static_cast<std::size_t>(c)].carry)
                    continue;
                for (int a = 0; a < static_cast<int>(problem_.anchors.size()); ++a) {
                    const int there = problem_.state(outer.site, a);
                    const Time way = way_time(c, there);
                    if (way >= never) continue;
                    const Time time = now_.crew[static_cast<std::size_t>(c)].free + way;
                    if (time < best_time) {
                        best_time = time;
                        best_item = item;
                        best_crew = c;
                        best_state = there;
                    }
                }
            }
        }
        if (best_item < 0) break;
        go(best_crew, best_state);
        // The whole bag if it can be carried: what else is in it is likely to be wanted too.
        const int outer = top(best_item);
        const Item& bag = outing.items[static_cast<std::size_t>(outer)];
        const bool bag_fits =
            !bag.two_people && size_units(bag.size) <= outing.crew[static_cast<std::size_t>(best_crew)].carry;
        if (!pick_up(best_crew, bag_fits ? outer : best_item, s)) {
            give_up(best_item);
            return;
        }
    }
    for (int item : step.at_hand)
        if (missing(item)) give_up(item);

    // Room in the hands of whoever takes something at this step.
    int taken_units = 0;
    for (int item : step.takes) {
        const ItemState& state = now_.items[static_cast<std::size_t>(top(item))];
        const bool there = (state.where == ItemPlace::Where::loose || state.where == ItemPlace::Where::installed) &&
                           state.site == step.at;
        if (!there && !carried_by_us(item)) give_up(item);
        if (!carried_by_us(item)) taken_units += size_units(outing.items[static_cast<std::size_t>(item)].size);
    }
    for (const auto* list : {&step.moves, &step.stows})
        for (int item : *list)
            if (!at_hand(item, mask, step.at)) give_up(item);
    if (taken_units == 0) return;
    int leaving_units = 0;
    for (const auto* list : {&step.leaves, &step.installs})
        for (int item : *list)
            if (now_.items[static_cast<std::size_t>(item)].where == ItemPlace::Where::carried &&
                now_.items[static_cast<std::size_t>(item)].holder == crew[0])
                leaving_units += size_units(outing.items[static_cast<std::size_t>(item)].size);
    if (step.at >= 0 && taken_units > leaving_units) {
        const CrewState& first = now_.crew[static_cast<std::size_t>(crew[0])];
        if (first.hand_units + taken_units - leaving_units > outing.crew[static_cast<std::size_t>(crew[0])].carry) {
            const int target = target_state(crew[0], step, mode_of(s, sequence).ride);
            if (target >= 0) go(crew[0], target);
            make_room(crew[0], taken_units - leaving_units, s);
        }
    }
}

bool Decoder::fits_in_hand(int c, int item) const {
    const Outing& outing = *problem_.outing;
    return now_.crew[static_cast<std::size_t>(c)].hand_units +
               size_units(outing.items[static_cast<std::size_t>(item)].size) <=
           outing.crew[static_cast<std::size_t>(c)].carry;
}

void Decoder::gather_for(int s, const Sequence& sequence) {
    const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
    const std::size_t task = static_cast<std::size_t>(step.task);
    std::array<int, 2> crew{};
    const int count = problem_.crew_of(step, sequence.lead[task], crew);
    std::array<int, 2> later_crew{};
    for (int unit : problem_.tasks[task].units)
        for (int later : problem_.units[static_cast<std::size_t>(unit)].steps) {
            const StepData& other = problem_.steps[static_cast<std::size_t>(later)];
            if (later == s || other.task != step.task) continue;
            const int later_count = problem_.crew_of(other, sequence.lead[task], later_crew);
            for (int item : other.at_hand) {
                const int outer = top(item);
                const ItemState& state = now_.items[static_cast<std::size_t>(outer)];
                if (state.where != ItemPlace::Where::loose || state.site == other.at) continue;
                if (problem_.outing->items[static_cast<std::size_t>(outer)].two_people) continue;
                // Whoever is here now, will be there then, has a hand free, and is nearest.
                int best_crew = -1;
                int best_state = -1;
                Time best_time = never;
                for (int i = 0; i < count; ++i)
                    for (int j = 0; j < later_count; ++j) {
                        const int c = crew[static_cast<std::size_t>(i)];
                        if (c != later_crew[static_cast<std::size_t>(j)] || !fits_in_hand(c, outer)) continue;
                        for (int a = 0; a < static_cast<int>(problem_.anchors.size()); ++a) {
                            const Time way = way_time(c, problem_.state(state.site, a));
                            if (way >= never || now_.crew[static_cast<std::size_t>(c)].free + way >= best_time)
                                continue;
                            best_time = now_.crew[static_cast<std::size_t>(c)].free + way;
                            best_crew = c;
                            best_state = problem_.state(state.site, a);
                        }
                    }
                if (best_crew >= 0 && go(best_crew, best_state)) pick_up(best_crew, outer, s);
            }
        }
}

bool Decoder::waits_for_its_step(std::size_t item) const {
    const std::vector<int>& takers = problem_.takers[item];
    const ItemState& state = now_.items[item];
    if (takers.empty() || state.where != ItemPlace::Where::loose) return false;
    if (state.site != static_cast<int>(index(problem_.outing->items[item].at.value()))) return false;
    return std::all_of(takers.begin(), takers.end(),
                       [&](int s) { return now_.step_end[static_cast<std::size_t>(s)] == -never; });
}

void Decoder::go_home() {
    const Outing& outing = *problem_.outing;
    const int home = problem_.state(problem_.airlock, 0);
    // Tools that must come back and lie outside are collected by whoever gets them home first.
    for (std::size_t round = 0; round <= outing.items.size(); ++round) {
        int best_item = -1;
        int best_crew = -1;
        int best_state = -1;
        Time best_time = never;
        for (std::size_t i = 0; i < outing.items.size(); ++i) {
            if (!outing.items[i].returns || waits_for_its_step(i)) continue;
            const ItemState& outer = now_.items[static_cast<std::size_t>(top(static_cast<int>(i)))];
            if (outer.where != ItemPlace::Where::loose || outer.site == problem_.airlock) continue;
            for (int c = 0; c < 2; ++c) {
                if (!now_.crew[static_cast<std::size_t>(c)].able) continue;
                for (int a = 0; a < static_cast<int>(problem_.anchors.size()); ++a) {
                    const int there = problem_.state(outer.site, a);
                    const Time out = way_time(c, there);
                    const Time back = problem_.ways[static_cast<std::size_t>(c)][0].time(there, home);
                    if (out >= never || back >= never) continue;
                    const Time time = now_.crew[static_cast<std::size_t>(c)].free + out + back;
                    if (time < best_time) {
                        best_time = time;
                        best_item = static_cast<int>(i);
                        best_crew = c;
                        best_state = there;
                    }
                }
            }
        }
        if (best_item < 0) break;
        const int outer = top(best_item);
        const int units = size_units(outing.items[static_cast<std::size_t>(outer)].size);
        const int carry = outing.crew[static_cast<std::size_t>(best_crew)].carry;
        if (units > carry) {
            brake(Broken::item, hopeless);
            break;
        }
        if (now_.crew[static_cast<std::size_t>(best_crew)].hand_units + units > carry) {
            if (!go(best_crew, home)) break;
            make_room(best_crew, units, -1);
            continue;
        }
        go(best_crew, best_state);
        pick_up(best_crew, outer, -1);
    }
    Time start = 0;
    for (int c = 0; c < 2; ++c) {
        if (!go(c, home)) brake(Broken::tether, hopeless);
        start = std::max(start, now_.crew[static_cast<std::size_t>(c)].free);
    }
    marks_.back() = mark();
    for (bool moved = true; moved;) {
        moved = false;
        for (const CrewState& crew : now_.crew) {
            Checks checks;
            const Time wanted = fit(crew, start, 0, checks);
            if (wanted > start) {
                start = wanted;
                moved = true;
            }
        }
    }
    for (int c = 0; c < 2; ++c) {
        CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
        Checks checks;
        fit(crew, start, 0, checks);
        commit(c, start, problem_.clean_up, Effort::light, checks);
        commit(c, start + problem_.clean_up, problem_.ingress, Effort::airlock, {});
    }
    if (!record_) return;
    note(ActivityKind::clean_up, {Lane::ev1, Lane::ev2}, start, problem_.clean_up, {outing.station.airlock});
    note(ActivityKind::ingress, {Lane::ev1, Lane::ev2}, start + problem_.clean_up, problem_.ingress,
         {outing.station.airlock});
}

}  // namespace handrail::plan::detail
