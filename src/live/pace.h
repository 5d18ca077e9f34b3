#pragma once

#include <array>

#include "live/state.h"

namespace handrail::live {

/// How a person's steps of the day so far compare with what they were planned at: a factor on times to come.
struct Pace {
    double factor = 1;  ///< above 1: slower than planned
    double sd = 0;      ///< standard deviation of its logarithm
    int steps = 0;      ///< logged steps it rests on
};
/// By Crew. A normal prior on the logarithm of the factor, mean 0 and variance Risk::day² + Risk::person² (a person
/// whose times have been learned: their own mean and spread), updated by each finished step: logarithm of its time over
/// its planned time, with the step's own spread between low and high as its noise. Left out: what nobody logged, time
/// in a hold, steps that were said to be delayed by something (a stuck bolt is no pace), and steps without suited crew.
std::array<Pace, 2> pace_of(const Outing& outing, const Day& day);

}  // namespace handrail::live
