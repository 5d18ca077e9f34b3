#include "units/time.h"

#include <gtest/gtest.h>

#include "units/clock_difference.h"

namespace handrail {
namespace {

TEST(PrintPet, IsRoundedDownToTheMinuteOnEitherSideOfZero) {
    EXPECT_EQ(print_pet(pet(Seconds{9659})), "02:40");
    EXPECT_EQ(print_pet(pet(Seconds{0})), "00:00");
    EXPECT_EQ(print_pet(pet(Seconds{-60})), "-00:01");
    EXPECT_EQ(print_pet(pet(Seconds{-61})), "-00:02");
    EXPECT_EQ(print_pet_seconds(pet(Seconds{-1799})), "-00:29:59");
    EXPECT_EQ(print_pet_seconds(pet(Seconds{36005})), "10:00:05");
}

TEST(PrintDuration, NamesOnlyWhatIsThere) {
    EXPECT_EQ(print_duration(Seconds{0}), "0 min");
    EXPECT_EQ(print_duration(Seconds{5100}), "1 h 25 min");
    EXPECT_EQ(print_duration(Seconds{150}), "2 min 30 s");
    EXPECT_EQ(print_duration(Seconds{-45}), "-45 s");
    EXPECT_EQ(print_signed_minutes(Seconds{725}), "+12 min");
    EXPECT_EQ(print_signed_minutes(Seconds{-170}), "-3 min");
}

TEST(ClockDifference, IsWhatAReaderFindsWhoSubtractsTheClocksOnThePage) {
    const auto at = [](int minutes, int seconds) { return pet(Seconds{60 * minutes + seconds}); };
    // For every pair within two minutes, and by the printed text rather than by the same sum again.
    const auto printed = [](Pet t) {
        const std::string text = print_pet(t);
        const bool negative = text.front() == '-';
        const int minutes = std::stoi(text.substr(negative, 2)) * 60 + std::stoi(text.substr(negative + 3, 2));
        return negative ? -minutes : minutes;
    };
    for (int a = -70; a < 130; a += 7)
        for (int b = -70; b < 130; b += 11)
            EXPECT_EQ(by_the_clock(at(0, a), at(0, b)).count(), printed(at(0, a)) - printed(at(0, b)))
                << a << " s and " << b << " s";
    EXPECT_EQ(by_the_clock(at(313, 10), at(301, 50)).count(), 12);  // 11 min 20 s pass
    EXPECT_EQ(by_the_clock(at(313, 50), at(301, 10)).count(), 12);  // 12 min 40 s pass
}

TEST(ClockDifference, OfWhatIsLeftNeverHidesThatItIsTooLateOrLessThanWanted) {
    const Pet end = pet(Seconds{6 * 3600});
    EXPECT_EQ(left_by_the_clock(end, end - Seconds{17 * 60 + 20}), Seconds{18 * 60});  // 05:42 and 06:00
    EXPECT_EQ(left_by_the_clock(end, end + Seconds{20}), Seconds{-20});                // both read 06:00
    EXPECT_EQ(left_by_the_clock(end, end - Seconds{40}), Seconds{40});
    EXPECT_EQ(left_by_the_clock(end, end + Seconds{90}), Seconds{-60});
    EXPECT_EQ(left_by_the_clock(end, end - Seconds{899}, Seconds{900}), Seconds{899});
    EXPECT_EQ(left_by_the_clock(end, end - Seconds{900}, Seconds{900}), Seconds{900});
}

TEST(Clocks, MeetAtPetZeroOnly) {
    const Utc zero{std::chrono::sys_days{std::chrono::year{2031} / 4 / 5} + std::chrono::hours{8}};
    const Utc later = to_utc(pet(Seconds{3600}), zero);
    EXPECT_EQ(print_utc(later), "2031-04-05T09:00:00Z");
    EXPECT_EQ(to_pet(later, zero), pet(Seconds{3600}));
}

}  // namespace
}  // namespace handrail
