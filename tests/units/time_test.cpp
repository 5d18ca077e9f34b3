#include "units/time.h"

#include <gtest/gtest.h>

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

TEST(Clocks, MeetAtPetZeroOnly) {
    const Utc zero{std::chrono::sys_days{std::chrono::year{2031} / 4 / 5} + std::chrono::hours{8}};
    const Utc later = to_utc(pet(Seconds{3600}), zero);
    EXPECT_EQ(print_utc(later), "2031-04-05T09:00:00Z");
    EXPECT_EQ(to_pet(later, zero), pet(Seconds{3600}));
}

}  // namespace
}  // namespace handrail
