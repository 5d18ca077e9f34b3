#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include <cstdio>

#include "check/check.h"
#include "cli/commands.h"
#include "cli/day.h"
#include "cli/terminal.h"
#include "live/session.h"
#include "sky/windows.h"
#include "store/journals.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string outing, timeline, journal, author, at;
    bool anyway = false;
};

void run(const Options& options) {
    Result<OutingWithTexts> read = read_outing_with_texts(options.outing);
    if (!read) fail(read.errors());
    const OutingWithTexts source = std::move(read).value();
    const Outing& outing = source.outing;
    const auto timeline = read_timeline(outing, text_or_fail(options.timeline), options.timeline);
    if (!timeline) fail(timeline.errors());
    const Timeline& plan = timeline.value();
    if (plan.fingerprint != outing.fingerprint && !options.anyway)
        fail(fmt::format(
            "{}: this timeline was made from another version of the outing file; plan again, or add --anyway "
            "to open the day with it all the same.",
            options.timeline));
    const auto windows = sky::windows_of(outing, plan.pet_zero);
    if (!windows) fail(windows.errors());
    const auto findings = check(outing, windows.value(), plan);

    const Utc now = options.at.empty() ? moment_or_fail("", {}, plan.pet_zero, plan.pet_zero)
                                       : instant_or_fail(options.at, plan.pet_zero);
    const std::string path = std::filesystem::absolute(options.outing).lexically_normal().string();
    const live::Entry first = live::opening(source, path, plan, author_or_user(options.author), now);
    if (!live::can_be_written(first)) fail("the outing's name or path is not UTF-8 text; rename it.");
    auto created = store::create_journal(options.journal);
    if (const auto* error = std::get_if<store::StoreError>(&created)) fail(error->what);
    const auto appended = std::get<0>(created)->append(first, live::Position{0});
    if (const auto* error = std::get_if<store::StoreError>(&appended)) fail(error->what);
    fmt::print("{}: the day of {} is open; planned PET zero {}, both in at PET {}.\n", store::shown(options.journal),
               outing.name, print_utc(plan.pet_zero), print_pet(plan.finish()));
    fmt::print("The journal will hold medical entries; see to it that only those who may can read {}.\n{}\n",
               store::is_file(options.journal) ? "the file (it is its owner's alone now)" : "the database", caution);
    if (any_broken(findings)) fmt::print(stderr, "The timeline breaks rules; handrail check names them.\n");
}

}  // namespace

void add_open(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("open", "Open the day: a new journal for an outing and its plan");
    command->footer("Example: handrail open demo/larkspur/outing.toml --timeline plan.json --journal day.journal");
    command->add_option("outing", options->outing, "outing file (TOML)")->required();
    command->add_option("--timeline", options->timeline, "the plan in force (JSON, from handrail plan)")->required();
    command
        ->add_option("--journal", options->journal,
                     "the journal to make: a file, or postgresql://user@host/database#name")
        ->required();
    command->add_option("--author", options->author, "who writes (default: whoever is logged in)");
    command->add_option("--at", options->at, "the moment: UTC, or PET of the plan");
    command->add_flag("--anyway", options->anyway, "take a timeline made from another version of the outing file");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
