#pragma once

#include <bit>
#include <cstdint>

#include "units/random.h"

namespace handrail::risk {

/// xoshiro128++ (Blackman and Vigna 2019): shifts, additions and exclusive ors of 32 bits only, so that the replay can
/// run one generator a lane. Each run has a stream of its own, a function of the seed and the run's number alone: the
/// same run draws the same numbers on any thread and for any plan.
struct Stream {
    std::uint32_t s0, s1, s2, s3;

    Stream(std::uint64_t seed, std::uint64_t run) {
        Random mix(seed);
        Random fill(mix.next() + run * 0x9e3779b97f4a7c15u);
        // Two rounds of mixing between neighbouring runs, whose states differ by a constant.
        Random start(fill.next());
        const std::uint64_t a = start.next();
        const std::uint64_t b = start.next();
        s0 = static_cast<std::uint32_t>(a);
        s1 = static_cast<std::uint32_t>(a >> 32);
        s2 = static_cast<std::uint32_t>(b);
        s3 = static_cast<std::uint32_t>(b >> 32) | 1u;  // never all zero
    }
    std::uint32_t next() {
        const std::uint32_t result = std::rotl(s0 + s3, 7) + s0;
        const std::uint32_t t = s1 << 9;
        s2 ^= s0;
        s3 ^= s1;
        s1 ^= s2;
        s0 ^= s3;
        s2 ^= t;
        s3 = std::rotl(s3, 11);
        return result;
    }
};

/// The middle of the number's cell in (0, 1).
inline double unit(std::uint32_t raw) { return (static_cast<double>(raw) + 0.5) * 0x1.0p-32; }

}  // namespace handrail::risk
