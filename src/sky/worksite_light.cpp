#include "sky/worksite_light.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>

#include "sky/attitude.h"

namespace handrail::sky {
namespace {

// Where rays start, outward along the normal. Handrail's choices, not anyone's measurements: a hand's breadth above
// the surface for the work itself, an arm's length for the helmet.
constexpr double work_height_m = 0.1, helmet_distance_m = 0.6;

/// A stretch of a ray, in metres along it.
struct Span {
    double from = -std::numeric_limits<double>::infinity(), to = std::numeric_limits<double>::infinity();
    bool empty() const { return !(from < to); }
    void clip(double low, double high) {
        from = std::max(from, low);
        to = std::min(to, high);
    }
};

/// Where |start + t * slope| <= half.
void clip_slab(Span& span, double start, double slope, double half) {
    if (std::abs(slope) < 1e-12) {
        if (std::abs(start) > half) span.clip(1, 0);
        return;
    }
    const double a = (-half - start) / slope, b = (half - start) / slope;
    span.clip(std::min(a, b), std::max(a, b));
}

Span inside_box(const Solid& box, Vec3 from_centre, Vec3 direction) {
    Span span;
    clip_slab(span, from_centre.x, direction.x, box.size_station_m.x / 2);
    clip_slab(span, from_centre.y, direction.y, box.size_station_m.y / 2);
    clip_slab(span, from_centre.z, direction.z, box.size_station_m.z / 2);
    return span;
}

Span inside_cylinder(const Solid& cylinder, Vec3 from_centre, Vec3 direction) {
    const Vec3 axis = unit(cylinder.axis_station);
    const double along = dot(from_centre, axis), slope = dot(direction, axis);
    Span span;
    clip_slab(span, along, slope, cylinder.length.value() / 2);
    const Vec3 across = from_centre - axis * along, drift = direction - axis * slope;
    const double a = dot(drift, drift), b = dot(across, drift);
    const double c = dot(across, across) - cylinder.radius.value() * cylinder.radius.value();
    if (a < 1e-18) {
        if (c > 0) span.clip(1, 0);
        return span;
    }
    const double discriminant = b * b - a * c;
    if (discriminant <= 0) {
        span.clip(1, 0);
        return span;
    }
    const double root = std::sqrt(discriminant);
    span.clip((-b - root) / a, (-b + root) / a);
    return span;
}

std::optional<std::size_t> first_in_the_way(const Station& station, Vec3 origin, Vec3 direction) {
    for (std::size_t i = 0; i < station.solids.size(); ++i)
        if (blocks(station.solids[i], origin, direction)) return i;
    return std::nullopt;
}

class Watch {
public:
    Watch(const Ephemeris& ephemeris, const Station& station, const Worksite& site)
        : ephemeris_(ephemeris), station_(station), site_(site) {}
    WorksiteLook at(double t) const { return look(station_, site_, sun_station(station_.attitude, ephemeris_.at(t))); }
    /// Appends every change between two samples to `out`, whose last stretch is still open.
    void changes(double from, double to, const WorksiteLook& after, std::vector<WorksiteStretch>& out) const {
        constexpr double tolerance_s = 0.05;
        while (!(out.back().look == after)) {
            double low = from, high = to;
            WorksiteLook high_look = after;
            while (high - low > tolerance_s) {
                const double middle = 0.5 * (low + high);
                const WorksiteLook there = at(middle);
                if (there == out.back().look) {
                    low = middle;
                } else {
                    high = middle;
                    high_look = there;
                }
            }
            out.back().when.to_s = high;
            out.push_back({{high, high}, high_look});
            from = high;
        }
    }

private:
    const Ephemeris& ephemeris_;
    const Station& station_;
    const Worksite& site_;
};

}  // namespace

bool blocks(const Solid& solid, Vec3 origin, Vec3 direction) {
    const Vec3 from_centre = origin - solid.centre_station_m;
    const bool box = solid.shape == Solid::Shape::box;
    const Span span = box ? inside_box(solid, from_centre, direction) : inside_cylinder(solid, from_centre, direction);
    return !span.empty() && span.from > 0;
}

WorksiteLook look(const Station& station, const Worksite& site, Vec3 sun) {
    const Vec3 normal = unit(site.normal_station);
    WorksiteLook result;
    if (dot(normal, sun) <= 0) {
        result.surface = WorksiteLook::Surface::faces_away;
    } else if (const auto solid = first_in_the_way(station, site.position_station_m + normal * work_height_m, sun)) {
        result.surface = WorksiteLook::Surface::shadowed;
        result.solid = *solid;
    }
    if (angle_between(-normal, sun) < radians(station.glare_within))
        result.glare = !first_in_the_way(station, site.position_station_m + normal * helmet_distance_m, sun);
    return result;
}

std::vector<std::vector<WorksiteStretch>> worksite_light(const Ephemeris& ephemeris, const Station& station,
                                                         const Stretches& daylight) {
    std::vector<std::vector<WorksiteStretch>> all(station.worksites.size());
    for (const Stretch& day : daylight) {
        const int steps = std::max(1, static_cast<int>(std::ceil((day.to_s - day.from_s) / sample_step_s)));
        const double step_s = (day.to_s - day.from_s) / steps;
        std::vector<Vec3> suns_station;  // shared by all worksites
        for (int i = 0; i <= steps; ++i)
            suns_station.push_back(sun_station(station.attitude, ephemeris.at(day.from_s + i * step_s)));
        for (std::size_t w = 0; w < all.size(); ++w) {
            const Worksite& site = station.worksites[w];
            const Watch watch(ephemeris, station, site);
            std::vector<WorksiteStretch>& out = all[w];
            out.push_back({{day.from_s, day.from_s}, look(station, site, suns_station[0])});
            for (int i = 1; i <= steps; ++i) {
                const WorksiteLook after = look(station, site, suns_station[static_cast<std::size_t>(i)]);
                watch.changes(day.from_s + (i - 1) * step_s, day.from_s + i * step_s, after, out);
            }
            out.back().when.to_s = day.to_s;
            if (out.back().when.from_s >= day.to_s) out.pop_back();
        }
    }
    return all;
}

}  // namespace handrail::sky
