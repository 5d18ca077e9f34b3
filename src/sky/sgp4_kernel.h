#pragma once

#include "sky/lanes.h"
#include "sky/sgp4.h"

/// One step of SGP4 for every lane at once (see lanes.h). Its only branches skip work
/// that no lane needs, so a lane's digits never depend on its neighbours.
namespace handrail::sky::detail {

// WGS-72, not WGS-84: element sets are fitted with it, so the newer values would place the station worse
// (AIAA 2006-6753, table "WGS-72").
inline constexpr double earth_radius_km = 6378.135;
inline constexpr double earth_mu_km3_s2 = 398600.8;
inline constexpr double j2 = 0.001082616, j3 = -0.00000253881, j4 = -0.00000165597;
/// Square root of mu in earth radii^1.5 / min: 60 / sqrt(radius^3 / mu).
inline const double xke = 60.0 / std::sqrt(earth_radius_km * earth_radius_km * earth_radius_km / earth_mu_km3_s2);
inline constexpr double two_pi = 6.283185307179586477;

template <class V>
struct LaneStates {
    V x_km, y_km, z_km, vx_km_s, vy_km_s, vz_km_s;
    typename Lanes<V>::Bits error;  ///< an OrbitError in each lane
};

template <class V>
HANDRAIL_INLINE LaneStates<V> sgp4_step(const Sgp4Constants& k, V t) {
    using Bits = typename Lanes<V>::Bits;
    Bits error = mask(t != t) & static_cast<std::int64_t>(OrbitError::not_a_number);
    const auto raise = [&](Bits where, OrbitError what) {
        error |= mask(error == 0) & where & static_cast<std::int64_t>(what);
    };

    // Secular gravity and drag. Angles stay within largest_angle; beyond, the caller has refused the time.
    const V t2 = t * t;
    const V xmdf = k.mo + k.mdot * t;
    const V argpdf = k.argpo + k.argpdot * t;
    const V node = k.nodeo + k.nodedot * t + k.nodecf * t2;
    V argpm = argpdf, mm = xmdf;
    V tempa = 1.0 - k.cc1 * t;
    V tempe = k.bcc4 * t;
    V templ = k.t2cof * t2;
    if (!k.simple) {
        const SinCos<V> of_xmdf = sin_cos(xmdf);
        const V delm_root = 1.0 + k.eta * of_xmdf.cos;
        const V delm = k.xmcof * (delm_root * delm_root * delm_root - k.delmo);
        const V shift = k.omgcof * t + delm;
        mm = xmdf + shift;
        argpm = argpdf - shift;
        const V t3 = t2 * t, t4 = t3 * t;
        tempa = tempa - k.d2 * t2 - k.d3 * t3 - k.d4 * t4;
        tempe = tempe + k.bcc5 * (sin_cos_of_sum(of_xmdf, xmdf, shift).sin - k.sinmao);
        templ = templ + k.t3cof * t3 + t4 * (k.t4cof + t * k.t5cof);
    }
    const V am = k.ao * tempa * tempa;
    const V root_am = square_root(am);
    const V nm = xke / (am * root_am);
    V em = k.ecco - tempe;
    raise(mask(em >= 1.0) | mask(em < -0.001), OrbitError::eccentricity);
    // A rounding below zero is zero for the model (report, section on small eccentricities).
    em = select<V>(mask(em < 1.0e-6), em * 0.0 + 1.0e-6, em);
    em = select<V>(mask(error != 0), em * 0.0 + 0.5, em);
    mm = mm + k.no * templ;

    // Long period.
    const SinCos<V> of_argp = sin_cos(argpm);
    const V axnl = em * of_argp.cos;
    const V aynl = em * of_argp.sin + k.aycof / (am * (1.0 - em * em));
    const V u = mm + argpm + k.xlcof * axnl / (am * (1.0 - em * em));

    // Kepler's equation, at most ten Newton steps of at most 0.95, as in the report; it ends when the next step is
    // known to be below 1e-15 rad (the error after a step is at most e/2 of its square).
    const V el2 = axnl * axnl + aynl * aynl;
    V eo1 = u;
    SinCos<V> of_e = sin_cos(u);
    Bits active = mask(u == u);
    for (int step = 0; step < 10 && any<V>(active); ++step) {
        const V residual = u - aynl * of_e.cos + axnl * of_e.sin - eo1;
        V correction = residual / (1.0 - of_e.cos * axnl - of_e.sin * aynl);
        correction = select<V>(mask(correction > 0.95), correction * 0.0 + 0.95, correction);
        correction = select<V>(mask(correction < -0.95), correction * 0.0 - 0.95, correction);
        correction = from_bits<V>(bits_of(correction) & active);  // a lane that has converged stays as it is
        of_e = sin_cos_of_sum(of_e, eo1, correction);
        eo1 = eo1 + correction;
        const V square = correction * correction;
        active &= mask(square * square * el2 > 1.0e-30);
    }

    // Short period.
    const V ecose = axnl * of_e.cos + aynl * of_e.sin;
    const V esine = axnl * of_e.sin - aynl * of_e.cos;
    const V pl = am * (1.0 - el2);
    raise(mask(pl < 0.0), OrbitError::semilatus_rectum);
    const V rl = am * (1.0 - ecose);
    const V rdotl = root_am * esine / rl;
    const V rvdotl = square_root(absolute(pl)) / rl;
    const V betal = square_root(absolute(1.0 - el2));
    const V shared = esine / (1.0 + betal);
    const V sinu = am / rl * (of_e.sin - aynl - axnl * shared);
    const V cosu = am / rl * (of_e.cos - axnl + aynl * shared);
    const V sin2u = (cosu + cosu) * sinu;
    const V cos2u = 1.0 - 2.0 * sinu * sinu;
    const V temp1 = 0.5 * j2 / pl;
    const V temp2 = temp1 / pl;
    const V mrt = rl * (1.0 - 1.5 * temp2 * betal * k.con41) + 0.5 * temp1 * k.x1mth2 * cos2u;
    raise(mask(mrt < 1.0), OrbitError::decayed);
    // Argument of latitude, node and inclination differ from known angles by short-period terms: turn, no arctangent.
    const SinCos<V> of_u{sinu, cosu}, of_inclination{cosu * 0.0 + k.sinio, cosu * 0.0 + k.cosio};
    const V du = -0.25 * temp2 * k.x7thm1 * sin2u;
    const V dnode = 1.5 * temp2 * k.cosio * sin2u;
    const V di = 1.5 * temp2 * k.cosio * k.sinio * cos2u;
    const SinCos<V> su = turned(of_u, sin_cos_mostly_small(du));
    const SinCos<V> sn = turned(sin_cos(node), sin_cos_mostly_small(dnode));
    const SinCos<V> si = turned(of_inclination, sin_cos_mostly_small(di));
    const V mvt = rdotl - nm * temp1 * k.x1mth2 * sin2u / xke;
    const V rvdot = rvdotl + nm * temp1 * (k.x1mth2 * cos2u + 1.5 * k.con41) / xke;

    const V xmx = -sn.sin * si.cos, xmy = sn.cos * si.cos;
    const V ux = xmx * su.sin + sn.cos * su.cos, vx = xmx * su.cos - sn.cos * su.sin;
    const V uy = xmy * su.sin + sn.sin * su.cos, vy = xmy * su.cos - sn.sin * su.sin;
    const V uz = si.sin * su.sin, vz = si.sin * su.cos;
    const V r = mrt * earth_radius_km;
    const double speed_km_s = earth_radius_km * xke / 60.0;
    LaneStates<V> out{r * ux,
                      r * uy,
                      r * uz,
                      (mvt * ux + rvdot * vx) * speed_km_s,
                      (mvt * uy + rvdot * vy) * speed_km_s,
                      (mvt * uz + rvdot * vz) * speed_km_s,
                      error};
    const V sum = out.x_km + out.y_km + out.z_km + out.vx_km_s + out.vy_km_s + out.vz_km_s;
    raise(mask(sum - sum != 0.0), OrbitError::not_a_number);
    const Bits fine = mask(error == 0);
    for (V* v : {&out.x_km, &out.y_km, &out.z_km, &out.vx_km_s, &out.vy_km_s, &out.vz_km_s})
        *v = from_bits<V>(bits_of(*v) & fine);
    out.error = error;
    return out;
}

}  // namespace handrail::sky::detail
