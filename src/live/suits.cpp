#include <algorithm>
#include <cmath>

#include "live/suit_loads.h"
#include "live/suit_margins.h"
#include "plan/planner.h"
#include "units/clock_difference.h"

/// What each suit has left, and the last moment to turn back.
namespace handrail::live {
namespace {

using lifesupport::HomePart;

/// Sites this person's task has left open, and the close-up steps still to be done there.
std::vector<HomePart> close_ups(const Outing& outing, const Day& day, Crew crew) {
    std::vector<HomePart> parts;
    const auto& steps = day.situation.steps;
    const auto begun = [&](const Step& step) {
        const auto status = steps[index(step.id)];
        return status == plan::StepStatus::done || status == plan::StepStatus::running;
    };
    for (const Task& task : outing.tasks) {
        const Crew lead = day.situation.lead[index(task.id)].value_or(Crew::ev1);
        for (const StepId id : task.steps) {
            const Step& close = outing.step(id);
            if (!close.close_up || steps[index(id)] != plan::StepStatus::to_do) continue;
            const auto site = close.to ? close.to : close.at;
            const bool open = std::ranges::any_of(task.steps, [&](StepId other) {
                const Step& opening = outing.step(other);
                return opening.opens && begun(opening) && (opening.to ? opening.to : opening.at) == site;
            });
            const auto hands = crew_in(close, lead);
            if (!open || std::ranges::find(hands, crew) == hands.end()) continue;
            parts.push_back({"close-up " + close.label, planned_duration(outing, close, lead),
                             lifesupport::metabolic_rate(outing.rules, outing.person(crew), close.effort)});
        }
    }
    return parts;
}

lifesupport::TurnBackQuestion question(const Outing& outing, const Day& day, Crew crew,
                                       const lifesupport::Amounts& draw, lifesupport::TurnBackKind kind) {
    const std::size_t c = index(crew);
    const auto rate = [&](Effort effort) {
        return lifesupport::metabolic_rate(outing.rules, outing.person(crew), effort);
    };
    lifesupport::TurnBackQuestion q;
    q.now = day.pet_now();
    q.used = day.suit[c].used;
    q.draw = draw;
    q.hard_end = pet(outing.rules.limit);
    const bool orderly = kind == lifesupport::TurnBackKind::terminate;
    if (orderly) q.home = close_ups(outing, day, crew);
    // A large item may be dropped on the way home (docs/rules.md, "Way home").
    const auto way =
        plan::quickest_way(outing, crew, day.at[c], outing.station.airlock, day.anchor[c], SizeClass::medium);
    if (way && way->time > Seconds{0}) q.home.push_back({"way", way->time, rate(Effort::translate)});
    if (orderly && outing.rules.clean_up > Seconds{0} && !day.ingress_from)
        q.home.push_back({"clean-up", outing.rules.clean_up, rate(Effort::light)});
    q.home.push_back({"ingress", outing.rules.ingress, rate(Effort::airlock)});
    return q;
}

lifesupport::Forecast forecast_of(const Outing& outing, const Day& day, const Forecast& forecast, Crew crew) {
    std::vector<AsRun> all = day.as_run;
    all.insert(all.end(), forecast.ahead.begin(), forecast.ahead.end());
    const auto loads = suit_loads(outing, day.windows, all, crew, forecast.finish);
    return lifesupport::forecast(outing.suit_of(crew), loads, day.suit[index(crew)]);
}

void add_margin(const lifesupport::Forecast& ahead, SuitStatus& status) {
    if (!ahead.at_return().least) return;
    status.limiting = ahead.at_return().least;
    status.in_hand = ahead.at_return().in_hand;
}

SuitStatus suit_of(const Outing& outing, const Day& day, const Forecast& forecast, Crew crew) {
    const std::size_t c = index(crew);
    const SuitType& suit = outing.suit_of(crew);
    const lifesupport::Forecast ahead = forecast_of(outing, day, forecast, crew);

    SuitStatus status;
    const bool ended = day.situation.crew[c].inside_again;
    add_margin(ahead, status);
    for (const lifesupport::Consumable consumable : lifesupport::all_consumables) {
        const std::size_t i = index(consumable);
        if (!ahead.carries(consumable)) continue;
        ConsumableStatus one;
        one.consumable = consumable;
        one.capacity = ahead.capacity[i];
        one.reserve = ahead.reserve[i];
        one.used = day.suit[c].used[i];
        one.left = std::max(0.0, one.capacity - one.used);
        one.left_at_return = ahead.at_return().left[i];
        one.in_hand = ahead.in_hand(consumable);
        for (const lifesupport::JudgedValue& value : day.estimate[c].values)
            if (value.consumable == consumable && value.used()) one.measured = value.at;
        status.consumables.push_back(one);
    }
    if (ended) return status;
    const double scale = day.suit[c].factors.metabolic;
    status.terminate = lifesupport::turn_back(
        suit, lifesupport::TurnBackKind::terminate,
        question(outing, day, crew, ahead.mean_draw, lifesupport::TurnBackKind::terminate), scale);
    status.abort =
        lifesupport::turn_back(suit, lifesupport::TurnBackKind::abort,
                               question(outing, day, crew, ahead.mean_draw, lifesupport::TurnBackKind::abort), scale);
    return status;
}

}  // namespace

std::array<SuitStatus, 2> suits_of(const Outing& outing, const Day& day, const Forecast& forecast) {
    return {suit_of(outing, day, forecast, Crew::ev1), suit_of(outing, day, forecast, Crew::ev2)};
}

std::optional<Tightest> tightest_of(const Outing& outing, const Forecast& forecast,
                                    const std::array<SuitStatus, 2>& suits) {
    if (!forecast.possible || !forecast.timeline || forecast.timeline->activities.empty()) return std::nullopt;
    Tightest tightest;
    tightest.in_hand = left_by_the_clock(pet(outing.rules.limit), forecast.finish);
    for (const Crew crew : both_crew) {
        const SuitStatus& suit = suits[index(crew)];
        if (suit.in_hand && *suit.in_hand < tightest.in_hand) tightest = {crew, suit.limiting, *suit.in_hand};
    }
    return tightest;
}

std::optional<Tightest> tightest_ahead(const Outing& outing, const Day& day, const Forecast& forecast) {
    std::array<SuitStatus, 2> suits;
    for (const Crew crew : both_crew) add_margin(forecast_of(outing, day, forecast, crew), suits[index(crew)]);
    return tightest_of(outing, forecast, suits);
}

std::string words(const Tightest& tightest) {
    if (!tightest.crew || !tightest.consumable) return "the hard end";
    return std::string(word(*tightest.crew)) + ": " + std::string(word(*tightest.consumable));
}

}  // namespace handrail::live
