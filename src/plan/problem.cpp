#include "plan/problem.h"

#include <algorithm>
#include <limits>
#include <numeric>

#include "plan/relax.h"

namespace handrail::plan::detail {
namespace {

Time seconds(Seconds s) { return static_cast<Time>(s.count()); }
Time seconds(Pet t) { return static_cast<Time>(since_zero(t).count()); }

/// Shortest route length between all worksites (Floyd-Warshall), any load.
std::vector<double> route_lengths(const Station& station) {
    const std::size_t n = station.worksites.size();
    std::vector<double> length(n * n, std::numeric_limits<double>::infinity());
    for (std::size_t i = 0; i < n; ++i) length[i * n + i] = 0;
    for (const Route& route : station.routes) {
        const std::size_t a = index(route.a);
        const std::size_t b = index(route.b);
        length[a * n + b] = length[b * n + a] = std::min(length[a * n + b], route.length.value());
    }
    for (std::size_t k = 0; k < n; ++k)
        for (std::size_t i = 0; i < n; ++i)
            for (std::size_t j = 0; j < n; ++j)
                length[i * n + j] = std::min(length[i * n + j], length[i * n + k] + length[k * n + j]);
    return length;
}

/// Quickest translation between all worksites for the slower of the two, tether left aside (docs/rules.md, `partner`).
std::vector<Time> partner_times(const Outing& outing) {
    const std::size_t n = outing.station.worksites.size();
    std::vector<Time> time(n * n, never);
    for (std::size_t i = 0; i < n; ++i) time[i * n + i] = 0;
    for (const Route& route : outing.station.routes) {
        Time slower = 0;
        for (Crew c : both_crew)
            slower =
                std::max(slower, seconds(translation_time(outing.rules, outing.person(c), route, SizeClass::small)));
        const std::size_t a = index(route.a);
        const std::size_t b = index(route.b);
        time[a * n + b] = time[b * n + a] = std::min(time[a * n + b], slower);
    }
    for (std::size_t k = 0; k < n; ++k)
        for (std::size_t i = 0; i < n; ++i)
            for (std::size_t j = 0; j < n; ++j)
                time[i * n + j] = std::min(time[i * n + j], std::min(never, time[i * n + k] + time[k * n + j]));
    return time;
}

std::vector<int> indices(const std::vector<ItemId>& items) {
    std::vector<int> list;
    for (ItemId item : items) list.push_back(static_cast<int>(index(item)));
    return list;
}

std::vector<int> indices(const std::vector<TaskId>& tasks) {
    std::vector<int> list;
    for (TaskId task : tasks) list.push_back(static_cast<int>(index(task)));
    return list;
}

bool heavy_effort(Effort effort) { return effort == Effort::tools || effort == Effort::forced; }

/// Joins the steps that start together (union-find, smallest step leads).
class Together {
public:
    explicit Together(std::size_t n) : parent_(n) { std::iota(parent_.begin(), parent_.end(), 0); }
    int find(int i) {
        while (parent_[static_cast<std::size_t>(i)] != i) i = parent_[static_cast<std::size_t>(i)];
        return i;
    }
    void join(int a, int b) {
        a = find(a);
        b = find(b);
        parent_[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
    }

private:
    std::vector<int> parent_;
};

}  // namespace

std::vector<StartRange> allowed_starts(const std::vector<std::vector<Window>>& during,
                                       const std::vector<std::vector<Window>>& not_during, Time duration) {
    std::vector<StartRange> ranges{{-never, never}};
    for (const auto& list : during) {
        std::vector<StartRange> cut;
        for (const StartRange& range : ranges)
            for (const Window& window : list) {
                const Time from = std::max<Time>(
                    range.from,
                    static_cast<Time>(std::chrono::ceil<Seconds>(window.from().time_since_epoch()).count()));
                const Time to = std::min(range.to, seconds(window.to()) - duration);
                if (from <= to) cut.push_back({from, to});
            }
        std::sort(cut.begin(), cut.end(), [](const StartRange& a, const StartRange& b) { return a.from < b.from; });
        ranges = std::move(cut);
    }
    for (const auto& list : not_during)
        for (const Window& window : list) {
            std::vector<StartRange> cut;
            const Time last_before = seconds(window.from()) - duration;
            const Time first_after =
                static_cast<Time>(std::chrono::ceil<Seconds>(window.to().time_since_epoch()).count());
            for (const StartRange& range : ranges) {
                if (range.from <= std::min(range.to, last_before))
                    cut.push_back({range.from, std::min(range.to, last_before)});
                if (std::max(range.from, first_after) <= range.to)
                    cut.push_back({std::max(range.from, first_after), range.to});
            }
            ranges = std::move(cut);
        }
    return ranges;
}

Problem::Problem(const Outing& the_outing, const WindowTable& windows, const Situation& the_situation,
                 const Freedom& freedom)
    : outing(&the_outing), situation(&the_situation) {
    const Rules& rules = outing->rules;
    limit = seconds(rules.limit);
    margin = seconds(rules.margin);
    egress = seconds(rules.egress);
    ingress = seconds(rules.ingress);
    clean_up = seconds(rules.clean_up);
    if (rules.egress_by) egress_by = seconds(*rules.egress_by);
    check_every = seconds(rules.glove_check_every);
    check = seconds(rules.glove_check);
    heavy_limit = seconds(rules.heavy_limit);
    rest = seconds(rules.rest);
    pick_up = seconds(rules.pick_up);
    swap = seconds(rules.tether_swap);
    partner_within = seconds(rules.partner_within);
    one_voice = rules.voice_loops < 2;
    reach_m = rules.tether.value();

    const auto lit = windows.of("daylight", "");
    daylight.assign(lit.begin(), lit.end());
    daylight_known = windows.knows("daylight");

    read_station(freedom);
    read_suits();
    read_steps(windows, freedom);
    read_tasks(freedom);
    read_links(freedom);
    read_spans();
    read_demands(windows);
    if (freedom.keep) read_kept(*freedom.keep);
}

void Problem::read_station(const Freedom& freedom) {
    const Station& station = outing->station;
    worksites = static_cast<int>(station.worksites.size());
    airlock = static_cast<int>(index(station.airlock));
    anchors.push_back(station.airlock);
    for (std::size_t w = 0; w < station.worksites.size(); ++w)
        if (station.worksites[w].anchor && static_cast<int>(w) != airlock)
            anchors.push_back(static_cast<WorksiteId>(w));
    length_m = route_lengths(station);
    std::vector<bool> closed(station.worksites.size(), false);
    for (const WorksiteId site : freedom.wishes.closed) closed[index(site)] = true;
    for (Crew c : both_crew) {
        ways[index(c)][0] = WayTable(*outing, c, SizeClass::medium, anchors, length_m, closed);
        ways[index(c)][1] = WayTable(*outing, c, SizeClass::large, anchors, length_m, closed);
    }
    partner_time = partner_times(*outing);
    partner_matters =
        std::any_of(partner_time.begin(), partner_time.end(), [this](Time t) { return t > partner_within; });
    const auto n = static_cast<std::size_t>(worksites);
    arm_time.assign(n * n, 0);
    if (station.arm)
        for (std::size_t a = 0; a < n; ++a)
            for (std::size_t b = 0; b < n; ++b)
                arm_time[a * n + b] =
                    seconds(arm_move_time(station, static_cast<WorksiteId>(a), static_cast<WorksiteId>(b)));
}

void Problem::read_suits() {
    for (Crew c : both_crew) {
        const std::size_t k = index(c);
        const SuitType& suit = outing->suit_of(c);
        for (std::size_t e = 0; e < effort_count; ++e) {
            const Watts rate = lifesupport::metabolic_rate(outing->rules, outing->person(c), static_cast<Effort>(e));
            draw[k][e][0] = lifesupport::draw_per_second(suit, rate, false);
            draw[k][e][1] = lifesupport::draw_per_second(suit, rate, true);
        }
        const lifesupport::Amounts full = lifesupport::capacity(suit);
        const lifesupport::Amounts kept = lifesupport::reserve(suit);
        for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) usable[k][i] = full[i] - kept[i];

        const auto& walk = draw[k][static_cast<std::size_t>(Effort::translate)][1];
        const auto& tidy = draw[k][static_cast<std::size_t>(Effort::light)][1];
        const auto& door = draw[k][static_cast<std::size_t>(Effort::airlock)][1];
        const int home = state(airlock, 0);
        const int states = worksites * static_cast<int>(anchors.size());
        for (int s = 0; s < states; ++s) {
            lifesupport::Amounts need{};
            const Time way = std::min(ways[k][0].time(s, home), limit);
            for (std::size_t i = 0; i < lifesupport::consumable_count; ++i)
                need[i] = walk[i] * way + tidy[i] * clean_up + door[i] * ingress;
            home_draw[k].push_back(need);
        }
    }
}

void Problem::read_steps(const WindowTable& windows, const Freedom& freedom) {
    const std::size_t n = outing->steps.size();
    Together together(n);
    for (const Order& order : outing->orders)
        if (order.starts_together)
            together.join(static_cast<int>(index(order.before)), static_cast<int>(index(order.after)));

    steps.resize(n);
    takers.resize(outing->items.size());
    std::vector<int> unit_of(n, -1);
    for (std::size_t s = 0; s < n; ++s) {
        const handrail::Step& step = outing->steps[s];
        StepData& data = steps[s];
        data.task = static_cast<int>(index(step.task));
        if (step.at) data.at = static_cast<int>(index(*step.at));
        data.to = step.to ? static_cast<int>(index(*step.to)) : data.at;
        for (Role role : step.who) {
            if (role == Role::lead) data.roles |= 1;
            if (role == Role::helper) data.roles |= 2;
            if (role == Role::iv) data.iv = true;
            if (role == Role::ground) data.ground = true;
            if (role == Role::arm) data.arm = true;
        }
        if (step.arm != ArmUse::none) data.arm = true;
        data.ride = step.arm == ArmUse::ride;
        data.effort = step.effort;
        data.heavy = heavy_effort(step.effort);
        data.opens = step.opens;
        data.close_up = step.close_up;
        data.needs = indices(step.needs);
        data.takes = indices(step.takes);
        data.leaves = indices(step.leaves);
        data.installs = indices(step.installs);
        data.moves = indices(step.moves);
        data.stows = indices(step.stows);
        data.hands_over = indices(step.hands_over);
        for (const auto* list : {&data.takes, &data.moves, &data.stows})
            for (const int item : *list)
                if (step.at && outing->items[static_cast<std::size_t>(item)].at == step.at)
                    takers[static_cast<std::size_t>(item)].push_back(static_cast<int>(s));
        if (step.into) data.bag = static_cast<int>(index(*step.into));
        for (const ResourceUse& use : step.uses)
            data.uses.emplace_back(static_cast<int>(index(use.resource)), use.amount);
        if (step.continues) {
            data.continues = static_cast<int>(index(*step.continues));
            steps[static_cast<std::size_t>(data.continues)].next_part = static_cast<int>(s);
            data.lets_in = indices(step.lets_in);
        }
        std::vector<int> bag;
        if (data.bag >= 0) bag.push_back(data.bag);
        for (const auto* list : {&data.leaves, &data.hands_over, &data.needs, &data.installs, &bag})
            for (int item : *list)
                if (std::find(data.at_hand.begin(), data.at_hand.end(), item) == data.at_hand.end())
                    data.at_hand.push_back(item);
        data.windowed = !step.during.empty() || !step.not_during.empty() || !quiet_conditions(*outing, step).empty();
        const std::string site = step.at ? outing->worksite(*step.at).id : std::string{};
        std::vector<std::vector<Window>> during;
        std::vector<std::vector<Window>> not_during;
        const auto list_of = [&](const std::string& condition) {
            const auto list = windows.of(condition, site);
            return std::vector<Window>(list.begin(), list.end());
        };
        for (const std::string& condition : step.during) during.push_back(list_of(condition));
        for (const std::string& condition : step.not_during) not_during.push_back(list_of(condition));
        for (Crew lead : both_crew) {
            data.duration[index(lead)] = seconds(planned_duration(*outing, step, lead));
            std::vector<std::vector<Window>> never_in = not_during;
            for (const std::string& condition : quiet_conditions(*outing, lanes_of(step, lead))) {
                const auto list = windows.of(condition, "");
                never_in.emplace_back(list.begin(), list.end());
            }
            if (data.windowed) data.starts[index(lead)] = allowed_starts(during, never_in, data.duration[index(lead)]);
            if (!step.by_hand) continue;
            data.by_hand[index(lead)] = seconds(by_hand_duration(*outing, step, lead));
            if (data.windowed)
                data.hand_starts[index(lead)] = allowed_starts(during, never_in, data.by_hand[index(lead)]);
        }
        const int leader = together.find(static_cast<int>(s));
        if (unit_of[static_cast<std::size_t>(leader)] < 0) {
            unit_of[static_cast<std::size_t>(leader)] = static_cast<int>(units.size());
            units.push_back({{}, {}, data.task});
        }
        data.unit = unit_of[static_cast<std::size_t>(leader)];
        units[static_cast<std::size_t>(data.unit)].steps.push_back(static_cast<int>(s));
    }
    for (const Wishes::Start& wish : freedom.wishes.starts) {
        StepData& step = steps[index(wish.step)];
        step.pin_from = std::max(step.pin_from, seconds(wish.from));
        step.pin_to = std::min(step.pin_to, seconds(wish.to));
    }
}

void Problem::read_tasks(const Freedom& freedom) {
    const auto named = [](const std::vector<TaskId>& list, TaskId id) {
        return std::find(list.begin(), list.end(), id) != list.end();
    };
    for (const Task& task : outing->tasks) {
        TaskData data;
        data.value = task.task_class == TaskClass::required ? 0 : task.value;
        const Wishes& asked = freedom.wishes;
        const bool demanded = named(freedom.must_do, task.id) || named(asked.must_do, task.id);
        data.optional = task.task_class != TaskClass::required && !demanded;
        if (task.lead) data.lead_allowed = {*task.lead == Crew::ev1, *task.lead == Crew::ev2};
        for (const auto* list : {&freedom.lead, &asked.lead})
            for (const auto& [bound, lead] : *list)
                if (bound == task.id) data.lead_allowed = {lead == Crew::ev1, lead == Crew::ev2};
        if (const auto& lead = situation->lead[index(task.id)])
            data.lead_allowed = {*lead == Crew::ev1, *lead == Crew::ev2};
        if (task.starts_by) data.starts_by = seconds(*task.starts_by);
        if (task.ends_by) data.ends_by = seconds(*task.ends_by);
        data.after = indices(task.after);
        data.needs = indices(task.needs);
        data.not_with = indices(task.not_with);
        data.instead_of = indices(task.instead_of);

        bool opened = false;
        for (StepId id : task.steps) {
            const StepStatus status = situation->steps[index(id)];
            if (status == StepStatus::done || status == StepStatus::running) {
                data.started = true;
                if (steps[index(id)].opens || outing->step(id).commands) opened = true;
                if (steps[index(id)].close_up || outing->step(id).releases) opened = false;
            }
        }
        const bool dropped = situation->dropped[index(task.id)] || named(freedom.leave_out, task.id) ||
                             named(asked.leave_out, task.id) || (freedom.come_in_now && !demanded);
        if (dropped && !(data.started && opened)) data.possible = false;
        if (data.started) data.optional = false;
        for (StepId id : task.steps) {
            const StepData& step = steps[index(id)];
            if (situation->steps[index(id)] != StepStatus::to_do) continue;
            if (dropped && !step.close_up && !outing->step(id).releases) continue;
            const bool needs_arm = step.arm && step.by_hand[0] < 0;
            if (needs_arm && !situation->arm_available) data.possible = false;
            for (const WorksiteId site : asked.closed)
                if (step.roles != 0 &&
                    (step.at == static_cast<int>(index(site)) || step.to == static_cast<int>(index(site))))
                    data.possible = false;
            for (Crew lead : both_crew) {
                std::array<int, 2> crew{};
                const int count = crew_of(step, static_cast<int>(index(lead)), crew);
                for (int i = 0; i < count; ++i)
                    if (!situation->crew[static_cast<std::size_t>(crew[static_cast<std::size_t>(i)])].able)
                        data.lead_allowed[index(lead)] = false;
                if (step.windowed && step.starts[index(lead)].empty() && step.hand_starts[index(lead)].empty())
                    data.lead_allowed[index(lead)] = false;
                for (const Wishes::NotBy& wish : asked.not_by)
                    if (wish.step == id && std::find(crew.begin(), crew.begin() + count,
                                                     static_cast<int>(index(wish.crew))) != crew.begin() + count)
                        data.lead_allowed[index(lead)] = false;
            }
            const int unit = step.unit;
            if (units[static_cast<std::size_t>(unit)].task == static_cast<int>(index(task.id)) &&
                std::find(data.units.begin(), data.units.end(), unit) == data.units.end())
                data.units.push_back(unit);
        }
        if (!data.lead_allowed[0] && !data.lead_allowed[1]) data.possible = false;
        tasks.push_back(std::move(data));
    }
    // A unit only keeps the steps that are still to be done and belong to tasks that may be done.
    for (Unit& unit : units)
        std::erase_if(unit.steps, [this, &named, &freedom](int s) {
            const TaskData& task = tasks[static_cast<std::size_t>(steps[static_cast<std::size_t>(s)].task)];
            const bool close_only =
                situation->dropped[static_cast<std::size_t>(steps[static_cast<std::size_t>(s)].task)] ||
                named(freedom.leave_out, static_cast<TaskId>(steps[static_cast<std::size_t>(s)].task)) ||
                named(freedom.wishes.leave_out, static_cast<TaskId>(steps[static_cast<std::size_t>(s)].task)) ||
                (freedom.come_in_now &&
                 !named(freedom.must_do, static_cast<TaskId>(steps[static_cast<std::size_t>(s)].task)));
            return situation->steps[static_cast<std::size_t>(s)] != StepStatus::to_do || !task.possible ||
                   (close_only && !steps[static_cast<std::size_t>(s)].close_up &&
                    !outing->steps[static_cast<std::size_t>(s)].releases);
        });
    for (TaskData& task : tasks) {
        if (!task.possible) task.units.clear();
        std::erase_if(task.units, [this](int u) { return units[static_cast<std::size_t>(u)].steps.empty(); });
        if (task.possible && task.optional) wanted_value += task.value;
    }
}

void Problem::read_links(const Freedom& freedom) {
    links_into.resize(steps.size());
    const auto precede = [this](int before, int after) {
        if (before == after) return;
        auto& list = units[static_cast<std::size_t>(after)].before;
        if (std::find(list.begin(), list.end(), before) == list.end()) list.push_back(before);
    };
    for (const Order& order : outing->orders) {
        const int before = static_cast<int>(index(order.before));
        const int after = static_cast<int>(index(order.after));
        if (order.starts_together) continue;
        links_into[static_cast<std::size_t>(after)].push_back(static_cast<int>(links.size()));
        links.push_back({before, after, seconds(order.gap), order.within ? seconds(*order.within) : -1});
        precede(steps[static_cast<std::size_t>(before)].unit, steps[static_cast<std::size_t>(after)].unit);
    }
    for (const Wishes::Before& wish : freedom.wishes.before) {
        int before = static_cast<int>(index(wish.first));
        while (steps[static_cast<std::size_t>(before)].next_part >= 0)
            before = steps[static_cast<std::size_t>(before)].next_part;
        const int after = static_cast<int>(index(wish.then));
        links_into[static_cast<std::size_t>(after)].push_back(static_cast<int>(links.size()));
        links.push_back({before, after, 0, -1});
        precede(steps[static_cast<std::size_t>(before)].unit, steps[static_cast<std::size_t>(after)].unit);
    }
    for (std::size_t t = 0; t < tasks.size(); ++t)
        for (int earlier : tasks[t].after)
            for (int after : tasks[t].units)
                for (int before : tasks[static_cast<std::size_t>(earlier)].units) precede(before, after);
}

void Problem::read_spans() {
    for (const TaskData& task : tasks) {
        const auto has = [this](int unit, auto&& what) {
            const Unit& data = units[static_cast<std::size_t>(unit)];
            return std::any_of(data.steps.begin(), data.steps.end(),
                               [&](int s) { return what(steps[static_cast<std::size_t>(s)]); });
        };
        const int n = static_cast<int>(task.units.size());
        std::vector<std::uint8_t> joined(task.units.size(), 0);  // unit i stays with unit i + 1
        const auto join = [&](int from, int to) {
            for (int i = from; i < to; ++i) joined[static_cast<std::size_t>(i)] = 1;
        };
        int first_arm = -1;
        int open = -1;
        for (int i = 0; i < n; ++i) {
            const int unit = task.units[static_cast<std::size_t>(i)];
            if (has(unit, [](const StepData& s) { return s.arm; })) {
                if (first_arm >= 0) join(first_arm, i);
                first_arm = i;
            }
            if (i > 0 && has(unit, [](const StepData& s) { return s.continues >= 0 && s.lets_in.empty(); }))
                join(i - 1, i);
            if (open < 0 && has(unit, [](const StepData& s) { return s.opens; })) open = i;
            if (open >= 0 && has(unit, [](const StepData& s) { return s.close_up; })) {
                join(open, i);
                open = i;
            }
        }
        for (int i = 0; i < n; ++i) {
            if (!joined[static_cast<std::size_t>(i)]) continue;
            std::vector<int> span{task.units[static_cast<std::size_t>(i)]};
            while (i < n && joined[static_cast<std::size_t>(i)])
                span.push_back(task.units[static_cast<std::size_t>(++i)]);
            for (int unit : span) units[static_cast<std::size_t>(unit)].span = static_cast<int>(spans.size());
            spans.push_back(std::move(span));
        }
    }
}

void Problem::read_demands(const WindowTable& windows) {
    for (const Resource& resource : outing->resources) capacity.push_back(resource.capacity);
    clear.assign(static_cast<std::size_t>(worksites), 0);
    if (outing->station.arm)
        for (const WorksiteId site : outing->station.arm->clears) {
            clear[index(site)] = 1;
            clears = true;
        }
    for (Crew c : both_crew) {
        const CrewMember& person = outing->person(c);
        if (person.work_limit) work_limit[index(c)] = seconds(*person.work_limit);
        if (person.heavy_total) heavy_total[index(c)] = seconds(*person.heavy_total);
    }
    for (const Preference& wish : outing->preferences) {
        WishData data;
        data.task = static_cast<int>(index(wish.task));
        if (wish.lead) data.lead = static_cast<int>(index(*wish.lead));
        if (wish.ends_by) data.ends_by = seconds(*wish.ends_by);
        if (wish.starts_after) data.starts_after = seconds(*wish.starts_after);
        data.worth = seconds(wish.worth);
        if (!wish.during.empty())
            for (const StepId id : outing->task(wish.task).steps) {
                const StepData& step = steps[index(id)];
                if (step.roles == 0) continue;
                const std::string site = step.at >= 0 ? outing->worksite(static_cast<WorksiteId>(step.at)).id : "";
                const auto list = windows.of(wish.during, site);
                std::array<std::vector<StartRange>, 2> starts;
                for (Crew lead : both_crew)
                    starts[index(lead)] = allowed_starts({{list.begin(), list.end()}}, {}, step.duration[index(lead)]);
                data.starts.emplace_back(static_cast<int>(index(id)), std::move(starts));
            }
        for (const StepId id : outing->task(wish.task).steps) {
            StepData& step = steps[index(id)];
            const bool waits = wish.starts_after || !wish.during.empty();
            if (waits && step.roles != 0 && step.by_hand[0] < 0) step.wish = static_cast<int>(wishes.size());
        }
        wishes.push_back(std::move(data));
    }
}

Time Problem::wished_start(int step, std::size_t lead, Time start) const {
    const WishData& wish = wishes[static_cast<std::size_t>(steps[static_cast<std::size_t>(step)].wish)];
    Time wished = std::max(start, wish.starts_after);
    for (const auto& [wished_step, starts] : wish.starts) {
        if (wished_step != step) continue;
        const auto range = std::find_if(starts[lead].begin(), starts[lead].end(),
                                        [wished](const StartRange& r) { return r.to >= wished; });
        if (range != starts[lead].end()) wished = std::max(wished, range->from);
    }
    return wished - start <= wish.worth ? wished : start;
}

void Problem::read_kept(const Keep& keep) {
    keeps = true;
    change_price = seconds(keep.price);
    change_worth = keep.worth;
    std::vector<const Activity*> order;
    for (const Activity& activity : keep.plan.activities)
        if (activity.step && !activity.as_run) order.push_back(&activity);
    std::stable_sort(order.begin(), order.end(),
                     [](const Activity* a, const Activity* b) { return a->start < b->start; });
    for (std::size_t i = 0; i < order.size(); ++i) {
        StepData& step = steps[index(*order[i]->step)];
        step.kept_rank = static_cast<int>(i);
        TaskData& task = tasks[static_cast<std::size_t>(step.task)];
        task.kept_in = true;
        if (const auto lead = keep.plan.lead_of(static_cast<TaskId>(step.task)))
            task.kept_lead = static_cast<int>(index(*lead));
    }
}

int Problem::anchor_index(WorksiteId site) const {
    const auto found = std::find(anchors.begin(), anchors.end(), site);
    return found == anchors.end() ? 0 : static_cast<int>(found - anchors.begin());
}

}  // namespace handrail::plan::detail
