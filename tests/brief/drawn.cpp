#include "drawn.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <string_view>

namespace handrail::brief {
namespace {

std::string attribute(std::string_view tag, std::string_view name) {
    const std::string key = " " + std::string(name) + "=\"";
    const std::size_t at = tag.find(key);
    if (at == std::string_view::npos) return {};
    const std::size_t from = at + key.size();
    return std::string(tag.substr(from, tag.find('"', from) - from));
}
double number(std::string_view tag, std::string_view name) {
    return std::strtod(attribute(tag, name).c_str(), nullptr);
}

std::vector<Point> points_of(const std::string& d) {
    std::vector<Point> points;
    for (const char* at = d.c_str(); *at != '\0';) {
        const char command = *at++;
        const int pairs = command == 'C' ? 3 : command == 'Z' ? 0 : 1;
        Point p;
        for (int i = 0; i < pairs; ++i) {
            char* end = nullptr;
            p.x = std::strtod(at, &end);
            p.y = std::strtod(end, &end);
            at = end;
        }
        if (pairs > 0) points.push_back(p);
    }
    return points;
}

std::string unescaped(std::string text) {
    for (const auto& [from, to] :
         {std::pair{"&#39;", "'"}, {"&quot;", "\""}, {"&lt;", "<"}, {"&gt;", ">"}, {"&amp;", "&"}})
        for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + 1))
            text.replace(at, std::string_view(from).size(), to);
    return text;
}

}  // namespace

Box DrawnShape::box() const {
    if (points.empty()) return {};
    const auto [l, r] = std::ranges::minmax(points, {}, &Point::x);
    const auto [t, b] = std::ranges::minmax(points, {}, &Point::y);
    return {l.x, t.y, r.x - l.x, b.y - t.y};
}

std::vector<Box> Drawn::filled(Colour colour) const {
    const std::string wanted = fmt::format("#{:06x}", colour.rgb);
    std::vector<Box> out;
    for (const DrawnShape& shape : shapes)
        if (shape.fill == wanted) out.push_back(shape.box());
    return out;
}

Drawn drawn(const std::string& svg) {
    Drawn out;
    for (std::size_t at = svg.find('<'); at != std::string::npos; at = svg.find('<', at + 1)) {
        const std::size_t end = svg.find('>', at);
        const std::string_view tag = std::string_view(svg).substr(at, end - at);
        if (tag.starts_with("<path ")) {
            out.shapes.push_back({attribute(tag, "fill"), attribute(tag, "stroke"),
                                  !attribute(tag, "stroke-dasharray").empty(), points_of(attribute(tag, "d"))});
        } else if (tag.starts_with("<text")) {
            DrawnText text;
            text.text = unescaped(svg.substr(end + 1, svg.find('<', end) - end - 1));
            text.turned = !attribute(tag, "transform").empty();
            text.x = number(tag, "x");
            text.y = number(tag, "y");
            text.width = number(tag, "textLength");
            text.size = number(tag, "font-size");
            out.texts.push_back(std::move(text));
        }
    }
    return out;
}

std::optional<double> minutes_of(const std::string& label) {
    const bool before = label.starts_with("-");
    const std::string clock = before ? label.substr(1) : label;
    if (clock.size() != 5 || clock[2] != ':') return {};
    for (const std::size_t i : {0u, 1u, 3u, 4u})
        if (std::isdigit(static_cast<unsigned char>(clock[i])) == 0) return {};
    const double minutes = 60 * std::stod(clock.substr(0, 2)) + std::stod(clock.substr(3));
    return before ? -minutes : minutes;
}

double DrawnScale::x(Pet t) const {
    return x0 + per_minute * std::chrono::duration<double, std::ratio<60>>(t.time_since_epoch()).count();
}

std::optional<DrawnScale> scale_at(const Drawn& drawing, double y, double from_x, double to_x) {
    std::vector<std::pair<double, double>> labels;  // minutes, centre
    for (const DrawnText& text : drawing.texts)
        if (const auto minutes = minutes_of(text.text);
            minutes && std::abs(text.y - y) < 0.3 && from_x <= text.centre() && text.centre() <= to_x)
            labels.emplace_back(*minutes, text.centre());
    if (labels.size() < 2) return {};
    const auto [first, last] = std::ranges::minmax(labels);
    DrawnScale scale;
    scale.y = y;
    scale.labels = labels.size();
    scale.per_minute = (last.second - first.second) / (last.first - first.first);
    scale.x0 = first.second - scale.per_minute * first.first;
    for (const auto& [minutes, centre] : labels)
        scale.worst = std::max(scale.worst, std::abs(scale.minutes(centre) - minutes));
    return scale;
}

}  // namespace handrail::brief
