#include "lifesupport/turn_back.h"

#include <algorithm>
#include <cmath>

namespace handrail::lifesupport {
namespace {

TurnBackLimit limit_of(Consumable c) {
    switch (c) {
        case Consumable::oxygen:
            return TurnBackLimit::oxygen;
        case Consumable::co2:
            return TurnBackLimit::co2;
        case Consumable::water:
            return TurnBackLimit::water;
        case Consumable::battery:
            return TurnBackLimit::battery;
        case Consumable::gas:
            return TurnBackLimit::gas;
    }
    return TurnBackLimit::hard_end;
}

/// Drawn by coming home from `skip` on: the first seconds may be covered by another supply.
Amounts drawn_home(const SuitType& suit, const TurnBackQuestion& question, Seconds last_part, double scale) {
    Amounts drawn{};
    Seconds to_go = last_part;
    for (auto part = question.home.rbegin(); part != question.home.rend() && to_go > Seconds{0}; ++part) {
        const Seconds counted = std::min(part->duration, to_go);
        const Amounts draw = draw_per_second(suit, part->metabolic * scale, true);
        for (std::size_t c = 0; c < consumable_count; ++c) drawn[c] += draw[c] * static_cast<double>(counted.count());
        to_go -= counted;
    }
    return drawn;
}

/// The last second from `now` at which `spare` still covers the draw.
std::optional<Pet> last_moment(Pet now, double spare, double draw) {
    if (!std::isfinite(spare)) return std::nullopt;
    if (draw <= 0) return spare >= 0 ? std::nullopt : std::optional{now - Seconds{1}};
    // Whole seconds, as everything in a timeline; the guard absorbs the last bits of sums of many draws.
    constexpr double rounding_s = 1e-6;
    constexpr double for_ever_s = 1e9;
    return now + Seconds{std::llround(std::floor(std::clamp(spare / draw, -for_ever_s, for_ever_s) + rounding_s))};
}

}  // namespace

std::string_view word(TurnBackKind kind) { return kind == TurnBackKind::terminate ? "terminate" : "abort"; }

std::string_view word(TurnBackLimit limit) {
    switch (limit) {
        case TurnBackLimit::oxygen:
            return word(Consumable::oxygen);
        case TurnBackLimit::co2:
            return word(Consumable::co2);
        case TurnBackLimit::water:
            return word(Consumable::water);
        case TurnBackLimit::battery:
            return word(Consumable::battery);
        case TurnBackLimit::gas:
            return word(Consumable::gas);
        case TurnBackLimit::hard_end:
            return "hard end";
    }
    return {};
}

TurnBack turn_back(const SuitType& suit, TurnBackKind kind, const TurnBackQuestion& question, double home_scale) {
    TurnBack answer;
    answer.kind = kind;
    for (const HomePart& part : question.home) answer.home += part.duration;
    const bool aborting = kind == TurnBackKind::abort;
    const Amounts full = capacity(suit);
    const Amounts kept = aborting ? Amounts{} : reserve(suit);
    const Amounts whole_way = drawn_home(suit, question, answer.home, home_scale);
    Amounts breathing_way = whole_way;
    if (aborting && suit.secondary_oxygen > Seconds{0}) {
        answer.secondary_in_hand = suit.secondary_oxygen - answer.home;
        const Seconds uncovered = std::max(Seconds{0}, answer.home - suit.secondary_oxygen);
        breathing_way = drawn_home(suit, question, uncovered, home_scale);
    }
    const auto sooner = [&answer](std::optional<Pet> at, TurnBackLimit limit) {
        if (!at || (answer.at && *answer.at <= *at)) return;
        answer.at = at;
        answer.limit = limit;
    };
    for (Consumable c : all_consumables) {
        const std::size_t i = index(c);
        const bool breathing = c == Consumable::oxygen || c == Consumable::co2;
        const double home = breathing ? breathing_way[i] : whole_way[i];
        answer.by_consumable[i] =
            last_moment(question.now, full[i] - question.used[i] - home - kept[i], question.draw[i]);
        sooner(answer.by_consumable[i], limit_of(c));
    }
    if (question.hard_end) {
        answer.by_hard_end = *question.hard_end - answer.home;
        sooner(answer.by_hard_end, TurnBackLimit::hard_end);
    }
    return answer;
}

std::optional<Pet> pair_turn_back(std::span<const TurnBack> both) {
    std::optional<Pet> first;
    for (const TurnBack& one : both)
        if (one.at && (!first || *one.at < *first)) first = one.at;
    return first;
}

Metres reach_within(MetresPerSecond speed, Seconds supply, Seconds close_up_and_ingress) {
    const auto moving = static_cast<double>(std::max(Seconds{0}, supply - close_up_and_ingress).count());
    return Metres{speed.value() * moving};
}

}  // namespace handrail::lifesupport
