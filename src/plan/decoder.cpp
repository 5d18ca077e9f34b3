#include "plan/decoder.h"

#include <algorithm>
#include <cmath>

namespace handrail::plan::detail {
namespace {

Time seconds(Pet t) { return static_cast<Time>(since_zero(t).count()); }

}  // namespace

bool better(const Score& a, const Score& b) {
    if (a.violation != b.violation) return a.violation < b.violation;
    if (std::abs(a.loss() - b.loss()) > 1e-9) return a.loss() < b.loss();
    if (a.shortfall != b.shortfall) return a.shortfall < b.shortfall;
    if (a.soft_finish() != b.soft_finish()) return a.soft_finish() < b.soft_finish();
    return a.idle < b.idle;
}

Decoder::Decoder(const Problem& problem) : problem_(problem) {
    const Outing& outing = *problem_.outing;
    const Situation& now = *problem_.situation;
    double all = 0;
    for (const Task& task : outing.tasks) all += std::max(task.value, 0.0);
    for (const TaskData& task : problem_.tasks) weight_.push_back(task.optional ? task.value : 1000 * (all + 1));
    for (const Window& window : problem_.daylight)
        daylight_ms_.emplace_back(window.from().time_since_epoch().count(), window.to().time_since_epoch().count());

    for (const ItemPlace& place : now.items) {
        ItemState item;
        item.where = place.where;
        item.site = static_cast<int>(index(place.site));
        if (place.where == ItemPlace::Where::in_bag) item.holder = static_cast<int>(index(place.bag));
        if (place.where == ItemPlace::Where::carried) item.holder = static_cast<int>(index(place.carrier));
        first_.items.push_back(item);
    }
    for (std::size_t c = 0; c < 2; ++c) {
        const CrewSituation& from = now.crew[c];
        CrewState& to = first_.crew[c];
        to.free = std::max(seconds(from.free_at), from.outside ? 0 : std::max(0, seconds(now.now)));
        to.site = static_cast<int>(index(from.at));
        to.anchor = problem_.anchor_index(from.anchor);
        to.checked = seconds(from.checked_at);
        to.heavy = static_cast<Time>(from.heavy.count());
        to.heavy_until = seconds(from.heavy_until);
        to.outside = from.outside;
        to.inside_again = from.inside_again;
        to.able = from.able;
        to.used = from.used;
        for (std::size_t i = 0; i < first_.items.size(); ++i)
            if (first_.items[i].where == ItemPlace::Where::carried && first_.items[i].holder == static_cast<int>(c)) {
                to.hand_units += size_units(outing.items[i].size);
                if (outing.items[i].size >= SizeClass::large) ++to.hand_large;
            }
    }
    for (std::size_t s = 0; s < problem_.steps.size(); ++s) {
        const StepData& step = problem_.steps[s];
        if (now.steps[s] != StepStatus::done && now.steps[s] != StepStatus::running) continue;
        if (step.opens) first_.open.push_back({step.task, step.to, seconds(now.step_end[s]), never});
        if (step.close_up)
            std::erase_if(first_.open,
                          [&](const Open& open) { return open.task == step.task && open.site == step.to; });
    }
    helper_in_task_.assign(problem_.tasks.size(), 0);
    for (const StepData& step : problem_.steps)
        if (step.roles & 2) helper_in_task_[static_cast<std::size_t>(step.task)] = 1;
    for (std::size_t s = 0; s < problem_.steps.size(); ++s)
        if (!problem_.tasks[static_cast<std::size_t>(problem_.steps[s].task)].optional)
            required_steps_.push_back(static_cast<int>(s));
    own_steps_.assign(problem_.tasks.size(), {0, 0});
    for (const Unit& unit : problem_.units) {
        std::vector<int>& tasks = tasks_of_unit_.emplace_back(1, unit.task);
        for (int s : unit.steps) {
            const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
            if (step.roles & 1) ++own_steps_[static_cast<std::size_t>(step.task)][0];
            if (step.roles & 2) ++own_steps_[static_cast<std::size_t>(step.task)][1];
            if (step.task != tasks.back()) tasks.push_back(step.task);
        }
    }
    not_before_.assign(problem_.units.size(), 0);
    differs_.assign(problem_.tasks.size(), 0);
    list_modes();
    list_work();
    set_first();
}

Score Decoder::decode(const Sequence& sequence, std::int64_t most) {
    record_ = nullptr;
    most_ = {most};
    guesses_ = false;
    return run(sequence);
}

Score Decoder::decode(const Sequence& sequence, const Most& most) {
    record_ = nullptr;
    most_ = most;
    guesses_ = true;
    return run(sequence);
}

Score Decoder::record(const Sequence& sequence, std::vector<Activity>& activities) {
    record_ = &activities;
    most_ = {no_limit};
    guesses_ = false;
    const Score score = run(sequence);
    record_ = nullptr;
    return score;
}

Score Decoder::run(const Sequence& sequence) {
    // A step that must follow another within some minutes may find its window later: then the earlier one is held back
    // and the order decoded again from there. A few rounds settle nearly every case; what is left counts as broken.
    constexpr int rounds = 12;
    std::fill(not_before_.begin(), not_before_.end(), -never);
    if (most_.violation < no_limit) count_work(sequence);
    const std::size_t common = saved_.empty() || record_ ? 0 : common_with_base(sequence);
    guesses_ = guesses_ && base_marks_.size() == base_.order.size() + 2 && comparable_with_base(sequence);
    if (guesses_) find_same_end(sequence);
    marks_.resize(sequence.order.size() + 2);
    if (!base_marks_.empty())
        std::copy_n(base_marks_.begin(), std::min(common + 1, base_marks_.size()), marks_.begin());
    std::size_t from = common;
    for (int round = 0; round < rounds; ++round) {
        may_retry_ = round + 1 < rounds;
        retry_ = false;
        const std::size_t saved = record_ ? 0 : std::min(from / stride_ + 1, saved_count_);
        if (saved > 0) {
            now_ = saved_[saved - 1];
        } else {
            if (record_) *record_ = problem_.situation->as_run;
            now_ = first_;
            go_out();
        }
        // States are saved on the part that is as in base_, and only before anything is held back.
        if (place_from(saved > 0 ? (saved - 1) * stride_ : 0, round == 0 ? common : 0, sequence)) {
            judge(sequence);
            break;
        }
        if (!retry_) {
            now_.score.violation = std::max(now_.score.violation, most_.violation + 1);
            break;
        }
        from = std::min(from, held_back_);
    }
    return now_.score;
}

void Decoder::set_first() {
    const Situation& now = *problem_.situation;
    first_.step_start.resize(problem_.steps.size());
    first_.step_end.resize(problem_.steps.size());
    first_.task_end.assign(problem_.tasks.size(), -never);
    first_.task_start.assign(problem_.tasks.size(), never);
    first_.taken.resize(problem_.capacity.size());
    for (std::size_t s = 0; s < problem_.steps.size(); ++s) {
        const bool fact = now.steps[s] == StepStatus::done || now.steps[s] == StepStatus::running;
        first_.step_start[s] = fact ? seconds(now.step_start[s]) : -never;
        first_.step_end[s] = fact ? seconds(now.step_end[s]) : -never;
        if (fact) {
            Time& end = first_.task_end[static_cast<std::size_t>(problem_.steps[s].task)];
            end = std::max(end, first_.step_end[s]);
            Time& start = first_.task_start[static_cast<std::size_t>(problem_.steps[s].task)];
            start = std::min(start, first_.step_start[s]);
            for (const auto& [resource, amount] : problem_.steps[s].uses)
                first_.taken[static_cast<std::size_t>(resource)].push_back(
                    {first_.step_start[s], first_.step_end[s], amount});
        }
    }
    first_.placed.assign(problem_.units.size(), 0);
    first_.own_steps_left = own_steps_;
    first_.arm_free = std::max(seconds(now.arm_free_at), seconds(now.now));
    first_.arm_site = static_cast<int>(index(now.arm_at));
    first_.iv_free = std::max(seconds(now.iv_free_at), seconds(now.now));
    first_.ground_free = std::max(seconds(now.ground_free_at), seconds(now.now));
    first_.voice_free = seconds(now.now);
    for (std::size_t s = 0; s < problem_.steps.size(); ++s)
        if (problem_.steps[s].roles != 0 && now.steps[s] == StepStatus::running)
            first_.voice_free = std::max(first_.voice_free, seconds(now.step_end[s]));
    for (std::size_t c = 0; c < 2; ++c) first_.stays[c].push_back({first_.crew[c].site, -never, never});
}

void Decoder::go_out() {
    if (now_.crew[0].outside || now_.crew[0].inside_again) return;
    const Time start = std::max({now_.crew[0].free, now_.crew[1].free, seconds(problem_.situation->now), 0});
    for (int c = 0; c < 2; ++c) {
        now_.crew[static_cast<std::size_t>(c)].checked = start;
        commit(c, start, problem_.egress, Effort::airlock, {});
        now_.crew[static_cast<std::size_t>(c)].checked = start + problem_.egress;
        now_.crew[static_cast<std::size_t>(c)].outside = true;
    }
    if (record_)
        note(ActivityKind::egress, {Lane::ev1, Lane::ev2}, start, problem_.egress, {problem_.outing->station.airlock});
    if (start + problem_.egress > problem_.egress_by)
        brake(Broken::egress_by, start + problem_.egress - problem_.egress_by);
}

bool Decoder::place_from(std::size_t from, std::size_t common, const Sequence& sequence) {
    if (now_.crew[0].inside_again) return true;
    for (std::size_t i = from; i < sequence.order.size(); ++i) {
        if (i == saved_count_ * stride_ && i <= common && i / stride_ < saved_.size()) saved_[saved_count_++] = now_;
        marks_[i] = mark();
        const int unit = sequence.order[i];
        const Unit& data = problem_.units[static_cast<std::size_t>(unit)];
        if (data.steps.empty() || !sequence.in[static_cast<std::size_t>(data.task)]) continue;
        place_unit(unit, sequence);
        if (retry_) return false;
        if (most_.violation < no_limit && too_much(i + 1, sequence.order.size())) return false;
    }
    marks_[sequence.order.size()] = mark();
    go_home();
    return true;
}

void Decoder::place_unit(int unit, const Sequence& sequence) {
    const Unit& data = problem_.units[static_cast<std::size_t>(unit)];
    std::array<Part, 2> parts;
    if (!gather(unit, sequence, parts)) return;
    for (int s : data.steps) {
        fetch_for(s, sequence);
        const std::size_t task = static_cast<std::size_t>(problem_.steps[static_cast<std::size_t>(s)].task);
        if (sequence.gather[task] && now_.own_steps_left[task] == own_steps_[task]) gather_for(s, sequence);
    }

    Time ready = seconds(problem_.situation->now);
    for (int c = 0; c < 2; ++c) {
        const int s = parts[static_cast<std::size_t>(c)].step;
        if (s < 0) continue;
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        if (step.at >= 0) {
            const int target = target_state(c, step, mode_of(s, sequence).ride);
            if (target < 0 || !go(c, target)) {
                brake(Broken::tether, hopeless);
                return;
            }
        }
        ready = std::max(ready, now_.crew[static_cast<std::size_t>(c)].free);
    }
    const Time start = earliest(unit, sequence, parts, std::max(ready, not_before_[static_cast<std::size_t>(unit)]));
    if (retry_) return;
    for (int c = 0; c < 2; ++c) {
        const int s = parts[static_cast<std::size_t>(c)].step;
        if (s < 0) continue;
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        const Mode& mode = mode_of(s, sequence);
        const Time duration = mode.duration;
        CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
        Checks checks;
        fit(crew, start, duration, checks);
        crew.work += duration;
        if (step.heavy) crew.heavy_work += duration;
        if (crew.part >= 0 && crew.part != s) {
            const std::vector<int>& lets_in = problem_.steps[static_cast<std::size_t>(crew.part)].lets_in;
            if (std::find(lets_in.begin(), lets_in.end(), step.task) == lets_in.end())
                brake(Broken::interrupted, duration + 60);
        }
        if (crew.part == s) crew.part = -1;
        if (step.next_part >= 0) crew.part = step.next_part;
        if (step.heavy) {
            if (start - crew.heavy_until >= problem_.rest) crew.heavy = 0;
            // What lies between the last activity and this heavy step was waited for the sake of hands: show it.
            const Time idle_from =
                checks.count > 0 ? checks.at[static_cast<std::size_t>(checks.count - 1)] + problem_.check : crew.free;
            if (record_ && crew.heavy == 0 && crew.heavy_until > 0 && start - idle_from >= problem_.rest &&
                start - crew.heavy_until < problem_.rest + 2 * problem_.check)
                note(ActivityKind::rest, {lane_of(static_cast<Crew>(c))}, start - problem_.rest, problem_.rest);
            crew.heavy += duration;
            crew.heavy_until = start + duration;
        }
        if (crew.task >= 0 && crew.task != step.task) {
            const std::size_t role = sequence.lead[static_cast<std::size_t>(crew.task)] == c ? 0 : 1;
            if (now_.own_steps_left[static_cast<std::size_t>(crew.task)][role] > 0) ++now_.score.interruptions;
        }
        crew.task = step.task;
        if (step.kept_rank >= 0) {
            if (step.kept_rank < crew.kept_rank) ++now_.score.changes;
            crew.kept_rank = std::max(crew.kept_rank, step.kept_rank);
        }
        --now_.own_steps_left[static_cast<std::size_t>(step.task)]
                             [sequence.lead[static_cast<std::size_t>(step.task)] == c ? 0 : 1];
        const bool moves_on = step.to != step.at && step.to >= 0;
        const Effort by_hand = crew.hand_large > 0 ? Effort::heavy : Effort::translate;
        commit(c, start, duration, step.ride && !mode.ride ? by_hand : step.effort, checks);
        if (moves_on) {
            leave_site(c, start);
            arrive(c, step.to, start + duration);
            if (problem_.tether_m(crew.anchor, step.to) > problem_.reach_m) {
                const int anchor = problem_.anchor_index(static_cast<WorksiteId>(step.to));
                const bool can =
                    mode.ride && problem_.anchors[static_cast<std::size_t>(anchor)] == static_cast<WorksiteId>(step.to);
                if (can)
                    crew.anchor = anchor;
                else
                    brake(Broken::tether, hopeless);
            }
        }
    }
    for (int s : data.steps) apply(s, start, sequence);
    now_.placed[static_cast<std::size_t>(unit)] = 1;
}

bool Decoder::gather(int unit, const Sequence& sequence, std::array<Part, 2>& parts) {
    for (int s : problem_.units[static_cast<std::size_t>(unit)].steps) {
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        std::array<int, 2> crew{};
        const int count = problem_.crew_of(step, sequence.lead[static_cast<std::size_t>(step.task)], crew);
        for (int i = 0; i < count; ++i) {
            Part& part = parts[static_cast<std::size_t>(crew[static_cast<std::size_t>(i)])];
            if (part.step >= 0) {
                brake(Broken::clash, hopeless);
                return false;
            }
            part.step = s;
        }
    }
    return true;
}

Time Decoder::earliest(int unit, const Sequence& sequence, const std::array<Part, 2>& parts, Time ready) {
    const Unit& data = problem_.units[static_cast<std::size_t>(unit)];
    Time start = ready;
    for (int s : data.steps) {
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        start = std::max(start, step.pin_from);
        for (int l : problem_.links_into[static_cast<std::size_t>(s)]) {
            const Link& link = problem_.links[static_cast<std::size_t>(l)];
            const Time end = now_.step_end[static_cast<std::size_t>(link.before)];
            if (end > -never) start = std::max(start, end + link.gap);
        }
        for (int earlier : problem_.tasks[static_cast<std::size_t>(step.task)].after)
            if (now_.task_end[static_cast<std::size_t>(earlier)] > -never)
                start = std::max(start, now_.task_end[static_cast<std::size_t>(earlier)]);
        for (int item : step.at_hand) start = std::max(start, available(item));
        for (int item : step.takes) start = std::max(start, available(item));
        for (int item : step.moves) start = std::max(start, available(item));
        for (int item : step.stows) start = std::max(start, available(item));
        if (mode_of(s, sequence).arm) {
            const Time move = step.at >= 0 ? problem_.arm_move(now_.arm_site, step.at) : 0;
            start = std::max(start, now_.arm_free + move);
        }
        if (step.iv) start = std::max(start, now_.iv_free);
        if (step.ground) start = std::max(start, now_.ground_free);
        if (problem_.one_voice && step.roles != 0) start = std::max(start, now_.voice_free);
    }
    const Time using_for = sum_uses(data, sequence);
    bool missed = false;
    for (bool moved = true; moved;) {
        moved = false;
        if (using_for > 0)
            if (const Time free = room_for(start, using_for); free > start) {
                start = free;
                moved = true;
            }
        for (int s : data.steps) {
            const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
            const bool waits =
                step.wish >= 0 && (sequence.by_hand.empty() || !sequence.by_hand[static_cast<std::size_t>(s)]);
            if (waits)
                if (const Time wished =
                        problem_.wished_start(s, sequence.lead[static_cast<std::size_t>(step.task)], start);
                    wished > start) {
                    start = wished;
                    moved = true;
                }
            if (!step.windowed) continue;
            const Mode& mode = mode_of(s, sequence);
            const auto& ranges = *mode.starts;
            const auto range =
                std::find_if(ranges.begin(), ranges.end(), [start](const StartRange& r) { return r.to >= start; });
            if (range == ranges.end()) {
                // What no window is left for is still done by people who check their gloves: the forecast of a day in
                // its order shows it.
                if (!missed) brake(Broken::window, hopeless);
                missed = true;
                continue;
            }
            if (range->from > start) {
                start = range->from;
                moved = true;
            }
        }
        for (int c = 0; c < 2; ++c) {
            const int s = parts[static_cast<std::size_t>(c)].step;
            if (s < 0) continue;
            const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
            const CrewState& crew = now_.crew[static_cast<std::size_t>(c)];
            const Time duration = mode_of(s, sequence).duration;
            Time wanted = start;
            if (step.heavy && crew.heavy > 0 && crew.heavy + duration > problem_.heavy_limit &&
                start - crew.heavy_until < problem_.rest)
                wanted = crew.heavy_until + problem_.rest;
            Checks checks;
            wanted = fit(crew, wanted, duration, checks);
            if (wanted > start) {
                start = wanted;
                moved = true;
            }
        }
    }
    for (int s : data.steps)
        if (const Time latest = problem_.steps[static_cast<std::size_t>(s)].pin_to; start > latest)
            brake(Broken::wish, start - latest);
    for (int s : data.steps)
        for (int l : problem_.links_into[static_cast<std::size_t>(s)]) {
            const Link& link = problem_.links[static_cast<std::size_t>(l)];
            const Time end = now_.step_end[static_cast<std::size_t>(link.before)];
            if (link.within < 0 || end <= -never || start <= end + link.within) continue;
            const Time late = start - end - link.within;
            const int before = problem_.steps[static_cast<std::size_t>(link.before)].unit;
            if (may_retry_ && now_.placed[static_cast<std::size_t>(before)]) {
                not_before_[static_cast<std::size_t>(before)] =
                    now_.step_start[static_cast<std::size_t>(link.before)] + late;
                held_back_ = static_cast<std::size_t>(std::find(sequence.order.begin(), sequence.order.end(), before) -
                                                      sequence.order.begin());
                retry_ = true;
                return start;
            }
            brake(Broken::within, late);
        }
    return start;
}

void Decoder::apply(int s, Time start, const Sequence& sequence) {
    const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
    const std::size_t task = static_cast<std::size_t>(step.task);
    const Mode& mode = mode_of(s, sequence);
    const Time duration = mode.duration;
    const Time end = start + duration;
    std::array<int, 2> crew{};
    const int count = problem_.crew_of(step, sequence.lead[task], crew);

    if (problem_.clears && mode.arm && step.at >= 0) {
        if (now_.arm_site != step.at)
            now_.sweeps.push_back({start - problem_.arm_move(now_.arm_site, step.at), start, 0});
        unsigned riders = 0;
        for (int i = 0; i < count; ++i) riders |= 1u << crew[static_cast<std::size_t>(i)];
        if (mode.ride && step.to >= 0 && step.to != step.at) now_.sweeps.push_back({start, end, riders});
    }
    if (record_ && mode.arm && step.at >= 0 && now_.arm_site != step.at) {
        const Time move = problem_.arm_move(now_.arm_site, step.at);
        note(ActivityKind::arm_move, {Lane::arm}, start - move, move,
             {static_cast<WorksiteId>(now_.arm_site), static_cast<WorksiteId>(step.at)});
    }
    for (const auto& [resource, amount] : step.uses)
        now_.taken[static_cast<std::size_t>(resource)].push_back({start, end, amount});
    if (mode.arm) {
        now_.arm_free = end;
        if (step.to >= 0) now_.arm_site = step.to;
    }
    if (step.iv) now_.iv_free = end;
    if (step.ground) now_.ground_free = end;
    if (step.roles != 0) now_.voice_free = std::max(now_.voice_free, end);  // the longer of two that start together

    now_.step_start[static_cast<std::size_t>(s)] = start;
    now_.step_end[static_cast<std::size_t>(s)] = end;
    now_.task_start[task] = std::min(now_.task_start[task], start);
    now_.task_end[task] = std::max(now_.task_end[task], end);
    const TaskData& data = problem_.tasks[task];
    if (end > data.ends_by) brake(Broken::task_by, end - data.ends_by);

    for (int item : step.at_hand) used_until(item, end);
    for (int item : step.stows) used_until(item, end);
    for (int item : step.takes) {
        if (now_.items[static_cast<std::size_t>(item)].where == ItemPlace::Where::carried) continue;
        if (count > 0) into_hand(item, crew[0], end);
    }
    for (int item : step.moves) loose_at(item, step.to, end);
    for (int item : step.leaves) loose_at(item, step.to, end);
    for (int item : step.installs) {
        loose_at(item, step.to, end);
        now_.items[static_cast<std::size_t>(item)].where = ItemPlace::Where::installed;
    }
    for (int item : step.hands_over) {
        const int holder = now_.items[static_cast<std::size_t>(top(item))].holder;
        if (now_.items[static_cast<std::size_t>(top(item))].where == ItemPlace::Where::carried)
            into_hand(item, 1 - holder, end);
    }
    if (!step.stows.empty()) stow(step, end);
    const auto close_up_draw = [&](int member, double sign) {
        lifesupport::Amounts& sum = now_.crew[static_cast<std::size_t>(member)].close_up;
        for (int other : problem_.tasks[task].units)
            for (int closing : problem_.units[static_cast<std::size_t>(other)].steps) {
                const StepData& close = problem_.steps[static_cast<std::size_t>(closing)];
                if (!close.close_up || close.task != step.task || close.to != step.to) continue;
                const auto& rate =
                    problem_.draw[static_cast<std::size_t>(member)][static_cast<std::size_t>(close.effort)][1];
                for (std::size_t i = 0; i < rate.size(); ++i)
                    sum[i] += sign * rate[i] * close.duration[sequence.lead[task]];
            }
    };
    if (step.opens) {
        now_.open.push_back({step.task, step.to, end, never});
        for (int i = 0; i < count; ++i) close_up_draw(crew[static_cast<std::size_t>(i)], 1);
    }
    if (step.close_up)
        for (Open& open : now_.open)
            if (open.task == step.task && open.site == step.to) open.until = end;
    if (step.close_up)
        for (CrewState& member : now_.crew) member.close_up = {};

    if (record_) {
        std::vector<WorksiteId> path;
        if (step.at >= 0) path.push_back(static_cast<WorksiteId>(step.at));
        if (step.to >= 0 && step.to != step.at) path.push_back(static_cast<WorksiteId>(step.to));
        Activity activity;
        activity.kind = ActivityKind::step;
        activity.lanes =
            lanes_of(problem_.outing->steps[static_cast<std::size_t>(s)], static_cast<Crew>(sequence.lead[task]));
        if (step.arm && !mode.arm) std::erase(activity.lanes, Lane::arm);
        activity.start = pet(Seconds{start});
        activity.duration = Seconds{duration};
        activity.step = static_cast<StepId>(s);
        activity.path = std::move(path);
        record_->push_back(std::move(activity));
    }
}

void Decoder::brake(Broken what, std::int64_t amount) {
    now_.score.broken[static_cast<std::size_t>(what)] += amount;
    now_.score.violation += amount;
}

void Decoder::note(ActivityKind kind, std::initializer_list<Lane> lanes, Time start, Time duration,
                   std::vector<WorksiteId> path, std::vector<ItemId> items, int step) {
    if (!record_) return;
    Activity activity;
    activity.kind = kind;
    activity.lanes = lanes;
    activity.start = pet(Seconds{start});
    activity.duration = Seconds{duration};
    activity.path = std::move(path);
    activity.items = std::move(items);
    if (step >= 0) activity.step = static_cast<StepId>(step);
    record_->push_back(std::move(activity));
}

}  // namespace handrail::plan::detail
