#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <chrono>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>

#include "cli/commands.h"
#include "cli/day_backend.h"
#include "cli/terminal.h"
#include "outing/outing.h"
#include "plan/planner.h"
#include "serve/assets.h"
#include "serve/server.h"
#include "sky/windows.h"
#include "store/sqlite_journal.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string outing, journal, timeline, listen = "127.0.0.1", tokens, as_if, author = "lead";
    std::uint16_t port = 8460;
};

using Clock = std::function<Utc()>;

Utc system_now() { return std::chrono::floor<Milliseconds>(std::chrono::system_clock::now()); }

/// The real clock, or for practice one that shows `as_if` when the program starts.
Clock clock_of(const Options& options) {
    if (options.as_if.empty()) return system_now;
    const Utc begin = instant_or_fail(options.as_if, system_now());
    const auto started = std::chrono::steady_clock::now();
    return [begin, started] {
        return begin + std::chrono::floor<Milliseconds>(std::chrono::steady_clock::now() - started);
    };
}

Timeline timeline_of(const Outing& outing, const std::string& file) {
    if (!file.empty()) {
        Result<Timeline> read = read_timeline(outing, text_or_fail(file), file);
        if (!read) fail(read.errors());
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

/// A new journal whose first entry holds the outing's texts and the plan. Everything that can be wrong with them is
/// found before the file is made.
std::unique_ptr<store::Journal> new_journal(const std::filesystem::path& file, const Options& options, Utc now) {
    Result<OutingWithTexts> outing = read_outing_with_texts(options.outing);
    if (!outing) fail(outing.errors());
    const Timeline timeline = timeline_of(outing.value().outing, options.timeline);
    const live::Entry first = live::opening(outing.value(), options.outing, timeline, options.author, now);
    std::unique_ptr<store::Journal> journal = opened_or_fail(store::create_sqlite_journal(file));
    const auto done = journal->append(first, live::Position{0});
    if (const auto* error = std::get_if<store::StoreError>(&done)) fail(error->what);
    fmt::print(stderr, "New journal: {}\n", file.string());
    return journal;
}

Outing outing_in(store::Journal& journal, const std::filesystem::path& file) {
    const auto read = journal.read(live::Position{0});
    if (const auto* error = std::get_if<store::StoreError>(&read)) fail(error->what);
    if (const auto* tampered = std::get_if<store::Tampered>(&read)) fail(tampered->what);
    const auto outing = live::outing_of(std::get<std::vector<live::Recorded>>(read));
    if (const auto* trouble = std::get_if<std::string>(&outing)) fail(fmt::format("{}: {}", file.string(), *trouble));
    return std::get<Outing>(outing);
}

std::filesystem::path journal_file(const Options& options) {
    if (!options.journal.empty()) return options.journal;
    if (options.outing.empty()) fail("Name an outing file to open a new day, or --journal FILE to go on with one.");
    return std::filesystem::path(options.outing).replace_extension(".handrail");
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
    const Clock clock = clock_of(options);
    serve::ServerOptions how;
    how.listen = options.listen;
    how.port = options.port;
    how.tokens = tokens_of(options.tokens);
    how.practice_clock = !options.as_if.empty();
    const std::filesystem::path file = journal_file(options);
    std::error_code ignored;
    const bool there = std::filesystem::exists(file, ignored);
    if (!there && options.outing.empty())
        fail(fmt::format("{}: there is no such journal; name an outing file to open a new day.", file.string()));
    try {
        std::unique_ptr<store::Journal> journal =
            there ? opened_or_fail(store::open_sqlite_journal(file)) : new_journal(file, options, clock());
        Outing outing = outing_in(*journal, file);
        DayBackend backend(std::move(journal), std::move(outing));
        serve::Server server(std::move(how), backend, clock);
        if (!serve::console_built())
            fmt::print(stderr,
                       "The console page was not built into this program; only the interface under /api/v1 is served. "
                       "Run ./start, or npm --prefix web ci && npm --prefix web run build, then build again.\n");
        if (there) fmt::print(stderr, "Going on with the journal {}\n", file.string());
        fmt::print("{}\n{}\n", server.address(), caution);
        std::fflush(stdout);
        server.run(serve::StopOn::signals);
        fmt::print(stderr, "Ended; every acknowledged entry is in {}\n", file.string());
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
    command->add_option(
        "--as-if", options->as_if,
        "for practice: start the clock at this UTC instant; every page says that it is not the present");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
