#include "brief/map_picture.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "brief/palette.h"

namespace handrail::brief {
namespace {

Point flat(View view, const Vec3& p) {
    switch (view) {
        case View::above:
            return {p.y, -p.x};
        case View::right:
            return {p.x, p.z};
        case View::behind:
            return {p.y, p.z};
    }
    return {};
}

struct Range {
    double low = 1e300, high = -1e300;
    void add(double v) {
        low = std::min(low, v);
        high = std::max(high, v);
    }
    double size() const { return std::max(0.0, high - low); }
};

/// Metres to canvas, the same scale both ways.
struct Frame {
    View view;
    double scale = 1, dx = 0, dy = 0;
    Point at(const Vec3& p) const {
        const Point f = flat(view, p);
        return {dx + scale * f.x, dy + scale * f.y};
    }
};

/// The least rectangle, in metres of the view, around these places.
struct Extent {
    Range h, v;
    void add(View view, const Vec3& p) {
        const Point f = flat(view, p);
        h.add(f.x);
        v.add(f.y);
    }
};

Frame frame_of(const Extent& seen, View view, Box area) {
    const double room = 1;  // metres around the outermost places
    Frame frame{view};
    frame.scale = std::min(area.w / (seen.h.size() + 2 * room), area.h / (seen.v.size() + 2 * room));
    frame.dx = area.centre().x - frame.scale * (seen.h.low + seen.h.high) / 2;
    frame.dy = area.centre().y - frame.scale * (seen.v.low + seen.v.high) / 2;
    return frame;
}

Extent whole_station(const Station& station, View view) {
    Extent all;
    for (const Worksite& site : station.worksites) all.add(view, site.position_station_m);
    return all;
}

/// What the moment is about: both people, the ways they came, the arm and what is worked with. Never less than two
/// fifths of the station, so that one can tell which part it is.
Extent about(const Station& station, View view, const MapMoment& moment) {
    Extent seen;
    const auto add = [&](WorksiteId site) { seen.add(view, station.worksites[index(site)].position_station_m); };
    for (const MapMoment::Person& person : moment.people) {
        add(person.at);
        for (const WorksiteId site : person.way) add(site);
    }
    for (const auto& [site, name] : moment.items) add(site);
    if (moment.arm) {
        add(*moment.arm);
        if (station.arm) seen.add(view, station.arm->base_station_m);
    }
    constexpr double least = 0.4;
    const Extent all = whole_station(station, view);
    const auto widen = [&](Range& range, const Range& of) {
        const double lacking = least * of.size() - range.size();
        if (lacking <= 0) return;
        range.low -= lacking / 2;
        range.high += lacking / 2;
    };
    widen(seen.h, all.h);
    widen(seen.v, all.v);
    return seen;
}

Box outline(const Frame& frame, const Solid& solid) {
    Vec3 half{solid.size_station_m.x / 2, solid.size_station_m.y / 2, solid.size_station_m.z / 2};
    if (solid.shape == Solid::Shape::cylinder) {
        const Vec3& a = solid.axis_station;
        const double r = solid.radius.value(), l = solid.length.value() / 2;
        const auto reach = [&](double c) { return std::abs(c) * l + std::sqrt(std::max(0.0, 1 - c * c)) * r; };
        half = {reach(a.x), reach(a.y), reach(a.z)};
    }
    const Vec3& c = solid.centre_station_m;
    const Point p = frame.at({c.x - half.x, c.y - half.y, c.z - half.z}),
                q = frame.at({c.x + half.x, c.y + half.y, c.z + half.z});
    return {std::min(p.x, q.x), std::min(p.y, q.y), std::abs(p.x - q.x), std::abs(p.y - q.y)};
}

/// Draws one map; keeps what is already covered, so that words find a free place.
class Painter {
public:
    Painter(Canvas& canvas, Box area, const Outing& outing, View view, const Extent& seen, double size,
            const Wording& say)
        : canvas_(canvas),
          area_(area),
          outing_(outing),
          say_(say),
          size_(size),
          frame_(frame_of(seen, view, area.inset(4.2 * size, 2.2 * size))) {}

    void ground(const MapMoment* moment) {
        const bool dark = moment != nullptr && moment->daylight && !*moment->daylight;
        canvas_.clip(area_);
        canvas_.fill(area_, dark ? palette::dusk : palette::paper);
        if (dark) canvas_.pattern(area_, Pattern::rising, {palette::rule.with_alpha(0.35), 0.05 * size_}, 0.9 * size_);
        for (const Solid& solid : outing_.station.solids) {
            const Box box = outline(frame_, solid);
            canvas_.fill(Path::rectangle(box, 0.3 * size_), palette::quiet);
            canvas_.stroke(Path::rectangle(box, 0.3 * size_), {palette::rule, 0.05 * size_});
        }
        for (const Route& route : outing_.station.routes)
            canvas_.line(at(route.a), at(route.b), {palette::rule, 0.08 * size_});
        canvas_.unclip();
        canvas_.stroke(Path::rectangle(area_), {palette::rule, 0.06 * size_});
        for (const Worksite& site : outing_.station.worksites) {
            if (!shows(site)) continue;
            const Point p = frame_.at(site.position_station_m);
            canvas_.fill(Path::circle(p, 0.28 * size_), palette::paper);
            canvas_.stroke(Path::circle(p, 0.28 * size_), {palette::ink, 0.09 * size_});
            taken_.push_back({p.x - 0.4 * size_, p.y - 0.4 * size_, 0.8 * size_, 0.8 * size_});
        }
    }

    void arm(WorksiteId tip) {
        if (!outing_.station.arm) return;
        const Point base = frame_.at(outing_.station.arm->base_station_m), end = at(tip);
        canvas_.line(base, end, {palette::ink.with_alpha(0.75), 0.42 * size_});
        canvas_.line(base, end, {palette::paper, 0.2 * size_});
        keep_free(base, end);
        canvas_.fill(Path::rectangle({base.x - 0.5 * size_, base.y - 0.5 * size_, size_, size_}), palette::ink);
        arm_label_ = Point{(base.x + end.x) / 2, (base.y + end.y) / 2};
    }

    void way(const std::vector<WorksiteId>& sites, Crew crew) {
        const double off = (crew == Crew::ev1 ? -0.22 : 0.22) * size_;
        std::vector<Point> points;
        for (const WorksiteId site : sites) points.push_back({at(site).x + off, at(site).y + off});
        if (points.size() < 2) return;
        for (std::size_t i = 1; i < points.size(); ++i) keep_free(points[i - 1], points[i]);
        const Pen pen{tone(crew), 0.26 * size_, crew == Crew::ev1 ? Dash::solid : Dash::dashed};
        canvas_.stroke(Path::polyline(points), pen);
        // An arrow head half-way along the last stretch, where the person's own mark does not hide it.
        const Point a = points[points.size() - 2], b = points.back();
        const double length = std::hypot(b.x - a.x, b.y - a.y);
        if (length < 1.2 * size_) return;
        const Point u{(b.x - a.x) / length, (b.y - a.y) / length}, m{(a.x + b.x) / 2, (a.y + b.y) / 2};
        const double s = 0.75 * size_;
        Path head;
        head.move({m.x + u.x * s, m.y + u.y * s})
            .line({m.x - u.x * s * 0.6 - u.y * s * 0.7, m.y - u.y * s * 0.6 + u.x * s * 0.7})
            .line({m.x - u.x * s * 0.6 + u.y * s * 0.7, m.y - u.y * s * 0.6 - u.x * s * 0.7})
            .close();
        canvas_.fill(head, tone(crew));
    }

    /// EV1 is a disc, EV2 a square, each with its number.
    void person(Crew crew, WorksiteId site, bool shared) {
        Point p = at(site);
        if (shared) p.x += (crew == Crew::ev1 ? -1 : 1) * 0.95 * size_;
        const double r = 0.9 * size_;
        const Box box{p.x - r, p.y - r, 2 * r, 2 * r};
        const Path shape = crew == Crew::ev1 ? Path::circle(p, r) : Path::rectangle(box);
        canvas_.fill(shape, tone(crew));
        canvas_.stroke(shape, {palette::paper, 0.14 * size_});
        canvas_.text({p.x, p.y - 0.66 * size_}, crew == Crew::ev1 ? "1" : "2",
                     {.size = 1.15 * size_, .colour = palette::paper, .bold = true, .align = Align::centre});
        taken_.push_back(box);
    }

    /// After the people, whose marks it must not meet.
    void name_arm() {
        if (arm_label_) place(*arm_label_, say_.lane(Lane::arm), palette::ink, false);
    }

    void item(WorksiteId site, const std::string& name) {
        const Point p = at(site);
        const double s = 0.45 * size_;
        const Point c{p.x, p.y + 1.35 * size_};
        Path diamond;
        diamond.move({c.x, c.y - s}).line({c.x + s, c.y}).line({c.x, c.y + s}).line({c.x - s, c.y}).close();
        canvas_.fill(diamond, palette::amber);
        taken_.push_back({c.x - s, c.y - s, 2 * s, 2 * s});
        place(c, name, palette::amber, false);
    }

    bool shows(const Worksite& site) const {
        const Point p = frame_.at(site.position_station_m);
        return area_.contains({p.x - 0.4 * size_, p.y - 0.4 * size_, 0.8 * size_, 0.8 * size_});
    }

    /// Which part of the station the picture shows, small in the corner where it covers least.
    void locator() {
        const Extent all = whole_station(outing_.station, frame_.view);
        const double w = 0.19 * area_.w, h = std::min(0.3 * area_.h, w * (all.v.size() + 2) / (all.h.size() + 2));
        Box best{};
        std::size_t fewest = static_cast<std::size_t>(-1);
        for (const bool right : {true, false})
            for (const bool low : {true, false}) {
                const double gap = 0.5 * size_;
                const Box box{right ? area_.right() - w - gap : area_.x + gap,
                              low ? area_.bottom() - h - gap : area_.y + gap, w, h};
                const auto covered = static_cast<std::size_t>(
                    std::ranges::count_if(taken_, [&](const Box& other) { return other.overlaps(box); }));
                if (covered < fewest) {
                    fewest = covered;
                    best = box;
                }
            }
        if (fewest > 0) return;
        canvas_.fill(best, palette::paper);
        canvas_.clip(best);
        const Frame small = frame_of(all, frame_.view, best.inset(0.2 * size_, 0.2 * size_));
        for (const Solid& solid : outing_.station.solids) canvas_.fill(outline(small, solid), palette::quiet);
        for (const Route& route : outing_.station.routes)
            canvas_.line(small.at(outing_.worksite(route.a).position_station_m),
                         small.at(outing_.worksite(route.b).position_station_m), {palette::rule, 0.05 * size_});
        const auto there = [&](double x, double y) {
            return Point{small.dx + small.scale * (x - frame_.dx) / frame_.scale,
                         small.dy + small.scale * (y - frame_.dy) / frame_.scale};
        };
        const Point a = there(area_.x, area_.y), b = there(area_.right(), area_.bottom());
        canvas_.stroke(Path::rectangle({a.x, a.y, b.x - a.x, b.y - a.y}), {palette::ink, 0.12 * size_});
        canvas_.unclip();
        canvas_.stroke(Path::rectangle(best), {palette::rule, 0.06 * size_});
        taken_.push_back(best);
    }

    void name(const Worksite& site, bool strong) {
        place(frame_.at(site.position_station_m), site.name, palette::ink, strong);
    }

private:
    static Colour tone(Crew crew) { return palette::tasks[crew == Crew::ev1 ? 0 : 1].deep; }
    Point at(WorksiteId site) const { return frame_.at(outing_.worksite(site).position_station_m); }

    /// No words on a line that matters.
    void keep_free(Point a, Point b) {
        const double step = 0.8 * size_;
        const int boxes = static_cast<int>(std::hypot(b.x - a.x, b.y - a.y) / step);
        for (int i = 1; i < boxes; ++i) {
            const double share = static_cast<double>(i) / boxes;
            const Point p{a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share};
            taken_.push_back({p.x - 0.2 * size_, p.y - 0.2 * size_, 0.4 * size_, 0.4 * size_});
        }
    }

    /// Words beside a point, at the first of several places where they cover nothing.
    void place(Point p, const std::string& words, Colour colour, bool strong) {
        const TextStyle style{.size = size_, .colour = colour, .bold = strong};
        const TextSize text = canvas_.measure(words, style);
        const double w = text.w, h = 1.15 * size_, gap = 0.6 * size_;
        for (const double far : {0.0, 0.9, 1.9, 3.0, 4.2})
            for (const Point q :
                 {Point{p.x + gap, p.y - h / 2 - far * size_}, Point{p.x - gap - w, p.y - h / 2 - far * size_},
                  Point{p.x - w / 2, p.y + gap + far * size_}, Point{p.x - w / 2, p.y - gap - h - far * size_},
                  Point{p.x + gap, p.y - h / 2 + far * size_}, Point{p.x - gap - w, p.y - h / 2 + far * size_}}) {
                const Box box{q.x, q.y, w, h};
                if (!area_.contains(box) ||
                    std::ranges::any_of(taken_, [&](const Box& other) { return other.overlaps(box); }))
                    continue;
                if (far > 1)
                    canvas_.line(p, {std::clamp(p.x, box.x, box.right()), p.y < box.y ? box.y : box.bottom()},
                                 {palette::rule, 0.05 * size_});
                label(box, words, colour, strong);
                return;
            }
    }

    void label(Box box, const std::string& words, Colour colour, bool strong) {
        canvas_.fill(box.inset(-0.1 * size_, 0), palette::paper.with_alpha(0.82));
        taken_.push_back(canvas_.text({box.x, box.y}, words, {.size = size_, .colour = colour, .bold = strong}));
    }

    Canvas& canvas_;
    Box area_;
    const Outing& outing_;
    const Wording& say_;
    double size_;
    Frame frame_;
    std::vector<Box> taken_;
    std::optional<Point> arm_label_;
};

}  // namespace

View best_view(const Station& station) {
    Range x, y, z;
    for (const Worksite& site : station.worksites) {
        x.add(site.position_station_m.x);
        y.add(site.position_station_m.y);
        z.add(site.position_station_m.z);
    }
    const double above = x.size() * y.size(), right = x.size() * z.size(), behind = y.size() * z.size();
    if (above >= right && above >= behind) return View::above;
    return right >= behind ? View::right : View::behind;
}

namespace {

/// Where their sign stands: whoever is still on the way, half-way along it.
WorksiteId shown_at(const MapMoment::Person& person) {
    return person.moving && !person.way.empty() ? person.way[(person.way.size() - 1) / 2] : person.at;
}

}  // namespace

void draw_map(Canvas& canvas, Box area, const Outing& outing, View view, const MapMoment* moment, Labels labels,
              double size, const Wording& say) {
    const Extent all = whole_station(outing.station, view),
                 seen = moment != nullptr && labels == Labels::concerned ? about(outing.station, view, *moment) : all;
    // Where nearly the whole station is seen, every name would only be in the way.
    const bool close = frame_of(seen, view, area).scale > 1.25 * frame_of(all, view, area).scale;
    Painter painter(canvas, area, outing, view, seen, size, say);
    painter.ground(moment);
    std::vector<WorksiteId> concerned{outing.station.airlock};
    if (moment != nullptr) {
        if (moment->arm) painter.arm(*moment->arm);
        for (const Crew crew : both_crew) painter.way(moment->people[index(crew)].way, crew);
        const bool shared = shown_at(moment->people[0]) == shown_at(moment->people[1]);
        for (const Crew crew : both_crew) painter.person(crew, shown_at(moment->people[index(crew)]), shared);
        painter.name_arm();
        for (const MapMoment::Person& person : moment->people) {
            concerned.push_back(person.at);
            if (!person.way.empty()) concerned.push_back(person.way.front());
        }
        for (const auto& [site, name] : moment->items) painter.item(site, name);
    }
    // First those that matter, while there is room.
    for (const bool mattering : {true, false}) {
        for (std::size_t i = 0; i < outing.station.worksites.size(); ++i) {
            const bool near = std::ranges::find(concerned, static_cast<WorksiteId>(i)) != concerned.end();
            const bool named = near || close || labels == Labels::all;
            if (near == mattering && named && painter.shows(outing.station.worksites[i]))
                painter.name(outing.station.worksites[i], near && labels == Labels::all);
        }
        if (mattering && close) painter.locator();
    }
}

std::string view_words(View view, const Wording& say) {
    switch (view) {
        case View::above:
            return say("map.above");
        case View::right:
            return say("map.right");
        case View::behind:
            return say("map.behind");
    }
    return {};
}

}  // namespace handrail::brief
