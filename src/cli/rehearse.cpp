#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <thread>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/day_backend.h"
#include "cli/rehearsal_desk.h"
#include "cli/terminal.h"
#include "plan/planner.h"
#include "rehearse/auto_lead.h"
#include "rehearse/debrief.h"
#include "serve/server.h"
#include "sky/windows.h"
#include "store/sqlite_journal.h"

namespace handrail::cli {
namespace {

using rehearse::Rehearsal;

struct Options {
    std::string outing, timeline, trouble = "medium", lead, journal, author, out, format = "text";
    std::uint64_t seed = 1;
    double speed = 1;
    int port = -1;
    bool json = false, hints = false, no_gates = false;
};

Timeline timeline_of(const Options& options, const Outing& outing, const WindowTable& windows) {
    if (!options.timeline.empty()) {
        auto read = read_timeline(outing, text_or_fail(options.timeline), options.timeline);
        if (!read) fail(read.errors());
        if (read.value().fingerprint != outing.fingerprint)
            fail(fmt::format("{}: this timeline was made from another version of the outing file; plan again.",
                             options.timeline));
        return std::move(read).value();
    }
    // So many iterations and not so much time: the same seed is the same rehearsal on any machine.
    constexpr std::uint64_t iterations = 4000;
    fmt::print(stderr, "Planning {}; give --timeline FILE to rehearse a plan you have.\n", outing.name);
    plan::Budget budget;
    budget.iterations = iterations;
    auto planned = plan::make_plan(outing, windows, plan::initial(outing), budget);
    if (const auto* none = std::get_if<plan::NoPlan>(&planned)) {
        fmt::print(stderr, "No plan was found that does every required task and keeps every rule:\n");
        for (const std::string& reason : none->reasons) fmt::print(stderr, "- {}\n", reason);
        throw Exit{1};
    }
    return std::get<Timeline>(std::move(planned));
}

/// The decision times to agree on beforehand: what `handrail risk` gives for this plan.
std::vector<risk::Gate> gates_of(const Outing& outing, const WindowTable& windows, const Timeline& plan) {
    risk::Options how;
    how.runs = 4096;
    how.explain = false;
    return risk::odds_of(outing, windows, plan, how).gates;
}

void write_debrief(const Options& options, const Rehearsal& rehearsal, const std::vector<risk::Gate>& gates) {
    rehearse::DebriefOptions how;
    how.gates = gates;
    const rehearse::Debrief debrief = rehearse::debrief(rehearsal, how);
    const Outing& outing = rehearsal.outing();
    const std::string json = rehearse::to_json(outing, debrief) + "\n";
    const std::string text = rehearse::print(outing, debrief);
    if (!options.out.empty()) {
        const bool markdown = options.out.ends_with(".md");
        write_or_fail(options.out, options.out.ends_with(".json") ? json
                                   : markdown                     ? rehearse::to_markdown(outing, debrief)
                                                                  : text);
    }
    fmt::print("{}", options.json ? json : text);
}

std::unique_ptr<store::Journal> new_journal(const std::string& file) {
    auto created = store::create_sqlite_journal(file);
    if (const auto* error = std::get_if<store::StoreError>(&created)) fail(error->what);
    return std::get<0>(std::move(created));
}

std::string journal_file(const Options& options) {
    if (!options.journal.empty()) return options.journal;
    return (std::filesystem::temp_directory_path() /
            fmt::format("handrail-rehearsal-{}-{}.journal", options.seed, clock_now().time_since_epoch().count()))
        .string();
}

void run_alone(const Options& options, Rehearsal& rehearsal, const std::vector<risk::Gate>& gates) {
    const auto policy = rehearse::policy_named(options.lead);
    if (!policy) fail(fmt::format("--auto: expected press-on, follow or adapt, found \"{}\".", options.lead));
    rehearse::lead_automatically(rehearsal, *policy);
    if (!options.journal.empty()) {
        const auto journal = new_journal(options.journal);
        for (const live::Recorded& recorded : rehearsal.entries()) {
            const auto done = journal->append(recorded.entry, live::Position{number(recorded.position) - 1});
            if (const auto* error = std::get_if<store::StoreError>(&done)) fail(error->what);
        }
    }
    write_debrief(options, rehearsal, gates);
}

void run_at_the_desk(const Options& options, Rehearsal& rehearsal, const std::vector<risk::Gate>& gates) {
    const std::string file = journal_file(options);
    DeskOptions how;
    how.speed = options.speed;
    how.hints = options.hints;
    how.notes = options.port >= 0;
    RehearsalDesk desk(rehearsal, new_journal(file), how);
    fmt::print("Rehearsal of {}: trouble {}, seed {}. Journal: {}\n", rehearsal.outing().name, options.trouble,
               options.seed, file);
    for (const risk::Gate& gate : gates)
        fmt::print("  agreed: {}\n",
                   risk::sentence(rehearsal.outing(), gate, rehearsal.outing().risk.confidence.value()));
    if (options.port < 0) {
        desk.run();
    } else {
        serve::ServerOptions server_options;
        server_options.port = static_cast<std::uint16_t>(options.port);
        server_options.practice_clock = true;
        serve::Server server(std::move(server_options));
        auto opened = store::open_sqlite_journal(file);
        if (const auto* error = std::get_if<store::StoreError>(&opened)) fail(error->what);
        DayBackend backend(std::get<0>(std::move(opened)), rehearsal.outing());
        fmt::print("Console: {}\n", server.address());
        std::jthread serving([&] {
            server.run(
                backend, [&] { return desk.clock(); }, serve::StopOn::nothing);
        });
        try {
            desk.run();
        } catch (...) {
            server.stop();
            throw;
        }
        server.stop();
    }
    write_debrief(options, rehearsal, gates);
}

void run(const Options& options) {
    const auto level = rehearse::level_named(options.trouble);
    if (!level) fail(fmt::format("--trouble: expected none, mild, medium or severe, found \"{}\".", options.trouble));
    constexpr double fastest = 60;
    if (!(options.speed >= 1 && options.speed <= fastest))
        fail(fmt::format("--speed: expected a number from 1 to {:g}, found {:g}.", fastest, options.speed));
    Result<OutingWithTexts> read = read_outing_with_texts(options.outing);
    if (!read) fail(read.errors());
    OutingWithTexts source = std::move(read).value();
    const auto windows = sky::windows_of(source.outing, source.outing.pet_zero);
    if (!windows) fail(windows.errors());
    Timeline plan = timeline_of(options, source.outing, windows.value());
    const std::vector<risk::Gate> gates =
        options.no_gates ? std::vector<risk::Gate>{} : gates_of(source.outing, windows.value(), plan);
    rehearse::Setup setup;
    setup.level = *level;
    setup.seed = options.seed;
    setup.author = author_or_user(options.author);
    Rehearsal rehearsal(std::move(source), std::move(plan), setup);
    try {
        if (options.lead.empty())
            run_at_the_desk(options, rehearsal, gates);
        else
            run_alone(options, rehearsal, gates);
    } catch (const serve::CannotListen& error) {
        fail(error.sentence);
    }
}

}  // namespace

void add_rehearse(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command =
        app.add_subcommand("rehearse", "Practise: a simulated outing that you lead, with trouble, and a debrief");
    command->footer("Example: handrail rehearse demo/larkspur/outing.toml --trouble medium --seed 7 --speed 20\n\n" +
                    std::string(desk_help()));
    command->add_option("outing", options->outing, "outing file (TOML)")->required();
    command->add_option("--timeline", options->timeline, "the plan (JSON, from handrail plan; default: plan now)");
    command->add_option("--trouble", options->trouble, "none, mild, medium (default) or severe");
    command->add_option("--seed", options->seed, "which day: the same seed brings the same luck (default 1)");
    command->add_option("--speed", options->speed, "how fast the clock runs, 1 (default) to 60");
    command->add_option("--auto", options->lead,
                        "nobody leads: press-on, follow or adapt decides by its simple rule (docs/rehearsal.md)");
    command->add_option("--journal", options->journal, "the journal to make (default: one in the temporary folder)");
    command->add_option("--serve", options->port, "show the day on the console at this port too (0: any free one)")
        ->check(CLI::Range(0, 65535));
    command->add_option("--out", options->out, "write the debrief to this file too (.md, .json or text)");
    command->add_option("--author", options->author, "who leads (default: whoever is logged in)");
    command->add_flag("--hints", options->hints, "show the entry line that would record each call");
    command->add_flag("--no-gates", options->no_gates, "agree on no decision times beforehand (starts sooner)");
    command->add_flag("--json", options->json, "print the debrief as JSON");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
