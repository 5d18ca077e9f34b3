#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <cmath>
#include <memory>

#include "brief/sky_chart.h"
#include "brief/sky_report.h"
#include "cli/commands.h"
#include "cli/terminal.h"
#include "sky/windows.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

struct Options {
    std::string file, start, csv, json, chart;
    double hours = 0;
};

/// What is asked of the sky for one PET zero: the orbit's survey (if there is an orbit) and all windows.
struct Answer {
    std::optional<sky::Survey> survey;
    WindowTable windows;
};

Answer ask_or_fail(const Outing& outing, Utc pet_zero, Seconds to) {
    Answer answer{std::nullopt, sky::file_windows(outing, pet_zero)};
    if (!outing.orbit) return answer;
    Result<sky::Survey> survey = sky::survey(outing, pet_zero, Seconds{0}, to);
    if (!survey) fail(survey.errors());
    answer.survey = std::move(survey).value();
    sky::add_computed(answer.windows, outing, *answer.survey);
    return answer;
}

void write_chart(const std::string& file, const std::vector<brief::Canvas>& pages) {
    const std::filesystem::path path(file);
    if (path.extension() == ".pdf") return write_or_fail(path, brief::pdf(pages, pages.front().title()));
    // A picture file holds one page; further ones get a number before the ending.
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
    const Outing outing = outing_or_fail(options.file);
    const Utc pet_zero = options.start.empty() ? outing.pet_zero : instant_or_fail(options.start, outing.pet_zero);
    const Seconds to = options.hours > 0 ? Seconds{std::lround(options.hours * 3600)} : outing.rules.limit;
    const Answer answer = ask_or_fail(outing, pet_zero, to);
    std::optional<Answer> planned;
    if (pet_zero != outing.pet_zero) planned = ask_or_fail(outing, outing.pet_zero, to);

    const brief::SkySpan span{outing,
                              pet_zero,
                              pet(Seconds{0}),
                              pet(to),
                              answer.survey,
                              answer.windows,
                              planned ? &planned->windows : nullptr};
    if (!options.csv.empty()) write_or_fail(options.csv, brief::sky_csv(span));
    if (!options.chart.empty()) write_chart(options.chart, brief::sky_chart(span));
    if (!options.json.empty()) write_or_fail(options.json, brief::sky_json(span));
    if (options.csv != "-" && options.json != "-") fmt::print("{}", brief::sky_table(span));
}

}  // namespace

void add_sky(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("sky", "Light and coverage of an outing, from its orbit or its windows");
    command->footer(
        "Example: handrail sky demo/larkspur/outing.toml --start \"+30 min\" --chart light.svg\n"
        "Shows sunrise and sunset, passes and gaps, and the light at each worksite; with --start also what the slip "
        "changes.");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--start", options->start, "PET zero: UTC, or a slip such as \"+30 min\"");
    command->add_option("--hours", options->hours, "span from PET zero (default: the outing's hard end)")
        ->check(CLI::Range(0.1, 240.0));
    command->add_option("--csv", options->csv, "write every window as CSV, as [windows] takes it (- is stdout)");
    command->add_option("--json", options->json, "write everything as JSON (- is stdout)");
    command->add_option("--chart", options->chart, "draw a chart to this file (.svg, .png or .pdf)");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
