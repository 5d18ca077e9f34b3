#include "lifesupport/forecast.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "lifesupport/workload.h"
#include "suit_for_test.h"

namespace handrail::lifesupport {
namespace {

constexpr Seconds hour{3600};

double minutes(Seconds time) { return static_cast<double>(time.count()) / 60.0; }

/// A random outing: up to 40 loads of up to 40 min, at any rate a person can work, in sun and shade.
std::vector<Load> random_loads() {
    std::vector<Load> loads;
    Pet at{};
    const auto count = *rc::gen::inRange(0, 40);
    for (int i = 0; i < count; ++i) {
        const Seconds length{*rc::gen::inRange(0, 40 * 60)};
        loads.push_back(
            Load{at, length, Watts{static_cast<double>(*rc::gen::inRange(0, 700))}, *rc::gen::arbitrary<bool>()});
        at = loads.back().end() + Seconds{*rc::gen::inRange(0, 2) * 60};
    }
    return loads;
}

SuitType random_suit() {
    SuitType suit = generic_suit();
    if (*rc::gen::arbitrary<bool>()) suit.oxygen.reset();
    if (*rc::gen::arbitrary<bool>()) suit.feedwater.reset();
    if (*rc::gen::arbitrary<bool>()) suit.battery = WattHours{static_cast<double>(*rc::gen::inRange(0, 900))};
    suit.heat_leak_sunlit = Watts{static_cast<double>(*rc::gen::inRange(-300, 300))};
    suit.heat_leak_dark = Watts{static_cast<double>(*rc::gen::inRange(-300, 300))};
    return suit;
}

TEST(Forecast, SaysThatBatteryThenOxygenThenCo2Limits) {
    const std::vector loads{steady(btu_rate(1000), 6 * hour)};
    const Forecast plan = forecast(generic_suit(), loads);
    // Reference notes 3.3, from full at 1000 BTU/h with 30 min at 700 BTU/h in reserve: 390, 399, 446, 494 min.
    const auto until_reserve = [&](Consumable c) { return 360 + minutes(*plan.in_hand(c)); };
    EXPECT_NEAR(until_reserve(Consumable::battery), 390.0, 0.1);
    EXPECT_NEAR(until_reserve(Consumable::oxygen), 399.3, 0.3);
    EXPECT_NEAR(until_reserve(Consumable::co2), 446.5, 0.3);
    EXPECT_NEAR(until_reserve(Consumable::water), 493.6, 0.5);
    EXPECT_EQ(plan.at_return().least, Consumable::battery);
}

TEST(Forecast, OfAnEasierOutingIsStillLimitedByTheBattery) {
    const std::vector loads{steady(Watts{200 * 1.163}, 6 * hour)};
    const Forecast plan = forecast(generic_suit(), loads);
    EXPECT_NEAR(360 + minutes(*plan.in_hand(Consumable::oxygen)), 494.9, 0.3);
    EXPECT_EQ(plan.at_return().least, Consumable::battery);
}

TEST(Forecast, OfAHarderOutingIsLimitedByOxygen) {
    const std::vector loads{steady(btu_rate(1300), 4 * hour)};
    EXPECT_EQ(forecast(generic_suit(), loads).at_return().least, Consumable::oxygen);
}

TEST(Forecast, TellsWhenTheReserveIsMetAndWhenNothingIsLeft) {
    const std::vector loads{steady(btu_rate(1000), 10 * hour)};
    const Forecast plan = forecast(generic_suit(), loads);
    const auto hours = [](Pet at) { return std::chrono::duration<double, std::ratio<3600>>(at - Pet{}).count(); };
    EXPECT_NEAR(hours(*plan.reserve_at[index(Consumable::oxygen)]), 399.3 / 60, 0.01);
    EXPECT_NEAR(hours(*plan.used_up_at[index(Consumable::oxygen)]), 7.01, 0.01);
    EXPECT_EQ(plan.at_return().left[index(Consumable::oxygen)], 0);
}

TEST(Forecast, WithoutReadingsDrawsWhatThePlannerCounts) {
    const auto loads = ordinary_outing();
    SuitType suit = generic_suit();
    suit.heat_leak_sunlit = Watts{40};
    const Amounts used = forecast(suit, loads).at_return().used;
    Amounts sum{};
    for (const Load& load : loads) {
        const Amounts draw = draw_per_second(suit, load.metabolic, load.sunlit);
        for (std::size_t c = 0; c < consumable_count; ++c)
            sum[c] += draw[c] * static_cast<double>(load.duration.count());
    }
    for (std::size_t c = 0; c < consumable_count; ++c) EXPECT_NEAR(used[c], sum[c], 1e-9 * (1 + sum[c]));
}

TEST(Forecast, IsTighterForAnOutingThanForAStep) {
    const auto loads = ordinary_outing();
    SuitType suit = generic_suit();
    suit.leak = KilogramsPerHour{0};
    const Forecast whole = forecast(suit, loads), step = forecast(suit, std::vector{loads.front()});
    const auto share = [](const Forecast& plan) {
        return plan.at_return().sd[index(Consumable::co2)] / plan.at_return().used[index(Consumable::co2)];
    };
    EXPECT_NEAR(share(step), 0.30, 0.01);  // common practice: steps about 30 %
    EXPECT_GT(share(whole), 0.15);         // and the outing's mean about 15 %
    EXPECT_LT(share(whole), 0.19);
}

TEST(Forecast, GivesTheChanceThatTheReserveIsTouched) {
    const Forecast easy = forecast(generic_suit(), std::vector{steady(btu_rate(700), 4 * hour)});
    const Forecast to_reserve = forecast(generic_suit(), std::vector{steady(btu_rate(1000), Seconds{23958})});
    EXPECT_LT(easy.chance_reserve_touched(Consumable::oxygen), 0.001);
    EXPECT_NEAR(to_reserve.chance_reserve_touched(Consumable::oxygen), 0.5, 0.01);
    EXPECT_EQ(easy.chance_reserve_touched(Consumable::gas), 0);
}

TEST(Forecast, OfNoLoadsIsTheFullSuit) {
    const Forecast plan = forecast(generic_suit(), std::vector<Load>{});
    ASSERT_EQ(plan.margins.size(), 1u);
    EXPECT_EQ(plan.at_return().left, plan.capacity);
    EXPECT_GT(plan.at_return().in_hand, Seconds{0});
}

TEST(Workload, FindsTheHardestQuarterOfAnHour) {
    std::vector<Load> loads{steady(Watts{200}, hour), steady(Watts{500}, Seconds{600}, minute(60)),
                            steady(Watts{200}, hour, minute(70))};
    const auto hardest = hardest_stretch(loads, Seconds{900});
    ASSERT_TRUE(hardest);
    EXPECT_NEAR(hardest->mean.value(), (500 * 10 + 200 * 5) / 15.0, 1e-9);
}

// Mass in = mass used + left, at every moment, until a consumable has run out.
RC_GTEST_PROP(ForecastLaw, WhatIsUsedAndWhatIsLeftIsWhatWasThere, ()) {
    const SuitType suit = random_suit();
    const auto loads = random_loads();
    const Forecast plan = forecast(suit, loads);
    for (const Margin& margin : plan.margins)
        for (Consumable c : all_consumables) {
            if (!plan.carries(c) || (plan.used_up_at[index(c)] && *plan.used_up_at[index(c)] <= margin.at)) continue;
            const double sum = margin.used[index(c)] + margin.left[index(c)];
            RC_ASSERT(std::abs(sum - plan.capacity[index(c)]) < 1e-9 * (1 + plan.capacity[index(c)]));
        }
}

RC_GTEST_PROP(ForecastLaw, EveryQuantityStaysFiniteAndNothingGoesBelowZero, ()) {
    const SuitType suit = random_suit();
    const auto loads = random_loads();
    const Forecast plan = forecast(suit, loads);
    for (const Margin& margin : plan.margins) {
        for (Consumable c : all_consumables) {
            const std::size_t i = index(c);
            RC_ASSERT(std::isfinite(margin.used[i]) && margin.used[i] >= 0);
            RC_ASSERT(std::isfinite(margin.sd[i]) && margin.sd[i] >= 0);
            RC_ASSERT(!std::isnan(margin.left[i]) && margin.left[i] >= 0);
            RC_ASSERT(std::isfinite(plan.chance_reserve_touched(c)));
            // Nothing left is always said: it has a time at which it was used up.
            if (plan.carries(c) && margin.left[i] == 0) RC_ASSERT(plan.used_up_at[i].has_value());
        }
    }
}

RC_GTEST_PROP(ForecastLaw, MoreWorkNeverLeavesMoreOfAnything, ()) {
    const SuitType suit = random_suit();
    auto loads = random_loads();
    const Forecast before = forecast(suit, loads);
    RC_PRE(!loads.empty());
    const auto which = static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(loads.size())));
    loads[which].metabolic += Watts{static_cast<double>(*rc::gen::inRange(1, 300))};
    const Forecast after = forecast(suit, loads);
    for (std::size_t c = 0; c < consumable_count; ++c)
        RC_ASSERT(after.at_return().left[c] <= before.at_return().left[c]);
}

RC_GTEST_PROP(ForecastLaw, UncertaintyNeverShrinksWithoutAReading, ()) {
    const Forecast plan = forecast(generic_suit(), random_loads());
    for (std::size_t i = 1; i < plan.margins.size(); ++i)
        for (std::size_t c = 0; c < consumable_count; ++c)
            RC_ASSERT(plan.margins[i].sd[c] >= plan.margins[i - 1].sd[c] - 1e-12);
}

// Cutting a load in two at any moment changes nothing of what is expected, and nothing of the spread of a step.
RC_GTEST_PROP(ForecastLaw, AForecastBegunMidwayGoesOnAsTheWholeOne, ()) {
    Noise noise;
    noise.drift_per_root_hour = 0;
    noise.leak_drift_per_root_hour = KilogramsPerHour{0};
    const auto loads = ordinary_outing();
    const Pet cut = pet(Seconds{*rc::gen::inRange(0, 390 * 60)});
    SuitState state = unread(generic_suit(), Pet{}, noise);
    for (const Load& load : loads) {
        if (load.start >= cut) break;
        state = advance(generic_suit(), std::move(state), load, std::min(cut, load.end()), noise);
    }
    const Margin whole = forecast(generic_suit(), loads, noise).at_return();
    const Margin resumed = forecast(generic_suit(), loads, state, noise).at_return();
    for (std::size_t c = 0; c < 4; ++c) {
        RC_ASSERT(std::abs(whole.used[c] - resumed.used[c]) < 1e-9 * (1 + whole.used[c]));
        RC_ASSERT(std::abs(whole.sd[c] - resumed.sd[c]) < 1e-6 * (1e-9 + whole.sd[c]));
    }
}

}  // namespace
}  // namespace handrail::lifesupport
