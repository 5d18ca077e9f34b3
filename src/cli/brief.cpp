#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <array>
#include <cstdio>

#include "brief/calendar.h"
#include "brief/codes.h"
#include "brief/cue_sheet.h"
#include "brief/director_page.h"
#include "brief/public_script.h"
#include "brief/timeline_chart.h"
#include "brief/tool_list.h"
#include "check/check.h"
#include "cli/commands.h"
#include "cli/html_to_pdf.h"
#include "cli/terminal.h"
#include "plan/planner.h"
#include "sky/windows.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, what, timeline, before, out, reader = "iv", sheet = "a3", now, made;
    double scale = 0, minutes = 0, pace = brief::usual_pace;
    bool large = false, trace = false;
};

/// Everything a document is made from; nothing else reaches one.
struct Material {
    Outing outing;
    WindowTable windows;
    Timeline timeline;
    std::string warning;  ///< said on stderr and in the document
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

Material material_or_fail(const Options& options) {
    Material m{outing_or_fail(options.file), {}, {}, {}};
    std::optional<Timeline> given;
    if (!options.timeline.empty()) given = timeline_or_fail(m.outing, options.timeline);
    auto windows = sky::windows_of(m.outing, given ? given->pet_zero : m.outing.pet_zero);
    if (!windows) fail(windows.errors());
    m.windows = std::move(windows).value();
    m.timeline = given ? *std::move(given) : planned(m.outing, m.windows);
    if (m.timeline.fingerprint != m.outing.fingerprint) {
        m.warning = "The outing file has changed since this plan was made.";
        fmt::print(stderr, "{}: {} The document says so; plan again to be rid of it.\n", options.timeline, m.warning);
    }
    return m;
}

std::string extension_of(const std::string& out) {
    const std::size_t dot = out.rfind('.'), slash = out.rfind('/');
    return dot == std::string::npos || (slash != std::string::npos && dot < slash) ? "" : out.substr(dot + 1);
}

[[noreturn]] void wrong_format(const Options& options, std::string_view known) {
    fail(fmt::format("--out {}: the document \"{}\" is written as {}; end the file name with one of them.", options.out,
                     options.what, known));
}

/// "chart.png" is the first page, "chart-2.png" the second.
std::string page_name(const std::string& out, std::size_t page) {
    if (page == 0) return out;
    const std::size_t dot = out.rfind('.');
    return fmt::format("{}-{}{}", out.substr(0, dot), page + 1, out.substr(dot));
}

void write_chart(const Options& options, const Material& m) {
    const std::string format = extension_of(options.out);
    if (format != "pdf" && format != "svg" && format != "png") wrong_format(options, ".pdf, .svg or .png");
    brief::ChartOptions chart;
    chart.sheet = options.sheet == "a4"       ? brief::SheetKind::a4
                  : options.sheet == "screen" ? brief::SheetKind::screen
                                              : brief::SheetKind::a3;
    chart.made = options.made;
    chart.warning = m.warning;
    std::optional<Timeline> before;
    if (!options.before.empty()) before = timeline_or_fail(m.outing, options.before);
    if (before) chart.planned_before = &*before;
    if (!options.now.empty())
        chart.now = to_pet(instant_or_fail(options.now, m.timeline.pet_zero), m.timeline.pet_zero);
    const std::vector<brief::Canvas> pages = brief::timeline_chart(m.outing, m.windows, m.timeline, chart);
    if (format == "pdf") return write_or_fail(options.out, brief::pdf(pages, pages.front().title()));
    // 150 dots per inch on paper, one pixel for one on a screen.
    const double scale = options.scale > 0 ? options.scale : options.sheet == "screen" ? 1 : 150.0 / 72;
    for (std::size_t i = 0; i < pages.size(); ++i)
        write_or_fail(page_name(options.out, i), format == "svg" ? pages[i].svg() : pages[i].png(scale));
    if (pages.size() > 1)
        fmt::print(stderr, "{} sheets: {} to {}.\n", pages.size(), options.out,
                   page_name(options.out, pages.size() - 1));
}

brief::Reader reader_of(const std::string& word) {
    if (word == "ev1") return brief::Reader::ev1;
    if (word == "ev2") return brief::Reader::ev2;
    return word == "arm" ? brief::Reader::arm : brief::Reader::iv;
}

brief::Origin origin_of(const Options& options, const Material& m, std::string title) {
    return {std::move(title), options.made, m.warning,
            options.large ? brief::TypeSize::large : brief::TypeSize::normal};
}

/// A text document under the format its file name asks for; `html` and `markdown` make its two forms.
template <class Html, class Markdown>
void write_text(const Options& options, const Material& m, const Html& html, const Markdown& markdown) {
    const std::string format = extension_of(options.out);
    if (format == "md")
        write_or_fail(options.out, markdown());
    else if (format == "html")
        write_or_fail(options.out, html());
    else if (format == "pdf")
        write_or_fail(options.out, pdf_or_fail(html(), brief::plan_id(m.outing, m.timeline)));
    else
        wrong_format(options, ".html, .pdf or .md");
}

void write_cues(const Options& options, const Material& m) {
    const brief::Reader reader = reader_of(options.reader);
    const brief::Origin origin = origin_of(options, m, brief::cue_sheet_title(m.outing, reader));
    write_text(
        options, m, [&] { return brief::cue_sheet_html(m.outing, m.windows, m.timeline, reader, origin); },
        [&] { return brief::cue_sheet_markdown(m.outing, m.windows, m.timeline, reader, origin); });
}

/// Documents that are laid out alike in HTML and Markdown.
void write_sections(const Options& options, const Material& m, const std::string& title,
                    const std::vector<brief::Section>& sections, brief::Spacing spacing = brief::Spacing::normal) {
    const brief::Origin origin = origin_of(options, m, title);
    write_text(
        options, m,
        [&] { return brief::html_document(m.outing, m.timeline, origin, brief::sections_html(sections, spacing)); },
        [&] { return brief::markdown_document(m.outing, m.timeline, origin, brief::sections_markdown(sections)); });
}

void write_director(const Options& options, const Material& m) {
    const std::vector<Finding> findings = check(m.outing, m.windows, m.timeline);
    write_sections(options, m, "flight director's page",
                   brief::director_page(m.outing, m.windows, m.timeline, findings), brief::Spacing::tight);
}

void write_script(const Options& options, const Material& m) {
    brief::ScriptOptions script;
    if (options.minutes > 0) script.minutes = options.minutes;
    script.pace = options.pace;
    script.trace = options.trace;
    write_sections(options, m, "words for the public", brief::public_script(m.outing, m.windows, m.timeline, script));
}

void write_calendar(const Options& options, const Material& m) {
    if (extension_of(options.out) != "ics") wrong_format(options, ".ics");
    write_or_fail(options.out, brief::calendar(m.outing, m.timeline));
}

void run(const Options& options) {
    try {
        const Material m = material_or_fail(options);
        if (options.what == "timeline") write_chart(options, m);
        if (options.what == "cue-sheet") write_cues(options, m);
        if (options.what == "tools")
            write_sections(options, m, "tool and bag list", brief::tool_list(m.outing, m.timeline));
        if (options.what == "director") write_director(options, m);
        if (options.what == "script") write_script(options, m);
        if (options.what == "calendar") write_calendar(options, m);
    } catch (const brief::FontMissing& missing) {
        fail(std::string(missing.what()) + ".");
    }
}

}  // namespace

void add_brief(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("brief", "Make the documents that tell a plan, all from the same plan");
    command->footer(
        "Examples:\n"
        "  handrail brief demo/larkspur/outing.toml --timeline plan.json --what timeline --out chart.pdf\n"
        "  handrail brief demo/larkspur/outing.toml --timeline plan.json --what cue-sheet --for EV1 --out ev1.html\n"
        "The end of the file name picks the format: timeline .pdf .svg .png; cue-sheet, tools, director and\n"
        "script .html .pdf .md (.pdf needs the Debian package weasyprint); calendar .ics.");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--what", options->what, "timeline, cue-sheet, tools, director, script or calendar")
        ->required()
        ->check(CLI::IsMember({"timeline", "cue-sheet", "tools", "director", "script", "calendar"}));
    command->add_option("--timeline", options->timeline, "the plan (JSON); without it the outing is planned first");
    command->add_option("--out", options->out, "file to write")->required();
    command->add_option("--for", options->reader, "cue-sheet: whose, ev1, ev2, iv or arm (default iv)")
        ->transform(CLI::IsMember({"ev1", "ev2", "iv", "arm"}, CLI::ignore_case));
    command->add_flag("--large", options->large, "text documents: large type, on landscape pages");
    command->add_option("--sheet", options->sheet, "timeline: a3, a4 or screen (default a3)")
        ->check(CLI::IsMember({"a3", "a4", "screen"}));
    command->add_option("--now", options->now, "timeline: draw this moment (UTC, or PET such as 02:14)");
    command->add_option("--before", options->before, "timeline: show this earlier plan (JSON) under the blocks");
    command->add_option("--scale", options->scale, "timeline: pixels per point of a PNG (default 150 dpi)")
        ->check(CLI::Range(0.2, 8.0));
    command->add_option("--minutes", options->minutes, "script: no longer than this when read aloud")
        ->check(CLI::Range(0.5, 600.0));
    command->add_option("--pace", options->pace, "script: words a minute (default 130)")
        ->check(CLI::Range(60.0, 250.0));
    command->add_flag("--trace", options->trace, "script: show which field each line comes from");
    command->add_option("--made", options->made, "words that say when and from what state the document was made");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
