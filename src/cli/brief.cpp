#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <array>
#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "brief/registry.h"
#include "cli/commands.h"
#include "cli/documents.h"
#include "cli/terminal.h"
#include "plan/planner.h"
#include "sky/windows.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, what, timeline, before, out, reader = "iv", sheet = "a3", now, at, per = "group";
    std::optional<std::string> verify;
    DocumentWishes wishes;
    double scale = 0, minutes = 0, pace = brief::usual_pace;
    bool trace = false;
};

// Enough for the demo outings to stop improving (measured); the same plan on every machine.
constexpr std::uint64_t plan_iterations = 20'000;

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

Timeline timeline_or_fail(const Outing& outing, const std::string& file) {
    auto read = read_timeline(outing, text_or_fail(file), file);
    if (!read) fail(read.errors());
    return std::move(read).value();
}

/// A journal is an SQLite file (its header: sqlite.org, "Database File Format", 1.3).
bool is_journal(const std::string& file) {
    std::array<char, 15> head{};
    std::ifstream(file, std::ios::binary).read(head.data(), head.size());
    return std::string_view(head.data(), head.size()) == "SQLite format 3";
}

brief::Reader reader_of(const std::string& typed) {
    const std::string word = CLI::detail::to_lower(typed);
    if (word == "ev1") return brief::Reader::ev1;
    if (word == "ev2") return brief::Reader::ev2;
    return word == "arm" ? brief::Reader::arm : brief::Reader::iv;
}

brief::Options document_options(const Options& options, Utc pet_zero) {
    brief::Options o;
    apply(options.wishes, o);
    o.reader = reader_of(options.reader);
    o.sheet = options.sheet == "a4"       ? brief::SheetKind::a4
              : options.sheet == "screen" ? brief::SheetKind::screen
                                          : brief::SheetKind::a3;
    o.pixels_per_unit = options.scale;
    if (!options.now.empty()) o.now = to_pet(instant_or_fail(options.now, pet_zero, "--now"), pet_zero);
    if (options.minutes > 0) o.minutes = options.minutes;
    o.pace = options.pace;
    o.trace = options.trace ? brief::Trace::yes : brief::Trace::no;
    o.frames = options.per == "step" ? brief::Frames::steps : brief::Frames::groups;
    return o;
}

/// One document, or all of them into a folder.
void write(const Options& options, const brief::Subject& subject, brief::Options wanted) {
    std::optional<Timeline> before;
    if (!options.before.empty()) before = timeline_or_fail(subject.outing, options.before);
    if (before) wanted.planned_before = &*before;
    if (options.what == "all") return write_every_document(subject, wanted, options.out);
    write_document(options.what, subject, wanted, options.out);
}

void of_plan(const Options& options) {
    const Outing outing = outing_or_fail(options.file);
    std::optional<Timeline> given;
    if (!options.timeline.empty()) given = timeline_or_fail(outing, options.timeline);
    auto windows = sky::windows_of(outing, given ? given->pet_zero : outing.pet_zero);
    if (!windows) fail(windows.errors());
    const Timeline timeline = given ? *std::move(given) : planned(outing, windows.value());
    const brief::Subject subject =
        brief::subject_of_plan(outing, windows.value(), timeline, made_or_fail(options.wishes.made));
    if (!subject.warning.empty())
        fmt::print(stderr, "{}: {} The document says so; plan again to be rid of it.\n", options.timeline,
                   brief::Wording{}(subject.warning));
    write(options, subject, document_options(options, timeline.pet_zero));
}

void of_day(const Options& options) {
    if (!options.timeline.empty()) fail("--timeline: a journal has its plan in it; leave the option out.");
    if (!options.wishes.made.empty())
        fail("--made: a document of a journal is made at the moment of --at; leave the option out.");
    const ToldDay told(options.file, options.at);
    write(options, told.subject(), document_options(options, told.subject().timeline.pet_zero));
}

void verify(const Options& options) {
    if (!is_journal(options.file))
        fail(fmt::format("{}: --verify takes the journal of a day, and this is none.", options.file));
    const auto open = open_day_or_fail(options.file, options.at);
    const brief::Verified verified = brief::verify(*options.verify, open->outing, open->entries);
    fmt::print("{}\n", brief::verdict_words(verified, brief::Wording(language_or_fail(options.wishes.language))));
    using Verdict = brief::Verified::Verdict;
    if (verified.verdict == Verdict::unknown) throw Exit{2};
    if (verified.verdict != Verdict::current) throw Exit{1};
}

void run(const Options& options) {
    if (options.verify) return verify(options);
    if (options.what.empty()) fail("--what: say which document; see handrail brief --help.");
    if (options.out.empty()) fail("--out: say which file to write; the end of its name picks the format.");
    if (is_journal(options.file)) return of_day(options);
    if (!options.at.empty()) fail("--at: is for the journal of a day; a plan takes --now.");
    of_plan(options);
}

/// A number within these bounds, the ends included; "nan" is none.
CLI::Validator between(double low, double high) {
    return CLI::Validator(
        [low, high](std::string& text) {
            double value = 0;
            const char* end = text.data() + text.size();
            const auto [stop, error] = std::from_chars(text.data(), end, value);
            if (error == std::errc{} && stop == end && value >= low && value <= high) return std::string();
            return fmt::format("expected a number from {:g} to {:g}, found \"{}\".", low, high, text);
        },
        fmt::format("{:g} to {:g}", low, high));
}

/// An option that the document asked for does not use is a misunderstanding.
void refuse_unused(const CLI::App& command, const std::string& what) {
    constexpr std::array<std::pair<const char*, const char*>, 8> used_by{{{"--for", "cue-sheet"},
                                                                          {"--sheet", "timeline"},
                                                                          {"--now", "timeline"},
                                                                          {"--before", "timeline"},
                                                                          {"--per", "storyboard"},
                                                                          {"--minutes", "script"},
                                                                          {"--pace", "script"},
                                                                          {"--trace", "script"}}};
    if (what.empty() || what == "all") return;
    for (const auto& [option, kind] : used_by)
        if (what != kind && command.get_option(option)->count() > 0)
            fail(fmt::format("{}: is for --what {}, not for {}.", option, kind, what));
}

std::vector<std::string> document_names() {
    std::vector<std::string> names;
    for (const brief::DocumentKind& kind : brief::document_kinds()) names.emplace_back(kind.id);
    names.emplace_back("all");
    return names;
}

std::string formats_table() {
    std::string out;
    for (const brief::DocumentKind& kind : brief::document_kinds()) {
        out += fmt::format("  {:<11}", kind.id);
        for (const brief::Format format : kind.formats) out += fmt::format(" .{}", extension(format));
        out += kind.needs_day ? "   (of a journal)\n" : "\n";
    }
    return out;
}

}  // namespace

void add_brief(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("brief", "Make the documents that tell a plan or a day, all from the same");
    command->footer(
        "Examples:\n"
        "  handrail brief demo/larkspur/outing.toml --timeline plan.json --what timeline --out chart.pdf\n"
        "  handrail brief demo/larkspur/outing.toml --timeline plan.json --what cue-sheet --for EV1 --out ev1.html\n"
        "  handrail brief day.journal --at 02:40 --what script --minutes 5 --language de --out worte.pdf\n"
        "  handrail brief day.journal --what all --out folder\n"
        "  handrail brief day.journal --verify K7QF-3M2P\n"
        "The end of the file name picks the format; .pdf of text documents needs the Debian package weasyprint:\n" +
        formats_table());
    command->add_option("file", options->file, "outing file (TOML), or the journal of a day")->required();
    command->add_option("--what", options->what, "which document, or all")->check(one_of(document_names()));
    command->add_option("--timeline", options->timeline, "the plan (JSON); without it the outing is planned first");
    command->add_option("--out", options->out, "file to write; with --what all a folder");
    command->add_option("--at", options->at, "journal: the moment told, PET or UTC (default: now)");
    command->add_option("--verify", options->verify, "journal: is the printed document with this check code in force?");
    command->add_option("--for", options->reader, "cue-sheet: whose, ev1, ev2, iv or arm (default iv)")
        ->check(one_of({"ev1", "ev2", "iv", "arm"}));
    add_document_options(*command, options->wishes);
    command->add_option("--made", options->wishes.made,
                        "when it is made, to be printed: UTC, or now (default: not said)");
    command->add_option("--sheet", options->sheet, "timeline: a3, a4 or screen (default a3)")
        ->check(one_of({"a3", "a4", "screen"}));
    command->add_option("--now", options->now, "timeline: draw this moment (UTC, or PET such as 02:14)");
    command->add_option("--before", options->before, "timeline: show this earlier plan (JSON) under the blocks");
    command->add_option("--scale", options->scale, "charts: pixels per point of a PNG (default 150 dpi)")
        ->check(between(0.2, 8));
    command->add_option("--per", options->per, "storyboard: a picture per group of steps or per step (default group)")
        ->check(one_of({"group", "step"}));
    command->add_option("--minutes", options->minutes, "script: fill so many minutes, to within 5 %")
        ->check(between(0.5, 600));
    command->add_option("--pace", options->pace, "script: words a minute (default 130)")->check(between(60, 250));
    command->add_flag("--trace", options->trace, "script: show which field each line comes from");
    command->callback([options, command] {
        refuse_unused(*command, options->what);
        run(*options);
    });
}

}  // namespace handrail::cli
