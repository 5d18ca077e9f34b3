// How long do all ways on take after an entry, odds included?
//   cmake --preset bench && cmake --build --preset bench --target options_bench && build/bench/bench/options_bench 12
// Random outings of 40 tasks (tests/support/random_outing.h, invented). Each is planned, its first hours are lived a
// little late, and after every entry all options are worked out with their odds, as the server does. The number is how
// many outings; those without a plan are passed over.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>

#include "live/line.h"
#include "live/options.h"
#include "live/session.h"
#include "plan/planner.h"
#include "support/random_outing.h"

namespace {

using namespace handrail;
using Clock = std::chrono::steady_clock;

/// Time on the wall and time of the processor, all threads together: on a busy machine the second is the one to trust.
struct Took {
    double wall_ms = 0, processor_ms = 0;
    Took operator+(const Took& other) const { return {wall_ms + other.wall_ms, processor_ms + other.processor_ms}; }
};
class Watch {
public:
    Took took() const {
        return {std::chrono::duration<double, std::milli>(Clock::now() - wall_).count(),
                1000.0 * static_cast<double>(std::clock() - processor_) / CLOCKS_PER_SEC};
    }

private:
    Clock::time_point wall_ = Clock::now();
    std::clock_t processor_ = std::clock();
};

struct Measured {
    std::vector<Took> fold, options, odds, all;
    double value = 0;       ///< of the best option of each entry, summed
    std::size_t count = 0;  ///< options
};

void note(Measured& measured, const Outing& outing, const live::Day& day, Took fold) {
    const Watch thinking;
    auto options = live::options_of(outing, day);
    const Took thought = thinking.took();
    const Watch simulating;
    live::add_odds(outing, day, options);
    const Took simulated = simulating.took();
    if (options.empty()) return;
    measured.fold.push_back(fold);
    measured.options.push_back(thought);
    measured.odds.push_back(simulated);
    measured.all.push_back(fold + thought + simulated);
    double best = 0;
    for (const live::Option& option : options)
        if (option.required_left.size() <= options.front().required_left.size()) best = std::max(best, option.value);
    measured.value += best;
    measured.count += options.size();
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
        const Watch folding;
        const live::Day day = live::fold(outing, windows, entries, entries.back().entry.happened);
        note(measured, outing, day, folding.took());
    }
}

void row(const char* name, const std::vector<Took>& times) {
    if (times.empty()) return;
    const auto at = [&](double share, double Took::*which) {
        std::vector<double> sorted;
        for (const Took& one : times) sorted.push_back(one.*which);
        std::ranges::sort(sorted);
        return sorted[std::min(sorted.size() - 1,
                               static_cast<std::size_t>(share * static_cast<double>(sorted.size())))];
    };
    fmt::print("{:<22}", name);
    for (const auto which : {&Took::wall_ms, &Took::processor_ms})
        fmt::print(" {:>9.0f} {:>9.0f} {:>9.0f}", at(0.5, which), at(0.9, which), at(0.99, which));
    fmt::print("\n");
}

}  // namespace

int main(int count, char** arguments) {
    const std::uint64_t outings = count > 1 ? std::strtoull(arguments[1], nullptr, 10) : 12;
    Measured measured;
    for (std::uint64_t seed = 1; seed <= outings; ++seed) live_through(measured, seed);
    fmt::print("{} entries, {} options, best values {:.0f} in all\n", measured.all.size(), measured.count,
               measured.value);
    fmt::print("ms                      wall: p50       p90       p99  cpu: p50       p90       p99\n");
    row("state from the journal", measured.fold);
    row("all options", measured.options);
    row("their odds", measured.odds);
    row("together", measured.all);
    return 0;
}
