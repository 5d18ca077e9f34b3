#include "timeline/loads.h"

#include <algorithm>

namespace handrail {
namespace {

/// Who has which item in hand, as far as it decides how hard a translation is.
class Hands {
public:
    explicit Hands(const Outing& outing) : outing_(outing), carrier_(outing.items.size()) {}

    SizeClass load(Crew crew) const {
        SizeClass largest = SizeClass::small;
        for (std::size_t i = 0; i < carrier_.size(); ++i)
            if (carrier_[i] == crew) largest = std::max(largest, outing_.items[i].size);
        return largest;
    }

    void follow(const Activity& activity, const Timeline& timeline) {
        if (activity.kind == ActivityKind::pick_up) {
            for (Crew crew : both_crew)
                if (activity.on(lane_of(crew))) give(activity.items, crew);
        } else if (activity.kind == ActivityKind::put_down) {
            give(activity.items, std::nullopt);
        } else if (activity.step) {
            const Step& step = outing_.step(*activity.step);
            for (const auto* gone : {&step.leaves, &step.installs, &step.moves}) give(*gone, std::nullopt);
            const Crew lead = timeline.lead_of(step.task).value_or(outing_.task(step.task).lead.value_or(Crew::ev1));
            if (const auto crew = crew_in(step, lead); !crew.empty()) give(step.takes, crew.front());
        }
    }

private:
    void give(const std::vector<ItemId>& items, std::optional<Crew> to) {
        for (ItemId item : items) carrier_[index(item)] = to;
    }

    const Outing& outing_;
    std::vector<std::optional<Crew>> carrier_;  ///< by ItemId
};

bool sunlit(const WindowTable& windows, Pet from, Seconds length) {
    if (!windows.knows("daylight")) return true;
    const Pet middle = from + std::chrono::duration_cast<Milliseconds>(length) / 2;
    return std::ranges::any_of(windows.of("daylight", ""), [middle](const Window& window) {
        return window.from() <= middle && middle < window.to();
    });
}

}  // namespace

CrewLoads loads_of(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Crew crew) {
    CrewLoads result;
    Hands hands(outing);
    Pet busy_until{};
    const auto add = [&](Pet until, Effort effort, std::optional<std::size_t> activity) {
        if (until <= busy_until) return;
        const Seconds length = std::chrono::duration_cast<Seconds>(until - busy_until);
        const Watts rate = lifesupport::metabolic_rate(outing.rules, outing.person(crew), effort);
        result.loads.push_back({busy_until, length, rate, sunlit(windows, busy_until, length)});
        result.activity.push_back(activity);
        busy_until = until;
    };
    // What a step takes is carried at its end, so hands follow activities in the order in which they end.
    std::vector<std::size_t> by_end(timeline.activities.size());
    for (std::size_t i = 0; i < by_end.size(); ++i) by_end[i] = i;
    std::ranges::stable_sort(by_end, {}, [&](std::size_t i) { return timeline.activities[i].end(); });
    auto next_end = by_end.begin();
    for (std::size_t i = 0; i < timeline.activities.size(); ++i) {
        const Activity& activity = timeline.activities[i];
        if (!activity.on(lane_of(crew))) continue;
        for (; next_end != by_end.end() && timeline.activities[*next_end].end() <= activity.start; ++next_end)
            hands.follow(timeline.activities[*next_end], timeline);
        add(activity.start, Effort::rest, std::nullopt);
        add(activity.end(), effort_of(outing, activity, hands.load(crew)), i);
        if (activity.kind == ActivityKind::ingress) break;
    }
    return result;
}

}  // namespace handrail
