#include "plan/decoder.h"

#include <algorithm>
#include <cmath>

namespace handrail::plan::detail {
namespace {

Time seconds(Pet t) { return static_cast<Time>(since_zero(t).count()); }
/// What a thing that cannot be repaired by a little more time counts for, in seconds: more than any outing lasts.
constexpr std::int64_t hopeless = 100'000;

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
        first_items_.push_back(item);
    }
    for (std::size_t c = 0; c < 2; ++c) {
        const CrewSituation& from = now.crew[c];
        CrewState& to = first_crew_[c];
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
        for (std::size_t i = 0; i < first_items_.size(); ++i)
            if (first_items_[i].where == ItemPlace::Where::carried && first_items_[i].holder == static_cast<int>(c)) {
                to.hand_units += size_units(outing.items[i].size);
                if (outing.items[i].size >= SizeClass::large) ++to.hand_large;
            }
    }
    for (std::size_t s = 0; s < problem_.steps.size(); ++s) {
        const StepData& step = problem_.steps[s];
        if (now.steps[s] != StepStatus::done && now.steps[s] != StepStatus::running) continue;
        if (step.opens) first_open_.push_back({step.task, step.to, seconds(now.step_end[s]), never});
        if (step.close_up)
            std::erase_if(first_open_,
                          [&](const Open& open) { return open.task == step.task && open.site == step.to; });
    }
    helper_in_task_.assign(problem_.tasks.size(), 0);
    for (const StepData& step : problem_.steps)
        if (step.roles & 2) helper_in_task_[static_cast<std::size_t>(step.task)] = 1;
    own_steps_.assign(problem_.tasks.size(), {0, 0});
    for (const Unit& unit : problem_.units)
        for (int s : unit.steps) {
            const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
            if (step.roles & 1) ++own_steps_[static_cast<std::size_t>(step.task)][0];
            if (step.roles & 2) ++own_steps_[static_cast<std::size_t>(step.task)][1];
        }
    not_before_.assign(problem_.units.size(), 0);
}

Score Decoder::decode(const Sequence& sequence) {
    record_ = nullptr;
    return run(sequence);
}

Score Decoder::record(const Sequence& sequence, std::vector<Activity>& activities) {
    record_ = &activities;
    const Score score = run(sequence);
    record_ = nullptr;
    return score;
}

Score Decoder::run(const Sequence& sequence) {
    // A step that must follow another within some minutes may find its window later: then the earlier one is held back
    // and the whole order decoded again. A few rounds settle nearly every case; what is left counts as broken.
    constexpr int rounds = 12;
    std::fill(not_before_.begin(), not_before_.end(), -never);
    for (int round = 0; round < rounds; ++round) {
        may_retry_ = round + 1 < rounds;
        reset();
        if (pass(sequence)) break;
    }
    return score_;
}

void Decoder::reset() {
    const Situation& now = *problem_.situation;
    crew_ = first_crew_;
    items_ = first_items_;
    open_ = first_open_;
    score_ = Score{};
    missing_items_.clear();
    retry_ = false;
    step_start_.resize(problem_.steps.size());
    step_end_.resize(problem_.steps.size());
    task_end_.assign(problem_.tasks.size(), -never);
    task_start_.assign(problem_.tasks.size(), never);
    taken_.resize(problem_.capacity.size());
    for (auto& list : taken_) list.clear();
    sweeps_.clear();
    for (std::size_t s = 0; s < problem_.steps.size(); ++s) {
        const bool fact = now.steps[s] == StepStatus::done || now.steps[s] == StepStatus::running;
        step_start_[s] = fact ? seconds(now.step_start[s]) : -never;
        step_end_[s] = fact ? seconds(now.step_end[s]) : -never;
        if (fact) {
            Time& end = task_end_[static_cast<std::size_t>(problem_.steps[s].task)];
            end = std::max(end, step_end_[s]);
            Time& start = task_start_[static_cast<std::size_t>(problem_.steps[s].task)];
            start = std::min(start, step_start_[s]);
            for (const auto& [resource, amount] : problem_.steps[s].uses)
                taken_[static_cast<std::size_t>(resource)].push_back({step_start_[s], step_end_[s], amount});
        }
    }
    placed_.assign(problem_.units.size(), 0);
    own_steps_left_ = own_steps_;
    arm_free_ = std::max(seconds(now.arm_free_at), seconds(now.now));
    arm_site_ = static_cast<int>(index(now.arm_at));
    iv_free_ = std::max(seconds(now.iv_free_at), seconds(now.now));
    ground_free_ = std::max(seconds(now.ground_free_at), seconds(now.now));
    voice_free_ = seconds(now.now);
    for (std::size_t s = 0; s < problem_.steps.size(); ++s)
        if (problem_.steps[s].roles != 0 && now.steps[s] == StepStatus::running)
            voice_free_ = std::max(voice_free_, seconds(now.step_end[s]));
    for (std::size_t c = 0; c < 2; ++c) {
        stays_[c].clear();
        stays_[c].push_back({crew_[c].site, -never, never});
    }
    if (record_) *record_ = now.as_run;
}

bool Decoder::pass(const Sequence& sequence) {
    if (!crew_[0].outside && !crew_[0].inside_again) {
        const Time start = std::max({crew_[0].free, crew_[1].free, seconds(problem_.situation->now), 0});
        for (int c = 0; c < 2; ++c) {
            crew_[static_cast<std::size_t>(c)].checked = start;
            commit(c, start, problem_.egress, Effort::airlock, {});
            crew_[static_cast<std::size_t>(c)].checked = start + problem_.egress;
            crew_[static_cast<std::size_t>(c)].outside = true;
        }
        note(ActivityKind::egress, {Lane::ev1, Lane::ev2}, start, problem_.egress, {problem_.outing->station.airlock});
        if (start + problem_.egress > problem_.egress_by)
            brake(Broken::egress_by, start + problem_.egress - problem_.egress_by);
    }
    if (!crew_[0].inside_again) {
        for (int unit : sequence.order) {
            const Unit& data = problem_.units[static_cast<std::size_t>(unit)];
            if (!data.steps.empty() && sequence.in[static_cast<std::size_t>(data.task)]) place_unit(unit, sequence);
            if (retry_) return false;
        }
        go_home();
    }
    judge(sequence);
    return true;
}

void Decoder::place_unit(int unit, const Sequence& sequence) {
    const Unit& data = problem_.units[static_cast<std::size_t>(unit)];
    std::array<Part, 2> parts;
    if (!gather(unit, sequence, parts)) return;
    for (int s : data.steps) {
        fetch_for(s, sequence);
        const std::size_t task = static_cast<std::size_t>(problem_.steps[static_cast<std::size_t>(s)].task);
        if (sequence.gather[task] && own_steps_left_[task] == own_steps_[task]) gather_for(s, sequence);
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
        ready = std::max(ready, crew_[static_cast<std::size_t>(c)].free);
    }
    const Time start = earliest(unit, sequence, parts, std::max(ready, not_before_[static_cast<std::size_t>(unit)]));
    if (retry_) return;
    for (int c = 0; c < 2; ++c) {
        const int s = parts[static_cast<std::size_t>(c)].step;
        if (s < 0) continue;
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        const Mode mode = mode_of(s, sequence);
        const Time duration = mode.duration;
        CrewState& crew = crew_[static_cast<std::size_t>(c)];
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
            if (own_steps_left_[static_cast<std::size_t>(crew.task)][role] > 0) ++score_.interruptions;
        }
        crew.task = step.task;
        if (step.kept_rank >= 0) {
            if (step.kept_rank < crew.kept_rank) ++score_.changes;
            crew.kept_rank = std::max(crew.kept_rank, step.kept_rank);
        }
        --own_steps_left_[static_cast<std::size_t>(step.task)]
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
    placed_[static_cast<std::size_t>(unit)] = 1;
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
            const Time end = step_end_[static_cast<std::size_t>(link.before)];
            if (end > -never) start = std::max(start, end + link.gap);
        }
        for (int earlier : problem_.tasks[static_cast<std::size_t>(step.task)].after)
            if (task_end_[static_cast<std::size_t>(earlier)] > -never)
                start = std::max(start, task_end_[static_cast<std::size_t>(earlier)]);
        for (int item : step.at_hand) start = std::max(start, available(item));
        for (int item : step.takes) start = std::max(start, available(item));
        for (int item : step.moves) start = std::max(start, available(item));
        for (int item : step.stows) start = std::max(start, available(item));
        if (mode_of(s, sequence).arm) {
            const Time move = step.at >= 0 ? problem_.arm_move(arm_site_, step.at) : 0;
            start = std::max(start, arm_free_ + move);
        }
        if (step.iv) start = std::max(start, iv_free_);
        if (step.ground) start = std::max(start, ground_free_);
        if (problem_.one_voice && step.roles != 0) start = std::max(start, voice_free_);
    }
    const Time using_for = sum_uses(data, sequence);
    for (bool moved = true; moved;) {
        moved = false;
        if (using_for > 0)
            if (const Time free = room_for(start, using_for); free > start) {
                start = free;
                moved = true;
            }
        for (int s : data.steps) {
            const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
            if (!step.windowed) continue;
            const Mode mode = mode_of(s, sequence);
            const auto& ranges = *mode.starts;
            const auto range =
                std::find_if(ranges.begin(), ranges.end(), [start](const StartRange& r) { return r.to >= start; });
            if (range == ranges.end()) {
                brake(Broken::window, hopeless);
                return start;
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
            const CrewState& crew = crew_[static_cast<std::size_t>(c)];
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
            const Time end = step_end_[static_cast<std::size_t>(link.before)];
            if (link.within < 0 || end <= -never || start <= end + link.within) continue;
            const Time late = start - end - link.within;
            const int before = problem_.steps[static_cast<std::size_t>(link.before)].unit;
            if (may_retry_ && placed_[static_cast<std::size_t>(before)]) {
                not_before_[static_cast<std::size_t>(before)] =
                    step_start_[static_cast<std::size_t>(link.before)] + late;
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
    const Mode mode = mode_of(s, sequence);
    const Time duration = mode.duration;
    const Time end = start + duration;
    std::array<int, 2> crew{};
    const int count = problem_.crew_of(step, sequence.lead[task], crew);

    if (problem_.clears && mode.arm && step.at >= 0) {
        if (arm_site_ != step.at) sweeps_.push_back({start - problem_.arm_move(arm_site_, step.at), start, 0});
        unsigned riders = 0;
        for (int i = 0; i < count; ++i) riders |= 1u << crew[static_cast<std::size_t>(i)];
        if (mode.ride && step.to >= 0 && step.to != step.at) sweeps_.push_back({start, end, riders});
    }
    if (record_ && mode.arm && step.at >= 0 && arm_site_ != step.at) {
        const Time move = problem_.arm_move(arm_site_, step.at);
        note(ActivityKind::arm_move, {Lane::arm}, start - move, move,
             {static_cast<WorksiteId>(arm_site_), static_cast<WorksiteId>(step.at)});
    }
    for (const auto& [resource, amount] : step.uses)
        taken_[static_cast<std::size_t>(resource)].push_back({start, end, amount});
    if (mode.arm) {
        arm_free_ = end;
        if (step.to >= 0) arm_site_ = step.to;
    }
    if (step.iv) iv_free_ = end;
    if (step.ground) ground_free_ = end;
    if (step.roles != 0) voice_free_ = std::max(voice_free_, end);  // the longer of two that start together

    step_start_[static_cast<std::size_t>(s)] = start;
    step_end_[static_cast<std::size_t>(s)] = end;
    task_start_[task] = std::min(task_start_[task], start);
    task_end_[task] = std::max(task_end_[task], end);
    const TaskData& data = problem_.tasks[task];
    if (end > data.ends_by) brake(Broken::task_by, end - data.ends_by);

    for (int item : step.at_hand) used_until(item, end);
    for (int item : step.stows) used_until(item, end);
    for (int item : step.takes) {
        if (items_[static_cast<std::size_t>(item)].where == ItemPlace::Where::carried) continue;
        if (count > 0) into_hand(item, crew[0], end);
    }
    for (int item : step.moves) loose_at(item, step.to, end);
    for (int item : step.leaves) loose_at(item, step.to, end);
    for (int item : step.installs) {
        loose_at(item, step.to, end);
        items_[static_cast<std::size_t>(item)].where = ItemPlace::Where::installed;
    }
    for (int item : step.hands_over) {
        const int holder = items_[static_cast<std::size_t>(top(item))].holder;
        if (items_[static_cast<std::size_t>(top(item))].where == ItemPlace::Where::carried)
            into_hand(item, 1 - holder, end);
    }
    if (!step.stows.empty()) stow(step, end);
    const auto close_up_draw = [&](int member, double sign) {
        lifesupport::Amounts& sum = crew_[static_cast<std::size_t>(member)].close_up;
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
        open_.push_back({step.task, step.to, end, never});
        for (int i = 0; i < count; ++i) close_up_draw(crew[static_cast<std::size_t>(i)], 1);
    }
    if (step.close_up)
        for (Open& open : open_)
            if (open.task == step.task && open.site == step.to) open.until = end;
    if (step.close_up)
        for (CrewState& member : crew_) member.close_up = {};

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

void Decoder::judge(const Sequence& sequence) {
    for (std::size_t t = 0; t < problem_.tasks.size(); ++t) {
        const TaskData& task = problem_.tasks[t];
        if (!sequence.in[t]) {
            if (task.optional ? !task.started : problem_.owed(static_cast<int>(t), sequence.in))
                score_.missing += weight_[t];
            if (task.kept_in) ++score_.changes;
            continue;
        }
        if (problem_.keeps && !task.units.empty() && (!task.kept_in || task.kept_lead != sequence.lead[t]))
            ++score_.changes;
        if (!task.started && task_start_[t] < never && task_start_[t] > task.starts_by)
            brake(Broken::task_by, task_start_[t] - task.starts_by);
        for (int other : task.not_with)
            if (sequence.in[static_cast<std::size_t>(other)]) brake(Broken::choice, hopeless / 10);
        for (int other : task.needs)
            if (!sequence.in[static_cast<std::size_t>(other)] &&
                !problem_.tasks[static_cast<std::size_t>(other)].started)
                brake(Broken::choice, hopeless / 10);
    }
    std::int64_t over_s = 0;  // how much work too much, for the consumable that is worst off
    for (std::size_t c = 0; c < 2; ++c) {
        const CrewState& crew = crew_[c];
        score_.finish = std::max(score_.finish, crew.free);
        for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
            const double over = crew.used[i] - problem_.usable[c][i];
            if (over <= 1e-9) continue;
            const double rate = std::max(problem_.draw[c][static_cast<std::size_t>(Effort::translate)][1][i], 1e-12);
            over_s = std::max(over_s, std::min<std::int64_t>(hopeless, std::llround(std::ceil(over / rate))));
        }
    }
    score_.price = problem_.change_price * score_.changes;
    judge_demands(sequence);
    score_.paid = problem_.change_worth * score_.changes;
    if (over_s > 0) brake(Broken::consumable, over_s);
    if (score_.finish > problem_.limit) brake(Broken::limit, score_.finish - problem_.limit);
    score_.shortfall = std::max(0, score_.finish - (problem_.limit - problem_.margin));

    for (const Open& open : open_) {
        if (open.until >= never) {
            brake(Broken::open_site, hopeless);
            continue;
        }
        // Walk along the stretch; every moment of it one of the task's crew must be there.
        const int lead = sequence.lead[static_cast<std::size_t>(open.task)];
        Time covered = open.from;
        for (bool extended = true; extended && covered < open.until;) {
            extended = false;
            for (int c = 0; c < 2; ++c) {
                if (c != lead && !helper_in_task_[static_cast<std::size_t>(open.task)]) continue;
                for (const Stay& stay : stays_[static_cast<std::size_t>(c)])
                    if (stay.site == open.site && stay.from <= covered && stay.to > covered) {
                        covered = stay.to;
                        extended = true;
                    }
            }
        }
        if (covered < open.until) brake(Broken::open_site, open.until - covered + 600);
    }
    if (problem_.partner_matters) {
        // Places change only on arrival: look at each arrival of either where the other then is.
        for (std::size_t c = 0; c < 2; ++c)
            for (const Stay& stay : stays_[c]) {
                if (stay.from <= -never) continue;
                int other = stays_[1 - c].front().site;
                for (const Stay& there : stays_[1 - c])
                    if (there.from <= stay.from) other = there.site;
                const Time apart =
                    problem_.partner_time[static_cast<std::size_t>(stay.site * problem_.worksites + other)];
                if (apart > problem_.partner_within) brake(Broken::partner, apart - problem_.partner_within);
            }
    }
}

void Decoder::brake(Broken what, std::int64_t amount) {
    score_.broken[static_cast<std::size_t>(what)] += amount;
    score_.violation += amount;
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
