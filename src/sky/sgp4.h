#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <variant>
#include <vector>

#include "sky/elements.h"

/// The near-Earth SGP4 model, from the equations of Vallado, Crawford, Hujsak, Kelso: "Revisiting Spacetrack Report
/// #3", AIAA 2006-6753, with the WGS-72 constants that element sets are fitted with.
namespace handrail::sky {

/// Why there is no state. The numbers in words() are those of the reference code.
enum class OrbitError : std::uint8_t {
    none,
    deep_space,        ///< period of 225 min or more: the deep-space model is not built in
    eccentricity,      ///< 1: mean eccentricity out of range
    mean_motion,       ///< 2: mean motion not positive
    semilatus_rectum,  ///< 4: negative
    decayed,           ///< 6: the satellite is below the surface
    not_a_number       ///< the elements lead nowhere
};
std::string_view words(OrbitError);

struct State {
    Vec3 position_teme_km, velocity_teme_km_s;
};

/// Many states as one array per component. Where `error` is not none the six numbers are 0.
struct States {
    std::vector<double> x_km, y_km, z_km, vx_km_s, vy_km_s, vz_km_s;
    std::vector<OrbitError> error;
    void resize(std::size_t count);
    std::size_t size() const { return x_km.size(); }
};

namespace detail {
/// The constants of one element set; names as in the report.
struct Sgp4Constants {
    double mo, mdot, argpo, argpdot, nodeo, nodedot, nodecf;         // secular angles, rad and rad/min
    double cc1, bcc4, bcc5, t2cof, t3cof, t4cof, t5cof, d2, d3, d4;  // drag
    double omgcof, xmcof, eta, delmo, sinmao;                        // drag, long period in M and omega
    double no, ao, ecco;                                             // rad/min, earth radii
    double sinio, cosio, aycof, xlcof, con41, x1mth2, x7thm1;
    bool simple;  // perigee below 220 km: the short drag equations
};
}  // namespace detail

/// An element set made ready. A small value; `at` and `fill` may be called from any thread.
class Sgp4 {
public:
    static std::variant<Sgp4, OrbitError> from(const Elements& elements);

    /// The state this many minutes after the epoch; never NaN.
    std::variant<State, OrbitError> at(double minutes_since_epoch) const;
    /// The same for many instants, 2 to 8 at once as the processor allows; the same digits as at().
    void fill(std::span<const double> minutes_since_epoch, States& states) const;

    double period_min() const;
    /// Heights above the equatorial radius of WGS-72, km, from the mean elements.
    double perigee_km() const;
    double apogee_km() const;

private:
    explicit Sgp4(const detail::Sgp4Constants& constants) : k_(constants) {}
    detail::Sgp4Constants k_;
};

}  // namespace handrail::sky
