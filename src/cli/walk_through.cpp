#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <memory>

#include "brief/walk_through.h"
#include "cli/commands.h"
#include "cli/terminal.h"
#include "cli/walk_page.h"
#include "plan/planner.h"
#include "sky/windows.h"
#include "timeline/timeline.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, timeline, out, words = "public";
    bool json = false;
};

// Enough for the demo outings to stop improving (measured); the same plan on every machine.
constexpr std::uint64_t plan_iterations = 20'000;

Timeline given_or_fail(const Outing& outing, const std::string& file) {
    Result<Timeline> read = read_timeline(outing, text_or_fail(file), file);
    if (!read) fail(read.errors());
    Timeline timeline = std::move(read).value();
    // Played with another station or other tasks, a plan would show what nobody planned.
    if (timeline.fingerprint != outing.fingerprint)
        fail(
            fmt::format("{}: this plan was made from another state of the outing file; plan again, then make the "
                        "walk-through.",
                        file));
    return timeline;
}

WindowTable windows_or_fail(const Outing& outing, Utc pet_zero) {
    Result<WindowTable> windows = sky::windows_of(outing, pet_zero);
    if (!windows) fail(windows.errors());
    return std::move(windows).value();
}

Timeline planned(const Outing& outing, const WindowTable& windows) {
    fmt::print(stderr, "No --timeline given: planning with seed 1 and {} iterations.\n", plan_iterations);
    plan::Budget budget;
    budget.iterations = plan_iterations;
    auto found = plan::make_plan(outing, windows, plan::initial(outing), budget);
    if (const auto* none = std::get_if<plan::NoPlan>(&found)) {
        fmt::print(stderr, "No plan was found that does every required task and keeps every rule:\n");
        for (const std::string& reason : none->reasons) fmt::print(stderr, "- {}\n", reason);
        throw Exit{1};
    }
    return std::get<Timeline>(std::move(found));
}

void run(const Options& options) {
    if (!options.json && !options.out.ends_with(".html") && options.out != "-")
        fail(fmt::format("--out {}: a walk-through is one HTML page; end the file name with .html.", options.out));
    const Outing outing = outing_or_fail(options.file);
    std::optional<Timeline> timeline;
    if (!options.timeline.empty()) timeline = given_or_fail(outing, options.timeline);
    const WindowTable windows = windows_or_fail(outing, timeline ? timeline->pet_zero : outing.pet_zero);
    if (!timeline) timeline = planned(outing, windows);
    const std::string walk =
        brief::walk_through_json(outing, windows, *timeline,
                                 options.words == "crew" ? brief::CaptionWords::crew : brief::CaptionWords::everyone);
    if (options.json) return write_or_fail(options.out, walk + "\n");
    const std::optional<std::string> page = walk_page(outing, walk);
    if (!page)
        fail(
            "This program was built without the console's pages, and the walk-through needs their player: run "
            "./start --build-only, then try again.");
    write_or_fail(options.out, *page);
    if (options.words == "crew")
        fmt::print(stderr, "In the crew's words, with hazards and items: not meant to be handed out to the public.\n");
}

}  // namespace

void add_walk_through(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand(
        "walk-through", "The plan played on a map of the station, as one page that needs no network");
    command->footer(
        "Example: handrail walk-through demo/larkspur/outing.toml --timeline plan.json --out walk-through.html\n"
        "The page opens from disk and asks nobody for anything. In the public's words (the default) it holds only "
        "what the outing file says in words for the public, and the plan's times and places.");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--timeline", options->timeline, "the plan (JSON); without it the outing is planned first");
    command->add_option("-o,--out", options->out, "file to write (.html; - is stdout)")->required();
    command->add_option("--words", options->words, "captions in the words for the public (default) or for the crew")
        ->check(CLI::IsMember({"public", "crew"}));
    command->add_flag("--json", options->json, "write what the page is made from instead, as JSON");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
