#include <algorithm>
#include <cmath>

#include "plan/chain.h"

/// The part of a chain that thinks of another choice of tasks first and then makes it fit. For a given choice an order
/// that keeps the rules is soon found or not at all; which choices have one is what takes long to find out.
namespace handrail::plan::detail {
namespace {

// Measured on random outings of 24 to 300 tasks, as those of choice.cpp; none matters much.

/// How much more work than there is room for a choice may seem to be, of both crew: on average.
constexpr double tolerance_s = 300;
/// A choice may be worth less than the one at hand: at first by this share of an average task on average.
constexpr double loss_share = 0.1;
/// Places tried for each task that is brought in, and what may be broken at the best of them.
constexpr int places = 6;
constexpr std::int64_t most_broken_s = 400;
/// Trials that make it fit, at most, and those after it does; what a second of broken rules costs meanwhile.
constexpr int most_trials = 240, trials_after = 30;
constexpr double penalty = 5;
/// By then what is broken must have become less by its share of the trials, give or take so much.
constexpr double behind_s = 100;
/// Afterwards so many trials as a share of those made go into a better order of what is done.
constexpr double order_share = 0.5;
constexpr double hottest_s = 60, coldest_s = 3;
/// Draws in vain that count as one trial.
constexpr int draws_a_trial = 50;
/// Breaking a rule costs more than anything.
constexpr double never_broken = 1e6;

}  // namespace

void Chain::choose(double share, double temperature, const std::atomic<bool>& stop) {
    const std::uint64_t begun = count_;
    if (!draw_choice(share))
        ++count_;
    else if (put_in(choice_.in()))
        take_if_it_fits(stop);
    const double trials = order_share * static_cast<double>(count_ - begun) + random_.unit();
    settle_order(static_cast<int>(trials), temperature);
}

/// Another choice for the current one, worth more or little less, for which there may be time.
bool Chain::draw_choice(double share) {
    const auto some = [this](double mean) { return -mean * std::log(1 - random_.unit()); };
    const double room_s = 2.0 * (problem_.limit - current_.score.finish) + some(tolerance_s);
    most_missing_ = decoder_.missing(current_.sequence.in) + some(loss_share * (1 - share) * average_weight_) - 1e-6;
    for (int i = 0; i < draws_a_trial; ++i)
        if (choice_.draw(current_.sequence.in, done_, left_out_, room_s, random_) &&
            decoder_.missing(choice_.in()) <= most_missing_)
            return true;
    return false;
}

/// Makes of the current plan one of these tasks, in trial_: each new one at the best of some places. False when too
/// much is broken.
bool Chain::put_in(const std::vector<std::uint8_t>& in) {
    trial_ = current_.sequence;
    Spot freed{-1, 0};
    for (const int task : terrain_.tasks) {
        const auto t = static_cast<std::size_t>(task);
        if (in[t] || !trial_.in[t]) continue;
        freed = {first_place(trial_, task), trial_.lead[t]};
        trial_.in[t] = 0;
        cut_block(trial_, task);
    }
    for (const int task : terrain_.tasks) {
        const auto t = static_cast<std::size_t>(task);
        if (!in[t] || trial_.in[t]) continue;
        trial_.in[t] = 1;
        without_ = trial_;
        trial_score_.violation = most_broken_s + 1;
        for (int i = 0; i < places; ++i) {
            put_ = without_;
            const Spot spot = i == 0 && freed.place >= 0 ? freed : spot_for(put_, task);
            put_.lead[t] = static_cast<std::uint8_t>(lead_for(task, spot.lead));
            insert_block(put_, task, spot.place);
            repair(problem_, put_.order);
            ++count_;
            const Score score = decoder_.decode(put_, std::min(trial_score_.violation, most_broken_s));
            if (score.violation > trial_score_.violation ||
                (score.violation == trial_score_.violation && score.finish >= trial_score_.finish))
                continue;
            trial_score_ = score;
            std::swap(trial_, put_);
        }
        if (trial_score_.violation > most_broken_s) return false;
    }
    return true;
}

/// Goes on from trial_ with an order that keeps the rules, or stays with the current plan when none is found in time.
void Chain::take_if_it_fits(const std::atomic<bool>& stop) {
    before_ = current_;
    const double most_loss = current_.score.loss() + most_missing_ - current_.score.missing;
    adopt(trial_, trial_score_, false);
    keeps_choice_ = true;
    const auto at_first = static_cast<double>(current_.score.violation);
    bool fits = current_.score.violation == 0;
    const int trials = fits ? trials_after : most_trials;
    for (int left = trials; left > 0 && !stop.load(std::memory_order_relaxed); --left) {
        const double rest = static_cast<double>(left) / trials;
        step(coldest_s + (hottest_s - coldest_s) * rest, penalty);
        ++count_;
        const auto broken = static_cast<double>(current_.score.violation);
        if (!fits && broken == 0) {
            fits = true;
            left = std::min(left, trials_after);
        }
        if (!fits && broken > at_first * rest + behind_s) break;
    }
    keeps_choice_ = false;
    if (current_.score.violation > 0 || current_.score.loss() > most_loss) restart_from(before_);
}

void Chain::settle_order(int trials, double temperature) {
    keeps_choice_ = true;
    for (; trials > 0; --trials, ++count_) step(temperature, never_broken);
    keeps_choice_ = false;
}

}  // namespace handrail::plan::detail
