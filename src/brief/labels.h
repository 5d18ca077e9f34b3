#pragma once

#include <span>
#include <string>
#include <string_view>

#include "brief/canvas.h"

/// Words in boxes that may be too small for them.
namespace handrail::brief {

enum class Turning : std::uint8_t { allowed, never };

/// Writes `text` into `box`: whole if it can be, wrapped, a little smaller, or turned upwards when that shows more;
/// otherwise cut with an ellipsis. Nothing at all where not even a turned line would fit. True when it is whole.
bool draw_label(Canvas& canvas, Box box, std::string_view text, const TextStyle& style, Turning turning);

/// The first of `wordings` (longest first) that fits on one line of `width`; the last one cut when none does.
/// Returns what it covers; an empty box when even three letters would not fit.
Box draw_longest(Canvas& canvas, Box line, std::span<const std::string> wordings, const TextStyle& style);

/// A flag at a moment: its words stand beside a vertical line, on whichever side and row they do not collide.
struct Flag {
    double x;
    std::string words;
    Colour colour;
};
/// Places flags between `left` and `right` in rows `row_height` apart, downwards from `top`. Returns how many rows.
int draw_flags(Canvas& canvas, std::span<const Flag> flags, double left, double right, double top, double row_height,
               double size);

}  // namespace handrail::brief
