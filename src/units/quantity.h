#pragma once

#include <compare>

namespace handrail {

/// A number with its unit in the type. Quantities of different units never mix, and a bare double never becomes one
/// by itself. `value()` is in the unit the alias names.
template <class Unit>
class Quantity {
public:
    constexpr Quantity() = default;
    constexpr explicit Quantity(double value) : value_(value) {}
    constexpr double value() const { return value_; }
    constexpr auto operator<=>(const Quantity&) const = default;

    constexpr Quantity operator-() const { return Quantity{-value_}; }
    constexpr Quantity& operator+=(Quantity other) {
        value_ += other.value_;
        return *this;
    }
    constexpr Quantity& operator-=(Quantity other) {
        value_ -= other.value_;
        return *this;
    }
    friend constexpr Quantity operator+(Quantity a, Quantity b) { return Quantity{a.value_ + b.value_}; }
    friend constexpr Quantity operator-(Quantity a, Quantity b) { return Quantity{a.value_ - b.value_}; }
    friend constexpr Quantity operator*(Quantity a, double k) { return Quantity{a.value_ * k}; }
    friend constexpr Quantity operator*(double k, Quantity a) { return Quantity{a.value_ * k}; }
    friend constexpr Quantity operator/(Quantity a, double k) { return Quantity{a.value_ / k}; }
    friend constexpr double operator/(Quantity a, Quantity b) { return a.value_ / b.value_; }

private:
    double value_ = 0.0;
};

using Metres = Quantity<struct MetreUnit>;
using MetresPerSecond = Quantity<struct MetrePerSecondUnit>;
using KiloPascal = Quantity<struct KiloPascalUnit>;
using Kilograms = Quantity<struct KilogramUnit>;
using KilogramsPerHour = Quantity<struct KilogramPerHourUnit>;
using Watts = Quantity<struct WattUnit>;
using WattHours = Quantity<struct WattHourUnit>;
using Degrees = Quantity<struct DegreeUnit>;
using Litres = Quantity<struct LitreUnit>;
using LitresPerMinute = Quantity<struct LitrePerMinuteUnit>;
using Celsius = Quantity<struct CelsiusUnit>;
/// A share of one: "26.5 %" is 0.265.
using Fraction = Quantity<struct FractionUnit>;

}  // namespace handrail
