#include "plan/crossing.h"

#include <algorithm>

namespace handrail::plan::detail {
namespace {

/// So many seconds of cost are left to luck.
constexpr double luck_s = 600;
/// So many moments are tried each way round.
constexpr int most_cuts = 24;

class Crossing {
public:
    explicit Crossing(const Problem& problem) : problem_(problem), begun_(problem.tasks.size()), late_(begun_.size()) {}

    /// `first` up to place `cut`, then `second`; what has begun by then is ended as in `first`.
    Sequence make(const Sequence& first, std::size_t cut, const Sequence& second) {
        std::fill(begun_.begin(), begun_.end(), 0);
        for (std::size_t i = 0; i < cut; ++i) begun_[task_of(first.order[i])] = 1;
        Sequence child = second;
        child.order.clear();
        for (std::size_t i = 0; i < first.order.size(); ++i)
            if (begun_[task_of(first.order[i])]) child.order.push_back(first.order[i]);

        std::fill(late_.begin(), late_.end(), 0);
        for (std::size_t i = cut * second.order.size() / first.order.size(); i < second.order.size(); ++i)
            late_[task_of(second.order[i])] = 1;
        child.in = begun_;
        for (std::size_t t = 0; t < begun_.size(); ++t) {
            const TaskData& task = problem_.tasks[t];
            if (task.started || task.units.empty()) child.in[t] = first.in[t];
            if (!begun_[t] && second.in[t] && (late_[t] || !task.optional)) child.in[t] = may_join(child, t) ? 1 : 0;
        }
        leave_out_what_lacks(child);
        for (const int unit : second.order)
            if (!begun_[task_of(unit)] && child.in[task_of(unit)]) child.order.push_back(unit);
        keep_done(problem_, child);
        inherit(first, second, child);
        repair(problem_, child.order);
        return child;
    }

private:
    std::size_t task_of(int unit) const {
        return static_cast<std::size_t>(problem_.units[static_cast<std::size_t>(unit)].task);
    }
    bool may_join(const Sequence& child, std::size_t task) const {
        const auto excludes = [&](std::size_t a, std::size_t b) {
            const std::vector<int>& list = problem_.tasks[a].not_with;
            return std::find(list.begin(), list.end(), static_cast<int>(b)) != list.end();
        };
        for (std::size_t t = 0; t < child.in.size(); ++t)
            if (child.in[t] && (excludes(task, t) || excludes(t, task))) return false;
        return true;
    }
    void leave_out_what_lacks(Sequence& child) const {
        const auto lacks = [&](const TaskData& task) {
            return std::any_of(task.needs.begin(), task.needs.end(), [&](int other) {
                const auto o = static_cast<std::size_t>(other);
                return !child.in[o] && !problem_.tasks[o].started;
            });
        };
        for (bool again = true; again;) {
            again = false;
            for (std::size_t t = 0; t < child.in.size(); ++t) {
                const TaskData& task = problem_.tasks[t];
                if (!child.in[t] || !task.optional || task.started || !lacks(task)) continue;
                child.in[t] = 0;
                again = true;
            }
        }
    }
    void inherit(const Sequence& first, const Sequence& second, Sequence& child) const {
        for (std::size_t t = 0; t < begun_.size(); ++t) {
            if (!begun_[t]) continue;
            child.lead[t] = first.lead[t];
            child.gather[t] = first.gather[t];
        }
        if (first.by_hand.empty() && second.by_hand.empty()) return;
        child.by_hand.assign(problem_.steps.size(), 0);
        for (std::size_t s = 0; s < problem_.steps.size(); ++s) {
            const Sequence& from = begun_[static_cast<std::size_t>(problem_.steps[s].task)] ? first : second;
            if (!from.by_hand.empty()) child.by_hand[s] = from.by_hand[s];
        }
    }

    const Problem& problem_;
    std::vector<std::uint8_t> begun_, late_;
};

}  // namespace

Found crossed(const Problem& problem, Decoder& decoder, const Found& one, const Found& other,
              const std::function<double(const Score&)>& cost, Random& random) {
    Found best = better(one.score, other.score) ? one : other;
    Crossing crossing(problem);
    double least = 0;
    bool any = false;
    for (const auto& [first, second] : {std::pair{&one, &other}, std::pair{&other, &one}}) {
        const std::vector<int>& order = first->sequence.order;
        std::vector<std::size_t> cuts;
        for (std::size_t cut = 1; cut < order.size(); ++cut)
            if (problem.units[static_cast<std::size_t>(order[cut])].task !=
                problem.units[static_cast<std::size_t>(order[cut - 1])].task)
                cuts.push_back(cut);
        while (cuts.size() > most_cuts) {
            std::swap(cuts[static_cast<std::size_t>(random.below(static_cast<int>(cuts.size())))], cuts.back());
            cuts.pop_back();
        }
        for (const std::size_t cut : cuts) {
            Found child;
            child.sequence = crossing.make(first->sequence, cut, second->sequence);
            if (child.sequence.order == one.sequence.order || child.sequence.order == other.sequence.order) continue;
            child.score = decoder.decode(child.sequence);
            const double price = cost(child.score) + luck_s * random.unit();
            if (any && price >= least) continue;
            any = true;
            least = price;
            best = std::move(child);
        }
    }
    return best;
}

}  // namespace handrail::plan::detail
