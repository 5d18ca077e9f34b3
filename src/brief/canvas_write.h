#pragma once

#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "brief/canvas.h"
#include "brief/canvas_text.h"

/// From a list of shapes to bytes: Cairo stays behind this header.
namespace handrail::brief::detail {

struct Fill {
    Path path;
    Colour colour;
};
struct Stroke {
    Path path;
    Pen pen;
};
struct Clip {
    Box box;
};
struct Unclip {};
struct Text {
    Words words;
    Point origin;
    Turn turn = Turn::none;
};
using Shape = std::variant<Fill, Stroke, Clip, Unclip, Text>;

struct Sheet {
    Size size;
    Unit unit = Unit::point;
    std::string title, description;
    std::vector<Shape> shapes;
};

/// Text stays text: searchable, selectable, each line held to the width it was measured at, whatever font is there.
/// How much room sheets take one under the other.
Size stacked(std::span<const Sheet* const> sheets);
/// Several sheets stand one under the other.
std::string write_svg(std::span<const Sheet* const> sheets);
std::string write_png(std::span<const Sheet* const> sheets, double pixels_per_unit);
std::string write_pdf(std::span<const Sheet* const> pages, const std::string& title, std::optional<Utc> made);

}  // namespace handrail::brief::detail
