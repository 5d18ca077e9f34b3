#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "units/time.h"

/// One drawing, three formats. A chart draws on a Canvas; the Canvas keeps the drawing and renders it to SVG, PDF or
/// PNG from the same list of shapes and the same text layout. Same drawing, same bytes, in any process and order.
/// Lengths are canvas units: points (1/72 inch) on paper, pixels on a screen. x grows to the right, y downwards.
namespace handrail::brief {
namespace detail {
struct Sheet;
}

struct Point {
    double x = 0, y = 0;
};
struct Box {
    double x = 0, y = 0, w = 0, h = 0;
    double right() const { return x + w; }
    double bottom() const { return y + h; }
    Point centre() const { return {x + w / 2, y + h / 2}; }
    Box inset(double dx, double dy) const { return {x + dx, y + dy, w - 2 * dx, h - 2 * dy}; }
    Box inset(double d) const { return inset(d, d); }
    bool overlaps(const Box& o) const { return x < o.right() && o.x < right() && y < o.bottom() && o.y < bottom(); }
    bool contains(const Box& o, double slack = 0) const {
        return x - slack <= o.x && o.right() <= right() + slack && y - slack <= o.y && o.bottom() <= bottom() + slack;
    }
};
struct Size {
    double w = 0, h = 0;
};

/// sRGB, 0xRRGGBB, and how opaque.
struct Colour {
    std::uint32_t rgb = 0;
    double alpha = 1;
    constexpr Colour with_alpha(double a) const { return {rgb, a}; }
};
/// Relative luminance contrast of two opaque colours, 1 to 21 (WCAG 2.1, definition of contrast ratio).
double contrast(Colour a, Colour b);

enum class Dash : std::uint8_t { solid, dashed, dotted };
struct Pen {
    Colour colour;
    double width = 0.75;
    Dash dash = Dash::solid;
};
/// Line patterns, so that nothing depends on colour: they survive a grey printer.
enum class Pattern : std::uint8_t { rising, falling, crossed, level, upright, dots };

class Path {
public:
    static Path rectangle(Box box, double corner = 0);
    static Path circle(Point centre, double radius);
    static Path polyline(std::initializer_list<Point> points);
    static Path polyline(std::span<const Point> points);
    Path& move(Point to);
    Path& line(Point to);
    Path& curve(Point control1, Point control2, Point to);
    Path& close();

    struct Element {
        enum class Kind : std::uint8_t { move, line, curve, close } kind;
        Point a, b, c;
    };
    const std::vector<Element>& elements() const { return elements_; }

private:
    std::vector<Element> elements_;
};

enum class Align : std::uint8_t { left, centre, right };
/// DejaVu Sans, always (Debian packages fonts-dejavu-core, fonts-dejavu-extra): a drawing never depends on what else a
/// machine has.
struct TextStyle {
    double size = 8;
    Colour colour{0x000000};
    bool bold = false;
    bool italic = false;
    bool condensed = true;  ///< DejaVu Sans Condensed, nine tenths of the width
    Align align = Align::left;
    double line_pitch = 1.18;  ///< baseline to baseline, as a multiple of size
};
enum class Turn : std::uint8_t { none, up };  ///< up: reads from bottom to top

struct TextSize {
    double w = 0, h = 0;
    int lines = 1;
    bool whole = true;  ///< nothing cut off, no word broken, within the width asked for
};

/// Text as it was drawn: for tests ("no two labels overlap") and for searching a drawing.
struct PlacedText {
    std::string text;
    Box box;      ///< what it really covers, in canvas units, turned if it is turned
    bool cut;     ///< an ellipsis stands for the rest
    double size;  ///< font size
    Colour colour;
};

/// DejaVu Sans is not installed; what() names the packages.
class FontMissing : public std::runtime_error {
    using std::runtime_error::runtime_error;
};

enum class Unit : std::uint8_t { point, pixel };

/// Thread rule: one canvas, one thread; different canvases may be used at once.
class Canvas {
public:
    /// `title` and `description` are what a screen reader says instead of the picture. Throws FontMissing.
    Canvas(Size size, Unit unit, std::string title, std::string description);
    Canvas(Canvas&&) noexcept;
    Canvas& operator=(Canvas&&) noexcept;
    ~Canvas();

    Size size() const;
    Unit unit() const;
    const std::string& title() const;

    void fill(const Path& path, Colour colour);
    void fill(Box box, Colour colour) { fill(Path::rectangle(box), colour); }
    void stroke(const Path& path, const Pen& pen);
    void line(Point from, Point to, const Pen& pen) { stroke(Path::polyline({from, to}), pen); }
    /// Fills a box with lines or dots `pitch` apart.
    void pattern(Box box, Pattern pattern, const Pen& pen, double pitch);
    /// Everything until the matching unclip() is drawn inside `box` only.
    void clip(Box box);
    void unclip();

    /// How large a text is on one line, or wrapped at word boundaries to `width`.
    TextSize measure(std::string_view text, const TextStyle& style, std::optional<double> width = {}) const;
    /// One line; `at` is the top left, top centre or top right by style.align. Returns what it covers.
    Box text(Point at, std::string_view text, const TextStyle& style);
    /// Wrapped into `area` from its top, cut with an ellipsis when it does not fit. Turned text runs along the
    /// height of the area, its first line at the left.
    Box text_in(Box area, std::string_view text, const TextStyle& style, Turn turn = Turn::none);

    const std::vector<PlacedText>& texts() const;

    /// Self-contained SVG with title and description; text as text, every line as wide as it was measured, so that it
    /// looks alike where DejaVu Sans is missing.
    std::string svg() const;
    /// PNG on white with `pixels_per_unit` (paper: 2.08 gives 150 dpi; screen: 1 or 2).
    std::string png(double pixels_per_unit) const;

private:
    friend std::vector<const detail::Sheet*> sheets_of(std::span<const Canvas> pages);
    struct Drawing;
    std::unique_ptr<Drawing> drawing_;
};

/// All pages as one picture, one under the other; a single page as Canvas::svg() and Canvas::png() have it.
std::string svg(std::span<const Canvas> pages);
std::string png(std::span<const Canvas> pages, double pixels_per_unit);
/// All pages as one PDF, fonts embedded, text searchable. Without `made` it carries no date at all.
std::string pdf(std::span<const Canvas> pages, const std::string& title, std::optional<Utc> made = {});

}  // namespace handrail::brief
