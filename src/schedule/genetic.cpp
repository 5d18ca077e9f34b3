#include "schedule/genetic.h"

#include <algorithm>
#include <cmath>

namespace handrail::schedule::detail {
namespace {

// Measured on every 24th J60 and J120 instance; see docs/performance.md.
constexpr std::size_t population_size = 120;
constexpr double swap_share = 0.05;
constexpr std::uint64_t idle_before_renewal = 6000;
constexpr std::size_t elite_size = 24;
constexpr int renewals_between_heirs = 4;

int total(const Flat& flat, int activity) {
    int sum = 0;
    for (int w = 0; w < flat.words; ++w)
        for (int lane = 0; lane < Flat::lanes; ++lane)
            sum += static_cast<int>(flat.demand[activity * flat.words + w] >> (lane * Flat::lane_bits) & 0xffff);
    return sum;
}

}  // namespace

Genetic::Genetic(const Flat& flat, std::uint64_t seed)
    : decoder_(flat), random_(seed), tail_(tails(flat)), population_(population_size), best_(flat.count) {
    const auto shape = [&flat](Member& member) {
        member.order.resize(flat.count);
        member.start.resize(flat.count);
    };
    for (Member& member : population_) shape(member);
    shape(child_);
    elite_.assign(elite_size, std::vector<int>(flat.count));
    waiting_.resize(flat.count);
    eligible_.reserve(flat.count);
    weight_.resize(flat.count);
    taken_.resize(flat.count);
    load_.resize(flat.count + 1);
    for (int i = 0; i < flat.count; ++i) work_.push_back(total(flat, i) * flat.duration[i]);
}

/// A random order that favours long tails: regret-based biased sampling (Drexl 1991) on the latest start.
void Genetic::sample(std::span<int> order) {
    const Flat& flat = decoder_.flat();
    std::ranges::fill(waiting_, 0);
    for (const int to : flat.next_to) ++waiting_[to];
    eligible_.clear();
    for (int i = 0; i < flat.count; ++i)
        if (waiting_[i] == 0) eligible_.push_back(i);
    for (int k = 0; k < flat.count; ++k) {
        Time shortest = unlimited;
        for (const int i : eligible_) shortest = std::min(shortest, tail_[i]);
        double sum = 0;
        for (std::size_t e = 0; e < eligible_.size(); ++e) {
            const double regret = tail_[eligible_[e]] - shortest + 1;
            sum += weight_[e] = regret * regret;
        }
        double pick = random_.unit() * sum;
        std::size_t chosen = 0;
        while (chosen + 1 < eligible_.size() && (pick -= weight_[chosen]) >= 0) ++chosen;
        const int i = eligible_[chosen];
        eligible_[chosen] = eligible_.back();
        eligible_.pop_back();
        order[k] = i;
        for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a)
            if (--waiting_[flat.next_to[a]] == 0) eligible_.push_back(flat.next_to[a]);
    }
}

/// Of a few random stretches of the father's order the one with the most work for its time.
void Genetic::busiest(const Member& father, int& from, int& to) {
    const int count = decoder_.flat().count;
    load_[0] = 0;
    for (int k = 0; k < count; ++k) load_[k + 1] = load_[k] + work_[father.order[k]];
    double best = -1;
    for (int attempt = 0; attempt < 3; ++attempt) {
        const int length = std::max(1, count / 4 + random_.below(std::max(1, count / 2)));
        const int begin = random_.below(count - length + 1);
        const Time span = father.start[father.order[begin + length - 1]] - father.start[father.order[begin]] + 1;
        const double density = static_cast<double>(load_[begin + length] - load_[begin]) / span;
        if (density > best) {
            best = density;
            from = begin;
            to = begin + length;
        }
    }
}

void Genetic::cross(const Member& mother, const Member& father) {
    const int count = decoder_.flat().count;
    int from = 0, to = 0;
    busiest(father, from, to);
    std::ranges::fill(taken_, 0);
    int k = 0;
    if (random_.below(2) == 0) {
        // What the father has before and after his stretch stays before and after it, in the mother's order.
        for (int p = from; p < to; ++p) taken_[father.order[p]] = 1;
        for (int p = to; p < count; ++p) taken_[father.order[p]] = 2;
        for (const int i : mother.order)
            if (taken_[i] == 0) child_.order[k++] = i;
        for (int p = from; p < to; ++p) child_.order[k++] = father.order[p];
        for (const int i : mother.order)
            if (taken_[i] == 2) child_.order[k++] = i;
        return;
    }
    for (int p = 0; p < from; ++p) taken_[child_.order[k++] = mother.order[p]] = 1;
    for (const int i : father.order) {
        if (k == to) break;
        if (taken_[i] == 0) taken_[child_.order[k++] = i] = 1;
    }
    for (const int i : mother.order)
        if (taken_[i] == 0) child_.order[k++] = i;
}

void Genetic::disturb() {
    const Flat& flat = decoder_.flat();
    for (int k = 0; k + 1 < flat.count; ++k) {
        if (random_.unit() >= swap_share) continue;
        const int i = child_.order[k], j = child_.order[k + 1];
        bool tied = false;
        for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a) tied |= flat.next_to[a] == j;
        if (!tied) std::swap(child_.order[k], child_.order[k + 1]);
    }
}

void Genetic::decode(Member& child) {
    child.makespan = decoder_.forward(child.order, child.start);
    child.makespan = decoder_.improve(child.start);
    decoder_.by_start(child.start, child.order);
    std::uint64_t print = 0;
    for (const Time t : child.start)
        print = (print ^ static_cast<std::uint64_t>(t)) * 0x9e3779b97f4a7c15u + (print >> 29);
    child.print = print;
    note(child);
}

void Genetic::note(const Member& member) {
    if (member.makespan >= best_makespan_) return;
    best_makespan_ = member.makespan;
    std::ranges::copy(member.start, best_.begin());
    idle_ = 0;
}

/// The child takes the place of the worst of a few, unless it is a twin or worse than all of them.
bool Genetic::keep(Member& child) {
    std::size_t worst = 0;
    for (std::size_t m = 0; m < population_.size(); ++m) {
        if (population_[m].print == child.print) return false;
        if (population_[m].makespan > population_[worst].makespan) worst = m;
    }
    if (child.makespan > population_[worst].makespan) return false;
    // Among the equally bad a random one goes, so that the population does not age from one end.
    const std::size_t from = static_cast<std::size_t>(random_.below(static_cast<int>(population_.size())));
    for (std::size_t m = 0; m < population_.size(); ++m) {
        const std::size_t at = (from + m) % population_.size();
        if (population_[at].makespan != population_[worst].makespan) continue;
        std::swap(population_[at], child);
        return true;
    }
    return false;
}

int Genetic::tournament() {
    const int a = random_.below(static_cast<int>(population_.size()));
    const int b = random_.below(static_cast<int>(population_.size()));
    return population_[a].makespan <= population_[b].makespan ? a : b;
}

/// A new population; every so many times it is founded by the best of those before.
void Genetic::renew() {
    const Member& best = *std::ranges::min_element(population_, {}, &Member::makespan);
    std::ranges::copy(best.order, elite_[elites_ % elite_.size()].begin());
    ++elites_;
    ++renewals_;
    seeded_ = renewals_ % renewals_between_heirs == 0 ? std::min(elites_, elite_.size()) : 0;
    filled_ = 0;
    idle_ = 0;
}

std::span<const Time> Genetic::any_best() {
    const std::size_t from = static_cast<std::size_t>(random_.below(static_cast<int>(population_.size())));
    for (std::size_t k = 0; k < filled_; ++k) {
        const Member& member = population_[(from + k) % filled_];
        if (member.makespan == best_makespan_) return member.start;
    }
    return best_;
}

void Genetic::learn(std::span<const Time> start) {
    decoder_.by_start(start, child_.order);
    decode(child_);
    if (filled_ == population_.size()) keep(child_);
}

void Genetic::run(std::uint64_t schedules, Time goal, const std::function<bool()>& stop) {
    const std::uint64_t until = decoder_.schedules() + schedules;
    while (decoder_.schedules() < until && best_makespan_ > goal) {
        if (decoder_.schedules() % 64 < 3 && stop()) return;
        if (filled_ < population_.size()) {
            if (filled_ < seeded_) {
                std::ranges::copy(elite_[filled_], population_[filled_].order.begin());
            } else {
                sample(population_[filled_].order);
            }
            decode(population_[filled_++]);
            continue;
        }
        const int mother = tournament();
        int father = tournament();
        if (father == mother) father = (father + 1) % static_cast<int>(population_.size());
        cross(population_[mother], population_[father]);
        disturb();
        decode(child_);
        keep(child_);
        if (++idle_ > idle_before_renewal) renew();
    }
}

}  // namespace handrail::schedule::detail
