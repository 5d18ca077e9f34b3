#pragma once

#include <cstdint>

namespace handrail {

/// SplitMix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators"): our own, because the
/// standard library's distributions differ between implementations and a plan or schedule must be the same on every
/// machine.
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9e3779b97f4a7c15u);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return z ^ (z >> 31);
    }
    /// 0 to n - 1; n > 0. The bias of the multiply-shift is below 2^-32 for the small n used here.
    int below(int n) { return static_cast<int>(((next() >> 32) * static_cast<std::uint64_t>(n)) >> 32); }
    double unit() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }

private:
    std::uint64_t state_;
};

}  // namespace handrail
