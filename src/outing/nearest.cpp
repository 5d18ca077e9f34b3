#include "outing/nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace handrail::detail {
namespace {

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c == '-' || c == ' ' ? '_' : c; }

/// Optimal string alignment distance: Levenshtein's, with swapped neighbours counted once.
std::size_t slips(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        now[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t replaced = last[j - 1] + (lower(a[i - 1]) == lower(b[j - 1]) ? 0 : 1);
            now[j] = std::min({last[j] + 1, now[j - 1] + 1, replaced});
            const bool swapped =
                i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
            if (swapped) now[j] = std::min(now[j], before[j - 2] + 1);
        }
        before.swap(last);
        last.swap(now);
    }
    return last[b.size()];
}

}  // namespace

std::string_view nearest(std::string_view written, std::span<const std::string_view> candidates) {
    constexpr std::size_t longest_worth_comparing = 80;
    if (written.size() > longest_worth_comparing) return {};
    std::string_view best;
    std::size_t fewest = std::max<std::size_t>(1, written.size() / 3) + 1;
    for (const std::string_view candidate : candidates) {
        if (candidate.size() > longest_worth_comparing) continue;
        const std::size_t count = slips(written, candidate);
        if (count >= fewest) continue;
        fewest = count;
        best = candidate;
    }
    return best;
}

std::string did_you_mean(std::string_view written, std::span<const std::string_view> candidates,
                         std::string otherwise) {
    const std::string_view meant = nearest(written, candidates);
    if (meant.empty()) return otherwise;
    return fmt::format("did you mean \"{}\"?", meant);
}

}  // namespace handrail::detail
