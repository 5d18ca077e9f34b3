#pragma once

#include <optional>
#include <string>
#include <vector>

#include "brief/canvas.h"
#include "units/time.h"

/// Reads a chart back from its SVG, as a stranger with a ruler would.
namespace handrail::brief {

struct DrawnShape {
    std::string fill, stroke;  ///< "#e7eaee"; "none" or empty: none
    bool dashed = false;
    std::vector<Point> points;  ///< ends of lines and curves
    /// What the points span.
    Box box() const;
};
struct DrawnText {
    std::string text;
    double x = 0, y = 0, width = 0;  ///< left end and baseline
    double size = 0;
    bool turned = false;
    double centre() const { return x + width / 2; }
};
struct Drawn {
    std::vector<DrawnShape> shapes;
    std::vector<DrawnText> texts;
    /// Boxes filled with this colour, and how opaque they are not asked.
    std::vector<Box> filled(Colour colour) const;
};
Drawn drawn(const std::string& svg);

/// Where PET stands across the page, by the labels of one axis.
struct DrawnScale {
    double y = 0;  ///< baseline of its labels
    double x0 = 0, per_minute = 0;
    std::size_t labels = 0;
    double worst = 0;  ///< how far the label that is farthest off stands from where the others say, in minutes
    double x(Pet t) const;
    double minutes(double x) const { return (x - x0) / per_minute; }
};
/// By the labels "00:10" whose baseline is at y; none with fewer than two.
std::optional<DrawnScale> scale_at(const Drawn& drawing, double y, double from_x = -1e9, double to_x = 1e9);

/// "-00:45" in minutes.
std::optional<double> minutes_of(const std::string& label);

}  // namespace handrail::brief
