#include "day_oracle.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "plain_text.h"
#include "plan/planner.h"

namespace handrail::plan::detail {
namespace {

/// Four worksites, the airlock first, in a row with a branch: a -9 m- b -5 m- c, b -7 m- d. At 0.2 m/s 45, 25, 35 s.
constexpr std::array<std::array<int, 4>, 4> walk_s{
    {{0, 45, 70, 80}, {45, 0, 25, 35}, {70, 25, 0, 60}, {80, 35, 60, 0}}};
/// Along a line, for the arm (1 m/s, no set-up): metres are seconds.
constexpr std::array<int, 4> along_m{0, 8, 12, 15};
constexpr int door_s = 600;  ///< egress, clean-up and ingress each
/// Long, so that one too many in a bound shows.
constexpr int pick_up_s = 400;

constexpr const char* names = "abcd";

/// One arrangement, step by step.
class Run {
public:
    Run(const Day& day, unsigned in, unsigned lead) : day_(day), in_(in), lead_(lead), tool_at_(day.tool_at) {
        if (day.outside) {
            free_ = {day.now_s, day.now_s};
            at_ = day.at;
            ground_free_ = arm_free_ = voice_free_ = day.now_s;
        }
    }

    /// The end of the outing; -1 when it breaks a rule.
    int finish(const std::vector<int>& order) {
        for (int t : order)
            if (((in_ >> t) & 1u) && !place(t)) return -1;
        int home = home_by(free_, at_);
        if (day_.tool_returns && holder_ < 0 && tool_at_ != 0) {  // one of the two brings the tool
            home = 1'000'000;
            for (std::size_t c = 0; c < 2; ++c) {
                std::array<int, 2> free = free_;
                std::array<int, 2> at = at_;
                free[c] = std::max(free[c] + walk(at[c], tool_at_), tool_free_) + pick_up_s;
                at[c] = tool_at_;
                home = std::min(home, home_by(free, at));
            }
        }
        const int finish = home + 2 * door_s;
        return finish <= day_.limit_s ? finish : -1;
    }

private:
    static int walk(int from, int to) { return walk_s[static_cast<std::size_t>(from)][static_cast<std::size_t>(to)]; }
    static int home_by(const std::array<int, 2>& free, const std::array<int, 2>& at) {
        return std::max(free[0] + walk(at[0], 0), free[1] + walk(at[1], 0));
    }
    /// Has the tool there: as it lies, or carried by the leader, who fetches it.
    void bring_tool(std::size_t leader, bool two, int site) {
        if (holder_ == static_cast<int>(leader) || (two && holder_ >= 0)) return;
        if (holder_ >= 0) {
            const auto partner = static_cast<std::size_t>(holder_);
            free_[partner] += pick_up_s;
            tool_free_ = free_[partner];
            tool_at_ = at_[partner];
            holder_ = -1;
        }
        if (tool_at_ == site) return;
        free_[leader] = std::max(free_[leader] + walk(at_[leader], tool_at_), tool_free_) + pick_up_s;
        at_[leader] = tool_at_;
        holder_ = static_cast<int>(leader);
    }
    bool place(int t) {
        const DayTask& task = day_.tasks[static_cast<std::size_t>(t)];
        const auto leader = static_cast<std::size_t>((lead_ >> t) & 1u);
        const bool pair = task.kind == DayTask::Kind::pair;  // each at their own place, the helper for half as long
        const bool two = task.kind == DayTask::Kind::both || task.kind == DayTask::Kind::carry || pair;
        int start = day_.outside ? day_.now_s : 0;
        if (task.after >= 0 && ((in_ >> task.after) & 1u)) {
            if (!((done_ >> task.after) & 1u)) return false;
            start = std::max(start, end_[static_cast<std::size_t>(task.after)]);
        }
        int first = -1;
        if (task.kind == DayTask::Kind::ground) {
            first = std::max(start, ground_free_);
            ground_free_ = first + 300;
            start = ground_free_;
        }
        if (task.kind == DayTask::Kind::fetch) {
            free_[leader] += walk(at_[leader], task.other) + pick_up_s;
            at_[leader] = task.other;
        }
        if (task.tool) {
            bring_tool(leader, two, task.site);
            start = std::max(start, tool_free_);
        }
        for (std::size_t c = 0; c < 2; ++c)
            if (c == leader || two)
                start = std::max(start, free_[c] + walk(at_[c], pair && c != leader ? task.other : task.site));
        if (day_.one_voice) start = std::max(start, voice_free_);
        const bool ride = task.kind == DayTask::Kind::ride;
        const auto site = static_cast<std::size_t>(task.site);
        if (ride)
            start = std::max(start, arm_free_ + std::abs(along_m[site] - along_m[static_cast<std::size_t>(arm_at_)]));
        const int length = 60 * task.minutes;
        if (task.sunny) {
            bool fits = false;
            for (const auto& [from, to] : day_.sun)
                if (!fits && std::max(start, from) + length <= to) {
                    start = std::max(start, from);
                    fits = true;
                }
            if (!fits) return false;
        }
        if (first < 0) first = start;
        if (task.starts_by_min >= 0 && first > 60 * task.starts_by_min) return false;
        const int end = start + length;
        const int ends_at = ride || task.kind == DayTask::Kind::carry ? task.other : task.site;
        for (std::size_t c = 0; c < 2; ++c)
            if (c == leader || two) {
                const bool helps = pair && c != leader;
                free_[c] = helps ? start + length / 2 : end;
                at_[c] = helps ? task.other : ends_at;
            }
        voice_free_ = end;
        if (task.tool) tool_free_ = end;
        if (ride) {
            arm_free_ = end;
            arm_at_ = task.other;
        }
        end_[static_cast<std::size_t>(t)] = end;
        done_ |= 1u << t;
        return true;
    }

    const Day& day_;
    unsigned in_, lead_, done_ = 0;
    std::array<int, 2> free_{door_s, door_s}, at_{0, 0};
    std::array<int, 8> end_{};
    int arm_free_ = 0, arm_at_ = 0, ground_free_ = 0, voice_free_ = 0;
    int tool_at_ = 0, tool_free_ = 0, holder_ = -1;  ///< holder: -1, it lies at tool_at_
};

}  // namespace

Day random_day(Random& random) {
    Day day;
    day.limit_s = 60 * (60 + random.below(50));
    day.sun = {{{60 * (15 + random.below(10)), 60 * (40 + random.below(20))},
                {60 * (65 + random.below(15)), 60 * (95 + random.below(30))}}};
    const int tasks = 4 + random.below(2);
    for (int t = 0; t < tasks; ++t) {
        DayTask task;
        task.kind = static_cast<DayTask::Kind>(random.below(7));
        task.required = t == 0;
        task.value = 1 + random.below(9);
        task.site = random.below(4);
        task.other = (task.site + 1 + random.below(3)) % 4;
        task.minutes = task.kind == DayTask::Kind::ride ? 1 + random.below(4) : 6 + random.below(20);
        task.sunny = random.below(4) == 0;
        const bool tools = task.kind == DayTask::Kind::here || task.kind == DayTask::Kind::both;
        task.tool = tools && random.below(3) > 0;
        if (t > 0 && random.below(4) == 0) task.after = random.below(t);
        if (t > 1 && random.below(6) == 0) task.needs = 1 + random.below(t - 1);
        if (t > 1 && random.below(6) == 0) task.not_with = 1 + random.below(t - 1);
        if (task.not_with == task.needs) task.not_with = -1;
        if (random.below(8) == 0) task.starts_by_min = 20 + random.below(60);
        day.tasks.push_back(task);
    }
    day.one_voice = random.below(4) == 0;
    day.tool_at = random.below(4);
    day.tool_returns = random.below(2) == 0;
    if (random.below(4) == 0) {
        day.outside = true;
        day.now_s = 60 * (15 + random.below(10));
        day.at = {random.below(4), random.below(4)};
    }
    return day;
}

std::string text_of(const Day& day) {
    std::string text = R"(handrail = 1
[outing]
name = "Day"
pet_zero = "2031-04-05T08:30:00Z"
[station]
name = "Branch"
airlock = "a"
[station.arm]
name = "Crane"
base = ["0 m", "0 m", "0 m"]
reach = "40 m"
speed = "1 m/s"
setup = "0 s"
parked = "a"
)" + std::string(two_people);
    for (std::size_t i = 0; i < along_m.size(); ++i)
        text += fmt::format("[[station.worksite]]\nid = \"{}\"\nposition = [\"{} m\", \"0 m\", \"0 m\"]\n", names[i],
                            along_m[i]);
    for (const auto& [between, length] : {std::pair{"\"a\", \"b\"", 9}, {"\"b\", \"c\"", 5}, {"\"b\", \"d\"", 7}})
        text += fmt::format("[[station.route]]\nbetween = [{}]\nlength = \"{} m\"\n", between, length);
    for (const auto& [from, to] : day.sun) text += sunny_window(from, to);
    text += fmt::format(
        "[rules]\nlimit = \"{} min\"\nmargin = \"0 min\"\nglove_check_every = \"4 h\"\negress = \"10 min\"\n"
        "clean_up = \"10 min\"\ningress = \"10 min\"\npick_up = \"{} s\"\nvoice_loops = {}\n",
        day.limit_s / 60, pick_up_s, day.one_voice ? 1 : 2);
    std::string items = fmt::format("[[item]]\nid = \"tool\"\nsize = \"small\"\nat = \"{}\"\nreturns = {}\n",
                                    names[day.tool_at], day.tool_returns);
    std::string tasks;
    for (std::size_t t = 0; t < day.tasks.size(); ++t) {
        const DayTask& task = day.tasks[t];
        tasks += fmt::format("[[task]]\nid = \"t{}\"\nname = \"Task {}\"\nclass = \"{}\"\nvalue = {}\n", t, t,
                             task.required ? "required" : "wanted", task.value);
        if (task.after >= 0) tasks += fmt::format("after = [\"t{}\"]\n", task.after);
        if (task.needs >= 0) tasks += fmt::format("needs = [\"t{}\"]\n", task.needs);
        if (task.not_with >= 0) tasks += fmt::format("not_with = [\"t{}\"]\n", task.not_with);
        if (task.starts_by_min >= 0)
            tasks += fmt::format("starts_by = \"{:02}:{:02}\"\n", task.starts_by_min / 60, task.starts_by_min % 60);
        if (task.kind == DayTask::Kind::ground)
            tasks += "[[task.step]]\nname = \"Command\"\nwho = [\"ground\"]\nduration = \"5 min\"\n";
        tasks += fmt::format("[[task.step]]\nname = \"Work\"\neffort = \"light\"\nat = \"{}\"\nduration = \"{} min\"\n",
                             names[task.site], task.minutes);
        if (task.kind == DayTask::Kind::both || task.kind == DayTask::Kind::carry)
            tasks += "who = [\"lead\", \"helper\"]\n";
        if (task.kind == DayTask::Kind::carry || task.kind == DayTask::Kind::ride)
            tasks += fmt::format("to = \"{}\"\n", names[task.other]);
        if (task.kind == DayTask::Kind::ride) tasks += "arm = \"ride\"\n";
        if (task.kind == DayTask::Kind::fetch) {
            items += fmt::format("[[item]]\nid = \"part-{}\"\nsize = \"small\"\nat = \"{}\"\n", t, names[task.other]);
            tasks += fmt::format("installs = [\"part-{}\"]\n", t);
        }
        if (task.tool) tasks += "needs = [\"tool\"]\n";
        if (task.sunny) tasks += "during = [\"sunny\"]\n";
        if (task.kind == DayTask::Kind::pair)
            tasks += fmt::format(
                "[[task.step]]\nname = \"Help\"\neffort = \"light\"\nwho = [\"helper\"]\nat = \"{}\"\nduration = \"{} "
                "s\"\ntogether = \"1\"\n",
                names[task.other], 30 * task.minutes);
    }
    return text + items + tasks;
}

Situation situation_of(const Day& day, const Outing& outing) {
    Situation situation = initial(outing);
    if (!day.outside) return situation;
    situation.now = pet(Seconds{day.now_s});
    situation.arm_free_at = situation.iv_free_at = situation.ground_free_at = situation.now;
    for (std::size_t c = 0; c < 2; ++c) {
        CrewSituation& crew = situation.crew[c];
        crew.outside = true;
        crew.free_at = crew.checked_at = situation.now;
        crew.at = static_cast<WorksiteId>(day.at[c]);
    }
    return situation;
}

BestDay best_of(const Day& day) {
    BestDay best;
    const std::size_t n = day.tasks.size();
    std::vector<std::pair<int, unsigned>> choices;  // the most value first
    unsigned by_two = 0;
    for (std::size_t t = 0; t < n; ++t)
        if (day.tasks[t].kind == DayTask::Kind::both || day.tasks[t].kind == DayTask::Kind::carry) by_two |= 1u << t;
    for (unsigned in = 0; in < 1u << n; ++in) {
        int value = 0;
        bool allowed = true;
        for (std::size_t t = 0; t < n; ++t) {
            const DayTask& task = day.tasks[t];
            const auto there = [in](int other) { return other >= 0 && ((in >> other) & 1u) != 0; };
            if (!((in >> t) & 1u)) {
                allowed &= !task.required;
                continue;
            }
            if (!task.required) value += task.value;
            allowed &= task.needs < 0 || there(task.needs);
            allowed &= !there(task.not_with);
        }
        if (allowed) choices.emplace_back(-value, in);
    }
    std::sort(choices.begin(), choices.end());
    for (const auto& [less, in] : choices) {
        const int value = -less;
        if (best.any && value < best.value) break;
        for (unsigned lead = 0; lead < 1u << n; ++lead) {
            if (lead & (~in | by_two)) continue;  // who leads does not matter there
            std::vector<int> order(n);
            std::iota(order.begin(), order.end(), 0);
            do {
                const int finish = Run(day, in, lead).finish(order);
                if (finish < 0) continue;
                if (!best.any || value > best.value || (value == best.value && finish < best.finish_s))
                    best = {true, value, finish};
            } while (std::next_permutation(order.begin(), order.end()));
        }
    }
    return best;
}

}  // namespace handrail::plan::detail
