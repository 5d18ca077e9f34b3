#include <algorithm>
#include <cmath>

#include "sky/sgp4_kernel.h"

/// Running the kernel of sgp4_kernel.h with one, two, four or eight lanes. This file alone is compiled with -O3 and
/// without errno of sqrt (see CMakeLists.txt); contraction stays off, so that every width gives the same digits.
namespace handrail::sky {
namespace {

using detail::Lanes;
using detail::LaneStates;
using detail::Sgp4Constants;

/// The fastest angle must stay within what sin_cos() reduces exactly; that is about 40 years of a low orbit.
double longest_min(const Sgp4Constants& k) { return 0.9 * detail::largest_angle / (std::abs(k.mdot) + 1e-3); }

template <class V>
HANDRAIL_INLINE void fill_with(const Sgp4Constants& k, std::span<const double> minutes, States& out) {
    constexpr std::size_t width = Lanes<V>::count;
    const double longest = longest_min(k);
    for (std::size_t at = 0; at < minutes.size(); at += width) {
        const std::size_t here = std::min(width, minutes.size() - at);
        double in[width];
        for (std::size_t i = 0; i < width; ++i) {
            const double t = minutes[at + std::min(i, here - 1)];
            in[i] = std::abs(t) <= longest ? t : std::nan("");  // the kernel calls it not_a_number
        }
        V t;
        __builtin_memcpy(&t, in, sizeof t);
        const LaneStates<V> s = detail::sgp4_step<V>(k, t);
        const V* const from[6] = {&s.x_km, &s.y_km, &s.z_km, &s.vx_km_s, &s.vy_km_s, &s.vz_km_s};
        double* const to[6] = {&out.x_km[at],    &out.y_km[at],    &out.z_km[at],
                               &out.vx_km_s[at], &out.vy_km_s[at], &out.vz_km_s[at]};
        if (here == width) {
            for (int c = 0; c < 6; ++c) __builtin_memcpy(to[c], from[c], sizeof(V));
        } else {
            for (int c = 0; c < 6; ++c) __builtin_memcpy(to[c], from[c], here * sizeof(double));
        }
        std::int64_t error[width];
        __builtin_memcpy(error, &s.error, sizeof error);
        for (std::size_t i = 0; i < here; ++i) out.error[at + i] = static_cast<OrbitError>(error[i]);
    }
}

#if defined(__x86_64__)
__attribute__((target("avx512f,avx512dq"))) void fill_8(const Sgp4Constants& k, std::span<const double> t, States& s) {
    fill_with<detail::Double8>(k, t, s);
}
__attribute__((target("avx2"))) void fill_4(const Sgp4Constants& k, std::span<const double> t, States& s) {
    fill_with<detail::Double4>(k, t, s);
}
#endif
void fill_2(const Sgp4Constants& k, std::span<const double> t, States& s) { fill_with<detail::Double2>(k, t, s); }

}  // namespace

std::variant<State, OrbitError> Sgp4::at(double minutes) const {
    if (!(std::abs(minutes) <= longest_min(k_))) return OrbitError::not_a_number;
    const LaneStates<double> s = detail::sgp4_step<double>(k_, minutes);
    if (s.error != 0) return static_cast<OrbitError>(s.error);
    return State{{s.x_km, s.y_km, s.z_km}, {s.vx_km_s, s.vy_km_s, s.vz_km_s}};
}

void Sgp4::fill(std::span<const double> minutes, States& states) const {
    states.resize(minutes.size());
#if defined(__x86_64__)
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq")) return fill_8(k_, minutes, states);
    if (__builtin_cpu_supports("avx2")) return fill_4(k_, minutes, states);
#endif
    fill_2(k_, minutes, states);
}

}  // namespace handrail::sky
