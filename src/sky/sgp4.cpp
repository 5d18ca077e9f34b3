#include "sky/sgp4.h"

#include <cmath>
#include <cstdlib>

#include "sky/sgp4_kernel.h"
#include "sky/vector.h"

namespace handrail::sky {

std::string_view words(OrbitError error) {
    switch (error) {
        case OrbitError::none:
            return "none";
        case OrbitError::deep_space:
            return "a period of 225 min or more (deep space)";
        case OrbitError::eccentricity:
            return "mean eccentricity out of range (SGP4 error 1)";
        case OrbitError::mean_motion:
            return "mean motion not positive (SGP4 error 2)";
        case OrbitError::semilatus_rectum:
            return "negative semi-latus rectum (SGP4 error 4)";
        case OrbitError::decayed:
            return "the satellite below the surface: decayed (SGP4 error 6)";
        case OrbitError::not_a_number:
            return "no state at all";
    }
    std::abort();
}

void States::resize(std::size_t count) {
    for (std::vector<double>* v : {&x_km, &y_km, &z_km, &vx_km_s, &vy_km_s, &vz_km_s}) v->resize(count);
    error.resize(count);
}

/// Initialisation: names and order as in the report, so that it can be read beside it.
std::variant<Sgp4, OrbitError> Sgp4::from(const Elements& elements) {
    using namespace detail;
    constexpr double x2o3 = 2.0 / 3.0;
    const double ecco = elements.eccentricity, inclo = radians(elements.inclination);
    const double bstar = elements.bstar_per_earth_radius;
    const double no_kozai = elements.mean_motion_rev_per_day * two_pi / 1440.0;
    if (!(ecco >= 0.0 && ecco < 1.0)) return OrbitError::eccentricity;
    if (!(no_kozai > 0.0)) return OrbitError::mean_motion;

    // Un-Kozai the mean motion.
    const double eccsq = ecco * ecco, omeosq = 1.0 - eccsq, rteosq = std::sqrt(omeosq);
    const double cosio = std::cos(inclo), sinio = std::sin(inclo), cosio2 = cosio * cosio;
    const double ak = std::pow(xke / no_kozai, x2o3);
    const double d1 = 0.75 * j2 * (3.0 * cosio2 - 1.0) / (rteosq * omeosq);
    const double del0 = d1 / (ak * ak);
    const double adel = ak * (1.0 - del0 * del0 - del0 * (1.0 / 3.0 + 134.0 * del0 * del0 / 81.0));
    const double no = no_kozai / (1.0 + d1 / (adel * adel));
    if (!(no > 0.0)) return OrbitError::mean_motion;
    // The report's limit between the near-Earth and the deep-space model.
    if (two_pi / no >= 225.0) return OrbitError::deep_space;
    const double ao = std::pow(xke / no, x2o3), po = ao * omeosq, posq = po * po;
    const double con42 = 1.0 - 5.0 * cosio2, con41 = -con42 - cosio2 - cosio2;
    const double rp = ao * (1.0 - ecco);

    // Atmosphere: s and q0 of the power-law density, by height of perigee.
    double sfour = 78.0 / earth_radius_km + 1.0;
    double qzms24 = std::pow((120.0 - 78.0) / earth_radius_km, 4);
    const double perigee_km = (rp - 1.0) * earth_radius_km;
    if (perigee_km < 156.0) {
        const double s_km = perigee_km < 98.0 ? 20.0 : perigee_km - 78.0;
        qzms24 = std::pow((120.0 - s_km) / earth_radius_km, 4);
        sfour = s_km / earth_radius_km + 1.0;
    }

    Sgp4Constants k{};
    k.simple = rp < 220.0 / earth_radius_km + 1.0;
    const double pinvsq = 1.0 / posq, tsi = 1.0 / (ao - sfour);
    const double eta = ao * ecco * tsi, etasq = eta * eta, eeta = ecco * eta, psisq = std::abs(1.0 - etasq);
    const double coef = qzms24 * std::pow(tsi, 4), coef1 = coef / std::pow(psisq, 3.5);
    const double x1mth2 = 1.0 - cosio2;
    const double cc2 = coef1 * no *
                       (ao * (1.0 + 1.5 * etasq + eeta * (4.0 + etasq)) +
                        0.375 * j2 * tsi / psisq * con41 * (8.0 + 3.0 * etasq * (8.0 + etasq)));
    const double cc1 = bstar * cc2;
    constexpr double j3oj2 = j3 / j2;
    const double cc3 = ecco > 1.0e-4 ? -2.0 * coef * tsi * j3oj2 * no * sinio / ecco : 0.0;
    k.argpo = radians(elements.perigee);
    k.mo = radians(elements.anomaly);
    k.nodeo = radians(elements.node);
    const double cc4 = 2.0 * no * coef1 * ao * omeosq *
                       (eta * (2.0 + 0.5 * etasq) + ecco * (0.5 + 2.0 * etasq) -
                        j2 * tsi / (ao * psisq) *
                            (-3.0 * con41 * (1.0 - 2.0 * eeta + etasq * (1.5 - 0.5 * eeta)) +
                             0.75 * x1mth2 * (2.0 * etasq - eeta * (1.0 + etasq)) * std::cos(2.0 * k.argpo)));
    const double cc5 = 2.0 * coef1 * ao * omeosq * (1.0 + 2.75 * (etasq + eeta) + eeta * etasq);
    const double cosio4 = cosio2 * cosio2;
    const double temp1 = 1.5 * j2 * pinvsq * no, temp2 = 0.5 * temp1 * j2 * pinvsq;
    const double temp3 = -0.46875 * j4 * pinvsq * pinvsq * no;
    k.mdot = no + 0.5 * temp1 * rteosq * con41 + 0.0625 * temp2 * rteosq * (13.0 - 78.0 * cosio2 + 137.0 * cosio4);
    k.argpdot = -0.5 * temp1 * con42 + 0.0625 * temp2 * (7.0 - 114.0 * cosio2 + 395.0 * cosio4) +
                temp3 * (3.0 - 36.0 * cosio2 + 49.0 * cosio4);
    const double xhdot1 = -temp1 * cosio;
    k.nodedot = xhdot1 + (0.5 * temp2 * (4.0 - 19.0 * cosio2) + 2.0 * temp3 * (3.0 - 7.0 * cosio2)) * cosio;
    k.nodecf = 3.5 * omeosq * xhdot1 * cc1;
    k.t2cof = 1.5 * cc1;
    // The guard keeps an inclination of 180 degrees from dividing by zero (report, same constant).
    const double one_plus_cos = std::abs(cosio + 1.0) > 1.5e-12 ? 1.0 + cosio : 1.5e-12;
    k.xlcof = -0.25 * j3oj2 * sinio * (3.0 + 5.0 * cosio) / one_plus_cos;
    k.aycof = -0.5 * j3oj2 * sinio;
    k.sinmao = std::sin(k.mo);
    k.delmo = std::pow(1.0 + eta * std::cos(k.mo), 3);
    k.x7thm1 = 7.0 * cosio2 - 1.0;
    k.x1mth2 = x1mth2;
    k.con41 = con41;
    k.cc1 = cc1;
    k.bcc4 = bstar * cc4;
    k.eta = eta;
    k.no = no;
    k.ao = ao;
    k.ecco = ecco;
    k.sinio = sinio;
    k.cosio = cosio;
    if (!k.simple) {
        k.bcc5 = bstar * cc5;
        k.omgcof = bstar * cc3 * std::cos(k.argpo);
        k.xmcof = ecco > 1.0e-4 ? -x2o3 * coef * bstar / eeta : 0.0;
        const double cc1sq = cc1 * cc1;
        k.d2 = 4.0 * ao * tsi * cc1sq;
        const double temp = k.d2 * tsi * cc1 / 3.0;
        k.d3 = (17.0 * ao + sfour) * temp;
        k.d4 = 0.5 * temp * ao * tsi * (221.0 * ao + 31.0 * sfour) * cc1;
        k.t3cof = k.d2 + 2.0 * cc1sq;
        k.t4cof = 0.25 * (3.0 * k.d3 + cc1 * (12.0 * k.d2 + 10.0 * cc1sq));
        k.t5cof = 0.2 * (3.0 * k.d4 + 12.0 * cc1 * k.d3 + 6.0 * k.d2 * k.d2 + 15.0 * cc1sq * (2.0 * k.d2 + cc1sq));
    }
    const double all[] = {k.mdot,  k.argpdot, k.nodedot, k.nodecf, k.bcc4, k.bcc5, k.omgcof,
                          k.xmcof, k.delmo,   k.t2cof,   k.t5cof,  k.d4,   k.ao};
    for (double value : all)
        if (!std::isfinite(value)) return OrbitError::not_a_number;

    const Sgp4 ready(k);
    const auto at_epoch = ready.at(0.0);
    if (const OrbitError* error = std::get_if<OrbitError>(&at_epoch)) return *error;
    return ready;
}

double Sgp4::period_min() const { return detail::two_pi / k_.no; }
double Sgp4::perigee_km() const { return (k_.ao * (1.0 - k_.ecco) - 1.0) * detail::earth_radius_km; }
double Sgp4::apogee_km() const { return (k_.ao * (1.0 + k_.ecco) - 1.0) * detail::earth_radius_km; }

}  // namespace handrail::sky
