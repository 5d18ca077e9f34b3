#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <memory>

#include "brief/risk_chart.h"
#include "cli/commands.h"
#include "cli/terminal.h"
#include "plan/planner.h"
#include "risk/odds.h"
#include "sky/windows.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, timeline, chart;
    std::uint32_t runs = 100'000;
    std::uint64_t seed = 1;
    int threads = 0;
    double confidence = 0;
    bool json = false, no_gates = false;
};

/// The plan when no timeline is given: so many iterations rather than so much time, so that it is the same everywhere.
constexpr std::uint64_t iterations = 20'000;

Timeline timeline_or_fail(const Options& options, const Outing& outing, const WindowTable& windows) {
    if (!options.timeline.empty()) {
        auto read = read_timeline(outing, text_or_fail(options.timeline), options.timeline);
        if (!read) fail(read.errors());
        return std::move(read).value();
    }
    plan::Budget budget;
    budget.iterations = iterations;
    const auto planned = plan::make_plan(outing, windows, plan::initial(outing), budget);
    if (const auto* timeline = std::get_if<Timeline>(&planned)) return *timeline;
    fmt::print(stderr, "No plan was found that does every required task and keeps every rule:\n");
    for (const std::string& reason : std::get<plan::NoPlan>(planned).reasons) fmt::print(stderr, "- {}\n", reason);
    throw Exit{1};
}

void write_chart(const std::string& file, const std::vector<brief::Canvas>& pages) {
    const std::filesystem::path path(file);
    if (path.extension() == ".pdf") return write_or_fail(path, brief::pdf(pages, pages.front().title()));
    // A picture file holds one page; the second gets a number before the ending.
    for (std::size_t i = 0; i < pages.size(); ++i) {
        std::filesystem::path page = path;
        if (i > 0)
            page.replace_filename(fmt::format("{}-{}{}", path.stem().string(), i + 1, path.extension().string()));
        write_or_fail(page, path.extension() == ".svg" ? pages[i].svg() : pages[i].png(2.08));
    }
}

void run(const Options& options) {
    const std::string ending = std::filesystem::path(options.chart).extension().string();
    if (!options.chart.empty() && ending != ".svg" && ending != ".png" && ending != ".pdf")
        fail(fmt::format("--chart: expected a file ending with .svg, .png or .pdf, found \"{}\".", options.chart));
    Outing outing = outing_or_fail(options.file);
    if (options.confidence > 0) outing.risk.confidence = Fraction{options.confidence / 100};
    const auto windows = sky::windows_of(outing, outing.pet_zero);
    if (!windows) fail(windows.errors());
    const Timeline timeline = timeline_or_fail(options, outing, windows.value());
    if (timeline.fingerprint != outing.fingerprint)
        fmt::print(stderr, "Note: this timeline was made from another version of the outing file.\n");
    risk::Options asked;
    asked.runs = options.runs;
    asked.seed = options.seed;
    asked.threads = options.threads;
    asked.gates = !options.no_gates;
    const risk::Odds odds = risk::odds_of(outing, windows.value(), timeline, asked);
    if (!options.chart.empty()) write_chart(options.chart, brief::risk_chart(outing, odds));
    fmt::print("{}", options.json ? risk::to_json(outing, odds) + "\n" : risk::print_odds(outing, odds));
}

}  // namespace

void add_risk(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command =
        app.add_subcommand("risk", "How fragile a plan is: odds, what they hang on, and decision gates");
    command->footer(
        "Example: handrail risk demo/larkspur/outing.toml --timeline plan.json --chart odds.pdf\n"
        "Without --timeline a plan is made first.");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--timeline", options->timeline, "the plan to look at (JSON, from handrail plan --out)");
    command->add_option("--runs", options->runs, "simulated outings (default 100000)")
        ->check(CLI::Range(100, 10'000'000));
    command->add_option("--seed", options->seed, "seed of the simulation (default 1)");
    command->add_option("--threads", options->threads, "threads to use (default: one per core)")
        ->check(CLI::Range(0, 256));
    command->add_option("--confidence", options->confidence, "for the gates, in per cent (default: the outing's)")
        ->check(CLI::Range(50.0, 99.9));
    command->add_flag("--no-gates", options->no_gates, "no gates: leave out and start home by likely times");
    command->add_option("--chart", options->chart, "draw odds, drivers and gates: .svg, .png or .pdf");
    command->add_flag("--json", options->json, "print JSON instead of tables");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
