#include "plan/causes.h"

#include <fmt/format.h>

#include <algorithm>

namespace handrail::plan {
namespace {

bool is_break(const Activity& activity) {
    return activity.kind == ActivityKind::glove_check || activity.kind == ActivityKind::rest;
}
bool is_crew(Lane lane) { return lane == Lane::ev1 || lane == Lane::ev2; }
bool hand_heavy(const Outing& outing, const Activity& activity) {
    if (!activity.step) return false;
    const Effort effort = outing.step(*activity.step).effort;
    return effort == Effort::tools || effort == Effort::forced;
}

template <class T>
bool shares(const std::vector<T>& a, const std::vector<T>& b) {
    return std::ranges::any_of(a, [&](const T& x) { return std::ranges::find(b, x) != b.end(); });
}

/// Items an activity handles, each with the bag it starts in.
std::vector<ItemId> items_of(const Outing& outing, const Activity& activity) {
    std::vector<ItemId> items = activity.items;
    if (activity.step) {
        const Step& step = outing.step(*activity.step);
        for (const auto* list : {&step.needs, &step.takes, &step.leaves, &step.installs, &step.moves})
            items.insert(items.end(), list->begin(), list->end());
    }
    const std::size_t own = items.size();
    for (std::size_t i = 0; i < own; ++i)
        if (const auto bag = outing.item(items[i]).in) items.push_back(*bag);
    return items;
}

class Causes {
public:
    Causes(const Outing& outing, const WindowTable& windows, const Timeline& timeline)
        : outing_(outing), windows_(windows), all_(timeline.activities), run_(outing.steps.size()) {
        for (std::size_t i = 0; i < all_.size(); ++i)
            if (all_[i].step && !run_[index(*all_[i].step)]) run_[index(*all_[i].step)] = i;
    }

    std::vector<Reason> of(std::size_t i) {
        reasons_.clear();
        lanes(i);
        if (all_[i].step) {
            orders(i);
            conditions(i);
            hands(i);
            voice(i);
            held_back(i);
        }
        items(i);
        std::ranges::stable_sort(reasons_, [](const Reason& a, const Reason& b) {
            if (a.earliest != b.earliest) return a.earliest > b.earliest;
            return rank(a.cause) < rank(b.cause);
        });
        return reasons_;
    }
    /// The last activity on the lane that ends by the start of `i`; glove checks and rests left aside if asked.
    std::optional<std::size_t> previous(std::size_t i, Lane lane, bool with_breaks) const {
        std::optional<std::size_t> last;
        for (std::size_t j = 0; j < all_.size(); ++j) {
            if (j == i || !all_[j].on(lane) || all_[j].end() > all_[i].start) continue;
            if (all_[j].end() == all_[i].start && all_[j].duration == Seconds{0} && j > i) continue;
            if (!with_breaks && is_break(all_[j])) continue;
            if (!last || all_[j].end() >= all_[*last].end()) last = j;
        }
        return last;
    }

private:
    /// Of several that bind at the same moment, the plainest is named.
    static int rank(Cause cause) {
        switch (cause) {
            case Cause::window:
                return 0;
            case Cause::order:
            case Cause::task_order:
                return 1;
            case Cause::own_lane:
                return 2;
            case Cause::partner:
                return 3;
            case Cause::arm:
                return 4;
            case Cause::item:
                return 5;
            case Cause::inside:
                return 6;
            case Cause::hands:
                return 7;
            case Cause::voice:
                return 8;
            case Cause::held_back:
                return 9;
            case Cause::nothing:
                return 10;
        }
        return 10;
    }
    void add(Cause cause, Pet earliest, std::optional<std::size_t> before, std::string condition = {}) {
        reasons_.push_back({cause, earliest, before, std::move(condition)});
    }

    void lanes(std::size_t i) {
        bool first_crew = true;
        for (const Lane lane : all_[i].lanes) {
            Cause cause = Cause::inside;
            if (is_crew(lane)) {
                cause = first_crew ? Cause::own_lane : Cause::partner;
                first_crew = false;
            } else if (lane == Lane::arm) {
                cause = all_[i].kind == ActivityKind::arm_move ? Cause::own_lane : Cause::arm;
            }
            // What starts together with this step waits for its own people as well.
            if (const auto last = previous(i, lane, true)) add(cause, all_[*last].end(), last);
        }
        if (!all_[i].step) return;
        for (const Order& order : outing_.orders) {
            if (!order.starts_together || (order.before != *all_[i].step && order.after != *all_[i].step)) continue;
            const auto other = run_[index(order.before == *all_[i].step ? order.after : order.before)];
            if (!other) continue;
            for (const Lane lane : all_[*other].lanes)
                if (const auto last = previous(*other, lane, true)) add(Cause::partner, all_[*last].end(), last);
        }
    }
    void orders(std::size_t i) {
        const Step& step = outing_.step(*all_[i].step);
        for (const Order& order : outing_.orders)
            if (!order.starts_together && order.after == step.id)
                if (const auto before = run_[index(order.before)])
                    add(Cause::order, all_[*before].end() + order.gap, before);
        for (const TaskId earlier : outing_.task(step.task).after) {
            std::optional<std::size_t> last;
            for (const StepId id : outing_.task(earlier).steps)
                if (const auto run = run_[index(id)]; run && (!last || all_[*run].end() > all_[*last].end()))
                    last = run;
            if (last) add(Cause::task_order, all_[*last].end(), last);
        }
    }
    void conditions(std::size_t i) {
        const Step& step = outing_.step(*all_[i].step);
        const std::string site = step.at ? outing_.worksite(*step.at).id : std::string{};
        for (const std::string& condition : step.during)
            for (const Window& window : windows_.of(condition, site))
                if (window.from() <= all_[i].start && all_[i].start < window.to())
                    add(Cause::window, std::chrono::ceil<Seconds>(window.from().time_since_epoch()) + Pet{}, {},
                        condition);
        for (const std::string& condition : step.not_during) {
            std::optional<Pet> over;
            for (const Window& window : windows_.of(condition, site))
                if (window.to() <= all_[i].start && (!over || window.to() > *over)) over = window.to();
            if (over)
                add(Cause::window, std::chrono::ceil<Seconds>(over->time_since_epoch()) + Pet{}, {}, "no " + condition);
        }
    }
    void hands(std::size_t i) {
        if (!hand_heavy(outing_, all_[i])) return;
        for (std::size_t j = 0; j < all_.size(); ++j)
            if (j != i && hand_heavy(outing_, all_[j]) && all_[j].end() <= all_[i].start)
                for (const Crew c : both_crew)
                    if (all_[i].on(lane_of(c)) && all_[j].on(lane_of(c)))
                        if (all_[j].end() + outing_.rules.rest == all_[i].start) add(Cause::hands, all_[i].start, j);
    }
    void voice(std::size_t i) {
        if (outing_.rules.voice_loops >= 2) return;
        for (std::size_t j = 0; j < all_.size(); ++j)
            if (j != i && all_[j].step && all_[j].end() <= all_[i].start &&
                std::ranges::any_of(all_[j].lanes, is_crew) && !shares(all_[j].lanes, all_[i].lanes))
                add(Cause::voice, all_[j].end(), j);
    }
    /// A step that must follow this one within some time pulls it up against its own start.
    void held_back(std::size_t i) {
        for (const Order& order : outing_.orders) {
            if (order.before != *all_[i].step || !order.within) continue;
            const auto after = run_[index(order.after)];
            if (after && all_[i].end() + *order.within == all_[*after].start)
                add(Cause::held_back, all_[i].start, after);
        }
    }
    void items(std::size_t i) {
        const std::vector<ItemId> mine = items_of(outing_, all_[i]);
        if (mine.empty()) return;
        std::optional<std::size_t> last;
        for (std::size_t j = 0; j < all_.size(); ++j)
            if (j != i && all_[j].end() <= all_[i].start && !shares(all_[j].lanes, all_[i].lanes) &&
                shares(items_of(outing_, all_[j]), mine) && (!last || all_[j].end() > all_[*last].end()))
                last = j;
        if (last) add(Cause::item, all_[*last].end(), last);
    }

    const Outing& outing_;
    const WindowTable& windows_;
    const std::vector<Activity>& all_;
    std::vector<std::optional<std::size_t>> run_;  ///< by step: its activity
    std::vector<Reason> reasons_;
};

std::string people(const Activity& activity) {
    std::string names;
    for (const Lane lane : activity.lanes) names += (names.empty() ? "" : " and ") + std::string(word(lane));
    return names;
}

/// A glove check alone says little: what it comes after says more.
std::string with_what_it_follows(const Outing& outing, const Timeline& timeline, const Activity& check) {
    if (!is_break(check)) return {};
    const Activity* last = nullptr;
    for (const Activity& activity : timeline.activities)
        if (!is_break(activity) && activity.on(check.lanes.front()) && activity.end() <= check.start) last = &activity;
    return last ? fmt::format(" after \"{}\"", title(outing, *last)) : std::string{};
}

std::string because(const Outing& outing, const Timeline& timeline, const Reason& reason) {
    const Activity* before = reason.before ? &timeline.activities[*reason.before] : nullptr;
    const std::string other =
        before ? fmt::format("\"{}\" ({})", title(outing, *before), people(*before)) : std::string{};
    const std::string at = print_pet_seconds(reason.earliest);
    switch (reason.cause) {
        case Cause::own_lane:
            return fmt::format("it follows {}", other);
        case Cause::partner:
            return fmt::format("both are needed and {}{} lasts until PET {}", other,
                               with_what_it_follows(outing, timeline, *before), at);
        case Cause::window:
            return fmt::format("{} begins at PET {}", reason.condition, at);
        case Cause::order:
            return before && before->end() < reason.earliest
                       ? fmt::format("{} must have ended {} before", other,
                                     print_duration(std::chrono::ceil<Seconds>(reason.earliest - before->end())))
                       : fmt::format("{} must end first, at PET {}", other, at);
        case Cause::task_order:
            return fmt::format("the task of {} must end first, at PET {}", other, at);
        case Cause::item:
            return fmt::format("what it uses is in use by {} until PET {}", other, at);
        case Cause::arm:
            return fmt::format("the arm is busy with {} until PET {}", other, at);
        case Cause::inside:
            return fmt::format("{} lasts until PET {}", other, at);
        case Cause::hands:
            return fmt::format("hands must rest after {}", other);
        case Cause::held_back:
            return fmt::format("it is held back, because {} must follow closely and cannot start sooner", other);
        case Cause::voice:
            return fmt::format("IV talks through {} until PET {}", other, at);
        case Cause::nothing:
            return reason.earliest > Pet::min()
                       ? fmt::format("nothing on the timeline holds it back: it could start at PET {}", at)
                       : "nothing on the timeline holds it back";
    }
    return {};
}

/// The reason that binds at the start; Cause::nothing with the earliest possible start when none does.
Reason binding(const std::vector<Reason>& reasons, Pet start, std::initializer_list<Cause> without) {
    for (const Reason& reason : reasons)
        if (reason.earliest == start && std::find(without.begin(), without.end(), reason.cause) == without.end())
            return reason;
    Reason none;
    none.earliest = Pet::min();
    for (const Reason& reason : reasons)
        if (reason.earliest < start) {
            none.earliest = reason.earliest;
            break;
        }
    return none;
}

}  // namespace

std::string_view word(Cause cause) {
    switch (cause) {
        case Cause::own_lane:
            return "own lane";
        case Cause::partner:
            return "partner";
        case Cause::window:
            return "window";
        case Cause::order:
            return "order";
        case Cause::task_order:
            return "task order";
        case Cause::item:
            return "item";
        case Cause::arm:
            return "arm";
        case Cause::inside:
            return "inside";
        case Cause::hands:
            return "hands";
        case Cause::held_back:
            return "held back";
        case Cause::voice:
            return "voice";
        case Cause::nothing:
            return "nothing";
    }
    return {};
}

std::vector<Reason> reasons_for_start(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                      std::size_t i) {
    return Causes(outing, windows, timeline).of(i);
}

std::vector<Wait> waits(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Seconds shortest) {
    Causes causes(outing, windows, timeline);
    std::vector<Wait> list;
    for (const Crew c : both_crew) {
        std::optional<Pet> free;  // end of what they did last, glove checks and rests left aside
        Milliseconds breaks{0};   // spent on those since
        for (std::size_t i = 0; i < timeline.activities.size(); ++i) {
            const Activity& activity = timeline.activities[i];
            if (!activity.on(lane_of(c))) continue;
            if (is_break(activity)) {
                breaks += activity.duration;
                continue;
            }
            const Milliseconds idle = free ? activity.start - *free - breaks : Milliseconds{0};
            if (free && idle >= shortest) {
                Wait wait;
                wait.crew = c;
                wait.from = *free;
                wait.length = std::chrono::floor<Seconds>(idle);
                wait.next = i;
                std::vector<Reason> reasons = causes.of(i);
                // Their own lane is no reason to wait, not even a glove check put at the end of the wait.
                std::erase_if(reasons, [&](const Reason& r) {
                    return (r.cause == Cause::own_lane || r.cause == Cause::partner || r.cause == Cause::item) &&
                           r.before && timeline.activities[*r.before].on(lane_of(c)) &&
                           !timeline.activities[*r.before].on(lane_of(partner(c)));
                });
                for (Reason& reason : reasons)
                    if (reason.cause == Cause::own_lane) reason.cause = Cause::partner;
                wait.reason = binding(reasons, activity.start, {});
                // A partner's glove check is named only when nothing else ends the wait.
                if (wait.reason.before && is_break(timeline.activities[*wait.reason.before]))
                    for (const Reason& reason : reasons)
                        if (reason.earliest == activity.start &&
                            !(reason.before && is_break(timeline.activities[*reason.before]))) {
                            wait.reason = reason;
                            break;
                        }
                wait.what = fmt::format("{} waits {} from PET {} for \"{}\": {}.", word(c), print_duration(wait.length),
                                        print_pet_seconds(wait.from), title(outing, activity),
                                        because(outing, timeline, wait.reason));
                list.push_back(std::move(wait));
            }
            free = activity.end();
            breaks = Milliseconds{0};
        }
    }
    std::ranges::stable_sort(list, {}, &Wait::from);
    return list;
}

std::vector<ChainLink> critical_chain(const Outing& outing, const WindowTable& windows, const Timeline& timeline) {
    std::vector<ChainLink> chain;
    std::optional<std::size_t> at;
    for (std::size_t i = 0; i < timeline.activities.size(); ++i)
        if (timeline.activities[i].kind == ActivityKind::ingress) at = i;
    Causes causes(outing, windows, timeline);
    while (at && chain.size() <= timeline.activities.size()) {
        const Activity& activity = timeline.activities[*at];
        const std::vector<Reason> reasons = causes.of(*at);
        Reason reason = binding(reasons, activity.start, {Cause::held_back});
        // A glove check that stands in a wait was put there; what ended the wait is behind something else.
        const auto in_a_wait = [&](const Reason& one) {
            if (!one.before || !is_break(timeline.activities[*one.before])) return false;
            const Activity& check = timeline.activities[*one.before];
            const auto last = causes.previous(*one.before, check.lanes.front(), true);
            return last && timeline.activities[*last].end() < check.start;
        };
        if (in_a_wait(reason))
            for (const Reason& other : reasons)
                if (other.earliest == activity.start && other.cause != Cause::held_back && !in_a_wait(other)) {
                    reason = other;
                    break;
                }
        ChainLink link{*at, reason, {}};
        link.what = fmt::format(
            "PET {}  {}  \"{}\", {}: {}.", print_pet_seconds(activity.start), people(activity), title(outing, activity),
            print_duration(activity.duration),
            activity.kind == ActivityKind::egress ? "it begins the outing" : because(outing, timeline, reason));
        chain.push_back(std::move(link));
        at = reason.before;
    }
    std::ranges::reverse(chain);
    return chain;
}

}  // namespace handrail::plan
