#include "schedule/genetic.h"

#include <algorithm>
#include <cmath>

namespace handrail::schedule::detail {
namespace {

// Measured on J60 and J120; see docs/performance.md. A small population is soon all alike and stays there; a large one
// takes longer and ends lower: with 120 activities 2900 orders need some 500,000 schedules.
std::size_t population_size(int activities) { return std::clamp(activities * activities / 5, 120, 3000); }
constexpr int most_moves = 3, farthest_move = 10;
// Measured on two J120 instances: of the children kept, 1 to 18 % (the most in a young population) were longer than
// this before the shifts and 4 to 10 % between them; of the others a quarter and four fifths.
constexpr Time hopeless_part = 25, hopeless_part_between = 100;
constexpr std::uint64_t idle_steps_a_member = 50;
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
    : decoder_(flat), random_(seed), tail_(tails(flat)), population_(population_size(flat.count)), best_(flat.count) {
    const auto shape = [&flat](Member& member) {
        member.order.resize(flat.count);
        member.start.resize(flat.count);
    };
    for (Member& member : population_) shape(member);
    shape(child_);
    worst_first_.reserve(population_.size());
    prints_.resize(8 * population_.size());
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

/// A few activities go some places to the left or right, as far as their relations let them.
void Genetic::disturb() {
    const Flat& flat = decoder_.flat();
    const auto precedes = [&flat](int i, int j) {
        for (int a = flat.next_at[i]; a < flat.next_at[i + 1]; ++a)
            if (flat.next_to[a] == j) return true;
        return false;
    };
    for (int moves = 1 + random_.below(most_moves); moves > 0; --moves) {
        int at = random_.below(flat.count);
        const int step = random_.below(2) == 0 ? -1 : 1;
        for (int places = 1 + random_.below(farthest_move); places > 0; --places, at += step) {
            const int left = std::min(at, at + step);
            if (left < 0 || left + 1 == flat.count || precedes(child_.order[left], child_.order[left + 1])) break;
            std::swap(child_.order[left], child_.order[left + 1]);
        }
    }
}

/// False, and nothing is made of the child, where it shows early that it will hardly be as short as wanted.
bool Genetic::decode(Member& child, Time wanted) {
    if (decoder_.forward(child.order, child.start) > wanted + wanted / hopeless_part) return false;
    const Time between = decoder_.shift_right(child.start);
    if (between > wanted + std::max(1, wanted / hopeless_part_between)) return false;
    child.makespan = decoder_.shift_left(child.start);
    decoder_.by_start(child.start, child.order);
    std::uint64_t print = 0;
    for (const Time t : child.start)
        print = (print ^ static_cast<std::uint64_t>(t)) * 0x9e3779b97f4a7c15u + (print >> 29);
    child.print = print;
    child.lot = static_cast<std::uint32_t>(random_.next() >> 32);
    note(child);
    return true;
}

void Genetic::note(const Member& member) {
    if (member.makespan >= best_makespan_) return;
    best_makespan_ = member.makespan;
    std::ranges::copy(member.start, best_.begin());
    idle_ = 0;
}

bool Genetic::worse(int one, int other) const {
    const Member &a = population_[one], &b = population_[other];
    return a.makespan != b.makespan ? a.makespan > b.makespan : a.lot > b.lot;
}

/// A full population: its heap and prints.
void Genetic::rank() {
    worst_first_.clear();
    std::ranges::fill(prints_, 0);
    for (std::size_t m = 0; m < population_.size(); ++m) {
        worst_first_.push_back(static_cast<int>(m));
        twin(population_[m]) = population_[m].print;
    }
    std::ranges::make_heap(worst_first_, [this](int a, int b) { return worse(b, a); });
}

/// The child takes the place of the worst, of a random one where several are, unless it has a twin or is worse itself.
/// One that is equally bad comes in: a population that is all alike in makespan still wanders.
bool Genetic::keep(Member& child) {
    Member& worst = population_[worst_first_.front()];
    if (twin(child) == child.print || child.makespan > worst.makespan) return false;
    const auto less = [this](int a, int b) { return worse(b, a); };
    std::ranges::pop_heap(worst_first_, less);
    if (twin(worst) == worst.print) twin(worst) = 0;
    twin(child) = child.print;
    std::swap(worst, child);
    std::ranges::push_heap(worst_first_, less);
    return true;
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

void Genetic::learn(std::span<const Time> start) {
    decoder_.by_start(start, child_.order);
    decode(child_, unlimited);
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
            decode(population_[filled_++], unlimited);
            if (filled_ == population_.size()) rank();
            continue;
        }
        const int mother = tournament();
        int father = tournament();
        if (father == mother) father = (father + 1) % static_cast<int>(population_.size());
        cross(population_[mother], population_[father]);
        disturb();
        if (decode(child_, population_[worst_first_.front()].makespan)) keep(child_);
        if (++idle_ > idle_steps_a_member * population_.size()) renew();
    }
}

}  // namespace handrail::schedule::detail
