#include "brief/axis.h"

#include <gtest/gtest.h>

namespace handrail::brief {
namespace {

TimeAxis hours(int count, double width) { return {pet(Seconds{0}), pet(Seconds{count * 3600}), 100, 100 + width}; }

TEST(TimeAxis, MapsItsEndsOntoItsEdges) {
    const TimeAxis axis = hours(2, 600);
    EXPECT_DOUBLE_EQ(axis.x(axis.from), 100);
    EXPECT_DOUBLE_EQ(axis.x(axis.to), 700);
    EXPECT_DOUBLE_EQ(axis.per_minute(), 5);
}

TEST(TimeAxis, LabelsKeepTheGapAskedForAtEveryScale) {
    for (const int count : {1, 3, 7, 20, 90}) {
        const TimeAxis axis = hours(count, 500);
        double last = -1e9;
        int labels = 0;
        for (const AxisTick& tick : ticks(axis, 30)) {
            if (tick.kind != Tick::labelled) continue;
            EXPECT_GE(axis.x(tick.at) - last, 30 - 1e-9) << count << " hours";
            last = axis.x(tick.at);
            ++labels;
        }
        EXPECT_GE(labels, 2) << count << " hours";
    }
}

TEST(TimeAxis, TicksBeforePetZeroStayOnRoundMinutes) {
    const TimeAxis axis{pet(Seconds{-1830}), pet(Seconds{600}), 0, 400};
    for (const AxisTick& tick : ticks(axis, 40)) EXPECT_EQ(since_zero(tick.at).count() % 60, 0);
    EXPECT_EQ(since_zero(ticks(axis, 40).front().at).count() % 300, 0);
}

TEST(TimeAxis, PetAndUtcOfATickAreTheSameMoment) {
    const Utc zero = std::chrono::sys_days{std::chrono::year{2031} / 4 / 5} + std::chrono::hours{23};
    EXPECT_EQ(clock_utc(pet(Seconds{90 * 60}), zero), "00:30");
}

}  // namespace
}  // namespace handrail::brief
