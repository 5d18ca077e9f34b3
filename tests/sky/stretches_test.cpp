#include "sky/stretches.h"

#include <gtest/gtest.h>

#include <cmath>

namespace handrail::sky {
namespace {

TEST(Stretches, PositivePartsOfASineEndAtItsZeros) {
    const auto found = where_positive([](double t) { return std::sin(t / 100); }, {0, 1500, 60, 1e-4});
    ASSERT_EQ(found.size(), 3u);
    EXPECT_NEAR(found[0].from_s, 0, 1e-4);
    for (int i = 0; i < 2; ++i) {
        EXPECT_NEAR(found[i].to_s, (2 * i + 1) * M_PI * 100, 1e-3);
        EXPECT_NEAR(found[i + 1].from_s, (2 * i + 2) * M_PI * 100, 1e-3);
    }
    EXPECT_EQ(found[2].to_s, 1500);
}

TEST(Stretches, AStretchFarShorterThanTheStepIsFound) {
    // cos just reaches the threshold: positive for 2 acos(1 - 1e-6) = 2.8e-3 rad, 0.28 s here, with samples 40 s apart.
    const auto found =
        where_positive([](double t) { return std::cos((t - 333.3) / 100) - (1 - 1e-6); }, {0, 600, 40, 1e-3});
    ASSERT_EQ(found.size(), 1u);
    EXPECT_NEAR(found[0].from_s, 333.3 - 0.1414, 2e-3);
    EXPECT_NEAR(found[0].to_s, 333.3 + 0.1414, 2e-3);
}

TEST(Stretches, AShortHoleIsFoundToo) {
    const auto found =
        where_positive([](double t) { return (1 - 1e-6) - std::cos((t - 333.3) / 100); }, {0, 600, 40, 1e-3});
    ASSERT_EQ(found.size(), 2u);
    EXPECT_NEAR(found[0].to_s, 333.3 - 0.1414, 2e-3);
    EXPECT_NEAR(found[1].from_s, 333.3 + 0.1414, 2e-3);
}

TEST(Stretches, ExtremaInTheFirstAndLastStepAreFound) {
    const auto f = [](double t) { return std::cos(t / 100) - (1 - 1e-6); };  // positive within 0.14 s of 0
    const auto first = where_positive(f, {-10, 300, 40, 1e-3});
    ASSERT_EQ(first.size(), 1u);
    EXPECT_NEAR(first[0].to_s, 0.1414, 2e-3);
    const auto last = where_positive(f, {-300, 10, 40, 1e-3});
    ASSERT_EQ(last.size(), 1u);
    EXPECT_NEAR(last[0].from_s, -0.1414, 2e-3);
}

TEST(Stretches, AlwaysAndNeverAreWholeAndNothing) {
    const auto always = where_positive([](double) { return 1.0; }, {0, 100, 7, 1e-3});
    ASSERT_EQ(always.size(), 1u);
    EXPECT_EQ(always[0].from_s, 0);
    EXPECT_EQ(always[0].to_s, 100);
    EXPECT_TRUE(where_positive([](double) { return -1.0; }, {0, 100, 7, 1e-3}).empty());
}

TEST(Stretches, FewEvaluationsDoForAnEdge) {
    int calls = 0;
    const auto f = [&](double t) {
        ++calls;
        return std::sin(t / 885.0) - 0.3;  // a low orbit's rhythm
    };
    EXPECT_EQ(where_positive(f, {0, 50400, 230, 1e-3}).size(), 10u);
    EXPECT_LT(calls, 500) << "10 stretches, 19 edges, to a millisecond over 14 hours";
}

TEST(Stretches, IntersectionJoinAndComplement) {
    const Stretches a{{0, 10}, {20, 30}}, b{{5, 25}, {29, 40}};
    const auto both = intersection(a, b);
    ASSERT_EQ(both.size(), 3u);
    EXPECT_EQ(both[1].from_s, 20);
    EXPECT_EQ(both[1].to_s, 25);
    const auto any = joined({{20, 30}, {0, 10}, {10, 12}, {22, 25}});
    ASSERT_EQ(any.size(), 2u);
    EXPECT_EQ(any[0].to_s, 12);
    const auto rest = complement(any, -5, 40);
    ASSERT_EQ(rest.size(), 3u);
    EXPECT_EQ(rest[1].from_s, 12);
    EXPECT_EQ(rest[1].to_s, 20);
    EXPECT_EQ(complement({}, 0, 5).size(), 1u);
    EXPECT_TRUE(complement({{0, 5}}, 0, 5).empty());
}

}  // namespace
}  // namespace handrail::sky
