#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <vector>

#include "risk/replay.h"

// Deliberately plain loops over `lanes` elements: each is one vector statement.
namespace handrail::risk::detail {

inline constexpr int n = lanes;
struct alignas(64) Row : std::array<float, n> {};
struct alignas(64) Mask : std::array<std::int32_t, n> {};

inline float greater(float a, float b) { return a > b ? a : b; }
inline bool any(const Mask& mask) {
    std::int32_t sum = 0;
    for (int i = 0; i < n; ++i) sum |= mask[i];
    return sum != 0;
}

/// Where 32 runs stand.
struct LaneState {
    std::array<Row, 2> free, checked, heavy, heavy_until, excess, metabolic;
    Row arm, iv, ground, voice;
    std::array<Row, 4> factor;  ///< by who works: nobody, EV1, EV2, both
    Row hold_from, hold_to, late;
    Mask active;
    bool any_hold = false;
    std::vector<std::array<std::uint32_t, n>> raw;  ///< by slot
    std::vector<Row> ends;
    std::vector<Row> part_time;  ///< by part of the unit at hand
    std::array<std::uint32_t, n> run{};

    std::uint32_t bits(int slot, int i) const {
        return raw[static_cast<std::size_t>(slot)][static_cast<std::size_t>(i)];
    }
};

/// The table's quantiles at the lanes' random bits; QuantileTable::look_up, lane by lane.
inline void look_up(const float* table, const std::uint32_t* raw, Row& value) {
    Mask place;
    Row rest;
    for (int i = 0; i < n; ++i) {
        const auto m = static_cast<std::int32_t>(raw[i] & 0x7fffffffu);
        float f = static_cast<float>(m);
        f = f > 65536.0f ? f : 65536.0f;
        std::int32_t bits = 0;
        std::memcpy(&bits, &f, sizeof bits);
        const std::int32_t upper = -static_cast<std::int32_t>(raw[i] >> 31) & QuantileTable::half;
        place[i] = (bits >> 18) - QuantileTable::first + upper;
        rest[i] = static_cast<float>(bits & 0x3ffff) * 0x1.0p-18f;
    }
    for (int i = 0; i < n; ++i) {
        const float* at = table + place[i];
        value[i] = at[0] + (at[1] - at[0]) * rest[i];
    }
}

/// Glove checks before something of `planned` seconds: Decoder::fit for all lanes. `start` moves; `last` is the end of
/// the last check, `count` how many there were.
inline void fit(const Ground& ground, const Row& free_row, const Row& checked, float planned, Row& start, Row& last,
                Row& count) {
    last = checked;
    count.fill(0);
    if (ground.check_every <= 0) return;
    const float every = ground.check_every;
    const float check = ground.check;
    // A step longer than the time between checks may follow its check at once.
    const float unless = planned > every ? 0.0f : -never;
    Row free = free_row;
    for (int round = 0; round < 24; ++round) {
        // Nearly always nothing is due (any more).
        std::int32_t due_now = 0;
        for (int i = 0; i < n; ++i) {
            const float over = start[i] + planned - (last[i] + every);
            due_now |= over > 0 ? -1 : 0;
        }
        if (due_now == 0) return;
        std::int32_t again = 0;
        for (int i = 0; i < n; ++i) {
            const float due = last[i] + every;
            const float over = start[i] + planned - due;
            const float since = start[i] - last[i];
            const float need = over > 0 ? (since != unless ? 1.0f : 0.0f) : 0.0f;
            const float early = greater(free[i], start[i] - check);
            const float late = greater(free[i], due);
            const float at = early > due ? late : early;
            const float after = at + check;
            const float moved = greater(start[i], after);
            last[i] = need > 0 ? after : last[i];
            free[i] = need > 0 ? after : free[i];
            start[i] = need > 0 ? moved : start[i];
            count[i] += need;
            again |= need > 0 ? -1 : 0;
        }
        if (again == 0) return;
    }
}

inline void sample(const Draw& draw, const std::vector<std::array<std::uint32_t, n>>& raw,
                   const std::array<Row, 4>& factor, Row& time) {
    look_up(draw.table, raw[static_cast<std::size_t>(draw.slot)].data(), time);
    const Row& by = factor[draw.mask];
    for (int i = 0; i < n; ++i) time[i] = (draw.offset + draw.scale * time[i]) * by[i];
}

inline void wait_for(const Program& program, Range waits, const std::vector<Row>& ends, Row& start) {
    for (int w = waits.first; w < waits.last; ++w) {
        const Wait& wait = program.waits[static_cast<std::size_t>(w)];
        const Row& end = ends[static_cast<std::size_t>(wait.end)];
        for (int i = 0; i < n; ++i) start[i] = greater(start[i], end[i] + wait.gap);
    }
}

/// The first allowed start at or after each lane's; `otherwise` where there is none left.
enum class Otherwise : std::uint8_t { none, at_once };
inline void into_window(const Program& program, Range ranges, Otherwise otherwise, Row& start) {
    Row best;
    best.fill(never);
    for (int r = ranges.last - 1; r >= ranges.first; --r) {
        const auto from = static_cast<float>(program.starts[static_cast<std::size_t>(r)].from);
        const auto to = static_cast<float>(program.starts[static_cast<std::size_t>(r)].to);
        for (int i = 0; i < n; ++i) {
            const float inside = greater(start[i], from);
            best[i] = start[i] <= to ? inside : best[i];
        }
    }
    if (otherwise == Otherwise::none)
        start = best;
    else
        for (int i = 0; i < n; ++i) start[i] = best[i] == never ? start[i] : best[i];
}

inline void past_hold(const Row& from, const Row& to, Row& start) {
    for (int i = 0; i < n; ++i) {
        const bool held = start[i] >= from[i] && start[i] < to[i];
        start[i] = held ? to[i] : start[i];
    }
}

}  // namespace handrail::risk::detail
