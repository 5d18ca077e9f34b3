// How long does it take to make every document of an outing of 60 steps? Budgets: 2 s for text and SVG, 10 s for PDFs.
// The outing is made from a seed (tests/support/random_outing.h) and planned once; its hard end and its suits are
// widened so that 60 steps fit. PDFs are made together, as `handrail brief --what all` makes them, and again one by
// one. With the name of a kind (`brief_bench director`): its text and SVG only.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <string>
#include <string_view>
#include <vector>

#include "brief/registry.h"
#include "live/session.h"
#include "plan/planner.h"
#include "support/random_outing.h"

namespace handrail {
namespace {

constexpr std::size_t wanted_steps = 60;

Outing long_outing(std::uint64_t seed) {
    Outing outing =
        test::random_outing(seed, {.fewest_worksites = 12, .most_worksites = 12, .fewest_tasks = 24, .most_tasks = 30});
    outing.rules.limit = std::chrono::hours{60};
    for (SuitType& suit : outing.suits) {
        if (suit.oxygen) suit.oxygen = Kilograms{100};
        if (suit.co2_capacity) suit.co2_capacity = Kilograms{100};
        if (suit.feedwater) suit.feedwater = Kilograms{1000};
        if (suit.battery) suit.battery = WattHours{100000};
        if (suit.breathing_gas) suit.breathing_gas = Litres{1e6};
    }
    for (Step& step : outing.steps) {
        step.during.clear();
        step.public_words = "They do this step, and this is what it is for.";
        step.crew_words = "Words for the crew, as long as they usually are in such a file.";
    }
    for (Task& task : outing.tasks) {
        task.starts_by.reset();
        task.ends_by.reset();
        task.why = "This is why the task is worth doing, in a sentence for everybody.";
    }
    return outing;
}

std::size_t steps_in(const Timeline& timeline) {
    return static_cast<std::size_t>(std::ranges::count(timeline.activities, ActivityKind::step, &Activity::kind));
}

double seconds_since(std::chrono::steady_clock::time_point begin) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

constexpr std::array readers{brief::Reader::iv, brief::Reader::ev1, brief::Reader::ev2, brief::Reader::arm};

/// Every document of a plan in the formats wanted, or those of one kind; cue sheets for everybody.
template <class Wish>
std::vector<brief::Wanted> wanted(const Wish& wish, std::string_view only = {}) {
    std::vector<brief::Wanted> list;
    for (const brief::DocumentKind& kind : brief::document_kinds()) {
        if (kind.needs_day || (!only.empty() && kind.id != only)) continue;
        for (const brief::Format format : kind.formats) {
            if (!wish(format)) continue;
            for (const brief::Reader reader : readers) {
                if (kind.id != "cue-sheet" && reader != readers.front()) continue;
                list.push_back({kind.id, {}});
                list.back().options.format = format;
                list.back().options.reader = reader;
            }
        }
    }
    return list;
}

/// Makes them one by one, prints each, and returns the sum.
double one_by_one(const brief::Subject& subject, const std::vector<brief::Wanted>& list) {
    double sum = 0;
    for (const brief::Wanted& one : list) {
        const auto begin = std::chrono::steady_clock::now();
        const brief::MadeOrNot made = brief::make_document(one.kind, subject, one.options);
        const double took = seconds_since(begin);
        sum += took;
        std::size_t bytes = 0;
        if (const auto* none = std::get_if<brief::NotMade>(&made))
            fmt::print("  {}.{}: {}\n", one.kind, extension(one.options.format), none->why);
        else
            for (const std::string& file : std::get<brief::Document>(made).files) bytes += file.size();
        fmt::print("  {:<11} .{:<5} {:>8.3f} s {:>9} bytes\n", one.kind, extension(one.options.format), took, bytes);
    }
    return sum;
}

double together(const brief::Subject& subject, const std::vector<brief::Wanted>& list) {
    const auto begin = std::chrono::steady_clock::now();
    for (const brief::MadeOrNot& made : brief::make_documents(subject, list))
        if (const auto* none = std::get_if<brief::NotMade>(&made)) fmt::print("  not made: {}\n", none->why);
    return seconds_since(begin);
}

int run(std::string_view only) {
    for (std::uint64_t seed = 1; seed < 200; ++seed) {
        const Outing outing = long_outing(seed);
        plan::Budget budget;
        budget.iterations = 1;
        budget.threads = 1;
        const auto planned = plan::make_plan(outing, outing.windows, plan::initial(outing), budget);
        const Timeline* timeline = std::get_if<Timeline>(&planned);
        if (timeline == nullptr || steps_in(*timeline) < wanted_steps) continue;
        fmt::print("brief_bench: {} steps (seed {}), {} activities\n", steps_in(*timeline), seed,
                   timeline->activities.size());
        const brief::Subject subject = brief::subject_of_plan(outing, outing.windows, *timeline);
        using brief::Format;
        const double light =
            one_by_one(subject, wanted([](Format f) { return f != Format::pdf && f != Format::png; }, only));
        if (!only.empty()) return 0;
        const auto pdfs = wanted([](Format f) { return f == Format::pdf; });
        const double paper = together(subject, pdfs), alone = one_by_one(subject, pdfs);
        const double pictures = one_by_one(subject, wanted([](Format f) { return f == Format::png; }));
        fmt::print(
            "text and SVG {:.2f} s (budget 2 s), PDF {:.2f} s together (budget 10 s), {:.2f} s one by one, "
            "PNG {:.2f} s\n",
            light, paper, alone, pictures);
        return 0;
    }
    fmt::print("no outing of {} steps was found\n", wanted_steps);
    return 1;
}

}  // namespace
}  // namespace handrail

int main(int argc, char** argv) { return handrail::run(argc > 1 ? argv[1] : ""); }
