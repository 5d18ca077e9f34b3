#pragma once

#include <cstdint>
#include <limits>
#include <vector>

#include "plan/search.h"

/// Plans that grew up apart and have children: which chains run next, and what becomes of what they find. Annealing
/// finds very different plans of nearly the same value, and one chain is soon stuck with its own.
namespace handrail::plan::detail {

class Population {
public:
    explicit Population(std::uint64_t seed);

    /// One chain to be run: from the first plan, from a member, or from the child of two.
    struct Birth {
        enum class Kind : std::uint8_t { founder, grown, child };
        Kind kind = Kind::founder;
        int mother = -1, father = -1;  ///< into members(); -1: none
        std::uint64_t length = 0;      ///< iterations
        std::uint64_t seed = 0;
        bool walks = false;  ///< tries no other choices first
    };
    /// Up to so many at once, of no more than `iterations` in all.
    std::vector<Birth> next(std::size_t count, std::uint64_t iterations);
    /// What they have found, in the order of next(). A member that has grown takes its own place, a child that of the
    /// worse of its parents, a late founder that of the last, if it is better and no twin of another member.
    void take(const std::vector<Birth>& births, std::vector<Found> found);
    const std::vector<Found>& members() const { return members_; }

private:
    /// How often a kind of birth has done better than what it came from, of late.
    struct Success {
        double won = 1, tried = 2;
        void count(bool better);
        double share() const { return won / tried; }
    };
    Birth some_birth(bool founder);
    bool child_next();
    int best_member() const;
    int last_member() const;
    void note_gain(const Birth& birth, const Found& found);
    /// Nothing of more value has been found for long: most births walk, for a better order, some from the first plan.
    bool futile() const;

    std::size_t wanted_;
    std::vector<Found> members_;
    Success grown_, child_;
    Random random_;
    std::uint64_t seed_, births_ = 0;
    std::uint64_t spent_ = 0, gained_at_ = 0;  ///< iterations; by the start of the birth that last brought more value
    double least_loss_ = std::numeric_limits<double>::infinity();
    std::size_t in_vain_ = 0;  ///< births since the last that was kept
};

}  // namespace handrail::plan::detail
