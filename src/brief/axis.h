#pragma once

#include <vector>

#include "brief/canvas.h"
#include "units/time.h"

/// A time axis that every chart shares: PET first, UTC beside it, never one without saying which it is.
namespace handrail::brief {

/// Maps PET onto x. REQUIRES from < to and a width above zero.
struct TimeAxis {
    Pet from, to;
    double left, right;

    double x(Pet t) const {
        const double share = static_cast<double>((t - from).count()) / static_cast<double>((to - from).count());
        return left + share * (right - left);
    }
    double per_minute() const { return (right - left) / (static_cast<double>((to - from).count()) / 60000.0); }
};

enum class Tick : std::uint8_t { labelled, plain };
struct AxisTick {
    Pet at;
    Tick kind;
};
/// Ticks on round PET: labels at least `label_gap` units apart (on 5, 10, 15, 30 or 60 minutes), plain ones between.
std::vector<AxisTick> ticks(const TimeAxis& axis, double label_gap);

/// "08:35" of the UTC day.
std::string clock_utc(Pet at, Utc pet_zero);

/// Two rows of labels, PET above UTC, over ticks that stand on `baseline`; names of the rows end at axis.left - 4.
/// `size` is the font size of PET. Returns the height used above the baseline.
double draw_axis(Canvas& canvas, const TimeAxis& axis, Utc pet_zero, double baseline, double size);
/// Hair lines at the labelled ticks through [top, bottom].
void draw_grid(Canvas& canvas, const TimeAxis& axis, double top, double bottom, double size);

}  // namespace handrail::brief
