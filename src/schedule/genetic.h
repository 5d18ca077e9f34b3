#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "schedule/decoder.h"
#include "units/random.h"

namespace handrail::schedule::detail {

/// A population of orders that crosses, disturbs and justifies them: two-point crossover on activity lists (Hartmann
/// 1998) with the kept part chosen where the resources are busiest (after Valls, Ballestin and Quintanilla 2008),
/// single activities moved along the list (Boctor 1996), every child that is not hopeless shifted right and left again.
/// Large projects have large populations. What is as good as the worst is let in, so that a population all of one
/// makespan wanders on; it starts anew when it has long found nothing. Deterministic for its seed and the number of
/// steps; no allocation in a step.
class Genetic {
public:
    Genetic(const Flat& flat, std::uint64_t seed);

    /// Makes about `schedules` schedules more; ends early at `goal` or when `stop` says so (asked now and then).
    void run(std::uint64_t schedules, Time goal, const std::function<bool()>& stop);
    /// A schedule found elsewhere joins the population.
    void learn(std::span<const Time> start);

    Time best_makespan() const { return best_makespan_; }
    std::span<const Time> best() const { return best_; }
    std::uint64_t schedules() const { return decoder_.schedules(); }

private:
    struct Member {
        Time makespan = 0;
        std::uint32_t lot = 0;    ///< drawn: who goes first among the equally bad
        std::uint64_t print = 0;  ///< of its starts, so that twins are told apart from relations
        std::vector<int> order;
        std::vector<Time> start;
    };

    void sample(std::span<int> order);
    void cross(const Member& mother, const Member& father);
    void disturb();
    bool decode(Member& child, Time wanted);
    bool worse(int one, int other) const;
    std::uint64_t& twin(const Member& member) { return prints_[member.print % prints_.size()]; }
    void rank();
    bool keep(Member& child);
    void note(const Member& member);
    void renew();
    int tournament();
    void busiest(const Member& father, int& from, int& to);

    Decoder decoder_;
    Random random_;
    std::vector<Time> tail_;
    std::vector<Member> population_;
    std::vector<int> worst_first_;       ///< a heap of members
    std::vector<std::uint64_t> prints_;  ///< of members, each in its place; two of the same place: the later one
    Member child_;
    std::vector<Time> best_;
    std::vector<std::vector<int>> elite_;  ///< the best order of each past population
    std::size_t elites_ = 0, seeded_ = 0;
    Time best_makespan_ = unlimited;
    std::vector<int> waiting_, eligible_;
    std::vector<double> weight_;
    std::vector<char> taken_;
    std::vector<long> load_;
    std::vector<int> work_;
    std::size_t filled_ = 0;
    std::uint64_t idle_ = 0;
    int renewals_ = 0;
};

}  // namespace handrail::schedule::detail
