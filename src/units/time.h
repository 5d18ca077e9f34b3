#pragma once

#include <chrono>
#include <string>

namespace handrail {

/// Phase elapsed time: a clock without a now(), because PET is never read off a wall clock.
struct PetClock {
    using rep = std::chrono::milliseconds::rep;
    using period = std::chrono::milliseconds::period;
    using duration = std::chrono::milliseconds;
    using time_point = std::chrono::time_point<PetClock>;
    static constexpr bool is_steady = true;
};
/// Time since the suits went to battery power (PET zero). Negative before it.
using Pet = std::chrono::time_point<PetClock>;
/// A UTC instant. Leap seconds are not counted (POSIX days of 86,400 s); sky adds TAI-UTC where it matters.
using Utc = std::chrono::sys_time<std::chrono::milliseconds>;
using Seconds = std::chrono::seconds;
using Milliseconds = std::chrono::milliseconds;

constexpr Pet pet(Seconds since_zero) { return Pet{since_zero}; }
/// Whole seconds since PET zero, rounded down.
constexpr Seconds since_zero(Pet t) { return std::chrono::floor<Seconds>(t.time_since_epoch()); }
/// The two clocks meet only here.
constexpr Utc to_utc(Pet t, Utc pet_zero) { return pet_zero + t.time_since_epoch(); }
constexpr Pet to_pet(Utc t, Utc pet_zero) { return Pet{t - pet_zero}; }

/// "02:40" (hh:mm), "-00:30" before PET zero. Rounded down to the minute.
std::string print_pet(Pet t);
/// "02:40:05"
std::string print_pet_seconds(Pet t);
/// "2031-04-05T08:30:00Z" (ISO 8601); milliseconds only when there are any.
std::string print_utc(Utc t);
/// "1 h 25 min", "45 s", "2 min 30 s"; "0 min" for nothing.
std::string print_duration(Seconds d);
/// "+12 min", "-3 min": signed, to the minute.
std::string print_signed_minutes(Seconds d);

}  // namespace handrail
