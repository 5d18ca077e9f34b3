#pragma once

/// The one kind of literal of the learning search: a bound on an integer variable.
namespace handrail::schedule::detail {

/// A variable has two sides: its value, and its value negated; both are bounded from below only. An upper bound is a
/// lower bound of the negated side, so that one piece of code serves both.
using Side = int;
constexpr Side value_of(int variable) { return 2 * variable; }
constexpr Side opposite(Side side) { return side ^ 1; }

/// "This side is at least `at`." Nothing is stored for a fact until somebody needs it.
struct Fact {
    Side side = 0;
    int at = 0;
    bool operator==(const Fact&) const = default;
};
constexpr Fact at_least(int variable, int value) { return {2 * variable, value}; }
constexpr Fact at_most(int variable, int value) { return {2 * variable + 1, -value}; }
constexpr Fact negated(Fact fact) { return {opposite(fact.side), 1 - fact.at}; }
/// A variable from 0 to 1 as a proposition.
constexpr Fact is_true(int variable) { return at_least(variable, 1); }
constexpr Fact is_false(int variable) { return at_most(variable, 0); }

}  // namespace handrail::schedule::detail
