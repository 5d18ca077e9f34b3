#include "brief/labels.h"

#include <array>
#include <cmath>
#include <vector>

namespace handrail::brief {
namespace {

/// Below this share of the asked size a label is no longer the one that was asked for.
constexpr std::array shrink{1.0, 0.93, 0.86, 0.8};
/// Mean advance of DejaVu Sans Condensed, in ems, for judging how much of a text two cut forms would show.
constexpr double mean_advance = 0.54;

TextStyle scaled(const TextStyle& style, double share) {
    TextStyle out = style;
    out.size *= share;
    return out;
}

bool fits(const Canvas& canvas, double along, double across, std::string_view text, const TextStyle& style) {
    const TextSize size = canvas.measure(text, style, along);
    return size.whole && size.h <= across + 0.05 * style.size;
}

}  // namespace

bool draw_label(Canvas& canvas, Box box, std::string_view text, const TextStyle& style, Turning turning) {
    if (box.w <= 0 || box.h <= 0 || text.empty()) return false;
    for (const double share : shrink) {
        const TextStyle tried = scaled(style, share);
        if (!fits(canvas, box.w, box.h, text, tried)) continue;
        canvas.text_in(box, text, tried);
        return true;
    }
    if (turning == Turning::allowed)
        for (const double share : shrink) {
            const TextStyle tried = scaled(style, share);
            if (!fits(canvas, box.h, box.w, text, tried)) continue;
            const double slack = box.w - canvas.measure(text, tried, box.h).h;
            canvas.text_in({box.x + slack / 2, box.y, box.w - slack / 2, box.h}, text, tried, Turn::up);
            return true;
        }
    const TextStyle least = scaled(style, shrink.back());
    const double pitch = least.size * least.line_pitch, letter = least.size * mean_advance;
    const double level = std::floor(box.h / pitch) * std::floor(box.w / letter);
    const double upright = turning == Turning::allowed ? std::floor(box.w / pitch) * std::floor(box.h / letter) : 0;
    if (upright > level)
        canvas.text_in(box, text, least, Turn::up);
    else if (box.h >= pitch * 0.98 && box.w >= 4 * letter)
        canvas.text_in(box, text, least);
    return false;
}

Box draw_longest(Canvas& canvas, Box line, std::span<const std::string> wordings, const TextStyle& style) {
    for (const std::string& words : wordings)
        if (canvas.measure(words, style).w <= line.w) {
            const double x = style.align == Align::left     ? line.x
                             : style.align == Align::centre ? line.x + line.w / 2
                                                            : line.right();
            return canvas.text({x, line.y}, words, style);
        }
    if (wordings.empty() || line.w < 4 * style.size * mean_advance) return {};
    TextStyle one_line = style;
    one_line.line_pitch = std::min(style.line_pitch, line.h / style.size);
    return canvas.text_in({line.x, line.y, line.w, style.size * one_line.line_pitch}, wordings.back(), one_line);
}

int draw_flags(Canvas& canvas, std::span<const Flag> flags, double left, double right, double top, double row_height,
               double size) {
    std::vector<Box> taken;
    int rows = 0;
    const double gap = size * 0.35;
    // Whether words may stand in `box`: not over other words, and in the first row not across another line.
    const auto free = [&](const Flag& flag, const Box& box, int row) {
        if (box.x < left || right < box.right()) return false;
        for (const Box& other : taken) {
            if (other.overlaps(box.inset(-gap, 0))) return false;
            if (other.y < box.y && other.x < flag.x && flag.x < other.right()) return false;  // its own line on the way
        }
        for (const Flag& other : flags)
            if (row == 0 && &other != &flag && box.x < other.x && other.x < box.right()) return false;
        return true;
    };
    constexpr int most_rows = 5;
    for (const Flag& flag : flags) {
        const TextStyle style{.size = size, .colour = flag.colour, .bold = true};
        const double w = canvas.measure(flag.words, style).w;
        Box place{std::max(left, std::min(flag.x + gap, right - w)), top + most_rows * row_height, w, row_height};
        int row = 0;
        for (bool placed = false; row < most_rows && !placed; ++row)
            for (const double x : {flag.x + gap, flag.x - gap - w}) {
                const Box box{x, top + row * row_height, w, row_height};
                if (placed || !free(flag, box, row)) continue;
                place = box;
                placed = true;
            }
        if (place.y > top) canvas.line({flag.x, top}, {flag.x, place.y + row_height}, {flag.colour, size * 0.12});
        canvas.text({place.x, place.y}, flag.words, style);
        taken.push_back(place);
        rows = std::max(rows, row);
    }
    return rows;
}

}  // namespace handrail::brief
