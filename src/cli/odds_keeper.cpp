#include "cli/odds_keeper.h"

#include <sys/resource.h>

namespace handrail::cli {
namespace {

/// A step that runs over eats into the odds without any entry, and deadlines are told to the minute.
constexpr Seconds kept{60};

}  // namespace

OddsKeeper::OddsKeeper(const Outing& outing)
    : outing_(outing), worker_([this](const std::stop_token& stop) { work(stop); }) {}

void OddsKeeper::want(const live::Day& day, const live::Forecast& forecast) {
    {
        const std::lock_guard lock(mutex_);
        if (asked_ && asked_->position == day.position && day.now - asked_->now < kept) return;
        asked_ = Asked{day.position, day.now};
        wish_ = Wish{day, forecast};
    }
    wished_.notify_one();
}

std::optional<live::OddsNow> OddsKeeper::latest() const {
    const std::lock_guard lock(mutex_);
    return latest_;
}

void OddsKeeper::work(const std::stop_token& stop) {
    // Odds may be a second late; telling an entry to everyone may not. On Linux this counts for this thread alone.
    ::setpriority(PRIO_PROCESS, 0, 10);
    std::unique_lock lock(mutex_);
    while (wished_.wait(lock, stop, [this] { return wish_.has_value(); })) {
        const Wish wish = std::move(*wish_);
        wish_.reset();
        lock.unlock();
        // One thread: the other cores belong to those who wait for an answer.
        auto odds = live::odds_now(outing_, wish.day, wish.forecast, live::WithGates::yes, 1);
        lock.lock();
        latest_ = std::move(odds);
    }
}

}  // namespace handrail::cli
