#include "plan/route_model.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "plan/least.h"

namespace handrail::plan::detail {
namespace {

constexpr double no_limit = std::numeric_limits<double>::infinity();
/// So many worksites the tours are computed for; any others are taken to cost no walking. 2^12 sets take some
/// milliseconds.
constexpr int most_sites = 12;
/// Tied tasks are tried in all their subsets; more than so many are taken apart (which only lets more plans in).
constexpr std::size_t most_tied = 10;

double least_rate(const Problem& problem, int crew, Effort effort, std::size_t consumable) {
    const auto& rate = problem.draw[static_cast<std::size_t>(crew)][static_cast<std::size_t>(effort)];
    return std::min(rate[0][consumable], rate[1][consumable]);
}

}  // namespace

RouteModel::RouteModel(const Problem& problem, bool required_counts)
    : choices_of(problem.tasks.size()),
      picked_for(problem.tasks.size()),
      problem_(problem),
      steps_(steps_by_task(problem)) {
    const Situation& now = *problem.situation;
    usable_ = !now.crew[0].inside_again && !now.crew[1].inside_again && now.crew[0].outside == now.crew[1].outside;
    if (!usable_) return;
    unchecked_ = longest_unchecked(problem);
    for (int c = 0; c < 2; ++c) {
        const auto k = static_cast<std::size_t>(c);
        const CrewSituation& crew = now.crew[k];
        begin_[k] = crew.outside ? static_cast<Time>(since_zero(crew.free_at).count()) : start_of_work(problem);
        walk_rate[k][0] = 1;
        for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
            walk_rate[k][1 + i] =
                std::min({least_rate(problem, c, Effort::light, i), least_rate(problem, c, Effort::translate, i),
                          least_rate(problem, c, Effort::heavy, i)});
            capacity_[k][1 + i] =
                problem.usable[k][i] - crew.used[i] - least_rate(problem, c, Effort::light, i) * problem.clean_up -
                least_rate(problem, c, Effort::airlock, i) * (problem.ingress + (crew.outside ? 0 : problem.egress));
            if (!std::isfinite(capacity_[k][1 + i])) capacity_[k][1 + i] = no_limit;
        }
    }
    read_sites();
    read_choices(earliest_home(problem, steps_), required_counts);
    read_pick_ups();
    read_ties(required_counts);
    for (int c = 0; c < 2; ++c) tour[static_cast<std::size_t>(c)] = tour_of(c);
}

double RouteModel::room(int crew, std::size_t use, Time end) const {
    const auto k = static_cast<std::size_t>(crew);
    if (use > 0) return capacity_[k][use];
    return unchecked_work(problem_, end - begin_[k] - problem_.clean_up - problem_.ingress, unchecked_);
}

double RouteModel::shared_room(std::size_t i, Time end) const {
    const Time span = end - problem_.clean_up - problem_.ingress - std::min(begin_[0], begin_[1]);
    return shared[i] * std::max<Time>(span, 0);
}

bool RouteModel::walkable(int site, int anchor) const { return problem_.tether_m(anchor, site) <= problem_.reach_m; }

std::uint32_t RouteModel::bit(int site) const {
    const int at = site < 0 ? -1 : bit_of_[static_cast<std::size_t>(site)];
    return at < 0 ? 0 : 1u << at;
}

void RouteModel::read_sites() {
    const Outing& outing = *problem_.outing;
    const bool small_only = std::any_of(outing.station.routes.begin(), outing.station.routes.end(),
                                        [](const Route& route) { return route.largest < SizeClass::medium; });
    const int anchors = static_cast<int>(problem_.anchors.size());
    for (Crew c : both_crew) {
        const std::size_t k = index(c);
        if (small_only)
            small_load_[k] = WayTable(outing, c, SizeClass::small, problem_.anchors, problem_.length_m,
                                      std::vector<bool>(outing.station.worksites.size(), false));
        ways_[k] = small_only ? &small_load_[k] : &problem_.ways[k][0];
        for (int from = 0; from < problem_.worksites * anchors; ++from)
            for (int to = 0; to < problem_.worksites * anchors; ++to)
                if (const Time way = ways_[k]->time(from, to); way < never && way > farthest_[k]) farthest_[k] = way;
    }
    // Only where there is work or something to fetch, and where one can walk to; the farthest first.
    std::vector<std::uint8_t> wanted(static_cast<std::size_t>(problem_.worksites), 0);
    for (const Unit& unit : problem_.units)
        for (int s : unit.steps) {
            const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
            for (int site : {step.at, step.to})
                if (site >= 0 && step.roles != 0) wanted[static_cast<std::size_t>(site)] = 1;
        }
    for (const ItemPlace& item : problem_.situation->items)
        if (item.where == ItemPlace::Where::loose) wanted[index(item.site)] = 1;
    std::vector<std::pair<Time, int>> by_distance;
    const int home = problem_.state(problem_.airlock, 0);
    for (int site = 0; site < problem_.worksites; ++site) {
        if (site == problem_.airlock || !wanted[static_cast<std::size_t>(site)]) continue;
        Time far = never;
        bool both = true;
        for (const WayTable* ways : ways_) {
            Time least = never;
            for (int a = 0; a < anchors; ++a)
                if (walkable(site, a)) least = std::min(least, ways->time(problem_.state(site, a), home));
            both &= least < never;
            far = std::min(far, least);
        }
        if (both)
            by_distance.emplace_back(-far, site);
        else
            cut_off_ = true;
    }
    std::sort(by_distance.begin(), by_distance.end());
    if (by_distance.size() > most_sites) by_distance.resize(most_sites);
    bit_of_.assign(static_cast<std::size_t>(problem_.worksites), -1);
    for (const auto& [far, site] : by_distance) {
        bit_of_[static_cast<std::size_t>(site)] = sites++;
        site_of_.push_back(site);
    }
}

/// By set of worksites: the least walking and tether swaps from where the crew member is past all of them and home
/// (Held and Karp 1962, over worksite and anchor). Coming past more never takes less.
std::vector<Time> RouteModel::tour_of(int crew) const {
    const WayTable& ways = *ways_[static_cast<std::size_t>(crew)];
    const CrewSituation& now = problem_.situation->crew[static_cast<std::size_t>(crew)];
    const int home = problem_.state(problem_.airlock, 0);
    const int first =
        now.outside ? problem_.state(static_cast<int>(index(now.at)), problem_.anchor_index(now.anchor)) : home;
    const bool walks_from_there = ways.time(first, home) < never;
    const int anchors = static_cast<int>(problem_.anchors.size());
    const std::size_t states = static_cast<std::size_t>(sites * anchors);
    std::vector<int> state;
    std::vector<Time> in, back;
    for (int site : site_of_)
        for (int a = 0; a < anchors; ++a) {
            state.push_back(problem_.state(site, a));
            const bool there = walkable(site, a);
            in.push_back(!there ? never : walks_from_there ? ways.time(first, state.back()) : 0);
            back.push_back(there ? ways.time(state.back(), home) : never);
        }
    std::vector<Time> between(states * states);
    for (std::size_t i = 0; i < states; ++i)
        for (std::size_t j = 0; j < states; ++j)
            between[i * states + j] = in[i] < never && in[j] < never ? ways.time(state[i], state[j]) : never;

    const std::size_t sets = std::size_t{1} << sites;
    std::vector<Time> least(sets, never);
    least[0] = walks_from_there ? ways.time(first, home) : 0;
    std::vector<Time> best(sets * states, never);
    for (std::size_t i = 0; i < states; ++i)
        best[(std::size_t{1} << (i / static_cast<std::size_t>(anchors))) * states + i] = std::min(in[i], never);
    for (std::size_t set = 1; set < sets; ++set)
        for (std::size_t i = 0; i < states; ++i) {
            const Time so_far = best[set * states + i];
            if (so_far >= never) continue;
            if (back[i] < never) least[set] = std::min(least[set], so_far + back[i]);
            const Time* way = &between[i * states];
            for (int next = 0; next < sites; ++next) {
                if ((set >> next) & 1u) continue;
                Time* to = &best[(set | (std::size_t{1} << next)) * states];
                for (std::size_t j = static_cast<std::size_t>(next * anchors),
                                 n = j + static_cast<std::size_t>(anchors);
                     j < n; ++j)
                    to[j] = std::min(to[j], so_far + std::min(way[j], never));
            }
        }
    for (int site = 0; site < sites; ++site)
        for (std::size_t set = 0; set < sets; ++set)
            if (!((set >> site) & 1u)) least[set] = std::min(least[set], least[set | (std::size_t{1} << site)]);
    return least;
}

/// A step that ends elsewhere takes its crew there without a walk. It is counted as if they had walked: the tour has
/// that walk, and so much less is counted for the step. Never less than any such walk could take.
double RouteModel::walked_by(const StepData& step, int crew) const {
    const auto k = static_cast<std::size_t>(crew);
    if (step.to < 0 || step.to == step.at) return 0;
    if (step.at < 0 || cut_off_) return farthest_[k];
    const int anchors = static_cast<int>(problem_.anchors.size());
    Time longest = -1;
    for (int a = 0; a < anchors; ++a)
        for (int b = 0; b < anchors; ++b) {
            if (!step.ride && a != b) continue;  // on foot the tether stays where it is anchored
            if (!walkable(step.at, a) || !walkable(step.to, b)) continue;
            longest = std::max(longest, ways_[k]->time(problem_.state(step.at, a), problem_.state(step.to, b)));
        }
    return longest < 0 ? farthest_[k] : std::min(longest, farthest_[k]);
}

void RouteModel::add_step(const StepData& step, int crew, int lead, DayPart& part) const {
    const auto k = static_cast<std::size_t>(crew);
    const double walked = walked_by(step, crew);
    const double time = least_time(step, lead);
    part.uses[0] += time - walked;
    for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
        double rate = least_rate(problem_, crew, step.effort, i);
        if (step.by_hand[static_cast<std::size_t>(lead)] >= 0)
            rate = std::min(
                {rate, least_rate(problem_, crew, Effort::translate, i), least_rate(problem_, crew, Effort::heavy, i)});
        part.uses[1 + i] += rate * time - walk_rate[k][1 + i] * walked;
    }
    part.sites |= bit(step.at) | bit(step.to);
}

/// Seconds for which a step has the one voice. What starts together counts as one: the longest has it, once.
Time RouteModel::talked_through(const StepData& step, int lead) const {
    const std::vector<int>& together = problem_.units[static_cast<std::size_t>(step.unit)].steps;
    const StepData* longest = nullptr;
    for (const int s : together) {
        const StepData& other = problem_.steps[static_cast<std::size_t>(s)];
        if (other.task != step.task) return 0;  // which of the tasks would have it?
        if (other.roles != 0 && (!longest || least_time(other, lead) > least_time(*longest, lead))) longest = &other;
    }
    return longest == &step ? least_time(step, lead) : 0;
}

void RouteModel::read_choices(const std::vector<Time>& home, bool required_counts) {
    const std::size_t resources = problem_.capacity.size();
    shared.assign(4, 1.0);  // voice, arm, IV, ground: one at a time
    shared.insert(shared.end(), problem_.capacity.begin(), problem_.capacity.end());
    for (std::size_t t = 0; t < problem_.tasks.size(); ++t) {
        const TaskData& task = problem_.tasks[t];
        value.push_back(task.optional ? task.value : 0);
        if (!task.possible) continue;
        const bool must = must_be_done(task) && required_counts;
        if (home[t] >= never || (!must && home[t] > problem_.limit)) continue;
        std::vector<TaskChoice> of_task;
        std::vector<std::array<DayPart, 2>> shares;
        for (int lead = 0; lead < 2; ++lead) {
            if (!task.lead_allowed[static_cast<std::size_t>(lead)]) continue;
            TaskChoice choice{static_cast<int>(t), lead};
            choice.shared.assign(4 + resources, 0);
            std::array<DayPart, 2> share{};
            std::array<int, 2> crew{};
            for (const int s : steps_[t]) {
                const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
                const int count = problem_.crew_of(step, lead, crew);
                for (int i = 0; i < count; ++i)
                    add_step(step, crew[static_cast<std::size_t>(i)], lead,
                             share[static_cast<std::size_t>(crew[static_cast<std::size_t>(i)])]);
                if (count == 0) continue;  // may run when nobody is outside any more
                const double time = least_time(step, lead);
                if (problem_.one_voice) choice.shared[0] += talked_through(step, lead);
                if (step.arm && step.by_hand[static_cast<std::size_t>(lead)] < 0) choice.shared[1] += time;
                if (step.iv) choice.shared[2] += time;
                if (step.ground) choice.shared[3] += time;
                for (const auto& [resource, amount] : step.uses)
                    choice.shared[4 + static_cast<std::size_t>(resource)] += amount * time;
            }
            read_alone(choice);
            const bool known = std::any_of(of_task.begin(), of_task.end(), [&](const TaskChoice& other) {
                const auto& theirs = shares[static_cast<std::size_t>(&other - of_task.data())];
                return other.shared == choice.shared && other.alone == choice.alone &&
                       theirs[0].uses == share[0].uses && theirs[1].uses == share[1].uses &&
                       theirs[0].sites == share[0].sites && theirs[1].sites == share[1].sites;
            });
            if (known) continue;
            of_task.push_back(std::move(choice));
            shares.push_back(share);
        }
        for (std::size_t i = 0; i < of_task.size(); ++i) {
            for (std::size_t c = 0; c < 2; ++c) {
                const DayPart& share = shares[i][c];
                const bool empty = share.sites == 0 && std::all_of(share.uses.begin(), share.uses.end(),
                                                                   [](double use) { return use == 0; });
                if (empty) continue;
                of_task[i].part[c] = static_cast<int>(parts[c].size());
                parts[c].push_back(share);
            }
            choices_of[t].push_back(static_cast<int>(choices.size()));
            choices.push_back(std::move(of_task[i]));
        }
    }
}

void RouteModel::read_pick_ups() {
    const Situation& now = *problem_.situation;
    const std::vector<std::uint8_t> moved = moved_by_steps(problem_);
    std::vector<std::uint8_t> returns(now.items.size(), 0);
    for (std::size_t i = 0; i < now.items.size(); ++i)
        if (problem_.outing->items[i].returns)
            returns[static_cast<std::size_t>(outermost(problem_, static_cast<int>(i)))] = 1;
    for (std::size_t outer = 0; outer < now.items.size(); ++outer) {
        if (moved[outer] || now.items[outer].where != ItemPlace::Where::loose) continue;
        const int site = static_cast<int>(index(now.items[outer].site));
        PickUp pick_up;
        pick_up.always = returns[outer] && site != problem_.airlock;
        for (std::size_t t = 0; t < problem_.tasks.size(); ++t) {
            if (choices_of[t].empty()) continue;
            bool uses = false;
            for (const int s : steps_[t]) {
                const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
                if (step.at < 0 || step.at == site || step.roles == 0) continue;
                for (int item : step.at_hand) uses |= outermost(problem_, item) == static_cast<int>(outer);
            }
            if (uses) pick_up.users.push_back(static_cast<int>(t));
        }
        if (pick_up.users.empty() && !pick_up.always) continue;
        for (std::size_t u = 0; u < pick_up.users.size(); ++u)
            picked_for[static_cast<std::size_t>(pick_up.users[u])].emplace_back(static_cast<int>(pick_ups.size()),
                                                                                static_cast<int>(u));
        for (int c = 0; c < 2; ++c) {
            DayPart part;
            part.sites = bit(site);
            part.uses[0] = problem_.pick_up;
            for (std::size_t i = 0; i < lifesupport::consumable_count; ++i)
                part.uses[1 + i] = least_rate(problem_, c, Effort::light, i) * problem_.pick_up;
            pick_up.part[static_cast<std::size_t>(c)] = static_cast<int>(parts[static_cast<std::size_t>(c)].size());
            parts[static_cast<std::size_t>(c)].push_back(part);
        }
        pick_ups.push_back(std::move(pick_up));
        read_shared(static_cast<int>(pick_ups.size()) - 1, static_cast<int>(outer));
    }
}

void RouteModel::read_alone(TaskChoice& choice) const {
    std::array<int, 2> crew{};
    for (const int s : steps_[static_cast<std::size_t>(choice.task)]) {
        const StepData& step = problem_.steps[static_cast<std::size_t>(s)];
        if (step.at < 0 || step.at == problem_.airlock || problem_.crew_of(step, choice.lead, crew) != 1) continue;
        std::vector<int>& alone = choice.alone[static_cast<std::size_t>(crew[0])];
        for (const int item : step.at_hand) {
            const ItemPlace& outer = problem_.situation->items[static_cast<std::size_t>(outermost(problem_, item))];
            if (outer.where == ItemPlace::Where::loose && static_cast<int>(index(outer.site)) != step.at)
                alone.push_back(item);
        }
    }
    for (std::vector<int>& alone : choice.alone) {
        std::sort(alone.begin(), alone.end());
        alone.erase(std::unique(alone.begin(), alone.end()), alone.end());
    }
}

/// Whoever uses a thing alone carries it, or it lies there because somebody put it down. So when both do, it is handled
/// twice. If it must come home, three times: from hand to hand it is put down and picked up; and where it was put down
/// to be used, it is picked up again. Steps that leave, fix or hand over something do so for nothing: then nothing is
/// asked.
void RouteModel::read_shared(int pick_up, int outer) {
    for (const StepData& step : problem_.steps)
        for (const auto* list : {&step.leaves, &step.installs, &step.hands_over})
            for (const int item : *list)
                if (outermost(problem_, item) == outer) return;
    const auto used = [&](auto&& counts) {
        Shared thing{pick_up};
        for (std::size_t k = 0; k < choices.size(); ++k)
            for (std::size_t c = 0; c < 2; ++c)
                if (std::any_of(choices[k].alone[c].begin(), choices[k].alone[c].end(), counts))
                    thing.choices[c].push_back(static_cast<int>(k));
        return thing;
    };
    std::vector<Shared> found;
    for (std::size_t i = 0; i < problem_.outing->items.size(); ++i) {
        if (!problem_.outing->items[i].returns || outermost(problem_, static_cast<int>(i)) != outer) continue;
        found.push_back(used([i](int item) { return item == static_cast<int>(i); }));
        found.back().each = 2;
        found.back().less = 1;
    }
    Shared any = used([&](int item) { return outermost(problem_, item) == outer; });
    if (std::none_of(found.begin(), found.end(), [&](const Shared& one) { return one.choices == any.choices; }))
        found.push_back(std::move(any));
    std::erase_if(found, [](const Shared& one) { return one.choices[0].empty() || one.choices[1].empty(); });
    if (found.empty()) return;
    for (std::size_t c = 0; c < 2; ++c) {
        PickUp& first = pick_ups[static_cast<std::size_t>(pick_up)];
        DayPart further = parts[c][static_cast<std::size_t>(first.part[c])];
        further.sites = 0;
        for (double& use : further.uses) use *= 2;
        first.further[c] = static_cast<int>(parts[c].size());
        parts[c].push_back(further);
    }
    shared_things.insert(shared_things.end(), found.begin(), found.end());
}

void RouteModel::read_ties(bool required_counts) {
    const std::size_t n = problem_.tasks.size();
    std::vector<int> head(n);
    std::iota(head.begin(), head.end(), 0);
    const auto find = [&head](int t) {
        while (head[static_cast<std::size_t>(t)] != t) t = head[static_cast<std::size_t>(t)];
        return t;
    };
    std::vector<std::size_t> size(n, 1);
    for (std::size_t t = 0; t < n; ++t)
        for (const auto* list : {&problem_.tasks[t].needs, &problem_.tasks[t].not_with})
            for (int other : *list) {
                const auto a = static_cast<std::size_t>(find(static_cast<int>(t)));
                const auto b = static_cast<std::size_t>(find(other));
                if (a == b || size[a] + size[b] > most_tied) continue;
                head[a] = static_cast<int>(b);
                size[b] += size[a];
            }
    std::vector<TiedTasks> by_head(n);
    for (std::size_t t = 0; t < n; ++t)
        by_head[static_cast<std::size_t>(find(static_cast<int>(t)))].tasks.push_back(static_cast<int>(t));
    for (TiedTasks& tied : by_head) {
        if (std::all_of(tied.tasks.begin(), tied.tasks.end(),
                        [&](int t) { return choices_of[static_cast<std::size_t>(t)].empty(); }))
            continue;
        for (std::uint32_t set = 0; set < 1u << tied.tasks.size(); ++set) {
            const auto in = [&](int other) {
                const auto place = std::find(tied.tasks.begin(), tied.tasks.end(), other);
                return place != tied.tasks.end() && ((set >> (place - tied.tasks.begin())) & 1u) != 0;
            };
            const auto among = [&](int other) {
                return std::find(tied.tasks.begin(), tied.tasks.end(), other) != tied.tasks.end();
            };
            bool allowed = true;
            for (std::size_t i = 0; i < tied.tasks.size(); ++i) {
                const TaskData& task = problem_.tasks[static_cast<std::size_t>(tied.tasks[i])];
                const bool can = !choices_of[static_cast<std::size_t>(tied.tasks[i])].empty();
                if (!((set >> i) & 1u)) {
                    allowed &= !(can && required_counts && must_be_done(task));
                    continue;
                }
                allowed &= can;
                for (int other : task.not_with) allowed &= !in(other);
                for (int other : task.needs)
                    allowed &= in(other) || !among(other) || problem_.tasks[static_cast<std::size_t>(other)].started;
            }
            if (allowed) tied.allowed.push_back(set);
        }
        ties.push_back(std::move(tied));
    }
}

}  // namespace handrail::plan::detail
