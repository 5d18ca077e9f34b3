#pragma once

#include "brief/canvas.h"
#include "timeline/timeline.h"

namespace handrail::brief {

/// True for the short activities between steps that are drawn as a sign: translating, tether swaps, handling, checks.
bool has_glyph(ActivityKind kind);
/// The sign of such an activity inside a square box. Signs differ in shape, not colour.
void draw_glyph(Canvas& canvas, Box square, ActivityKind kind, Colour colour);

/// A tick mark: it has happened.
void draw_tick(Canvas& canvas, Box square, Colour colour);

}  // namespace handrail::brief
