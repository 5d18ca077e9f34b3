#include "brief/glyphs.h"

#include <algorithm>

namespace handrail::brief {
namespace {

struct Square {
    Box box;
    Point at(double x, double y) const { return {box.x + x * box.w, box.y + y * box.h}; }
};

}  // namespace

bool has_glyph(ActivityKind kind) {
    switch (kind) {
        case ActivityKind::translate:
        case ActivityKind::tether_swap:
        case ActivityKind::pick_up:
        case ActivityKind::put_down:
        case ActivityKind::glove_check:
        case ActivityKind::rest:
        case ActivityKind::arm_move:
            return true;
        case ActivityKind::egress:
        case ActivityKind::step:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            return false;
    }
    return false;
}

void draw_glyph(Canvas& canvas, Box square, ActivityKind kind, Colour colour) {
    const Square s{square};
    const Pen pen{colour, std::max(0.5, square.w * 0.11)};
    switch (kind) {
        case ActivityKind::translate:
            canvas.stroke(Path::polyline({s.at(0.05, 0.5), s.at(0.9, 0.5)}), pen);
            canvas.stroke(Path::polyline({s.at(0.6, 0.22), s.at(0.93, 0.5), s.at(0.6, 0.78)}), pen);
            break;
        case ActivityKind::tether_swap:
            canvas.stroke(Path::circle(s.at(0.34, 0.5), square.w * 0.26), pen);
            canvas.stroke(Path::circle(s.at(0.66, 0.5), square.w * 0.26), pen);
            break;
        case ActivityKind::pick_up:
        case ActivityKind::put_down: {
            const bool up = kind == ActivityKind::pick_up;
            const double tip = up ? 0.06 : 0.76, tail = up ? 0.72 : 0.06, barb = up ? 0.34 : 0.48;
            canvas.stroke(Path::polyline({s.at(0.5, tail), s.at(0.5, tip)}), pen);
            canvas.stroke(Path::polyline({s.at(0.22, barb), s.at(0.5, tip), s.at(0.78, barb)}), pen);
            canvas.stroke(Path::polyline({s.at(0.1, 0.94), s.at(0.9, 0.94)}), pen);
            break;
        }
        case ActivityKind::glove_check: {
            Path mitten;  // four fingers together, a thumb, a cuff
            mitten.move(s.at(0.3, 0.8)).line(s.at(0.3, 0.52)).line(s.at(0.1, 0.42));
            mitten.curve(s.at(0.0, 0.34), s.at(0.1, 0.22), s.at(0.2, 0.28)).line(s.at(0.34, 0.36));
            mitten.line(s.at(0.34, 0.2)).curve(s.at(0.36, 0.0), s.at(0.84, 0.0), s.at(0.86, 0.2));
            mitten.line(s.at(0.86, 0.8)).close();
            canvas.stroke(mitten, pen);
            canvas.stroke(Path::polyline({s.at(0.26, 0.97), s.at(0.9, 0.97)}), pen);
            break;
        }
        case ActivityKind::rest:
            canvas.fill({s.at(0.22, 0.15).x, s.at(0, 0.15).y, square.w * 0.2, square.h * 0.7}, colour);
            canvas.fill({s.at(0.58, 0.15).x, s.at(0, 0.15).y, square.w * 0.2, square.h * 0.7}, colour);
            break;
        case ActivityKind::arm_move:
            canvas.stroke(Path::polyline({s.at(0.1, 0.92), s.at(0.42, 0.22), s.at(0.88, 0.5)}), pen);
            canvas.fill(Path::circle(s.at(0.42, 0.22), square.w * 0.13), colour);
            canvas.fill(Path::circle(s.at(0.1, 0.88), square.w * 0.11), colour);
            canvas.fill(Path::circle(s.at(0.88, 0.5), square.w * 0.11), colour);
            break;
        case ActivityKind::egress:
        case ActivityKind::step:
        case ActivityKind::clean_up:
        case ActivityKind::ingress:
            break;
    }
}

void draw_tick(Canvas& canvas, Box square, Colour colour) {
    const Square s{square};
    canvas.stroke(Path::polyline({s.at(0.08, 0.55), s.at(0.38, 0.86), s.at(0.94, 0.14)}),
                  {colour, std::max(0.6, square.w * 0.16)});
}

}  // namespace handrail::brief
