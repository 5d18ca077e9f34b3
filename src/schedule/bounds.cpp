#include "schedule/bounds.h"

#include <algorithm>

namespace handrail::schedule::detail {
namespace {

std::vector<Time> heads(const Flat& flat) {
    std::vector<Time> head = flat.release;
    for (const int i : flat.order)
        for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a)
            head[flat.next_to[a]] = std::max(head[flat.next_to[a]], head[i] + flat.next_gap[a]);
    return head;
}

struct Work {
    Time head, after;  ///< earliest start; longest chain after its end
    std::int64_t amount;
};

Time energetic(std::vector<Work> works, std::int64_t capacity) {
    std::ranges::sort(works, [](const Work& a, const Work& b) { return a.after > b.after; });
    std::int64_t best = 0;
    for (const Work& first : works) {
        std::int64_t sum = 0;
        for (const Work& work : works) {
            if (work.head < first.head) continue;
            sum += work.amount;
            best = std::max(best, first.head + (sum + capacity - 1) / capacity + work.after);
        }
    }
    return static_cast<Time>(best);
}

}  // namespace

Time critical_path(const Flat& flat) {
    const std::vector<Time> head = heads(flat);
    Time longest = 0;
    for (int i = 0; i < flat.count; ++i) longest = std::max(longest, head[i] + flat.duration[i]);
    return longest;
}

Time quick_bound(const Flat& flat) {
    const std::vector<Time> head = heads(flat), tail = tails(flat);
    Time best = critical_path(flat);
    for (int w = 0; w < flat.words; ++w)
        for (int lane = 0; lane < Flat::lanes; ++lane) {
            const int shift = lane * Flat::lane_bits;
            const std::int64_t capacity = flat.capacity[w] >> shift & 0x7fff;
            std::vector<Work> works;
            for (int i = 0; i < flat.count; ++i) {
                const std::int64_t demand = flat.demand[i * flat.words + w] >> shift & 0x7fff;
                if (demand > 0) works.push_back({head[i], tail[i] - flat.duration[i], demand * flat.duration[i]});
            }
            if (!works.empty()) best = std::max(best, energetic(std::move(works), capacity));
        }
    return best;
}

}  // namespace handrail::schedule::detail
