// How long do all ways on take after an entry, odds included?
//   cmake --preset bench && cmake --build --preset bench --target options_bench && build/bench/bench/options_bench 12
// Random outings of 40 tasks (tests/support/random_outing.h, invented). Each is planned, its first hours are lived a
// little late, and after every entry all options are worked out with their odds, as the server does. The number is how
// many outings; those without a plan are passed over.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>

#include "live/line.h"
#include "live/options.h"
#include "live/session.h"
#include "plan/planner.h"
#include "support/random_outing.h"

namespace {

using namespace handrail;
using Clock = std::chrono::steady_clock;

double ms_since(Clock::time_point begin) {
    return std::chrono::duration<double, std::milli>(Clock::now() - begin).count();
}

struct Measured {
    std::vector<double> fold, options, odds, all;
};

void note(Measured& measured, const Outing& outing, const live::Day& day, double fold_ms) {
    auto begin = Clock::now();
    auto options = live::options_of(outing, day);
    const double options_ms = ms_since(begin);
    begin = Clock::now();
    live::add_odds(outing, day, options);
    const double odds_ms = ms_since(begin);
    if (options.empty()) return;
    measured.fold.push_back(fold_ms);
    measured.options.push_back(options_ms);
    measured.odds.push_back(odds_ms);
    measured.all.push_back(fold_ms + options_ms + odds_ms);
}

void live_through(Measured& measured, std::uint64_t seed) {
    test::RandomSize size;
    size.fewest_tasks = size.most_tasks = 40;
    size.fewest_worksites = size.most_worksites = 12;
    const Outing outing = test::random_outing(seed, size);
    plan::Budget budget;
    budget.iterations = 4000;
    auto planned = plan::make_plan(outing, outing.windows, plan::initial(outing), budget);
    if (!std::holds_alternative<Timeline>(planned)) return;
    const Timeline plan = std::get<Timeline>(std::move(planned));

    const live::WindowSource windows = live::windows_for(outing);
    std::vector<live::Recorded> entries;
    const auto add = [&](Pet at, live::Body body) {
        live::Entry entry;
        entry.logged = entry.happened = to_utc(at, plan.pet_zero);
        entry.author = "bench";
        entry.body = std::move(body);
        entries.push_back({live::Position{entries.size() + 1}, std::move(entry), {}});
    };
    add(Pet{}, live::OutingOpened{outing.name, outing.fingerprint, "", plan.pet_zero, to_json(outing, plan), {}});
    add(Pet{}, live::PetZero{});
    constexpr std::size_t entries_each = 24;
    Seconds late{0};
    for (const Activity& activity : plan.activities) {
        if (!activity.step || entries.size() > entries_each) continue;
        late += Seconds{40};
        add(activity.start + late, live::StepStarted{outing.step(*activity.step).label, std::nullopt});
        const auto begin = Clock::now();
        const live::Day day = live::fold(outing, windows, entries, entries.back().entry.happened);
        note(measured, outing, day, ms_since(begin));
    }
}

void row(const char* name, std::vector<double> times) {
    if (times.empty()) return;
    std::ranges::sort(times);
    const auto at = [&](double share) {
        return times[std::min(times.size() - 1, static_cast<std::size_t>(share * static_cast<double>(times.size())))];
    };
    fmt::print("{:<22} {:>9.0f} {:>9.0f} {:>9.0f}\n", name, at(0.5), at(0.9), at(0.99));
}

}  // namespace

int main(int count, char** arguments) {
    const std::uint64_t outings = count > 1 ? std::strtoull(arguments[1], nullptr, 10) : 12;
    Measured measured;
    for (std::uint64_t seed = 1; seed <= outings; ++seed) live_through(measured, seed);
    fmt::print("{} entries\nms                           p50       p90       p99\n", measured.all.size());
    row("state from the journal", measured.fold);
    row("all options", measured.options);
    row("their odds", measured.odds);
    row("together", measured.all);
    return 0;
}
