#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <CLI/CLI.hpp>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>

#include "cli/commands.h"
#include "cli/day.h"
#include "cli/day_backend.h"
#include "cli/terminal.h"
#include "outing/outing.h"
#include "plan/planner.h"
#include "serve/assets.h"
#include "serve/server.h"
#include "sky/windows.h"
#include "store/journals.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string outing, journal, timeline, listen = "127.0.0.1", tokens, as_if, author = "lead";
    std::uint16_t port = 8460;
    bool practice = false;
};

using Clock = std::function<Utc()>;

// Suit checks and egress lie within this time after the page is opened for practice.
constexpr auto practice_lead = std::chrono::minutes{15};
constexpr auto same_day = std::chrono::hours{48};

/// A clock that shows `begin` now and then runs as any other.
Clock clock_from(Utc begin) {
    const auto started = std::chrono::steady_clock::now();
    return [begin, started] {
        return begin + std::chrono::floor<Milliseconds>(std::chrono::steady_clock::now() - started);
    };
}

/// The real clock, unless practice was asked for. `planned` is the PET zero of the outing's plan; `entries` are those
/// of a journal that is gone on with.
Clock clock_of(const Options& options, Utc planned, std::span<const live::Recorded> entries) {
    if (!options.as_if.empty()) return clock_from(live::moment(entries, instant_or_fail(options.as_if, planned)));
    if (options.practice) return clock_from(live::moment(entries, planned - practice_lead));
    if (std::chrono::abs(clock_now() - planned) > same_day)
        fmt::print(
            stderr,
            "The outing is planned for {}, the clock says {}. To practise it now, add --practice: the clock then "
            "starts shortly before PET zero.\n",
            print_utc(planned), print_utc(std::chrono::floor<std::chrono::seconds>(clock_now())));
    return clock_now;
}

Timeline timeline_of(const Outing& outing, const std::string& file) {
    if (!file.empty()) {
        Result<Timeline> read = read_timeline(outing, text_or_fail(file), file);
        if (!read) fail(read.errors());
        if (read.value().fingerprint != outing.fingerprint)
            fail(fmt::format("{}: this timeline was made from another version of the outing file; plan again.", file));
        return std::move(read).value();
    }
    fmt::print(stderr, "Planning {} for two seconds; give --timeline FILE to use a plan you have.\n", outing.name);
    const auto windows = sky::windows_of(outing, outing.pet_zero);
    if (!windows) fail(windows.errors());
    plan::Budget budget;
    budget.time = std::chrono::seconds{2};
    const auto planned = plan::make_plan(outing, windows.value(), plan::initial(outing), budget);
    if (const auto* none = std::get_if<plan::NoPlan>(&planned)) {
        fmt::print(stderr, "No plan was found that does every required task and keeps every rule:\n");
        for (const std::string& reason : none->reasons) fmt::print(stderr, "- {}\n", reason);
        throw Exit{1};
    }
    return std::get<Timeline>(planned);
}

std::unique_ptr<store::Journal> opened_or_fail(
    std::variant<std::unique_ptr<store::Journal>, store::StoreError> opened) {
    if (const auto* error = std::get_if<store::StoreError>(&opened)) fail(error->what);
    return std::get<std::unique_ptr<store::Journal>>(std::move(opened));
}

/// A journal with its outing, and the clock its day runs by.
struct Opened {
    std::unique_ptr<store::Journal> journal;
    Outing outing;
    Clock clock;
};

/// A new journal whose first entry holds the outing's texts and the plan. Everything that can be wrong with them is
/// found before the file is made.
Opened new_day(const std::string& file, const Options& options) {
    Result<OutingWithTexts> read = read_outing_with_texts(options.outing);
    if (!read) fail(read.errors());
    OutingWithTexts source = std::move(read).value();
    const Timeline timeline = timeline_of(source.outing, options.timeline);
    const Clock clock = clock_of(options, timeline.pet_zero, {});
    const std::string path = std::filesystem::absolute(options.outing).lexically_normal().string();
    const live::Entry first = live::opening(source, path, timeline, options.author, clock());
    if (!live::can_be_written(first)) fail("The outing's name, its path or the author is not UTF-8 text; rename it.");
    std::unique_ptr<store::Journal> journal = opened_or_fail(store::create_journal(file));
    const auto done = journal->append(first, live::Position{0});
    if (const auto* error = std::get_if<store::StoreError>(&done)) fail(error->what);
    fmt::print(stderr, "New journal: {}\n", store::shown(file));
    return {std::move(journal), std::move(source.outing), clock};
}

Opened old_day(const std::string& file, const Options& options) {
    std::unique_ptr<store::Journal> journal = opened_or_fail(store::open_journal(file));
    const auto read = journal->read(live::Position{0});
    if (const auto* error = std::get_if<store::StoreError>(&read)) fail(error->what);
    if (const auto* tampered = std::get_if<store::Tampered>(&read)) fail(tampered->what);
    const auto& entries = std::get<std::vector<live::Recorded>>(read);
    auto outing = live::outing_of(entries);
    if (const auto* trouble = std::get_if<std::string>(&outing))
        fail(fmt::format("{}: {}", store::shown(file), *trouble));
    fmt::print(stderr, "Going on with the journal {}\n", store::shown(file));
    Outing kept = std::get<Outing>(std::move(outing));
    const Utc planned = kept.pet_zero;
    return {std::move(journal), std::move(kept), clock_of(options, planned, entries)};
}

std::string journal_file(const Options& options) {
    if (!options.journal.empty()) return options.journal;
    if (options.outing.empty()) fail("Name an outing file to open a new day, or --journal FILE to go on with one.");
    return std::filesystem::path(options.outing).replace_extension(".handrail").string();
}

std::optional<serve::Tokens> tokens_of(const std::string& file) {
    if (file.empty()) return std::nullopt;
    Result<serve::Tokens> tokens = serve::Tokens::read(text_or_fail(file), file);
    if (!tokens) fail(tokens.errors());
    std::error_code ignored;
    using std::filesystem::perms;
    const perms mode = std::filesystem::status(file, ignored).permissions();
    if ((mode & (perms::group_read | perms::others_read)) != perms::none)
        fail(fmt::format("{}: others on this machine can read the tokens in it; run \"chmod 600 {}\" first.", file,
                         file));
    return std::move(tokens).value();
}

void run(const Options& options) {
    serve::ServerOptions how;
    how.listen = options.listen;
    how.port = options.port;
    how.tokens = tokens_of(options.tokens);
    how.practice_clock = options.practice || !options.as_if.empty();
    const std::string file = journal_file(options);
    const auto found = store::journal_is_there(file);
    if (const auto* error = std::get_if<store::StoreError>(&found)) fail(error->what);
    const bool there = std::get<bool>(found);
    if (!there && options.outing.empty())
        fail(fmt::format("{}: there is no such journal; name an outing file to open a new day.", store::shown(file)));
    try {
        // The port first: whoever cannot serve has not made a journal either.
        serve::Server server(std::move(how));
        Opened day = there ? old_day(file, options) : new_day(file, options);
        DayBackend backend(std::move(day.journal), std::move(day.outing));
        if (!serve::console_built())
            fmt::print(stderr,
                       "The console page was not built into this program; only the interface under /api/v1 is served. "
                       "Run ./start, or npm --prefix web ci && npm --prefix web run build, then build again.\n");
        fmt::print("{}\n{}\n", server.address(), caution);
        std::fflush(stdout);
        server.run(backend, day.clock, serve::StopOn::signals);
        fmt::print(stderr, "Ended; every acknowledged entry is in {}\n", store::shown(file));
    } catch (const serve::CannotListen& error) {
        fail(error.sentence);
    }
}

}  // namespace

void add_serve(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("serve", "Keep the record of a day and show it in the browser");
    command->footer("Example: handrail serve demo/larkspur/outing.toml --timeline plan.json --port 8460");
    command->add_option("outing", options->outing, "outing file; only needed for a new journal");
    command->add_option(
        "--journal", options->journal,
        "journal of the day, made when it is not there (default: the outing file's name with .handrail)");
    command->add_option("--timeline", options->timeline, "the plan for a new journal (default: plan now)");
    command->add_option("--port", options->port, "port (default 8460; 0: any free one)");
    command->add_option("--listen", options->listen,
                        "IP address to listen on (default 127.0.0.1); one that others can reach needs --tokens");
    command->add_option("--tokens", options->tokens,
                        "file with lines \"lead TOKEN\", \"console TOKEN\", \"medical TOKEN\", \"public TOKEN\"");
    command->add_option("--author", options->author, "who opens a new journal (default lead)");
    command->add_flag("--practice", options->practice,
                      "start the clock shortly before PET zero, or at the last entry; every page says that it does not "
                      "show the present");
    command->add_option("--as-if", options->as_if, "the same, with the clock started at this UTC instant or PET");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
