#pragma once

#include <array>
#include <cmath>

#include "outing/model.h"

/// The little vector algebra sky needs. The frame of a vector stands in its name: position_teme_km, sun_station.
namespace handrail::sky {

constexpr Vec3 operator+(Vec3 a, Vec3 b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
constexpr Vec3 operator-(Vec3 a, Vec3 b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
constexpr Vec3 operator-(Vec3 a) { return {-a.x, -a.y, -a.z}; }
constexpr Vec3 operator*(Vec3 a, double k) { return {a.x * k, a.y * k, a.z * k}; }
constexpr double dot(Vec3 a, Vec3 b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
constexpr Vec3 cross(Vec3 a, Vec3 b) { return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x}; }
inline double length(Vec3 a) { return std::sqrt(dot(a, a)); }
inline Vec3 unit(Vec3 a) { return a * (1.0 / length(a)); }
/// Angle between two vectors, radians, exact near 0 and pi too.
inline double angle_between(Vec3 a, Vec3 b) { return std::atan2(length(cross(a, b)), dot(a, b)); }

/// A rotation of axes: `apply` takes a vector's components in the old frame to those in the new one, whose axes, seen
/// from the old frame, are the rows.
struct Rotation {
    std::array<Vec3, 3> rows{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};
    constexpr Vec3 apply(Vec3 v) const { return {dot(rows[0], v), dot(rows[1], v), dot(rows[2], v)}; }
    /// This rotation after `first`.
    constexpr Rotation after(const Rotation& first) const {
        Rotation all;
        for (std::size_t i = 0; i < 3; ++i)
            all.rows[i] = first.rows[0] * rows[i].x + first.rows[1] * rows[i].y + first.rows[2] * rows[i].z;
        return all;
    }
};

inline constexpr double pi = 3.141592653589793238;
inline constexpr double radians_per_degree = pi / 180.0;
inline double radians(Degrees angle) { return angle.value() * radians_per_degree; }
inline Degrees degrees(double radians) { return Degrees{radians / radians_per_degree}; }

}  // namespace handrail::sky
