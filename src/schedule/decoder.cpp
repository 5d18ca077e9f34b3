#include "schedule/decoder.h"

#include <algorithm>

namespace handrail::schedule::detail {

Decoder::Decoder(const Flat& flat)
    : flat_(flat),
      mirror_(mirrored(flat)),
      free_(static_cast<std::size_t>(flat.horizon) * flat.words),
      ready_(flat.count),
      key_(flat.count),
      back_(flat.count),
      order_(flat.count),
      bucket_(flat.horizon + 2) {
    touched_ = flat.horizon;
}

Time Decoder::place(const Flat& flat, std::span<const int> order, std::span<Time> start) {
    ++schedules_;
    switch (flat.words) {
        case 1:
            return place<1>(flat, order, start);
        case 2:
            return place<2>(flat, order, start);
        default:
            return place<0>(flat, order, start);
    }
}

// Words = 0: as many as the project says. The window is tested from its end, so that a clash moves the start as far as
// it can; what has been tested is not tested again.
template <int Words>
Time Decoder::place(const Flat& flat, std::span<const int> order, std::span<Time> start) {
    const int words = Words > 0 ? Words : flat.words;
    std::uint64_t* const free = free_.data();
    for (Time t = 0; t < touched_; ++t)
        for (int w = 0; w < words; ++w) free[t * words + w] = flat.capacity[w];
    std::copy(flat.release.begin(), flat.release.end(), ready_.begin());
    Time end = 0;
    for (const int i : order) {
        const std::uint64_t* const demand = flat.demand.data() + i * words;
        const Time duration = flat.duration[i];
        const auto fits = [&](Time t) {
            for (int w = 0; w < words; ++w)
                if (((free[t * words + w] - demand[w]) & Flat::guard) != Flat::guard) return false;
            return true;
        };
        Time at = ready_[i], tested = at;
        for (Time t = at + duration - 1; t >= tested;) {
            if (fits(t)) {
                --t;
                continue;
            }
            tested = std::max(tested, at + duration);
            at = t + 1;
            t = at + duration - 1;
        }
        for (Time t = at; t < at + duration; ++t)
            for (int w = 0; w < words; ++w) free[t * words + w] -= demand[w];
        start[i] = at;
        end = std::max(end, at + duration);
        for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a) {
            Time& ready = ready_[flat.next_to[a]];
            ready = std::max(ready, at + flat.next_gap[a]);
        }
    }
    touched_ = end;
    return end;
}

Time Decoder::improve(std::span<Time> start) {
    Time end = 0;
    for (int i = 0; i < flat_.count; ++i) end = std::max(end, start[i] + flat_.duration[i]);
    for (int i = 0; i < flat_.count; ++i) key_[i] = end - start[i] - flat_.duration[i];
    by_key(mirror_, key_, order_);
    const Time back_end = place(mirror_, order_, back_);
    for (int i = 0; i < flat_.count; ++i) key_[i] = back_end - back_[i] - flat_.duration[i];
    by_key(flat_, key_, order_);
    return place(flat_, order_, start);
}

void Decoder::by_start(std::span<const Time> start, std::span<int> order) { by_key(flat_, start, order); }

// Counting sort over a topological order: times are small, and equal keys keep predecessors first.
void Decoder::by_key(const Flat& flat, std::span<const Time> key, std::span<int> order) {
    Time last = 0;
    for (const Time k : key) last = std::max(last, k);
    std::fill(bucket_.begin(), bucket_.begin() + last + 2, 0);
    for (const Time k : key) ++bucket_[k + 1];
    for (Time k = 0; k < last; ++k) bucket_[k + 1] += bucket_[k];
    for (const int i : flat.order) order[bucket_[key[i]]++] = i;
}

}  // namespace handrail::schedule::detail
