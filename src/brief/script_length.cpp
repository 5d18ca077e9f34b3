#include <algorithm>
#include <cctype>
#include <cmath>
#include <numeric>

#include "brief/public_script.h"

namespace handrail::brief {
namespace {

constexpr std::size_t nobody = static_cast<std::size_t>(-1);

/// The lines by weight, the weightiest first; a line never comes before the one it follows.
std::vector<std::size_t> by_weight(const std::vector<Spoken>& lines) {
    std::vector<std::size_t> order(lines.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return lines[a].weight > lines[b].weight; });
    return order;
}

/// Adds those of `rest` to `kept` whose words come nearest to `gap` without passing `gap + slack`; returns their sum.
std::size_t fill(const std::vector<std::size_t>& words, std::span<const std::size_t> rest, std::size_t gap,
                 std::size_t slack, std::vector<bool>& kept) {
    std::vector<std::size_t> last(gap + slack + 1, nobody);  // the line by which a sum was first reached
    std::vector<bool> reached(gap + slack + 1, false);
    reached[0] = true;
    for (const std::size_t line : rest)
        for (std::size_t sum = gap + slack; words[line] > 0 && sum >= words[line]; --sum)
            if (!reached[sum] && reached[sum - words[line]]) {
                reached[sum] = true;
                last[sum] = line;
            }
    std::size_t best = 0;
    for (std::size_t sum = 0; sum < reached.size(); ++sum) {
        const auto off = [&](std::size_t s) { return s > gap ? s - gap : gap - s; };
        if (reached[sum] && off(sum) < off(best)) best = sum;
    }
    for (std::size_t sum = best; sum > 0; sum -= words[last[sum]]) kept[last[sum]] = true;
    return best;
}

}  // namespace

std::size_t word_count(std::string_view text) {
    std::size_t words = 0;
    bool inside = false;
    for (const char c : text) {
        const bool space = std::isspace(static_cast<unsigned char>(c)) != 0;
        words += !space && !inside;
        inside = !space;
    }
    return words;
}

std::vector<bool> fitted(const std::vector<Spoken>& lines, double most, double within) {
    std::vector<std::size_t> words;
    for (const Spoken& line : lines) words.push_back(word_count(line.words));
    const std::vector<std::size_t> order = by_weight(lines);
    const auto wanted = static_cast<std::size_t>(std::max(0.0, most));
    const auto slack = static_cast<std::size_t>(most * within / 2);

    std::size_t prefix = 0, sum = 0;
    while (prefix < order.size() && sum + words[order[prefix]] <= wanted) sum += words[order[prefix++]];
    std::vector<bool> best(lines.size(), false);
    double nearest = std::numeric_limits<double>::infinity();
    // The weightiest lines as they come, the rest of the time filled from what is left; fewer of the first where the
    // rest cannot fill it.
    for (std::size_t take = prefix + 1; take-- > 0;) {
        std::vector<bool> kept(lines.size(), false);
        for (std::size_t i = 0; i < take; ++i) kept[order[i]] = true;
        std::vector<std::size_t> rest;
        for (std::size_t i = take; i < order.size(); ++i)
            if (!lines[order[i]].follows || kept[*lines[order[i]].follows]) rest.push_back(order[i]);
        const std::size_t total = sum + fill(words, rest, wanted - sum, slack, kept);
        const double off = std::abs(static_cast<double>(total) - most) / std::max(1.0, most);
        if (off < nearest) {
            nearest = off;
            best = kept;
        }
        if (nearest <= within / 2 || take == 0) break;
        sum -= words[order[take - 1]];
    }
    return best;
}

}  // namespace handrail::brief
