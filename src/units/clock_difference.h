#pragma once

#include <chrono>
#include <type_traits>

#include "units/time.h"

/// By how much one moment is later than another, as a reader finds it who subtracts the clocks beside it. Every
/// sentence that gives such a difference in whole minutes takes it from here, so that no two pages give two.
namespace handrail {

/// `a` minus `b`, both as print_pet shows them (rounded down to the minute): 05:13:10 is 12 min later than 05:01:50.
/// Up to a minute more or less than what passes between them.
template <class TimePoint>
constexpr std::chrono::minutes by_the_clock(TimePoint a, std::type_identity_t<TimePoint> b) {
    return std::chrono::floor<std::chrono::minutes>(a) - std::chrono::floor<std::chrono::minutes>(b);
}

/// What is left from `at` until `end`, by the clock; negative: `end` is over. To the second where minutes would
/// mislead: under a minute either way, and where there is a little less than `wanted`.
constexpr Seconds left_by_the_clock(Pet end, Pet at, Seconds wanted = Seconds{0}) {
    const auto exact = std::chrono::floor<Seconds>(end - at);
    const Seconds clocks = by_the_clock(end, at);
    const bool hides = std::chrono::abs(exact) < Seconds{60} || (exact < wanted && clocks >= wanted);
    return hides ? exact : clocks;
}

}  // namespace handrail
