#pragma once

#include <bit>
#include <cmath>
#include <cstdint>

/// Numbers several at once. Code written once for a "Lane type" runs with double (one state) or with a vector of
/// doubles (GCC's vector extension: 2, 4 or 8 states), and does the same operations in the same order on each lane, so
/// all of them give the same digits. No fused multiply-add (the file's flags forbid contraction), no library call.
namespace handrail::sky::detail {

template <class V>
struct Lanes;
template <>
struct Lanes<double> {
    using Bits = std::int64_t;
    static constexpr int count = 1;
};
template <int N>
struct VectorOf {
    typedef double Type __attribute__((vector_size(N * 8)));
    typedef std::int64_t BitsType __attribute__((vector_size(N * 8)));
};
template <int N>
struct VectorLanes {
    using Bits = typename VectorOf<N>::BitsType;
    static constexpr int count = N;
};
using Double2 = VectorOf<2>::Type;
using Double4 = VectorOf<4>::Type;
using Double8 = VectorOf<8>::Type;
template <>
struct Lanes<Double2> : VectorLanes<2> {};
template <>
struct Lanes<Double4> : VectorLanes<4> {};
template <>
struct Lanes<Double8> : VectorLanes<8> {};

#define HANDRAIL_INLINE inline __attribute__((always_inline))

HANDRAIL_INLINE std::int64_t bits_of(double v) { return std::bit_cast<std::int64_t>(v); }
HANDRAIL_INLINE double value_of(std::int64_t v) { return std::bit_cast<double>(v); }
template <class V>
HANDRAIL_INLINE typename Lanes<V>::Bits bits_of(V v) {
    return reinterpret_cast<typename Lanes<V>::Bits>(v);
}
template <int N>
HANDRAIL_INLINE typename VectorOf<N>::Type value_of_bits(typename VectorOf<N>::BitsType v) {
    return reinterpret_cast<typename VectorOf<N>::Type>(v);
}

/// A comparison's result in a form that selects: -1 or 0 in each lane.
HANDRAIL_INLINE std::int64_t mask(bool truth) { return -static_cast<std::int64_t>(truth); }
template <class M>
HANDRAIL_INLINE M mask(M truth) {
    return truth;
}

template <class V>
HANDRAIL_INLINE V from_bits(typename Lanes<V>::Bits b) {
    if constexpr (Lanes<V>::count == 1)
        return value_of(b);
    else
        return value_of_bits<Lanes<V>::count>(b);
}

/// a where the mask is set, b elsewhere.
template <class V>
HANDRAIL_INLINE V select(typename Lanes<V>::Bits m, V a, V b) {
    return from_bits<V>((bits_of(a) & m) | (bits_of(b) & ~m));
}
template <class V>
HANDRAIL_INLINE bool any(typename Lanes<V>::Bits m) {
    if constexpr (Lanes<V>::count == 1) {
        return m != 0;
    } else {
        std::int64_t all = 0;
        for (int i = 0; i < Lanes<V>::count; ++i) all |= m[i];
        return all != 0;
    }
}
template <class V>
HANDRAIL_INLINE V absolute(V v) {
    return from_bits<V>(bits_of(v) & INT64_C(0x7fffffffffffffff));
}
template <class V>
HANDRAIL_INLINE V square_root(V v) {
    if constexpr (Lanes<V>::count == 1) {
        return __builtin_sqrt(v);
    } else {
        V root;
        for (int i = 0; i < Lanes<V>::count; ++i) root[i] = __builtin_sqrt(v[i]);
        return root;
    }
}

template <class V>
struct SinCos {
    V sin, cos;
};

/// Largest |x| that sin_cos() takes: the quotient below must stay under 2^20 for its products to be exact.
inline constexpr double largest_angle = 1.0e6;

/// Sine and cosine, absolute error below 2e-16, for |x| <= largest_angle. Argument reduction to [-pi/4, pi/4] by pi/2
/// in three parts, then the minimax polynomials of fdlibm (k_sin.c and k_cos.c, Sun Microsystems, 1993).
template <class V>
HANDRAIL_INLINE SinCos<V> sin_cos(V x) {
    constexpr double two_over_pi = 6.36619772367581382433e-01;
    constexpr double half_pi_1 = 1.57079632673412561417e+00;  // first 33 bits of pi/2
    constexpr double half_pi_2 = 6.07710050630396597660e-11;  // the next 33
    constexpr double half_pi_3 = 2.02226624871116645580e-21;  // and the next
    constexpr double to_integer = 6755399441055744.0;         // 1.5 * 2^52: adding it leaves the nearest integer
    const V shifted = x * two_over_pi + to_integer;
    const auto quadrant = bits_of(shifted);
    const V n = shifted - to_integer;
    const V r = ((x - n * half_pi_1) - n * half_pi_2) - n * half_pi_3;
    const V z = r * r;
    V s = z * 1.58969099521155010221e-10 + -2.50507602534068634195e-08;
    s = s * z + 2.75573137070700676789e-06;
    s = s * z + -1.98412698298579493134e-04;
    s = s * z + 8.33333333332248946124e-03;
    s = s * z + -1.66666666666666324348e-01;
    s = r + r * z * s;
    V c = z * -1.13596475577881948265e-11 + 2.08757232129817482790e-09;
    c = c * z + -2.75573143513906633035e-07;
    c = c * z + 2.48015872894767294178e-05;
    c = c * z + -1.38888888888741095749e-03;
    c = c * z + 4.16666666666666019037e-02;
    c = 1.0 - (0.5 * z - z * z * c);
    const auto odd = -(quadrant & 1);
    const auto sin_sign = (quadrant & 2) << 62, cos_sign = ((quadrant + 1) & 2) << 62;
    const V sine = select<V>(odd, c, s), cosine = select<V>(odd, s, c);
    return {from_bits<V>(bits_of(sine) ^ sin_sign), from_bits<V>(bits_of(cosine) ^ cos_sign)};
}

/// Largest small angle of sin_cos_small(): the first term left out, x^11/11!, is then 2.5e-19.
inline constexpr double largest_small_angle = 0.1;
template <class V>
HANDRAIL_INLINE SinCos<V> sin_cos_small(V x) {
    const V z = x * x;
    V s = z * (1.0 / 362880.0) + -1.0 / 5040.0;
    s = s * z + 1.0 / 120.0;
    s = s * z + -1.0 / 6.0;
    V c = z * (-1.0 / 3628800.0) + 1.0 / 40320.0;
    c = c * z + -1.0 / 720.0;
    c = c * z + 1.0 / 24.0;
    c = c * z + -0.5;
    return {x + x * z * s, 1.0 + z * c};
}

/// Sine and cosine of (a + small), from those of a and of small.
template <class V>
HANDRAIL_INLINE SinCos<V> turned(SinCos<V> a, SinCos<V> small) {
    return {a.sin * small.cos + a.cos * small.sin, a.cos * small.cos - a.sin * small.sin};
}
/// Sine and cosine of any angle up to largest_angle that is usually small: the short series where it is, and a lane
/// gets the same digits whatever its neighbours need.
template <class V>
HANDRAIL_INLINE SinCos<V> sin_cos_mostly_small(V x) {
    const SinCos<V> small = sin_cos_small(x);
    const auto large = mask(absolute(x) > largest_small_angle);
    if (!any<V>(large)) return small;
    const SinCos<V> full = sin_cos(x);
    return {select<V>(large, full.sin, small.sin), select<V>(large, full.cos, small.cos)};
}
/// Sine and cosine of (angle + step), `at` being those of angle.
template <class V>
HANDRAIL_INLINE SinCos<V> sin_cos_of_sum(SinCos<V> at, V angle, V step) {
    const SinCos<V> small = turned(at, sin_cos_small(step));
    const auto large = mask(absolute(step) > largest_small_angle);
    if (!any<V>(large)) return small;
    const SinCos<V> full = sin_cos(angle + step);
    return {select<V>(large, full.sin, small.sin), select<V>(large, full.cos, small.cos)};
}

}  // namespace handrail::sky::detail
