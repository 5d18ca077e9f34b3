#include "risk/compiler.h"

/// Runs the planner's decoder once and turns what it writes down into a program. The decoder's order of placing is the
/// program's order, so that leaving a later task out changes nothing before it.
namespace handrail::risk::detail {

float Compiler::excess(int crew, Effort effort) const {
    const auto c = static_cast<Crew>(crew);
    return static_cast<float>(lifesupport::metabolic_rate(outing_.rules, outing_.person(c), effort).value() -
                              lifesupport::metabolic_rate(outing_.rules, outing_.person(c), Effort::rest).value());
}

int Compiler::new_end(float planned) {
    program_.planned_end.push_back(planned);
    return static_cast<int>(program_.planned_end.size()) - 1;
}

void Compiler::wait(int end, float gap) {
    if (end >= 0) program_.waits.push_back({end, gap});
}

int Compiler::top(int item) const {
    while (items_[static_cast<std::size_t>(item)].bag >= 0) item = items_[static_cast<std::size_t>(item)].bag;
    return item;
}

void Compiler::wait_for_item(int item, unsigned crew) {
    for (int i = item; i >= 0; i = items_[static_cast<std::size_t>(i)].bag)
        for (std::size_t lane = 0; lane < 3; ++lane)
            if (lane == 2 || !(crew >> lane & 1u)) wait(items_[static_cast<std::size_t>(i)].end[lane]);
}

void Compiler::used(int item, unsigned crew, int end) {
    for (std::size_t lane = 0; lane < 2; ++lane)
        if (crew >> lane & 1u) items_[static_cast<std::size_t>(item)].end[lane] = end;
    if (crew == 0) items_[static_cast<std::size_t>(item)].end[2] = end;
}

Effort Compiler::effort_of(const Activity& activity, int crew) const {
    const SizeClass load = large_[static_cast<std::size_t>(crew)] > 0 ? SizeClass::large : SizeClass::small;
    return handrail::effort_of(outing_, activity, load);
}

void Compiler::begin() {
    const plan::Situation& now = *problem_.situation;
    for (std::size_t c = 0; c < 2; ++c) {
        const auto& crew = now.crew[c];
        state_.free[c] = std::max(seconds(crew.free_at), crew.outside ? 0.0f : std::max(0.0f, ground_.now));
        state_.checked[c] = seconds(crew.checked_at);
        state_.heavy[c] = seconds(crew.heavy);
        state_.heavy_until[c] = seconds(crew.heavy_until);
        site_[c] = static_cast<int>(index(crew.at));
        anchor_[c] = problem_.anchor_index(crew.anchor);
        if (crew.outside || crew.inside_again) program_.outside = true;
    }
    state_.arm = std::max(seconds(now.arm_free_at), ground_.now);
    state_.iv = std::max(seconds(now.iv_free_at), ground_.now);
    state_.ground = std::max(seconds(now.ground_free_at), ground_.now);
    state_.voice = ground_.now;
    for (std::size_t i = 0; i < now.items.size(); ++i) {
        ItemTrack track;
        carried_.push_back(0);
        if (now.items[i].where == plan::ItemPlace::Where::in_bag) track.bag = static_cast<int>(index(now.items[i].bag));
        if (now.items[i].where == plan::ItemPlace::Where::carried) {
            carried_.back() = static_cast<std::uint8_t>(1 + index(now.items[i].carrier));
            if (outing_.items[i].size >= SizeClass::large) ++large_[index(now.items[i].carrier)];
        }
        items_.push_back(track);
    }
    step_end_.assign(outing_.steps.size(), -1);
    placed_.assign(outing_.steps.size(), 0);
    for (std::size_t s = 0; s < outing_.steps.size(); ++s) {
        const StepData& step = problem_.steps[s];
        if (now.steps[s] != plan::StepStatus::done && now.steps[s] != plan::StepStatus::running) continue;
        placed_[s] = 1;
        step_end_[s] = new_end(seconds(now.step_end[s]));
        if (step.opens) open_.push_back({step.task, step.to});
        if (step.close_up)
            std::erase_if(open_, [&](const Open& open) { return open.task == step.task && open.site == step.to; });
        if (now.steps[s] != plan::StepStatus::running) continue;
        Program::Running running;
        const Crew lead = now.lead[static_cast<std::size_t>(step.task)].value_or(Crew::ev1);
        running.draw = ground_.model->step(outing_.steps[s], lead);
        running.start = seconds(now.step_start[s]);
        running.crew = running.draw.mask;
        running.arm = step.arm;
        running.iv = step.iv;
        running.ground = step.ground;
        running.end = step_end_[s];
        // The factors of person and day are taken as one here: what has passed says little about them yet.
        const float passed = std::max(0.0f, ground_.now - running.start);
        double low = 0;
        double high = 1;
        for (int i = 0; i < 40; ++i) {
            const double middle = (low + high) / 2;
            const float at =
                running.draw.offset +
                running.draw.scale * QuantileTable::look_up(running.draw.table, QuantileTable::bits_of(middle));
            (at <= passed ? low : high) = middle;
        }
        running.outlived = low;
        program_.running.push_back(running);
    }
    program_.begin = state_;
    before_ = state_;
    site_before_ = site_;
    anchor_before_ = anchor_;
}

/// Moves the planned state past a solo activity.
void Compiler::settle(const Activity& activity) {
    for (int c = 0; c < 2; ++c) {
        if (!activity.on(lane_of(static_cast<Crew>(c)))) continue;
        const std::size_t k = static_cast<std::size_t>(c);
        state_.excess[k] += excess(c, effort_of(activity, c)) * seconds(activity.duration);
        if (activity.kind != ActivityKind::rest) state_.free[k] = seconds(activity.end());
        if (activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::egress)
            state_.checked[k] = seconds(activity.end());
        if (activity.kind == ActivityKind::translate) site_[k] = static_cast<int>(index(activity.path.back()));
        if (activity.kind == ActivityKind::tether_swap) anchor_[k] = problem_.anchor_index(activity.path.back());
        for (ItemId id : activity.items) {
            const bool large = outing_.item(id).size >= SizeClass::large;
            if (activity.kind == ActivityKind::pick_up) {
                carried_[index(id)] = static_cast<std::uint8_t>(1 + c);
                items_[index(id)].bag = -1;
                if (large) ++large_[k];
            } else {
                carried_[index(id)] = 0;
                items_[index(id)].bag = -1;
                if (large) --large_[k];
            }
        }
    }
}

/// One translation, swap, pick-up or put-down; `unit_step` is the step it leads to, -1 for the way home.
void Compiler::solo(const Activity& activity, int unit_step) {
    const Crew crew = activity.on(Lane::ev1) ? Crew::ev1 : Crew::ev2;
    const int c = static_cast<int>(index(crew));
    if (activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::rest) {
        settle(activity);
        return;  // the replay puts these in by the clock
    }
    const Slots& slots = ground_.model->slots();
    int slot = slots.home[index(crew)];
    if (unit_step >= 0) {
        const auto& ways = slots.way[static_cast<std::size_t>(unit_step)];
        slot = ways[static_cast<std::size_t>(role_of(unit_step, c))];
        // The partner puts something down for a step that is not theirs.
        if (slot == no_slot) slot = ways[0] != no_slot ? ways[0] : ways[1];
        if (slot == no_slot) slot = slots.home[index(crew)];
    }
    const bool moving = activity.kind == ActivityKind::translate;
    Node node;
    node.op = Op::solo;
    node.kind = activity.kind;
    node.crew = static_cast<std::uint8_t>(c);
    node.draw = ground_.model->way(
        activity.duration, moving ? ground_.model->risk().translation : ground_.model->risk().handling, slot, crew);
    node.planned = seconds(activity.duration);
    node.excess = excess(c, effort_of(activity, c));
    node.waits.first = static_cast<int>(program_.waits.size());
    for (ItemId id : activity.items) wait_for_item(static_cast<int>(index(id)), 1u << c);
    node.waits.last = static_cast<int>(program_.waits.size());
    settle(activity);
    worked(1u << c, node.draw, node.planned);
    if (!activity.items.empty()) {
        node.end = new_end(seconds(activity.end()));
        for (ItemId id : activity.items) used(static_cast<int>(index(id)), 1u << c, node.end);
    }
    program_.nodes.push_back(node);
}

void Compiler::settle_step(const Activity& activity) {
    const std::size_t s = index(*activity.step);
    const StepData& step = problem_.steps[s];
    const float end = seconds(activity.end());
    unsigned crew = 0;
    for (int c = 0; c < 2; ++c) {
        if (!activity.on(lane_of(static_cast<Crew>(c)))) continue;
        const auto k = static_cast<std::size_t>(c);
        crew |= 1u << c;
        state_.excess[k] += excess(c, step.effort) * seconds(activity.duration);
        if (step.heavy) {
            if (seconds(activity.start) - state_.heavy_until[k] >= ground_.rest) state_.heavy[k] = 0;
            state_.heavy[k] += seconds(activity.duration);
            state_.heavy_until[k] = end;
        }
        state_.free[k] = end;
        last_step_[k] = static_cast<int>(s);
        if (step.to >= 0 && step.to != step.at) {
            site_[k] = step.to;
            if (problem_.tether_m(anchor_[k], step.to) > problem_.reach_m)
                anchor_[k] = problem_.anchor_index(static_cast<WorksiteId>(step.to));
        }
    }
    if (step.arm) state_.arm = end;
    if (step.iv) state_.iv = end;
    if (step.ground) state_.ground = end;
    if (step.roles != 0) state_.voice = end;
    const int slot = step_end_[s];
    for (int item : step.at_hand) {
        used(item, crew, slot);
        used(top(item), crew, slot);
    }
    const auto let_go = [&](int item) {
        auto& carrier = carried_[static_cast<std::size_t>(item)];
        if (carrier > 0 && outing_.items[static_cast<std::size_t>(item)].size >= SizeClass::large)
            --large_[static_cast<std::size_t>(carrier - 1)];
        carrier = 0;
        items_[static_cast<std::size_t>(item)].bag = -1;
        used(item, crew, slot);
    };
    for (int item : step.takes) {
        if (carried_[static_cast<std::size_t>(item)] > 0 || crew == 0) continue;
        let_go(item);
        const auto holder =
            static_cast<std::uint8_t>(sequence_.lead[task_of(static_cast<int>(s))] ^ ((step.roles & 1) ? 0 : 1));
        carried_[static_cast<std::size_t>(item)] = static_cast<std::uint8_t>(1 + holder);
        if (outing_.items[static_cast<std::size_t>(item)].size >= SizeClass::large) ++large_[holder];
    }
    for (const auto* list : {&step.moves, &step.leaves, &step.installs})
        for (int item : *list) let_go(item);
    if (step.opens) open_.push_back({step.task, step.to});
    if (step.close_up)
        std::erase_if(open_, [&](const Open& open) { return open.task == step.task && open.site == step.to; });
    placed_[s] = 1;
}

/// Whether later steps of the task are still in the plan and are more than closing up.
bool Compiler::rest_droppable(const StepData& step, int number) const {
    const auto& task_steps = outing_.tasks[static_cast<std::size_t>(step.task)].steps;
    for (std::size_t i = static_cast<std::size_t>(number) + 1; i < task_steps.size(); ++i) {
        const StepData& later = problem_.steps[index(task_steps[i])];
        const auto& unit_steps = problem_.units[static_cast<std::size_t>(later.unit)].steps;
        const bool there =
            std::find(unit_steps.begin(), unit_steps.end(), static_cast<int>(index(task_steps[i]))) != unit_steps.end();
        if (there && !later.close_up) return true;
    }
    return false;
}

Range Compiler::troubles_of(std::size_t step) {
    Range range;
    range.first = static_cast<int>(program_.troubles.size());
    const Slots& slots = ground_.model->slots();
    for (std::size_t i = 0; i < slots.troubles_of[step].size(); ++i) {
        const std::size_t t = slots.troubles_of[step][i];
        const Trouble& trouble = ground_.model->risk().troubles[t];
        TroubleAt at;
        at.slot = slots.step_trouble[step][i];
        at.below = static_cast<std::uint32_t>(std::min(trouble.probability.value() * 0x1.0p32, 0x1.0p32 - 1));
        at.table = ground_.model->extra(t).data();
        at.offset = seconds(trouble.extra.low);
        at.scale = seconds(trouble.extra.high) - at.offset;
        for (int c = 0; c < 2; ++c) at.excess[static_cast<std::size_t>(c)] = excess(c, trouble.effort);
        at.gives_up = trouble.kind == Trouble::Kind::lost;
        program_.troubles.push_back(at);
    }
    range.last = static_cast<int>(program_.troubles.size());
    return range;
}

/// One step of a unit, and what it waits for.
Part Compiler::part_of(const Activity& activity) {
    const auto s = index(*activity.step);
    const StepData& step = problem_.steps[s];
    const auto lead = static_cast<Crew>(sequence_.lead[static_cast<std::size_t>(step.task)]);
    const auto& task_steps = outing_.tasks[static_cast<std::size_t>(step.task)].steps;
    Part part;
    part.step = static_cast<int>(s);
    part.task = step.task;
    part.number =
        static_cast<int>(std::find(task_steps.begin(), task_steps.end(), static_cast<StepId>(s)) - task_steps.begin());
    part.rest_droppable = rest_droppable(step, part.number);
    part.arm = step.arm;
    part.iv = step.iv;
    part.ground = step.ground;
    part.heavy = step.heavy;
    part.close_up = step.close_up;
    part.draw = ground_.model->step(outing_.steps[s], lead);
    part.crew = part.draw.mask;
    part.planned = seconds(activity.duration);
    for (int c = 0; c < 2; ++c) part.excess[static_cast<std::size_t>(c)] = excess(c, step.effort);
    part.starts.first = static_cast<int>(program_.starts.size());
    // A pinned step waits for its time as for a window, and is begun late rather than not at all.
    if (step.windowed && !step.close_up) {
        for (plan::detail::StartRange range : step.starts[index(lead)]) {
            range.from = std::max(range.from, step.pin_from);
            if (range.from <= range.to) program_.starts.push_back(range);
        }
    } else if (step.pin_from > 0) {
        program_.starts.push_back({step.pin_from, plan::detail::never});
    }
    part.starts.last = static_cast<int>(program_.starts.size());
    part.troubles = troubles_of(s);
    for (int l : problem_.links_into[s]) {
        const Link& link = problem_.links[static_cast<std::size_t>(l)];
        wait(step_end_[static_cast<std::size_t>(link.before)], static_cast<float>(link.gap));
    }
    for (int earlier : problem_.tasks[static_cast<std::size_t>(step.task)].after)
        for (StepId other : outing_.tasks[static_cast<std::size_t>(earlier)].steps) wait(step_end_[index(other)]);
    for (const auto* list : {&step.at_hand, &step.takes, &step.moves})
        for (int item : *list) wait_for_item(item, part.crew);
    return part;
}

/// The steps of a unit as one node.
Node Compiler::unit_of(const std::vector<const Activity*>& steps) {
    Node node;
    node.op = Op::unit;
    node.floor = ground_.now;
    node.parts.first = static_cast<int>(program_.parts.size());
    node.waits.first = static_cast<int>(program_.waits.size());
    int crew_count = 0;
    for (const Activity* activity : steps) {
        program_.parts.push_back(part_of(*activity));
        const Part& part = program_.parts.back();
        crew_count += (part.crew & 1) + (part.crew >> 1 & 1);
        if (!part.starts.empty()) node.alone = false;
        // A step that another must follow within some minutes, in a window of its own, was held back for it by the
        // planner.
        for (const Link& link : problem_.links)
            if (link.within >= 0 && link.before == part.step &&
                problem_.steps[static_cast<std::size_t>(link.after)].windowed)
                node.floor = std::max(node.floor, seconds(activity->start));
    }
    if (crew_count > 1) node.alone = false;
    node.parts.last = static_cast<int>(program_.parts.size());
    // Waiting for the same end twice adds nothing.
    const auto first = program_.waits.begin() + node.waits.first;
    std::sort(first, program_.waits.end(),
              [](const Wait& a, const Wait& b) { return a.end != b.end ? a.end < b.end : a.gap > b.gap; });
    program_.waits.erase(
        std::unique(first, program_.waits.end(), [](const Wait& a, const Wait& b) { return a.end == b.end; }),
        program_.waits.end());
    node.waits.last = static_cast<int>(program_.waits.size());

    for (std::size_t i = 0; i < steps.size(); ++i) {
        Part& part = program_.parts[static_cast<std::size_t>(node.parts.first) + i];
        const StepData& step = problem_.steps[static_cast<std::size_t>(part.step)];
        if (part.arm) {
            if (step.at >= 0) part.arm_move = static_cast<float>(problem_.arm_move(arm_site_, step.at));
            if (step.to >= 0) arm_site_ = step.to;
        }
        part.end = new_end(seconds(steps[i]->end()));
        step_end_[static_cast<std::size_t>(part.step)] = part.end;
    }
    return node;
}

void Compiler::place(const std::vector<const Activity*>& approach, const std::vector<const Activity*>& steps) {
    Decision decision = decide(problem_.steps[index(*steps.front()->step)].unit, approach, steps);
    // Each approach leads to the step of its own crew member.
    for (const Activity* activity : approach) {
        int leads_to = static_cast<int>(index(*steps.front()->step));
        for (const Activity* step : steps)
            if (activity->on(Lane::ev1) ? step->on(Lane::ev1) : step->on(Lane::ev2))
                leads_to = static_cast<int>(index(*step->step));
        solo(*activity, leads_to);
    }
    const Node node = unit_of(steps);
    program_.nodes.push_back(node);
    for (const Activity* activity : steps) settle_step(*activity);
    for (int p = node.parts.first; p < node.parts.last; ++p) {
        const Part& part = program_.parts[static_cast<std::size_t>(p)];
        worked(part.crew, part.draw, part.planned);
    }
    if (decision.crew != 0) {
        finish_decision(decision, approach, steps);
        program_.nodes[static_cast<std::size_t>(decision.node)].decision = static_cast<int>(program_.decisions.size());
        program_.decisions.push_back(decision);
    }
    before_ = state_;
    site_before_ = site_;
    anchor_before_ = anchor_;
}

void Compiler::home(const std::vector<const Activity*>& approach) {
    program_.before_home = before_;
    program_.home_node = static_cast<int>(program_.nodes.size());
    for (const Activity* activity : approach) solo(*activity, -1);
    Node node;
    node.op = Op::home;
    program_.nodes.push_back(node);
}

void Compiler::outcomes() {
    const std::size_t tasks = outing_.tasks.size();
    const auto& now = *problem_.situation;
    std::vector<std::vector<StepId>> missing(tasks);
    std::vector<std::size_t> left(tasks, 0);
    std::vector<std::uint8_t> placed(outing_.steps.size(), 0);
    for (const Step& step : outing_.steps) {
        const auto status = now.steps[index(step.id)];
        if (status == plan::StepStatus::done || status == plan::StepStatus::running)
            placed[index(step.id)] = 1;
        else
            ++left[index(step.task)];
    }
    const auto row = [&] {
        std::vector<std::uint8_t> done(tasks, 0);
        float value = 0;
        std::uint8_t required = 1;
        for (std::size_t t = 0; t < tasks; ++t) {
            done[t] = left[t] == 0 ? 1 : 0;
            if (outing_.tasks[t].task_class != TaskClass::required && done[t])
                value += static_cast<float>(outing_.tasks[t].value);
        }
        for (std::size_t t = 0; t < tasks; ++t) {
            if (outing_.tasks[t].task_class != TaskClass::required || done[t]) continue;
            const auto& others = outing_.tasks[t].instead_of;
            required = required && std::ranges::any_of(others, [&](TaskId other) { return done[index(other)] != 0; });
        }
        program_.done.push_back(std::move(done));
        program_.value.push_back(value);
        program_.required.push_back(required);
    };
    for (const Node& node : program_.nodes) {
        if (node.decision >= 0) row();
        if (node.op != Op::unit) continue;
        for (int p = node.parts.first; p < node.parts.last; ++p) {
            const Part& part = program_.parts[static_cast<std::size_t>(p)];
            if (!placed[static_cast<std::size_t>(part.step)]) --left[static_cast<std::size_t>(part.task)];
            placed[static_cast<std::size_t>(part.step)] = 1;
        }
    }
    row();
}

Program Compiler::run() {
    begin();
    arm_site_ = static_cast<int>(index(problem_.situation->arm_at));
    std::vector<Activity> activities;
    Decoder decoder(problem_);
    const plan::detail::Score score = decoder.record(sequence_, activities);
    program_.planned_finish = static_cast<float>(score.finish);
    if (!decoder.missing_items().empty()) program_.left_item_step = decoder.missing_items().front().step;

    std::vector<const Activity*> approach;
    std::vector<const Activity*> steps;
    for (std::size_t i = problem_.situation->as_run.size(); i < activities.size(); ++i) {
        const Activity& activity = activities[i];
        switch (activity.kind) {
            case ActivityKind::egress: {
                Node node;
                node.op = Op::egress;
                node.planned = seconds(activity.duration);
                node.draw = ground_.model->airlock(activity.duration, ground_.model->slots().egress);
                program_.nodes.push_back(node);
                settle(activity);
                before_ = state_;
                break;
            }
            case ActivityKind::arm_move:
            case ActivityKind::ingress:
                break;
            case ActivityKind::clean_up:
                home(approach);
                break;
            case ActivityKind::step: {
                steps.push_back(&activity);
                const auto& unit =
                    problem_.units[static_cast<std::size_t>(problem_.steps[index(*activity.step)].unit)].steps;
                if (steps.size() < unit.size()) break;
                place(approach, steps);
                approach.clear();
                steps.clear();
                break;
            }
            case ActivityKind::translate:
            case ActivityKind::tether_swap:
            case ActivityKind::pick_up:
            case ActivityKind::put_down:
            case ActivityKind::glove_check:
            case ActivityKind::rest:
                approach.push_back(&activity);
                break;
        }
    }
    // How long a whole task keeps people, from its decision to its last end and home: an optional one is not begun when
    // that does not fit any more.
    for (Decision& decision : program_.decisions) {
        if (!decision.first) continue;
        float last_end = 0;
        for (const Part& part : program_.parts)
            if (part.task == decision.task)
                last_end = std::max(last_end, program_.planned_end[static_cast<std::size_t>(part.end)]);
        float slack = never;
        for (const Decision& other : program_.decisions)
            if (other.task == decision.task) slack = std::min(slack, other.latest_start - other.planned_start);
        decision.latest_whole = decision.planned + slack;
        const auto& data = problem_.tasks[static_cast<std::size_t>(decision.task)];
        if (data.starts_by < plan::detail::never)
            decision.latest_whole = std::min(decision.latest_whole, static_cast<float>(data.starts_by) -
                                                                        (decision.planned_start - decision.planned));
        if (data.ends_by < plan::detail::never)
            decision.latest_whole =
                std::min(decision.latest_whole, static_cast<float>(data.ends_by) - (last_end - decision.planned));
    }
    outcomes();
    return std::move(program_);
}

namespace {

/// The problem in which each task keeps the steps `kept` says; `sequence` loses the tasks of which nothing is left.
void reduce(const Problem& problem, const Kept& kept, Sequence& sequence, Problem& less) {
    less.units = problem.units;
    const Outing& outing = *problem.outing;
    for (std::size_t t = 0; t < kept.size(); ++t) {
        if (kept[t] == all_steps) continue;
        const auto& steps = outing.tasks[t].steps;
        const auto stays = [&](int s) {
            const StepData& step = problem.steps[static_cast<std::size_t>(s)];
            if (step.task != static_cast<int>(t)) return true;
            const auto place = std::find(steps.begin(), steps.end(), static_cast<StepId>(s)) - steps.begin();
            if (place < kept[t]) return true;
            if (!step.close_up) return false;
            // A close-up stays when something kept (or already done) has opened its worksite.
            for (std::size_t i = 0; i < steps.size(); ++i) {
                const StepData& other = problem.steps[index(steps[i])];
                const auto status = problem.situation->steps[index(steps[i])];
                const bool happens = status == plan::StepStatus::done || status == plan::StepStatus::running ||
                                     (status == plan::StepStatus::to_do && static_cast<int>(i) < kept[t]);
                if (other.opens && other.to == step.to && happens) return true;
            }
            return false;
        };
        bool anything = false;
        for (int u : less.tasks[t].units) {
            auto& unit = less.units[static_cast<std::size_t>(u)].steps;
            std::erase_if(unit, [&](int s) { return !stays(s); });
            anything = anything || !unit.empty();
        }
        // Steps of this task inside another task's unit (they start together).
        for (Unit& unit : less.units) std::erase_if(unit.steps, [&](int s) { return !stays(s); });
        if (!anything && !problem.tasks[t].started) sequence.in[t] = 0;
    }
    for (std::size_t u = 0; u < less.units.size(); ++u) {
        Unit& unit = less.units[u];
        if (!unit.steps.empty()) unit.task = less.steps[static_cast<std::size_t>(unit.steps.front())].task;
    }
}

}  // namespace

bool same_until(const Program& a, const Program& b, int node) {
    const auto count = static_cast<std::size_t>(node);
    if (a.nodes.size() < count || b.nodes.size() < count) return false;
    for (std::size_t i = 0; i < count; ++i) {
        const Node& x = a.nodes[i];
        const Node& y = b.nodes[i];
        if (x.op != y.op || x.crew != y.crew || x.planned != y.planned || x.draw.slot != y.draw.slot ||
            x.end != y.end || x.floor != y.floor || x.parts.first != y.parts.first || x.parts.last != y.parts.last)
            return false;
        for (int p = x.parts.first; p < x.parts.last; ++p) {
            const Part& left = a.parts[static_cast<std::size_t>(p)];
            const Part& right = b.parts[static_cast<std::size_t>(p)];
            if (left.step != right.step || left.crew != right.crew || left.end != right.end) return false;
        }
    }
    return true;
}

Program compile(const Ground& ground, const Sequence& sequence, const Kept& kept, Problem& less) {
    Kept wanted = kept;
    // A step whose item a dropped task should have brought cannot be done either: its task ends before it.
    for (std::size_t round = 0;; ++round) {
        Sequence left = sequence;
        reduce(*ground.problem, wanted, left, less);
        Program program = Compiler(ground, less, left, wanted).run();
        program.kept = kept;
        if (program.left_item_step < 0 || round > wanted.size() * 8) return program;
        const StepData& step = less.steps[static_cast<std::size_t>(program.left_item_step)];
        const auto& steps = ground.problem->outing->tasks[static_cast<std::size_t>(step.task)].steps;
        const auto number = static_cast<std::uint8_t>(
            std::find(steps.begin(), steps.end(), static_cast<StepId>(program.left_item_step)) - steps.begin());
        auto& keeps = wanted[static_cast<std::size_t>(step.task)];
        if (step.close_up || keeps <= number) return program;
        keeps = number;
    }
}

}  // namespace handrail::risk::detail
