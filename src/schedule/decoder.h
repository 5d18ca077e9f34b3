#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "schedule/flat.h"

namespace handrail::schedule::detail {

/// Turns an order of activities into a schedule: each in turn starts as early as its predecessors and the resources
/// allow (serial scheme, Kolisch 1996). Small demands of short activities are packed so that sixteen periods are tested
/// together. No allocation after construction. One decoder serves one thread.
class Decoder {
public:
    explicit Decoder(const Flat& flat);

    /// Starts by the order given (predecessors first); returns the makespan.
    Time forward(std::span<const int> order, std::span<Time> start) { return place(flat_, order, start); }
    /// Shifts everything to the right in order of falling ends, then to the left in order of starts, once (Tormos and
    /// Lova 2001). The makespan never grows where nothing has a release. Returns it.
    Time improve(std::span<Time> start);
    /// The two halves of `improve`. The first returns how long the schedule would be between them and leaves it as it
    /// is; the second goes on from there.
    Time shift_right(std::span<const Time> start);
    Time shift_left(std::span<Time> start);
    /// Activities by start, predecessors first among equals.
    void by_start(std::span<const Time> start, std::span<int> order);
    std::uint64_t schedules() const { return schedules_; }
    const Flat& flat() const { return flat_; }

private:
    Time place(const Flat& flat, std::span<const int> order, std::span<Time> start);
    template <int Words>
    Time place(const Flat& flat, std::span<const int> order, std::span<Time> start);
    Time place_narrow(const Flat& flat, std::span<const int> order, std::span<Time> start);
    /// The activity starts then and what follows it no sooner than it may. Returns its end.
    Time put(const Flat& flat, int i, Time at, std::span<Time> start);
    void by_key(const Flat& flat, std::span<const Time> key, std::span<int> order);

    Flat flat_, mirror_;
    std::vector<std::uint64_t> free_;  ///< of each period, as far as the last schedule reached
    bool narrow_ = false;              ///< lanes of 8 bits are enough: the next three instead of free_
    std::uint32_t narrow_capacity_ = 0;
    std::vector<std::uint32_t> narrow_demand_, narrow_free_;
    Time touched_ = 0, back_end_ = 0;
    std::vector<Time> ready_, key_, back_;
    std::vector<int> order_, bucket_;
    std::uint64_t schedules_ = 0;
};

}  // namespace handrail::schedule::detail
