#include "live/behind.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "units/clock_difference.h"

namespace handrail::live {
namespace {

/// Less than this either way is on time.
constexpr Seconds on_time{30};

Seconds seconds(Milliseconds d) { return std::chrono::floor<Seconds>(d); }

bool milestone(const Activity& activity) {
    return activity.kind == ActivityKind::step || activity.kind == ActivityKind::egress ||
           activity.kind == ActivityKind::clean_up || activity.kind == ActivityKind::ingress;
}

std::string name_of(const Outing& outing, const Activity& activity) {
    return activity.step ? outing.step(*activity.step).label : title(outing, activity);
}

/// How long work was stopped within [from, to).
Seconds held_within(const Day& day, Pet from, Pet to) {
    Seconds held{0};
    for (const Hold& hold : day.holds) {
        const Pet begin = std::max(from, hold.from);
        const Pet end = std::min(to, hold.to.value_or(day.pet_now()));
        if (end > begin) held += seconds(end - begin);
    }
    return held;
}

/// Something that cost (or, negative, gained) time.
struct Share {
    Seconds cost{};
    std::string words;
};

std::string minutes(Seconds d) {
    const auto rounded = std::chrono::round<std::chrono::minutes>(std::chrono::abs(d));
    return print_duration(std::max(Seconds{60}, Seconds{rounded}));
}

Share blame(const Day& day, Pet from, Pet to, Seconds cost, std::string otherwise) {
    const Seconds held = held_within(day, from, to);
    if (cost > Seconds{0} && held * 2 >= cost) return {cost, fmt::format("hold of {}", minutes(held))};
    return {cost, std::move(otherwise)};
}

/// Steps of one person, done, running and next, beside their places in the plan.
struct Pair {
    Activity real;
    const Activity* planned;
    bool ahead;
};

std::vector<Pair> pairs_of(const Day& day, const Forecast& forecast, Crew crew) {
    std::vector<Pair> pairs;
    const auto add = [&](const AsRun& run, bool ahead) {
        if (!run.activity.on(lane_of(crew)) || !milestone(run.activity)) return;
        if (const Activity* planned = planned_as(*day.plan, run.activity, crew))
            pairs.push_back({run.activity, planned, ahead});
    };
    for (const AsRun& run : day.as_run) add(run, false);
    for (const AsRun& run : forecast.ahead) {
        if (!pairs.empty() && pairs.back().ahead) break;
        add(run, true);
    }
    return pairs;
}

}  // namespace

const Activity* planned_as(const Timeline& plan, const Activity& activity, Crew crew) {
    for (const Activity& planned : plan.activities) {
        if (planned.kind != activity.kind || !planned.on(lane_of(crew))) continue;
        if (activity.kind == ActivityKind::step ? planned.step == activity.step : milestone(activity)) return &planned;
    }
    return nullptr;
}

Behind behind_of(const Outing& outing, const Day& day, const Forecast& forecast, Crew crew) {
    if (!day.plan || !day.pet_running) return {};
    const std::vector<Pair> pairs = pairs_of(day, forecast, crew);
    if (pairs.empty()) return {};
    Behind behind;
    const bool running = std::ranges::any_of(day.as_run, [&](const AsRun& run) {
        return run.running && run.activity.on(lane_of(crew)) && milestone(run.activity);
    });
    // While something runs, its expected end counts; between two steps, when the next one can begin.
    const Pair* judged = &pairs.back();
    if (running && judged->ahead && pairs.size() > 1) judged = &pairs[pairs.size() - 2];
    const Pet real = judged->ahead ? judged->real.start : judged->real.end();
    const Pet planned = judged->ahead ? judged->planned->start : judged->planned->end();
    if (std::chrono::abs(real - planned) < on_time) return behind;
    behind.by = by_the_clock(real, planned);
    if (behind.by == Seconds{0}) return behind;

    Share worst;
    const Pair* before = nullptr;
    for (const Pair& pair : pairs) {
        const std::string name = name_of(outing, pair.real);
        const Pet real_before = before ? before->real.end() : Pet{};
        const Pet planned_before = before ? before->planned->end() : Pet{};
        const Seconds gap = seconds((pair.real.start - real_before) - (pair.planned->start - planned_before));
        std::vector<Share> shares{
            blame(day, real_before, pair.real.start, gap,
                  fmt::format("{} {} before {}", minutes(gap), gap > Seconds{0} ? "lost" : "gained", name))};
        if (!pair.ahead) {
            const Seconds over = pair.real.duration - pair.planned->duration;
            shares.push_back(
                blame(day, pair.real.start, pair.real.end(), over,
                      fmt::format("{} {} {} than planned", name, running && &pair == judged ? "takes" : "took",
                                  minutes(over) + (over > Seconds{0} ? " more" : " less"))));
        }
        for (Share& share : shares) {
            const bool helps = behind.by > Seconds{0} ? share.cost > worst.cost : share.cost < worst.cost;
            if (helps) worst = std::move(share);
        }
        before = &pair;
        if (&pair == judged) break;
    }
    behind.cause = std::move(worst.words);
    return behind;
}

}  // namespace handrail::live
