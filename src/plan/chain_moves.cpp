#include <algorithm>

#include "plan/chain.h"

/// The part of a chain that changes a sequence.
namespace handrail::plan::detail {
namespace {

/// In percent: how often a task goes beside one near it rather than anywhere.
constexpr int beside_percent = 60;

}  // namespace

bool Chain::move(Sequence& s) {
    constexpr int others = 36;  // those that change the choice
    constexpr int all = 107;
    const int kind = random_.below(keeps_choice_ ? all - others : all);
    if (kind < 22) return move_block(s);
    if (kind < 30) return swap_blocks(s);
    if (kind < 36) return move_stretch(s);
    if (kind < 50) return move_unit(s);
    if (kind < 60) return flip_lead(s);
    if (kind < 67) return move_run(s);
    if (kind < all - others) return terrain_.rides.empty() ? move_block(s) : change_ride(s);
    if (kind < all - 24) return add(s);
    if (kind < all - 22) return drop(s);
    return exchange(s);
}

int Chain::some_done() {
    if (done_.empty()) return -1;
    const auto any = [&] { return done_[static_cast<std::size_t>(random_.below(static_cast<int>(done_.size())))]; };
    int task = any();
    const int other = any();
    if (random_.below(2) &&
        terrain_.rate[static_cast<std::size_t>(other)] < terrain_.rate[static_cast<std::size_t>(task)])
        task = other;
    // A required task is tried rarely: leaving it out helps only where it does not fit.
    if (!problem_.tasks[static_cast<std::size_t>(task)].optional && random_.below(8)) task = any();
    return task;
}

int Chain::some_left_out() {
    if (left_out_.empty()) return -1;
    const auto any = [&] {
        return left_out_[static_cast<std::size_t>(random_.below(static_cast<int>(left_out_.size())))];
    };
    int task = any();
    const int other = any();
    if (random_.below(3) && decoder_.weight(other) * terrain_.rate[static_cast<std::size_t>(other)] >
                                decoder_.weight(task) * terrain_.rate[static_cast<std::size_t>(task)])
        task = other;
    return task;
}

int Chain::lead_for(int task, int wanted) const {
    return problem_.tasks[static_cast<std::size_t>(task)].lead_allowed[static_cast<std::size_t>(wanted)] ? wanted
                                                                                                         : 1 - wanted;
}

int Chain::first_place(const Sequence& s, int task) const {
    for (std::size_t i = 0; i < s.order.size(); ++i)
        if (problem_.units[static_cast<std::size_t>(s.order[i])].task == task) return static_cast<int>(i);
    return -1;
}

int Chain::cut_block(Sequence& s, int task) {
    block_.clear();
    int first = -1;
    std::size_t kept = 0;
    for (std::size_t i = 0; i < s.order.size(); ++i) {
        const int unit = s.order[i];
        if (problem_.units[static_cast<std::size_t>(unit)].task == task) {
            if (first < 0) first = static_cast<int>(i);
            block_.push_back(unit);
        } else {
            s.order[kept++] = unit;
        }
    }
    s.order.resize(kept);
    return first;
}

void Chain::insert_block(Sequence& s, int task, int place) {
    const std::vector<int>& units = problem_.tasks[static_cast<std::size_t>(task)].units;
    place = std::clamp(place, 0, static_cast<int>(s.order.size()));
    s.order.insert(s.order.begin() + place, units.begin(), units.end());
}

Chain::Spot Chain::spot_for(const Sequence& s, int task) {
    Spot spot;
    const int n = static_cast<int>(s.order.size());
    const std::vector<int>& near = terrain_.near[static_cast<std::size_t>(task)];
    if (n > 0 && !near.empty() && random_.below(100) < beside_percent) {
        // Just before or after a task near it, under the same lead.
        for (int tries = 0; tries < 4; ++tries) {
            const int other = near[static_cast<std::size_t>(random_.below(static_cast<int>(near.size())))];
            if (!s.in[static_cast<std::size_t>(other)] || other == task) continue;
            const int first = first_place(s, other);
            if (first < 0) continue;
            spot.place = first;
            if (random_.below(2)) {
                for (int i = n - 1; i >= first; --i)
                    if (problem_.units[static_cast<std::size_t>(s.order[static_cast<std::size_t>(i)])].task == other) {
                        spot.place = i + 1;
                        break;
                    }
            }
            spot.lead = s.lead[static_cast<std::size_t>(other)];
            if (random_.below(4) == 0) spot.lead ^= 1;
            spot.lead = lead_for(task, spot.lead);
            return spot;
        }
    }
    spot.place = random_.below(n + 1);
    spot.lead = lead_for(task, random_.below(2));
    return spot;
}

bool Chain::bring_in(Sequence& s, int task, Spot spot, int depth) {
    const std::size_t t = static_cast<std::size_t>(task);
    const TaskData& data = problem_.tasks[t];
    if (depth > most_needed || !may_drop(problem_, task)) return false;
    s.in[t] = 1;
    s.lead[t] = static_cast<std::uint8_t>(spot.lead);
    insert_block(s, task, spot.place);
    for (int other : terrain_.excludes[t])
        if (s.in[static_cast<std::size_t>(other)]) {
            if (!may_drop(problem_, other)) return false;
            take_out(s, other);
        }
    for (int other : data.needs) {
        const std::size_t o = static_cast<std::size_t>(other);
        if (s.in[o] || problem_.tasks[o].started) continue;
        if (!bring_in(s, other, {std::min(spot.place, static_cast<int>(s.order.size())), lead_for(other, spot.lead)},
                      depth + 1))
            return false;
    }
    return true;
}

void Chain::take_out(Sequence& s, int task) {
    s.in[static_cast<std::size_t>(task)] = 0;
    cut_block(s, task);
    for (int other : terrain_.needed_by[static_cast<std::size_t>(task)])
        if (s.in[static_cast<std::size_t>(other)] && may_drop(problem_, other)) take_out(s, other);
}

bool Chain::flip(Sequence& s, int task) {
    const TaskData& data = problem_.tasks[static_cast<std::size_t>(task)];
    if (!data.lead_allowed[0] || !data.lead_allowed[1]) return false;
    s.lead[static_cast<std::size_t>(task)] ^= 1;
    return true;
}

bool Chain::move_block(Sequence& s) {
    if (s.order.empty()) return false;
    const int task = problem_
                         .units[static_cast<std::size_t>(
                             s.order[static_cast<std::size_t>(random_.below(static_cast<int>(s.order.size())))])]
                         .task;
    const int from = cut_block(s, task);
    // The block as it was, so that a task already begun keeps what is left of it.
    const std::vector<int>& units = block_;
    Spot spot = spot_for(s, task);
    if (random_.below(3) == 0) spot = {from + random_.below(13) - 6, s.lead[static_cast<std::size_t>(task)]};
    const int place = std::clamp(spot.place, 0, static_cast<int>(s.order.size()));
    s.order.insert(s.order.begin() + place, units.begin(), units.end());
    if (random_.below(2)) s.lead[static_cast<std::size_t>(task)] = static_cast<std::uint8_t>(spot.lead);
    return true;
}

bool Chain::swap_blocks(Sequence& s) {
    if (done_.size() < 2) return false;
    const int a = done_[static_cast<std::size_t>(random_.below(static_cast<int>(done_.size())))];
    const int b = done_[static_cast<std::size_t>(random_.below(static_cast<int>(done_.size())))];
    if (a == b) return false;
    const int place_a = first_place(s, a);
    const int place_b = first_place(s, b);
    if (place_a < 0 || place_b < 0) return false;
    cut_block(s, a);
    s.order.insert(s.order.begin() + std::min(place_b, static_cast<int>(s.order.size())), block_.begin(), block_.end());
    cut_block(s, b);
    s.order.insert(s.order.begin() + std::min(place_a, static_cast<int>(s.order.size())), block_.begin(), block_.end());
    if (random_.below(2)) {
        const int lead_a = s.lead[static_cast<std::size_t>(a)];
        const int lead_b = s.lead[static_cast<std::size_t>(b)];
        s.lead[static_cast<std::size_t>(a)] = static_cast<std::uint8_t>(lead_for(a, lead_b));
        s.lead[static_cast<std::size_t>(b)] = static_cast<std::uint8_t>(lead_for(b, lead_a));
    }
    return true;
}

/// Some units in a row somewhere else: a whole visit of a worksite.
bool Chain::move_stretch(Sequence& s) {
    const int n = static_cast<int>(s.order.size());
    if (n < 4) return false;
    const int length = 2 + random_.below(std::min(12, n - 2));
    const int from = random_.below(n - length + 1);
    const int to = random_.below(n - length + 1);
    if (from == to) return false;
    const auto begin = s.order.begin();
    if (to < from)
        std::rotate(begin + to, begin + from, begin + from + length);
    else
        std::rotate(begin + from, begin + from + length, begin + to + length);
    return true;
}

/// Some tasks in a row of what one of the two leads: somewhere else, given to the other, or the other way round. A
/// stretch of the order would take along what the other one does meanwhile.
bool Chain::move_run(Sequence& s) {
    const int lead = random_.below(2);
    run_.clear();
    for (const int unit : s.order) {
        const int task = problem_.units[static_cast<std::size_t>(unit)].task;
        if (s.lead[static_cast<std::size_t>(task)] == lead && std::find(run_.begin(), run_.end(), task) == run_.end())
            run_.push_back(task);
    }
    const int n = static_cast<int>(run_.size());
    if (n < 2) return false;
    const int length = std::min(n, 2 + random_.below(4));
    const int from = random_.below(n - length + 1);
    run_.erase(run_.begin() + from + length, run_.end());
    run_.erase(run_.begin(), run_.begin() + from);
    int place = first_place(s, run_.front());
    enum { elsewhere, to_the_other, turned_round };
    const int kind = random_.below(3);
    if (kind == turned_round || (kind == to_the_other && random_.below(2))) std::reverse(run_.begin(), run_.end());
    moved_.clear();
    for (const int task : run_) {
        if (kind == to_the_other) flip(s, task);
        cut_block(s, task);
        moved_.insert(moved_.end(), block_.begin(), block_.end());
    }
    const int left = static_cast<int>(s.order.size());
    if (kind == elsewhere || (kind == to_the_other && random_.below(2))) place = random_.below(left + 1);
    s.order.insert(s.order.begin() + std::min(place, left), moved_.begin(), moved_.end());
    return true;
}

bool Chain::move_unit(Sequence& s) {
    const int n = static_cast<int>(s.order.size());
    if (n < 2) return false;
    const int from = random_.below(n);
    const int reach = 1 + random_.below(6);
    const int to = std::clamp(from + (random_.below(2) ? reach : -reach), 0, n - 1);
    if (from == to) return false;
    const int unit = s.order[static_cast<std::size_t>(from)];
    s.order.erase(s.order.begin() + from);
    s.order.insert(s.order.begin() + to, unit);
    return true;
}

bool Chain::flip_lead(Sequence& s) {
    if (s.order.empty()) return false;
    const int task = problem_
                         .units[static_cast<std::size_t>(
                             s.order[static_cast<std::size_t>(random_.below(static_cast<int>(s.order.size())))])]
                         .task;
    if (!flip(s, task)) return false;
    if (random_.below(2)) {
        cut_block(s, task);
        s.order.insert(s.order.begin() + random_.below(static_cast<int>(s.order.size()) + 1), block_.begin(),
                       block_.end());
    }
    return true;
}

bool Chain::add(Sequence& s) {
    const int task = some_left_out();
    return task >= 0 && bring_in(s, task, spot_for(s, task));
}

bool Chain::drop(Sequence& s) {
    const int task = some_done();
    if (task < 0) return false;
    take_out(s, task);
    return true;
}

/// One or two out, one or two in, mostly into the place that became free.
bool Chain::exchange(Sequence& s) {
    const int out = some_done();
    if (out < 0 || left_out_.empty()) return false;
    Spot freed{first_place(s, out), s.lead[static_cast<std::size_t>(out)]};
    take_out(s, out);
    if (random_.below(4) == 0) {
        // The task that stands next in the order, or any other.
        const int n = static_cast<int>(s.order.size());
        if (n > 0) {
            const int at = random_.below(2) ? std::clamp(freed.place, 0, n - 1) : random_.below(n);
            const int other = problem_.units[static_cast<std::size_t>(s.order[static_cast<std::size_t>(at)])].task;
            if (problem_.tasks[static_cast<std::size_t>(other)].optional) take_out(s, other);
        }
    }
    const std::vector<int>& near = terrain_.near[static_cast<std::size_t>(out)];
    for (int count = random_.below(3) == 0 ? 2 : 1; count > 0; --count) {
        int in = -1;
        if (!near.empty() && random_.below(2)) {
            in = near[static_cast<std::size_t>(random_.below(static_cast<int>(near.size())))];
            if (s.in[static_cast<std::size_t>(in)] || in == out) in = -1;
        }
        if (in < 0) in = some_left_out();
        if (s.in[static_cast<std::size_t>(in)]) continue;
        if (random_.below(3) == 0 || freed.place < 0) freed = spot_for(s, in);
        freed.lead = lead_for(in, freed.lead);
        if (!bring_in(s, in, freed)) return false;
    }
    return true;
}

/// A ride done hand over hand, or a wish not waited for, or the other way round.
bool Chain::change_ride(Sequence& s) {
    s.by_hand.resize(problem_.steps.size(), 0);
    s.by_hand[static_cast<std::size_t>(
        terrain_.rides[static_cast<std::size_t>(random_.below(static_cast<int>(terrain_.rides.size())))])] ^= 1;
    return true;
}

}  // namespace handrail::plan::detail
