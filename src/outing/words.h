#pragma once

#include <array>
#include <cstddef>
#include <string_view>
#include <vector>

#include "outing/model.h"

/// The words of the outing file that model.h does not need itself, and every enumeration's list of words.
namespace handrail {

constexpr std::string_view word(Solid::Shape shape) { return shape == Solid::Shape::box ? "box" : "cylinder"; }
constexpr std::string_view word(Attitude::Hold hold) { return hold == Attitude::Hold::lvlh ? "LVLH" : "inertial"; }
constexpr std::string_view word(SuitType::Kind kind) {
    switch (kind) {
        case SuitType::Kind::closed_loop:
            return "closed loop";
        case SuitType::Kind::open_loop:
            return "open loop";
        case SuitType::Kind::umbilical:
            return "umbilical";
    }
    return {};
}

constexpr std::string_view word(Spread spread) {
    switch (spread) {
        case Spread::log_normal:
            return "log-normal";
        case Spread::pert:
            return "PERT";
        case Spread::none:
            return "none";
    }
    return {};
}
constexpr std::string_view word(Trouble::Kind kind) {
    switch (kind) {
        case Trouble::Kind::delay:
            return "delay";
        case Trouble::Kind::lost:
            return "lost";
        case Trouble::Kind::late_start:
            return "late start";
        case Trouble::Kind::hold:
            return "hold";
    }
    return {};
}

namespace detail {

/// How many values an enumeration has; they count up from 0.
template <class Enum>
inline constexpr std::size_t word_count = 0;
template <>
inline constexpr std::size_t word_count<Crew> = 2;
template <>
inline constexpr std::size_t word_count<Lane> = 5;
template <>
inline constexpr std::size_t word_count<Role> = 5;
template <>
inline constexpr std::size_t word_count<SizeClass> = 4;
template <>
inline constexpr std::size_t word_count<Effort> = effort_count;
template <>
inline constexpr std::size_t word_count<TaskClass> = 3;
template <>
inline constexpr std::size_t word_count<Pace> = 3;
template <>
inline constexpr std::size_t word_count<ArmUse> = 3;
template <>
inline constexpr std::size_t word_count<Solid::Shape> = 2;
template <>
inline constexpr std::size_t word_count<Attitude::Hold> = 2;
template <>
inline constexpr std::size_t word_count<SuitType::Kind> = 3;

template <>
inline constexpr std::size_t word_count<Spread> = 3;
template <>
inline constexpr std::size_t word_count<Trouble::Kind> = 4;

template <class Enum>
std::vector<std::string_view> words_of() {
    static_assert(word_count<Enum> > 0);
    std::vector<std::string_view> words;
    for (std::size_t i = 0; i < word_count<Enum>; ++i) words.push_back(word(static_cast<Enum>(i)));
    return words;
}

}  // namespace detail
}  // namespace handrail
