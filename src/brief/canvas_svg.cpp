#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "brief/canvas_write.h"
#include "brief/markup.h"

namespace handrail::brief::detail {
namespace {

/// Hundredths are finer than any printer; no needless zeros, no "-0".
std::string n(double value) {
    std::string text = fmt::format("{:.2f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text == "-0" ? "0" : text;
}

std::string path_data(const Path& path) {
    std::string out;
    const auto point = [&](Point p) { out += n(p.x) + " " + n(p.y); };
    for (const Path::Element& e : path.elements()) switch (e.kind) {
            case Path::Element::Kind::move:
                out += "M";
                point(e.a);
                break;
            case Path::Element::Kind::line:
                out += "L";
                point(e.a);
                break;
            case Path::Element::Kind::curve:
                out += "C";
                point(e.a);
                out += " ";
                point(e.b);
                out += " ";
                point(e.c);
                break;
            case Path::Element::Kind::close:
                out += "Z";
                break;
        }
    return out;
}

std::string colour(std::string_view attribute, Colour c) {
    std::string out = fmt::format(" {}=\"#{:06x}\"", attribute, c.rgb);
    if (c.alpha < 1) out += fmt::format(" {}-opacity=\"{}\"", attribute, n(c.alpha));
    return out;
}

// The same dashes as on paper (canvas_write.cpp).
std::string dashes(const Pen& pen) {
    switch (pen.dash) {
        case Dash::solid:
            return {};
        case Dash::dashed:
            return fmt::format(" stroke-dasharray=\"{} {}\"", n(3.5 * pen.width + 1), n(2 * pen.width + 1));
        case Dash::dotted:
            return fmt::format(" stroke-dasharray=\"0 {}\" stroke-linecap=\"round\"", n(2.4 * pen.width));
    }
    return {};
}

/// Writes the shapes of one sheet, in order.
struct Writer {
    std::string& out;
    const TextSetter& setter;

    void operator()(const Fill& shape) const {
        out += fmt::format("<path d=\"{}\"{}/>\n", path_data(shape.path), colour("fill", shape.colour));
    }
    void operator()(const Stroke& shape) const {
        out += fmt::format("<path d=\"{}\" fill=\"none\"{} stroke-width=\"{}\"{}/>\n", path_data(shape.path),
                           colour("stroke", shape.pen.colour), n(shape.pen.width), dashes(shape.pen));
    }
    // A nested svg clips to its own box, and needs no id that could meet another one on the same page.
    void operator()(const Clip& shape) const {
        const Box& b = shape.box;
        const std::string w = n(std::max(0.0, b.w)), h = n(std::max(0.0, b.h));
        out += fmt::format("<svg x=\"{0}\" y=\"{1}\" width=\"{2}\" height=\"{3}\" viewBox=\"{0} {1} {2} {3}\">\n",
                           n(b.x), n(b.y), w, h);
    }
    void operator()(const Unclip&) const { out += "</svg>\n"; }
    void operator()(const Text& shape) const {
        const TextStyle& style = shape.words.style;
        std::string look = fmt::format(" font-size=\"{}\"{}", n(style.size), colour("fill", style.colour));
        if (style.bold) look += " font-weight=\"bold\"";
        if (style.italic) look += " font-style=\"oblique\"";
        if (!style.condensed) look += " font-family=\"'DejaVu Sans', Verdana, sans-serif\"";
        for (const SetLine& line : setter.lines(shape.words)) {
            const std::string place =
                shape.turn == Turn::none
                    ? fmt::format(" x=\"{}\" y=\"{}\"", n(shape.origin.x + line.x), n(shape.origin.y + line.baseline))
                    : fmt::format(" transform=\"translate({} {}) rotate(-90)\"", n(shape.origin.x + line.baseline),
                                  n(shape.origin.y - line.x));
            out += fmt::format("<text{}{} textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>\n", place, look,
                               n(line.width), escape(line.text));
        }
    }
};

}  // namespace

std::string write_svg(std::span<const Sheet* const> sheets) {
    const Size all = stacked(sheets);
    const TextSetter setter;
    std::string out;
    const bool several = sheets.size() > 1;
    double y = 0;
    for (const Sheet* sheet : sheets) {
        // Sheets within a picture are measured in its units, a picture of its own in points or pixels.
        const char* unit = several ? "" : sheet->unit == Unit::point ? "pt" : "px";
        out += fmt::format(
            "<svg{5} role=\"img\" aria-label=\"{4}\" width=\"{0}{2}\" height=\"{1}{2}\" "
            "viewBox=\"0 0 {0} {1}\" font-family=\"'DejaVu Sans Condensed', 'DejaVu Sans', Verdana, sans-serif\">\n"
            "<title>{4}</title>\n<desc>{3}</desc>\n<rect width=\"{0}\" height=\"{1}\" fill=\"#fff\"/>\n",
            n(sheet->size.w), n(sheet->size.h), unit, escape(sheet->description), escape(sheet->title),
            several ? fmt::format(" y=\"{}\"", n(y)) : " xmlns=\"http://www.w3.org/2000/svg\"");
        for (const Shape& shape : sheet->shapes) std::visit(Writer{out, setter}, shape);
        out += "</svg>\n";
        y += sheet->size.h;
    }
    if (!several) return out;
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}{2}\" height=\"{1}{2}\" viewBox=\"0 0 {0} "
        "{1}\">\n{3}</svg>\n",
        n(all.w), n(all.h), sheets.front()->unit == Unit::point ? "pt" : "px", out);
}

}  // namespace handrail::brief::detail
