#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "schedule/fact.h"

namespace handrail::schedule::detail {

/// Facts that recent conflicts named, hottest first (the VSIDS rule of Moskewicz et al. 2001, on bounds instead of
/// propositions). A fact and its negation are one entry.
class HotFacts {
public:
    /// Makes the fact hotter; with `Learn::yes` it is taken up if unknown.
    enum class Learn { no, yes };
    void heat(Fact fact, Learn learn);
    void cool() { step_ *= 1 / 0.95; }
    /// Takes the hottest fact out of the heap.
    std::optional<Fact> pop();
    /// Puts aside a popped fact until the search leaves `level`; facts put aside at level 0 never come back.
    void set_aside(Fact fact, int level);
    /// The search is back at `level`.
    void back_to(int level);

private:
    static Fact plain(Fact fact) { return fact.side % 2 == 0 ? fact : negated(fact); }
    int find(Fact fact) const;
    int add(Fact fact);
    void grow();
    void rise(int slot);
    void sink(int slot);
    void insert(int number);

    struct Known {
        Fact fact;
        double heat;
        int slot;  ///< in the heap; -1: not there
    };
    struct Aside {
        int number, level;
    };
    std::vector<Known> known_;
    std::vector<int> heap_, table_;
    std::vector<Aside> aside_;
    double step_ = 1;
};

}  // namespace handrail::schedule::detail
