#include "lifesupport/turn_back.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "suit_for_test.h"

namespace handrail::lifesupport {
namespace {

/// Close-up, way, clean-up and ingress of a person at a far worksite (invented).
std::vector<HomePart> way_home() {
    return {{"close-up", Seconds{8 * 60}, Watts{221}},
            {"way home", Seconds{6 * 60}, Watts{262}},
            {"clean-up", Seconds{15 * 60}, Watts{198}},
            {"ingress", Seconds{15 * 60}, Watts{279}}};
}

TurnBackQuestion after_three_hours() {
    TurnBackQuestion question;
    question.now = minute(180);
    question.draw = draw_per_second(generic_suit(), Watts{233}, true);
    for (std::size_t c = 0; c < consumable_count; ++c) question.used[c] = question.draw[c] * 180 * 60;
    question.home = way_home();
    return question;
}

TEST(TurnBack, LeavesExactlyTheReserveWhenStartedAtTheLastMoment) {
    const SuitType suit = generic_suit();
    const TurnBackQuestion question = after_three_hours();
    const TurnBack answer = turn_back(suit, TurnBackKind::terminate, question);
    ASSERT_TRUE(answer.at && answer.limit == TurnBackLimit::battery);
    const auto left_at_return = [&](Pet start) {
        const std::size_t c = index(Consumable::battery);
        double left = capacity(suit)[c] - question.used[c] -
                      question.draw[c] * std::chrono::duration<double>(start - question.now).count();
        for (const HomePart& part : question.home)
            left -= draw_per_second(suit, part.metabolic, true)[c] * static_cast<double>(part.duration.count());
        return left - reserve(suit)[c];
    };
    EXPECT_GE(left_at_return(*answer.at), -1e-6);
    EXPECT_LT(left_at_return(*answer.at + Seconds{1}), 1e-6);
    EXPECT_EQ(answer.home, Seconds{44 * 60});
}

TEST(TurnBack, NamesTheHardEndWhenThatComesFirst) {
    TurnBackQuestion question = after_three_hours();
    question.hard_end = minute(300);
    const TurnBack answer = turn_back(generic_suit(), TurnBackKind::terminate, question);
    EXPECT_EQ(answer.limit, TurnBackLimit::hard_end);
    EXPECT_EQ(answer.at, minute(300 - 44));
}

TEST(TurnBack, LiesInThePastWhenItHasBeenMissed) {
    TurnBackQuestion question = after_three_hours();
    question.used[index(Consumable::oxygen)] = 0.54;
    const TurnBack answer = turn_back(generic_suit(), TurnBackKind::terminate, question);
    EXPECT_EQ(answer.limit, TurnBackLimit::oxygen);
    EXPECT_LT(*answer.at, question.now);
}

TEST(TurnBack, ForAnAbortComesLaterThanForAnOrderlyEnd) {
    TurnBackQuestion straight = after_three_hours();
    straight.home = {{"way home", Seconds{6 * 60}, Watts{262}}, {"ingress", Seconds{15 * 60}, Watts{279}}};
    const TurnBack orderly = turn_back(generic_suit(), TurnBackKind::terminate, after_three_hours());
    const TurnBack at_once = turn_back(generic_suit(), TurnBackKind::abort, straight);
    EXPECT_GT(*at_once.at, *orderly.at);
    EXPECT_EQ(at_once.secondary_in_hand, Seconds{9 * 60});
    EXPECT_FALSE(orderly.secondary_in_hand);
}

TEST(TurnBack, ForAnAbortCountsTheBreathingPartThatSecondaryOxygenDoesNotCover) {
    TurnBackQuestion far = after_three_hours();
    far.home = {{"way home", Seconds{40 * 60}, Watts{262}}};
    SuitType suit = generic_suit();
    const TurnBack answer = turn_back(suit, TurnBackKind::abort, far);
    EXPECT_EQ(answer.secondary_in_hand, Seconds{-10 * 60});
    const std::size_t o = index(Consumable::oxygen);
    const double spare = capacity(suit)[o] - far.used[o] - draw_per_second(suit, Watts{262}, true)[o] * 600;
    EXPECT_EQ(answer.by_consumable[o], far.now + Seconds{static_cast<int>(spare / far.draw[o])});
    suit.secondary_oxygen = Seconds{0};
    EXPECT_LT(*turn_back(suit, TurnBackKind::abort, far).by_consumable[o], *answer.by_consumable[o]);
}

TEST(TurnBack, OfASuitWithoutLimitsIsNone) {
    TurnBackQuestion question = after_three_hours();
    question.used = question.draw = {};
    EXPECT_FALSE(turn_back(SuitType{}, TurnBackKind::terminate, question).at);
}

TEST(TurnBack, OfAPairIsTheEarlierOne) {
    TurnBack one, two, unlimited;
    one.at = minute(300);
    two.at = minute(290);
    EXPECT_EQ(pair_turn_back(std::vector{one, two}), minute(290));
    EXPECT_EQ(pair_turn_back(std::vector{unlimited, one}), minute(300));
    EXPECT_FALSE(pair_turn_back(std::vector{unlimited}));
}

TEST(TurnBack, OfSomeoneWhoWorksHarderThanModelledIsEarlier) {
    TurnBackQuestion question = after_three_hours();
    question.used[index(Consumable::oxygen)] += 0.1;
    const Pet modelled = *turn_back(generic_suit(), TurnBackKind::terminate, question).at;
    EXPECT_LT(*turn_back(generic_suit(), TurnBackKind::terminate, question, 1.3).at, modelled);
}

// More drawn, a longer way, a harder rate: the turn-back never comes later.
RC_GTEST_PROP(TurnBackLaw, NothingThatCostsMoreMovesItLater, ()) {
    TurnBackQuestion question = after_three_hours();
    if (*rc::gen::arbitrary<bool>()) question.hard_end = minute(*rc::gen::inRange(200, 500));
    const auto kind = *rc::gen::element(TurnBackKind::terminate, TurnBackKind::abort);
    const TurnBack before = turn_back(generic_suit(), kind, question);
    switch (*rc::gen::inRange(0, 4)) {
        case 0:
            question.used[static_cast<std::size_t>(*rc::gen::inRange(0, 4))] += 0.01;
            break;
        case 1:
            question.home.push_back({"more", Seconds{*rc::gen::inRange(1, 1800)}, Watts{200}});
            break;
        case 2:
            question.draw[static_cast<std::size_t>(*rc::gen::inRange(0, 4))] *= 1.2;
            break;
        default:
            question.home.front().metabolic += Watts{100};
    }
    const TurnBack after = turn_back(generic_suit(), kind, question);
    RC_ASSERT(*after.at <= *before.at);
}

}  // namespace
}  // namespace handrail::lifesupport
