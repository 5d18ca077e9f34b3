#include "schedule/decoder.h"

#include <algorithm>
#include <bit>
#include <optional>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

namespace handrail::schedule::detail {
namespace {

// Four lanes of 8 bits, the top bit of each kept free as in Flat.
constexpr std::uint32_t narrow_guard = 0x80808080u;
constexpr int narrow_lane_bits = 8;
constexpr Time block = 16;           // periods tested together
constexpr Time longest_narrow = 13;  // wherever it begins, it lies within four aligned vectors of four periods

/// Four lanes of 16 bits as four of 8; nothing where one does not fit.
std::optional<std::uint32_t> narrowed(std::uint64_t lanes) {
    std::uint32_t narrow = 0;
    for (int lane = 0; lane < Flat::lanes; ++lane) {
        const std::uint64_t amount = lanes >> (lane * Flat::lane_bits) & 0x7fff;
        if (amount >= 1u << (narrow_lane_bits - 1)) return std::nullopt;
        narrow |= static_cast<std::uint32_t>(amount) << (lane * narrow_lane_bits);
    }
    return narrow;
}

/// Bit k: the k-th period from here has enough.
inline std::uint32_t fitting(const std::uint32_t* free, std::uint32_t demand) {
#ifdef __SSE2__
    const __m128i wanted = _mm_set1_epi32(static_cast<int>(demand));
    const __m128i guard = _mm_set1_epi32(static_cast<int>(narrow_guard));
    const auto four = [&](int from) {
        const __m128i here = _mm_loadu_si128(reinterpret_cast<const __m128i*>(free + from));
        return _mm_cmpeq_epi32(_mm_and_si128(_mm_sub_epi32(here, wanted), guard), guard);
    };
    const __m128i low = _mm_packs_epi32(four(0), four(4)), high = _mm_packs_epi32(four(8), four(12));
    return static_cast<std::uint32_t>(_mm_movemask_epi8(_mm_packs_epi16(low, high)));
#else
    std::uint32_t fits = 0;
    for (Time t = 0; t < block; ++t)
        fits |= static_cast<std::uint32_t>(((free[t] - demand) & narrow_guard) == narrow_guard) << t;
    return fits;
#endif
}

/// All ones for the periods from `at` to `at` + duration, counted from the vector of four periods that `at` lies in.
struct Stretches {
    std::uint32_t mask[4][longest_narrow + 1][block]{};
    constexpr Stretches() {
        for (int at = 0; at < 4; ++at)
            for (int duration = 0; duration <= longest_narrow; ++duration)
                for (int t = at; t < at + duration; ++t) mask[at][duration][t] = ~0u;
    }
};
alignas(16) constexpr Stretches stretches;

inline void take(std::uint32_t* free, Time at, Time duration, std::uint32_t demand) {
#ifdef __SSE2__
    const __m128i wanted = _mm_set1_epi32(static_cast<int>(demand));
    const std::uint32_t* const mask = stretches.mask[at & 3][duration];
    std::uint32_t* const from = free + (at & ~3);
    for (Time t = 0; t < block; t += 4) {
        const __m128i here = _mm_and_si128(_mm_load_si128(reinterpret_cast<const __m128i*>(mask + t)), wanted);
        auto* const place = reinterpret_cast<__m128i*>(from + t);
        _mm_storeu_si128(place, _mm_sub_epi32(_mm_loadu_si128(place), here));
    }
#else
    for (Time t = at; t < at + duration; ++t) free[t] -= demand;
#endif
}

/// Bit k: from the k-th bit on there are `length` ones, 1 to 16. No branch on the length, which varies at random.
inline std::uint32_t runs(std::uint32_t bits, Time length) {
    const Time more = length - 1, two = std::min(1, more), four = std::min(2, more - two);
    const Time eight = std::min(4, more - two - four);
    bits &= bits >> two;
    bits &= bits >> four;
    bits &= bits >> eight;
    return bits & bits >> (more - two - four - eight);
}

}  // namespace

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
    narrow_ = flat.words == 1 && *std::ranges::max_element(flat.duration) <= longest_narrow;
    for (int i = 0; i < flat.count && narrow_; ++i) {
        const auto demand = narrowed(flat.demand[i]);
        narrow_ = demand.has_value();
        if (narrow_) narrow_demand_.push_back(*demand);
    }
    const auto capacity = narrow_ ? narrowed(flat.capacity[0]) : std::nullopt;
    narrow_ = capacity.has_value();
    if (!narrow_) return;
    narrow_capacity_ = *capacity | narrow_guard;
    narrow_free_.assign(flat.horizon + 4 * block, narrow_capacity_);
    free_.clear();
}

Time Decoder::place(const Flat& flat, std::span<const int> order, std::span<Time> start) {
    ++schedules_;
    if (narrow_) return place_narrow(flat, order, start);
    switch (flat.words) {
        case 1:
            return place<1>(flat, order, start);
        case 2:
            return place<2>(flat, order, start);
        default:
            return place<0>(flat, order, start);
    }
}

inline Time Decoder::put(const Flat& flat, int i, Time at, std::span<Time> start) {
    start[i] = at;
    for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a) {
        Time& ready = ready_[flat.next_to[a]];
        ready = std::max(ready, at + flat.next_gap[a]);
    }
    return at + flat.duration[i];
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
        end = std::max(end, put(flat, i, at, start));
    }
    touched_ = end;
    return end;
}

// The same in lanes of 8 bits: sixteen periods are tested together, and two blocks of bits hold every place where the
// activity can start.
Time Decoder::place_narrow(const Flat& flat, std::span<const int> order, std::span<Time> start) {
    std::uint32_t* const free = narrow_free_.data();
    std::fill(free, free + touched_, narrow_capacity_);
    std::copy(flat.release.begin(), flat.release.end(), ready_.begin());
    Time end = 0;
    for (const int i : order) {
        const std::uint32_t demand = narrow_demand_[i];
        const Time duration = flat.duration[i];
        Time at = ready_[i];
        if (duration > 0 && demand > 0) {
            // Always whole blocks, so that what has just been written is read again in the same pieces.
            Time from = at & ~(block - 1);
            std::uint32_t fits = fitting(free + from, demand) & ~0u << (at - from);
            fits |= fitting(free + from + block, demand) << block;
            std::uint32_t places = runs(fits, duration);
            while (places == 0) {
                from += block;
                fits = fits >> block | fitting(free + from + block, demand) << block;
                places = runs(fits, duration);
            }
            at = from + std::countr_zero(places);
            take(free, at, duration, demand);
        }
        end = std::max(end, put(flat, i, at, start));
    }
    touched_ = end;
    return end;
}

Time Decoder::improve(std::span<Time> start) {
    shift_right(start);
    return shift_left(start);
}

Time Decoder::shift_right(std::span<const Time> start) {
    Time end = 0;
    for (int i = 0; i < flat_.count; ++i) end = std::max(end, start[i] + flat_.duration[i]);
    for (int i = 0; i < flat_.count; ++i) key_[i] = end - start[i] - flat_.duration[i];
    by_key(mirror_, key_, order_);
    back_end_ = place(mirror_, order_, back_);
    return back_end_;
}

Time Decoder::shift_left(std::span<Time> start) {
    for (int i = 0; i < flat_.count; ++i) key_[i] = back_end_ - back_[i] - flat_.duration[i];
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
