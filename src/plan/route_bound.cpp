#include "plan/route_bound.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <queue>

#include "plan/bound.h"

namespace handrail::plan::detail {
namespace {

constexpr double nothing_fits = -1e15;
/// Rounds on the prices before anything is branched on; rounds for each half of a branching.
constexpr int first_rounds = 1000;
constexpr int branch_rounds = 40;
/// Rounds on a half in which every task is settled, to show that these do not fit together.
constexpr int last_rounds = 160;
/// So many open halves are kept at most (each has its prices: some kilobytes).
constexpr std::size_t most_open = 4000;
/// A step of the prices aims this share of the bound below the best so far; less after so many rounds without success.
constexpr double first_aim = 0.04;
constexpr double last_aim = 0.00005;
constexpr int patience = 20;
/// How much of the last direction goes into the next (a deflected step: Camerini, Fratta and Maffioli 1975).
constexpr double memory = 0.85;

/// What is settled about a task in a half: bit 0, it may be left out; bits 1 and 2, its first and second choice.
using Settled = std::vector<std::uint8_t>;

struct Half {
    double bound = 0;
    double least = 0;   ///< what is settled to be done is worth this
    bool last = false;  ///< nothing is left to settle
    int depth = 0;
    std::vector<double> prices;
    Settled settled;
    std::vector<double> often;  ///< by choice: how often the last rounds had it
};

}  // namespace

/// The prices (multipliers) are: for each choice and crew member with a share in it, what the day is paid for having
/// it; for each pick-up and user, what the task pays for the pick-up; for each thing that both use, what handing it on
/// costs and what the tasks pay for it; for each use of a day and each shared room, what a unit of it costs. Any prices
/// give a bound: the best tasks at those prices, and the best day of each crew member.
class RouteBound::Work {
public:
    Work(const Problem& problem, bool required_counts)
        : problem_(problem), model_(problem, required_counts), settled_value_(settled_value(problem)) {
        whole_ = std::all_of(model_.value.begin(), model_.value.end(),
                             [](double value) { return value == std::floor(value); });
        if (!model_.usable()) return;
        lay_out();
        Half root;
        root.bound = std::numeric_limits<double>::infinity();
        root.prices = first_prices();
        root.settled.assign(problem.tasks.size(), 7);
        root.often.assign(model_.choices.size(), 0.5);
        for (const auto& list : model_.choices_of)
            if (list.size() == 1)
                for (int k : list)
                    root.settled[static_cast<std::size_t>(model_.choices[static_cast<std::size_t>(k)].task)] = 3;
        root_ = root;
        current_ = std::move(root);
    }

    bool usable() const { return model_.usable(); }
    int rounds() const { return rounds_; }
    bool finished() const { return done_; }

    double value() const {
        if (!usable()) return std::numeric_limits<double>::infinity();
        double most = working_ ? current_.bound : -std::numeric_limits<double>::infinity();
        if (!open_.empty()) most = std::max(most, open_.front().bound);
        most = std::max(most, closed_);
        return std::max(0.0, rounded(most)) + settled_value_;
    }

    void improve(int rounds, const std::atomic<bool>* stop) {
        if (!usable()) return;
        for (int i = 0; i < rounds && !done_ && !(stop && stop->load(std::memory_order_relaxed)); ++i) round();
    }

    Time finish(double value, int rounds, const std::atomic<bool>* stop) {
        if (!usable()) return 0;
        const double needed = value - settled_value_;
        Steps steps;
        std::vector<double> prices = root_.prices;
        Time least = least_end(prices, root_.settled, needed);
        Time end = least;
        steps.start(prices);
        for (int i = 0; i < rounds && least < problem_.limit && !(stop && stop->load(std::memory_order_relaxed)); ++i) {
            const double bound = evaluate(steps.prices, root_.settled, end);
            const Time found = end_at(bound, steps.prices, end, needed);
            if (found > least) {
                least = end = found;
                steps.best_prices = steps.prices;
            }
            if (!steps.next(bound - needed, std::max(1.0, std::abs(needed)), found >= end, *this)) break;
        }
        return least;
    }

private:
    /// Where the prices stand in one list, what a unit of each is scaled by, and which may not be negative.
    void lay_out() {
        const auto add = [this](double scale, bool positive) {
            scale_.push_back(scale);
            positive_.push_back(positive);
            return static_cast<int>(scale_.size()) - 1;
        };
        paid_.resize(2);
        for (std::size_t c = 0; c < 2; ++c) paid_[c].assign(model_.parts[c].size(), -1);
        for (const TaskChoice& choice : model_.choices)
            for (std::size_t c = 0; c < 2; ++c)
                if (choice.part[c] >= 0) paid_[c][static_cast<std::size_t>(choice.part[c])] = add(1, false);
        for (const PickUp& pick_up : model_.pick_ups) {
            fetched_.push_back(static_cast<int>(scale_.size()));
            for (std::size_t u = 0; u < pick_up.users.size(); ++u) add(1, true);
            always_.push_back(pick_up.always ? add(1, true) : -1);
        }
        pays_.resize(model_.choices.size());
        for (const Shared& thing : model_.shared_things) {
            handled_.push_back(add(1, true));
            std::array<std::vector<int>, 2>& used = used_.emplace_back();
            for (std::size_t c = 0; c < 2; ++c) {
                int task = -1;  // both choices of a task pay the same: it is done in one of them only
                for (const int k : thing.choices[c]) {
                    if (model_.choices[static_cast<std::size_t>(k)].task != task) used[c].push_back(add(1, true));
                    task = model_.choices[static_cast<std::size_t>(k)].task;
                    pays_[static_cast<std::size_t>(k)].push_back(used[c].back());
                }
            }
        }
        for (std::size_t c = 0; c < 2; ++c)
            for (std::size_t use = 0; use < day_uses; ++use) {
                const double room = model_.room(static_cast<int>(c), use, problem_.limit);
                uses_[c][use] = std::isfinite(room) ? add(15 / std::max(std::abs(room), 1e-9), true) : -1;
            }
        for (std::size_t i = 0; i < model_.shared.size(); ++i) {
            const bool drawn = std::any_of(model_.choices.begin(), model_.choices.end(),
                                           [i](const TaskChoice& choice) { return choice.shared[i] > 0; });
            const double room = model_.shared_room(i, problem_.limit);
            shared_.push_back(drawn ? add(15 / std::max(room, 1e-9), true) : -1);
        }
        gradient_.assign(scale_.size(), 0);
        gain_.assign(std::size_t{1} << model_.sites, 0);
        for (std::size_t c = 0; c < 2; ++c) {
            worth_[c].assign(model_.parts[c].size(), 0);
            in_day_[c].assign(model_.parts[c].size(), 0);
        }
        best_choice_.assign(problem_.tasks.size(), -1);
        best_gain_.assign(problem_.tasks.size(), 0);
        chosen_.assign(model_.choices.size(), 0);
    }

    /// Time costs what the optional tasks are worth for it; each share of a task is paid its part of the value.
    std::vector<double> first_prices() const {
        std::vector<double> prices(scale_.size(), 0);
        double all = 0;
        double room = 0;
        for (double value : model_.value) all += value;
        for (int c = 0; c < 2; ++c) room += model_.room(c, 0, problem_.limit);
        for (std::size_t c = 0; c < 2; ++c)
            if (uses_[c][0] >= 0)
                prices[static_cast<std::size_t>(uses_[c][0])] =
                    0.5 * all / std::max(room, 1.0) / scale_[static_cast<std::size_t>(uses_[c][0])];
        for (const TaskChoice& choice : model_.choices) {
            std::array<double, 2> work{};
            for (std::size_t c = 0; c < 2; ++c)
                if (choice.part[c] >= 0)
                    work[c] = std::max(1.0, model_.parts[c][static_cast<std::size_t>(choice.part[c])].uses[0]);
            for (std::size_t c = 0; c < 2; ++c)
                if (choice.part[c] >= 0)
                    prices[static_cast<std::size_t>(paid_[c][static_cast<std::size_t>(choice.part[c])])] =
                        model_.value[static_cast<std::size_t>(choice.task)] * work[c] / (work[0] + work[1]);
        }
        return prices;
    }

    double price(const std::vector<double>& prices, int at) const {
        return at < 0 ? 0 : prices[static_cast<std::size_t>(at)] * scale_[static_cast<std::size_t>(at)];
    }

    /// The bound at these prices for outings that end by `end`; leaves its slope in gradient_ and the choices in
    /// chosen_.
    double evaluate(const std::vector<double>& prices, const Settled& settled, Time end) {
        std::fill(gradient_.begin(), gradient_.end(), 0.0);
        double bound = 0;
        for (std::size_t c = 0; c < 2; ++c) bound += best_day(prices, c, end);
        bound += best_tasks(prices, settled);
        for (std::size_t i = 0; i < shared_.size(); ++i)
            if (shared_[i] >= 0) {
                const double room = model_.shared_room(i, end);
                bound += price(prices, shared_[i]) * room;
                gradient_[static_cast<std::size_t>(shared_[i])] += room;
            }
        for (std::size_t i = 0; i < gradient_.size(); ++i) gradient_[i] *= scale_[i];
        return bound;
    }

    double best_day(const std::vector<double>& prices, std::size_t c, Time end) {
        const std::vector<DayPart>& parts = model_.parts[c];
        std::array<double, day_uses> cost{};
        double walk = 0;
        double bound = 0;
        for (std::size_t use = 0; use < day_uses; ++use) {
            if (uses_[c][use] < 0) continue;
            cost[use] = price(prices, uses_[c][use]);
            walk += cost[use] * model_.walk_rate[c][use];
            const double room = model_.room(static_cast<int>(c), use, end);
            bound += cost[use] * room;
            gradient_[static_cast<std::size_t>(uses_[c][use])] += room;
        }
        std::vector<double>& worth = worth_[c];
        for (std::size_t p = 0; p < parts.size(); ++p) worth[p] = price(prices, paid_[c][p]);
        for (std::size_t g = 0; g < model_.pick_ups.size(); ++g) {
            double sum = price(prices, always_[g]);
            for (std::size_t u = 0; u < model_.pick_ups[g].users.size(); ++u)
                sum += prices[static_cast<std::size_t>(fetched_[g]) + u];
            worth[static_cast<std::size_t>(model_.pick_ups[g].part[c])] = sum;
            if (model_.pick_ups[g].further[c] >= 0) worth[static_cast<std::size_t>(model_.pick_ups[g].further[c])] = 0;
        }
        for (std::size_t i = 0; i < handled_.size(); ++i) {
            const PickUp& pick_up = model_.pick_ups[static_cast<std::size_t>(model_.shared_things[i].pick_up)];
            worth[static_cast<std::size_t>(pick_up.part[c])] += price(prices, handled_[i]);
            worth[static_cast<std::size_t>(pick_up.further[c])] += 2 * price(prices, handled_[i]);
        }
        // The best set of worksites: what is worth doing at them, less the walk past them. Sums over all subsets of a
        // set are built up one worksite at a time.
        std::fill(gain_.begin(), gain_.end(), 0.0);
        for (std::size_t p = 0; p < parts.size(); ++p) {
            for (std::size_t use = 0; use < day_uses; ++use)
                if (uses_[c][use] >= 0) worth[p] -= cost[use] * parts[p].uses[use];
            if (worth[p] > 0) gain_[parts[p].sites] += worth[p];
        }
        for (int site = 0; site < model_.sites; ++site) {
            const std::size_t half = std::size_t{1} << site;
            for (std::size_t base = 0; base < gain_.size(); base += 2 * half)
                for (std::size_t i = 0; i < half; ++i) gain_[base + half + i] += gain_[base + i];
        }
        const std::vector<Time>& tour = model_.tour[c];
        std::size_t best = 0;
        double most = nothing_fits;
        for (std::size_t set = 0; set < gain_.size(); ++set) {
            const double left = gain_[set] - walk * tour[set];
            if (left > most && tour[set] < never) {
                most = left;
                best = set;
            }
        }
        std::array<double, day_uses> used{};
        for (std::size_t use = 0; use < day_uses; ++use) used[use] = model_.walk_rate[c][use] * tour[best];
        for (std::size_t p = 0; p < parts.size(); ++p) {
            in_day_[c][p] = worth[p] > 0 && (parts[p].sites & ~static_cast<std::uint32_t>(best)) == 0;
            if (!in_day_[c][p]) continue;
            for (std::size_t use = 0; use < day_uses; ++use) used[use] += parts[p].uses[use];
            if (paid_[c][p] >= 0) gradient_[static_cast<std::size_t>(paid_[c][p])] += 1;
        }
        for (std::size_t use = 0; use < day_uses; ++use)
            if (uses_[c][use] >= 0) gradient_[static_cast<std::size_t>(uses_[c][use])] -= used[use];
        return bound + most;
    }

    double best_tasks(const std::vector<double>& prices, const Settled& settled) {
        double bound = 0;
        std::fill(chosen_.begin(), chosen_.end(), 0);
        for (std::size_t t = 0; t < model_.choices_of.size(); ++t) {
            best_choice_[t] = -1;
            best_gain_[t] = nothing_fits;
            const std::vector<int>& list = model_.choices_of[t];
            for (std::size_t i = 0; i < list.size(); ++i) {
                if (!((settled[t] >> (i + 1)) & 1u)) continue;
                const TaskChoice& choice = model_.choices[static_cast<std::size_t>(list[i])];
                double gain = model_.value[t];
                for (std::size_t c = 0; c < 2; ++c)
                    if (choice.part[c] >= 0) gain -= price(prices, paid_[c][static_cast<std::size_t>(choice.part[c])]);
                for (std::size_t r = 0; r < shared_.size(); ++r)
                    if (shared_[r] >= 0) gain -= price(prices, shared_[r]) * choice.shared[r];
                for (const auto& [pick_up, user] : model_.picked_for[t])
                    gain -= prices[static_cast<std::size_t>(fetched_[static_cast<std::size_t>(pick_up)] + user)];
                for (const int used : pays_[static_cast<std::size_t>(list[i])]) gain -= price(prices, used);
                if (gain > best_gain_[t]) {
                    best_gain_[t] = gain;
                    best_choice_[t] = list[i];
                }
            }
        }
        for (const TiedTasks& tied : model_.ties) {
            double most = nothing_fits;
            std::uint32_t best = 0;
            std::uint32_t must = 0;
            std::uint32_t may = 0;
            for (std::size_t i = 0; i < tied.tasks.size(); ++i) {
                const auto t = static_cast<std::size_t>(tied.tasks[i]);
                if (!(settled[t] & 1u)) must |= 1u << i;
                if (best_choice_[t] >= 0) may |= 1u << i;
            }
            for (const std::uint32_t set : tied.allowed) {
                if ((set & must) != must || (set & ~may) != 0) continue;
                double sum = 0;
                for (std::size_t i = 0; i < tied.tasks.size(); ++i)
                    if ((set >> i) & 1u) sum += best_gain_[static_cast<std::size_t>(tied.tasks[i])];
                if (sum > most) {
                    most = sum;
                    best = set;
                }
            }
            bound += most;
            for (std::size_t i = 0; i < tied.tasks.size(); ++i)
                if ((best >> i) & 1u) take(best_choice_[static_cast<std::size_t>(tied.tasks[i])]);
        }
        for (std::size_t g = 0; g < model_.pick_ups.size(); ++g) {
            const PickUp& pick_up = model_.pick_ups[g];
            const int picked = in_day_[0][static_cast<std::size_t>(pick_up.part[0])] +
                               in_day_[1][static_cast<std::size_t>(pick_up.part[1])];
            for (std::size_t u = 0; u < pick_up.users.size(); ++u)
                gradient_[static_cast<std::size_t>(fetched_[g]) + u] += picked;
            if (always_[g] < 0) continue;
            bound -= price(prices, always_[g]);
            gradient_[static_cast<std::size_t>(always_[g])] += picked - 1;
        }
        return bound + best_sharing(prices);
    }

    /// Who of the two uses a thing alone: worth it when the tasks pay more for it than handing it on costs.
    double best_sharing(const std::vector<double>& prices) {
        double bound = 0;
        for (std::size_t i = 0; i < handled_.size(); ++i) {
            const Shared& thing = model_.shared_things[i];
            const PickUp& pick_up = model_.pick_ups[static_cast<std::size_t>(thing.pick_up)];
            double& slope = gradient_[static_cast<std::size_t>(handled_[i])];
            bound += thing.less * price(prices, handled_[i]);
            slope += thing.less;
            for (std::size_t c = 0; c < 2; ++c) {
                slope += in_day_[c][static_cast<std::size_t>(pick_up.part[c])] +
                         2 * in_day_[c][static_cast<std::size_t>(pick_up.further[c])];
                double gain = -thing.each * price(prices, handled_[i]);
                for (const int used : used_[i][c]) gain += price(prices, used);
                if (gain <= 0) continue;
                bound += gain;
                slope -= thing.each;
                for (const int used : used_[i][c]) gradient_[static_cast<std::size_t>(used)] += 1;
            }
        }
        return bound;
    }

    void take(int number) {
        const TaskChoice& choice = model_.choices[static_cast<std::size_t>(number)];
        chosen_[static_cast<std::size_t>(number)] = 1;
        for (std::size_t c = 0; c < 2; ++c)
            if (choice.part[c] >= 0)
                gradient_[static_cast<std::size_t>(paid_[c][static_cast<std::size_t>(choice.part[c])])] -= 1;
        for (std::size_t r = 0; r < shared_.size(); ++r)
            if (shared_[r] >= 0) gradient_[static_cast<std::size_t>(shared_[r])] -= choice.shared[r];
        for (const auto& [pick_up, user] : model_.picked_for[static_cast<std::size_t>(choice.task)])
            gradient_[static_cast<std::size_t>(fetched_[static_cast<std::size_t>(pick_up)] + user)] -= 1;
        for (const int used : pays_[static_cast<std::size_t>(number)]) gradient_[static_cast<std::size_t>(used)] -= 1;
    }

    /// Subgradient steps towards an aim below the best so far (Held, Wolfe and Crowder 1974).
    struct Steps {
        std::vector<double> prices, best_prices, direction;
        double aim = first_aim;
        int without = 0;

        void start(const std::vector<double>& from) {
            prices = best_prices = from;
            aim = first_aim;
            without = 0;
            direction.assign(from.size(), 0);
        }
        /// After an evaluation `above` the best so far (or what is wanted); false when further steps are too small.
        bool next(double above, double size, bool better, const Work& work) {
            without = better ? 0 : without + 1;
            if (without > patience) {
                aim *= 0.5;
                without = 0;
                prices = best_prices;
                std::fill(direction.begin(), direction.end(), 0.0);
                return aim > last_aim;
            }
            double length = 0;
            for (std::size_t i = 0; i < prices.size(); ++i) {
                const double slope = work.gradient_[i];
                direction[i] = work.positive_[i] && slope > 0 && prices[i] <= 0 ? 0 : slope + memory * direction[i];
                length += direction[i] * direction[i];
            }
            if (length < 1e-12) return false;
            const double step = (std::max(above, 0.0) + aim * size) / length;
            for (std::size_t i = 0; i < prices.size(); ++i) {
                prices[i] -= step * direction[i];
                if (work.positive_[i]) prices[i] = std::max(0.0, prices[i]);
            }
            return true;
        }
    };

    double rounded(double bound) const { return whole_ ? std::floor(bound + 1e-6) : bound; }

    /// The least end at which prices whose bound is `bound` at `end` let `needed` in.
    Time end_at(double bound, const std::vector<double>& prices, Time end, double needed) const {
        const auto rooms = [&](Time at) {
            double sum = 0;
            for (std::size_t c = 0; c < 2; ++c)
                for (std::size_t use = 0; use < day_uses; ++use)
                    if (uses_[c][use] >= 0)
                        sum += price(prices, uses_[c][use]) * model_.room(static_cast<int>(c), use, at);
            for (std::size_t i = 0; i < shared_.size(); ++i)
                if (shared_[i] >= 0) sum += price(prices, shared_[i]) * model_.shared_room(i, at);
            return sum;
        };
        const double other = bound - rooms(end);
        Time low = 0;
        Time high = problem_.limit;
        if (other + rooms(high) < needed - 1e-6) return 0;  // not a plan that keeps the rules
        while (low < high) {
            const Time middle = low + (high - low) / 2;
            if (other + rooms(middle) < needed - 1e-6)
                low = middle + 1;
            else
                high = middle;
        }
        return low;
    }
    Time least_end(const std::vector<double>& prices, const Settled& settled, double needed) {
        return end_at(evaluate(prices, settled, problem_.limit), prices, problem_.limit, needed);
    }

    /// One set of prices tried: on the root at first, then on the halves of the open half with the highest bound.
    void round() {
        ++rounds_;
        if (!stepping_) {
            steps_.start(current_.prices);
            steps_.aim = current_.depth == 0 ? first_aim : 0.01;
            left_ = current_.depth == 0 ? first_rounds : current_.last ? last_rounds : branch_rounds;
            current_.least = worth_between(current_.settled).first;
            best_here_ = std::numeric_limits<double>::infinity();
            stepping_ = true;
        }
        const double bound = evaluate(steps_.prices, current_.settled, problem_.limit);
        for (std::size_t k = 0; k < chosen_.size(); ++k)
            current_.often[k] += 0.05 * (static_cast<double>(chosen_[k]) - current_.often[k]);
        const bool better = bound < best_here_ - 1e-4 * std::max(1.0, std::abs(best_here_));
        if (bound < best_here_) {
            best_here_ = bound;
            steps_.best_prices = steps_.prices;
            current_.bound = std::min(current_.bound, bound);
        }
        const double size = std::max(1.0, std::abs(best_here_));
        --left_;
        const bool more = best_here_ > 0 && !nothing_in(current_) && left_ > 0 &&
                          steps_.next(bound - best_here_, size, better, *this);
        if (!more) finish_half();
    }

    void finish_half() {
        stepping_ = false;
        current_.prices = steps_.best_prices;
        if (current_.depth == 0) root_ = current_;
        current_.bound = std::min(current_.bound, worth_between(current_.settled).second);
        if (current_.bound > 0 && !nothing_in(current_)) keep(std::move(current_));
        next_half();
    }

    /// What is settled to be done is worth more than the bound allows: no plan is in this half.
    static bool nothing_in(const Half& half) { return half.least > half.bound + 1e-6; }
    /// What the tasks settled to be done are worth, and all that are not settled to be left out.
    std::pair<double, double> worth_between(const Settled& settled) const {
        std::pair<double, double> worth{0, 0};
        for (std::size_t t = 0; t < settled.size(); ++t) {
            if (model_.choices_of[t].empty()) continue;
            if (!(settled[t] & 1u)) worth.first += model_.value[t];
            if (settled[t] & 6u) worth.second += model_.value[t];
        }
        return worth;
    }

    static bool lower(const Half& a, const Half& b) {
        return a.bound != b.bound ? a.bound < b.bound : a.depth < b.depth;
    }
    void keep(Half half) {
        open_.push_back(std::move(half));
        std::push_heap(open_.begin(), open_.end(), lower);
    }

    void next_half() {
        working_ = true;
        if (!waiting_.empty()) {
            current_ = std::move(waiting_.back());
            waiting_.pop_back();
            return;
        }
        while (!open_.empty() && open_.size() < most_open) {
            std::pop_heap(open_.begin(), open_.end(), lower);
            Half half = std::move(open_.back());
            open_.pop_back();
            if (branch(half)) return;
            if (!half.last) {
                half.last = true;
                current_ = std::move(half);
                return;
            }
            closed_ = std::max(closed_, half.bound);  // nothing left to settle: its bound stands
            if (!open_.empty() && rounded(closed_) >= rounded(open_.front().bound)) break;
        }
        working_ = false;
        done_ = true;
    }

    /// Settles the task that is most in doubt: in one half it is left out, in the other it is done; or who leads it.
    bool branch(Half& half) {
        double most = 0;
        std::size_t task = 0;
        bool lead = false;
        for (std::size_t t = 0; t < model_.choices_of.size(); ++t) {
            const std::vector<int>& list = model_.choices_of[t];
            if (list.empty()) continue;
            double in = 0;
            double largest = 0;
            for (int k : list) {
                in += half.often[static_cast<std::size_t>(k)];
                largest = std::max(largest, half.often[static_cast<std::size_t>(k)]);
            }
            const bool open = (half.settled[t] & 1u) && (half.settled[t] & 6u) && model_.value[t] > 0;
            const double doubt = (0.501 - std::abs(std::min(in, 1.0) - 0.5)) * model_.value[t];
            if (open && doubt > most) {
                most = doubt;
                task = t;
                lead = false;
            }
            const double unsure = (0.0005 + 0.2 * std::min(in - largest, 0.5)) * std::max(model_.value[t], 1.0);
            if ((half.settled[t] & 6u) == 6u && unsure > most) {
                most = unsure;
                task = t;
                lead = true;
            }
        }
        if (most <= 1e-9) return false;
        Half other = half;
        ++half.depth;
        ++other.depth;
        if (lead) {
            half.settled[task] &= static_cast<std::uint8_t>(~4u);
            other.settled[task] &= static_cast<std::uint8_t>(~2u);
        } else {
            half.settled[task] = 1;
            other.settled[task] &= static_cast<std::uint8_t>(~1u);
        }
        waiting_.push_back(std::move(half));
        current_ = std::move(other);
        return true;
    }

    const Problem& problem_;
    RouteModel model_;
    double settled_value_ = 0;
    bool whole_ = false;  ///< every value is a whole number, so every bound may be rounded down to one

    std::vector<double> scale_;
    std::vector<std::uint8_t> positive_;
    std::vector<std::vector<int>> paid_;  ///< by crew, part
    std::vector<int> fetched_, always_;   ///< by pick-up: the price of its first user; of having it in any case
    std::vector<int> handled_;            ///< by shared thing: the price of handling it
    std::vector<std::array<std::vector<int>, 2>> used_;  ///< by shared thing, crew: of using it alone, task by task
    std::vector<std::vector<int>> pays_;                 ///< by choice: those of them that it pays
    std::array<std::array<int, day_uses>, 2> uses_{};
    std::vector<int> shared_;

    std::vector<double> gradient_, gain_;
    std::array<std::vector<double>, 2> worth_;
    std::array<std::vector<std::uint8_t>, 2> in_day_;
    std::vector<int> best_choice_;
    std::vector<double> best_gain_;
    std::vector<std::uint8_t> chosen_;

    Half root_, current_;
    std::vector<Half> open_, waiting_;  ///< open: a heap, the highest bound first
    double closed_ = -std::numeric_limits<double>::infinity();
    Steps steps_;
    double best_here_ = 0;
    int left_ = 0, rounds_ = 0;
    bool stepping_ = false, working_ = true, done_ = false;
};

RouteBound::RouteBound(const Problem& problem, bool required_counts)
    : work_(std::make_unique<Work>(problem, required_counts)) {}
RouteBound::~RouteBound() = default;
void RouteBound::improve(int rounds, const std::atomic<bool>* stop) { work_->improve(rounds, stop); }
double RouteBound::value() const { return work_->value(); }
Time RouteBound::finish(double value, int rounds, const std::atomic<bool>* stop) const {
    return work_->finish(value, rounds, stop);
}
int RouteBound::rounds() const { return work_->rounds(); }
bool RouteBound::finished() const { return !work_->usable() || work_->finished(); }

}  // namespace handrail::plan::detail
