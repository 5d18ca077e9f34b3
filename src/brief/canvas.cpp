#include "brief/canvas.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <variant>

#include "brief/canvas_text.h"
#include "brief/canvas_write.h"

namespace handrail::brief {
namespace {

double linear(double channel) {
    return channel <= 0.04045 ? channel / 12.92 : std::pow((channel + 0.055) / 1.055, 2.4);
}
double luminance(Colour c) {
    return 0.2126 * linear(((c.rgb >> 16) & 255) / 255.0) + 0.7152 * linear(((c.rgb >> 8) & 255) / 255.0) +
           0.0722 * linear((c.rgb & 255) / 255.0);
}

}  // namespace

double contrast(Colour a, Colour b) {
    const double la = luminance(a), lb = luminance(b);
    return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

Path Path::rectangle(Box box, double corner) {
    Path path;
    const double r = std::min({corner, box.w / 2, box.h / 2});
    if (r <= 0) {
        path.move({box.x, box.y}).line({box.right(), box.y}).line({box.right(), box.bottom()});
        return path.line({box.x, box.bottom()}).close();
    }
    const double k = r * 0.5522847498;  // four cubic arcs make a circle: 4/3 (sqrt 2 - 1)
    const double l = box.x, t = box.y, rt = box.right(), b = box.bottom();
    path.move({l + r, t}).line({rt - r, t}).curve({rt - r + k, t}, {rt, t + r - k}, {rt, t + r});
    path.line({rt, b - r}).curve({rt, b - r + k}, {rt - r + k, b}, {rt - r, b});
    path.line({l + r, b}).curve({l + r - k, b}, {l, b - r + k}, {l, b - r});
    return path.line({l, t + r}).curve({l, t + r - k}, {l + r - k, t}, {l + r, t}).close();
}

Path Path::circle(Point centre, double radius) {
    return rectangle({centre.x - radius, centre.y - radius, 2 * radius, 2 * radius}, radius);
}

Path Path::polyline(std::initializer_list<Point> points) {
    return polyline(std::span<const Point>(points.begin(), points.size()));
}

Path Path::polyline(std::span<const Point> points) {
    Path path;
    for (std::size_t i = 0; i < points.size(); ++i) i == 0 ? path.move(points[i]) : path.line(points[i]);
    return path;
}

Path& Path::move(Point to) {
    elements_.push_back({Element::Kind::move, to, {}, {}});
    return *this;
}
Path& Path::line(Point to) {
    elements_.push_back({Element::Kind::line, to, {}, {}});
    return *this;
}
Path& Path::curve(Point control1, Point control2, Point to) {
    elements_.push_back({Element::Kind::curve, control1, control2, to});
    return *this;
}
Path& Path::close() {
    elements_.push_back({Element::Kind::close, {}, {}, {}});
    return *this;
}

struct Canvas::Drawing {
    detail::Sheet sheet;
    detail::TextSetter setter;
    std::vector<PlacedText> placed;
    int clips = 0;
};

Canvas::Canvas(Size size, Unit unit, std::string title, std::string description)
    : drawing_(std::make_unique<Drawing>()) {
    assert(size.w > 0 && size.h > 0);
    drawing_->sheet = {size, unit, std::move(title), std::move(description), {}};
}
Canvas::Canvas(Canvas&&) noexcept = default;
Canvas& Canvas::operator=(Canvas&&) noexcept = default;
Canvas::~Canvas() = default;

Size Canvas::size() const { return drawing_->sheet.size; }
Unit Canvas::unit() const { return drawing_->sheet.unit; }
const std::string& Canvas::title() const { return drawing_->sheet.title; }
const std::vector<PlacedText>& Canvas::texts() const { return drawing_->placed; }

void Canvas::fill(const Path& path, Colour colour) {
    drawing_->sheet.shapes.emplace_back(std::in_place_type<detail::Fill>, detail::Fill{path, colour});
}
void Canvas::stroke(const Path& path, const Pen& pen) {
    drawing_->sheet.shapes.emplace_back(std::in_place_type<detail::Stroke>, detail::Stroke{path, pen});
}

void Canvas::clip(Box box) {
    ++drawing_->clips;
    drawing_->sheet.shapes.emplace_back(std::in_place_type<detail::Clip>, detail::Clip{box});
}
void Canvas::unclip() {
    assert(drawing_->clips > 0);
    --drawing_->clips;
    drawing_->sheet.shapes.emplace_back(std::in_place_type<detail::Unclip>);
}

void Canvas::pattern(Box box, Pattern pattern, const Pen& pen, double pitch) {
    if (box.w <= 0 || box.h <= 0) return;
    Path lines;
    const auto add = [&](Point a, Point b) { lines.move(a).line(b); };
    const bool rising = pattern == Pattern::rising || pattern == Pattern::crossed;
    const bool falling = pattern == Pattern::falling || pattern == Pattern::crossed;
    // Slanted lines start on multiples of the pitch of the whole sheet, so that neighbouring boxes join up.
    const double step = pitch * std::sqrt(2.0);
    if (rising)
        for (double c = std::floor((box.x + box.y) / step) * step; c <= box.right() + box.bottom(); c += step)
            add({c - box.bottom(), box.bottom()}, {c - box.y, box.y});
    if (falling)
        for (double c = std::floor((box.x - box.bottom()) / step) * step; c <= box.right() - box.y; c += step)
            add({c + box.y, box.y}, {c + box.bottom(), box.bottom()});
    if (pattern == Pattern::level)
        for (double y = std::ceil(box.y / pitch) * pitch; y < box.bottom(); y += pitch)
            add({box.x, y}, {box.right(), y});
    if (pattern == Pattern::upright)
        for (double x = std::ceil(box.x / pitch) * pitch; x < box.right(); x += pitch)
            add({x, box.y}, {x, box.bottom()});
    clip(box);
    if (pattern == Pattern::dots) {
        Path dots;
        int row = 0;
        for (double y = std::ceil(box.y / pitch) * pitch; y < box.bottom(); y += pitch, ++row)
            for (double x = std::floor(box.x / pitch) * pitch + (row % 2) * pitch / 2; x < box.right(); x += pitch)
                dots.move({x, y}).line({x + pen.width, y});
        stroke(dots, pen);
    } else {
        stroke(lines, pen);
    }
    unclip();
}

TextSize Canvas::measure(std::string_view text, const TextStyle& style, std::optional<double> width) const {
    const detail::Typeset set = drawing_->setter.set({std::string(text), style, width, 0});
    return {set.width, set.height, set.lines, set.whole};
}

Box Canvas::text(Point at, std::string_view text, const TextStyle& style) {
    detail::Words words{std::string(text), style, {}, 0};
    words.style.align = Align::left;
    const detail::Typeset set = drawing_->setter.set(words);
    const double shift = style.align == Align::left ? 0 : style.align == Align::centre ? set.width / 2 : set.width;
    const Box box{at.x - shift, at.y, set.width, set.height};
    drawing_->placed.push_back({std::string(text), box, false, style.size, style.colour});
    drawing_->sheet.shapes.emplace_back(std::in_place_type<detail::Text>,
                                        detail::Text{std::move(words), {box.x, box.y}, Turn::none});
    return box;
}

Box Canvas::text_in(Box area, std::string_view text, const TextStyle& style, Turn turn) {
    const double along = turn == Turn::none ? area.w : area.h;
    const double across = turn == Turn::none ? area.h : area.w;
    const int lines = std::max(1, static_cast<int>(std::floor(across / (style.size * style.line_pitch) + 0.02)));
    detail::Words words{std::string(text), style, along, lines};
    const detail::Typeset set = drawing_->setter.set(words);
    const double lead = style.align == Align::left     ? 0
                        : style.align == Align::centre ? (along - set.width) / 2
                                                       : along - set.width;
    const Box box = turn == Turn::none ? Box{area.x + lead, area.y, set.width, set.height}
                                       : Box{area.x, area.bottom() - lead - set.width, set.height, set.width};
    const Point origin = turn == Turn::none ? Point{area.x, area.y} : Point{area.x, area.bottom()};
    drawing_->placed.push_back({std::string(text), box, set.cut, style.size, style.colour});
    drawing_->sheet.shapes.emplace_back(std::in_place_type<detail::Text>, detail::Text{std::move(words), origin, turn});
    return box;
}

std::vector<const detail::Sheet*> sheets_of(std::span<const Canvas> pages) {
    assert(!pages.empty());
    std::vector<const detail::Sheet*> sheets;
    for (const Canvas& page : pages) sheets.push_back(&page.drawing_->sheet);
    return sheets;
}

std::string Canvas::svg() const { return brief::svg(std::span(this, 1)); }
std::string Canvas::png(double pixels_per_unit) const { return brief::png(std::span(this, 1), pixels_per_unit); }

std::string svg(std::span<const Canvas> pages) { return detail::write_svg(sheets_of(pages)); }
std::string png(std::span<const Canvas> pages, double pixels_per_unit) {
    return detail::write_png(sheets_of(pages), pixels_per_unit);
}
std::string pdf(std::span<const Canvas> pages, const std::string& title, std::optional<Utc> made) {
    return detail::write_pdf(sheets_of(pages), title, made);
}

}  // namespace handrail::brief
