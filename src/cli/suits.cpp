#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>

#include "brief/suits_chart.h"
#include "cli/commands.h"
#include "cli/readings_file.h"
#include "cli/terminal.h"
#include "lifesupport/metabolism.h"
#include "lifesupport/workload.h"
#include "sky/windows.h"
#include "timeline/loads.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

using namespace lifesupport;
using nlohmann::ordered_json;

struct Options {
    std::string file, timeline, readings, chart;
    bool json = false;
};

/// One suit along its timeline.
struct SuitRun {
    Crew crew{};
    CrewLoads work;
    Forecast plan;                     ///< before the outing
    std::optional<Estimate> estimate;  ///< when readings were given
    std::optional<Forecast> now;       ///< from the last reading on

    const Forecast& latest() const { return now ? *now : plan; }
};

std::string clock(Seconds time) {
    const bool negative = time < Seconds{0};
    const auto minutes = std::chrono::floor<std::chrono::minutes>(negative ? -time : time).count();
    return fmt::format("{}{}:{:02}", negative ? "-" : "", minutes / 60, minutes % 60);
}

/// Grams where kilograms would be all zeros.
std::string amount(Consumable c, double value) {
    if (unit(c) == "kg") return value < 1 ? fmt::format("{:.0f} g", value * 1000) : fmt::format("{:.2f} kg", value);
    return fmt::format("{:.0f} {}", value, unit(c));
}

/// Never "0 %": the band is an assumption, and nothing is certain.
std::string odds(double chance) {
    return chance < 0.01 ? "under 1 %" : chance > 0.99 ? "over 99 %" : fmt::format("{:.0f} %", 100 * chance);
}

std::string in_three_units(Watts rate) {
    return fmt::format("{:.0f} W ({:.0f} kcal/h, {:.0f} BTU/h)", rate.value(), kilocalories_per_hour(rate),
                       btu_per_hour(rate));
}

/// What is true of every forecast on the page, whatever the file.
constexpr std::string_view assumptions =
    "Forecasts assume the effort classes and factors of the outing file; bands hold 90 of 100 outcomes with an outing "
    "mean that varies by 15 % and steps by 30 % (common practice). Values marked \"from memory\" or \"invented\" in "
    "the "
    "file must be replaced by the programme's own.";

bool limited(const SuitType& suit) {
    return std::ranges::any_of(capacity(suit), [](double full) { return std::isfinite(full); });
}

constexpr std::string_view never_runs_out = "Nothing that this suit carries runs out.\n";

void print_durations(const Outing& outing, Crew crew) {
    const SuitType& suit = outing.suit_of(crew);
    const CrewMember& person = outing.person(crew);
    if (!limited(suit)) {
        fmt::print("{}  {}, {}\n{}\n", word(crew), person.name, suit.name, never_runs_out);
        return;
    }
    fmt::print(
        "{}  {}, {}\nHow long a full suit lasts at each effort until the reserve ({} at {:.0f} W) is met, h:mm, "
        "in sunlight:\n\n",
        word(crew), person.name, suit.name, print_duration(suit.reserve), suit.reserve_rate.value());
    const Amounts full = capacity(suit), kept = reserve(suit);
    fmt::print("{:<12}{:>34}", "effort", "rate");
    for (Consumable c : all_consumables)
        if (std::isfinite(full[index(c)])) fmt::print("{:>14}", word(c));
    fmt::print("\n");
    for (std::size_t e = 0; e < effort_count; ++e) {
        const auto effort = static_cast<Effort>(e);
        const Watts rate = metabolic_rate(outing.rules, person, effort);
        const Amounts draw = draw_per_second(suit, rate, true);
        fmt::print("{:<12}{:>34}", word(effort), in_three_units(rate));
        for (Consumable c : all_consumables) {
            const std::size_t i = index(c);
            if (!std::isfinite(full[i])) continue;
            const double seconds = draw[i] > 0 ? std::max(0.0, (full[i] - kept[i]) / draw[i]) : 1e9;
            fmt::print("{:>14}", seconds < 360000 ? clock(Seconds{static_cast<Seconds::rep>(seconds)}) : "-");
        }
        fmt::print("\n");
    }
    fmt::print("\n");
}

/// The hardest stretches beside what a suit is designed to carry.
void print_workload(const SuitRun& run, const SuitType& suit) {
    fmt::print("Work: {} on average", in_three_units(run.plan.mean_metabolic));
    for (const DesignRate& design : {design_rates[1], design_rates[2]})
        if (const auto hardest = hardest_stretch(run.work.loads, design.length))
            fmt::print("; hardest {} {:.0f} W from PET {} (design peak {:.0f} W)", print_duration(design.length),
                       hardest->mean.value(), print_pet(hardest->from), design.rate.value());
    fmt::print(".\n");
    if (!suit.co2_capacity) return;  // the measurements are of a suit that scrubs its CO2
    Watts most{0};
    for (const Load& load : run.work.loads) most = std::max(most, load.metabolic);
    const InspiredCo2 breathed = inspired_co2(most);
    fmt::print("Inspired CO2 at the hardest rate, {:.0f} W: about {:.1f} mmHg (mean of 19 people, sd {:.1f}).\n",
               most.value(), breathed.mmhg, breathed.sd_mmhg);
}

void print_summary(const Forecast& forecast) {
    fmt::print("{:<14}{:>10}{:>10}{:>12}{:>24}{:>15}{:>10}{:>20}\n", "", "full", "reserve", "at return", "90 % band",
               "over reserve", "in hand", "odds it is touched");
    for (Consumable c : all_consumables) {
        if (!forecast.carries(c)) continue;
        const std::size_t i = index(c);
        const double left = forecast.at_return().left[i], band = band_90 * forecast.at_return().sd[i];
        const double over = forecast.capacity[i] - forecast.at_return().used[i] - forecast.reserve[i];
        fmt::print("{:<14}{:>10}{:>10}{:>12}{:>24}{:>15}{:>10}{:>20}\n", word(c), amount(c, forecast.capacity[i]),
                   amount(c, forecast.reserve[i]), amount(c, left),
                   fmt::format("{} .. {}", amount(c, std::max(0.0, left - band)), amount(c, left + band)),
                   amount(c, over), clock(*forecast.in_hand(c)), odds(forecast.chance_reserve_touched(c)));
    }
    if (const auto least = forecast.at_return().least)
        fmt::print("Limiting: {}, {} beyond its reserve at return at this outing's mean draw.\n", word(*least),
                   clock(forecast.at_return().in_hand));
}

void print_margins(const Outing& outing, const Timeline& timeline, const SuitRun& run) {
    const Forecast& forecast = run.latest();
    fmt::print("\nLeft at the end of each activity:\n{:<7}{:<50}", "PET", "activity");
    for (Consumable c : all_consumables)
        if (forecast.carries(c)) fmt::print("{:>14}", word(c));
    fmt::print("{:>10}  {}\n", "in hand", "least");
    for (const Margin& margin : forecast.margins) {
        if (!margin.load || !run.work.activity[*margin.load]) continue;
        std::string what = title(outing, timeline.activities[*run.work.activity[*margin.load]]);
        if (what.size() > 48) what = what.substr(0, 45) + "...";
        fmt::print("{:<7}{:<50}", print_pet(margin.at), what);
        for (Consumable c : all_consumables)
            if (forecast.carries(c)) fmt::print("{:>14}", amount(c, margin.left[index(c)]));
        fmt::print("{:>10}  {}\n", clock(margin.in_hand), margin.least ? word(*margin.least) : "");
    }
}

void print_estimate(const SuitRun& run) {
    const Factors& factors = run.estimate->state.factors;
    fmt::print(
        "\n{} readings used, the last at PET {}. Estimated: works {:.2f} times the model (sd {:.2f}), CO2 {:.2f} "
        "times, electrical load {:.2f} times, {:+.0f} W more heat, leak {:.1f} g/h.\n",
        run.estimate->used, run.estimate->last_used ? print_pet(*run.estimate->last_used) : "-", factors.metabolic,
        run.estimate->state.sd_metabolic(), factors.co2_ratio, factors.electrical, factors.extra_heat.value(),
        factors.leak.value() * 1000);
    for (const JudgedValue& value : run.estimate->values)
        if (!value.remarks.empty()) fmt::print("  {}\n", sentence(value));
    fmt::print("Forecast from the last reading on:\n");
    print_summary(*run.now);
}

ordered_json consumables_json(const Forecast& forecast) {
    ordered_json list = ordered_json::array();
    for (Consumable c : all_consumables) {
        if (!forecast.carries(c)) continue;
        const std::size_t i = index(c);
        const auto moment = [](const std::optional<Pet>& at) {
            return at ? ordered_json(since_zero(*at).count()) : ordered_json(nullptr);
        };
        list.push_back({{"consumable", word(c)},
                        {"unit", unit(c)},
                        {"full", forecast.capacity[i]},
                        {"reserve", forecast.reserve[i]},
                        {"used_at_return", forecast.at_return().used[i]},
                        {"left_at_return", forecast.at_return().left[i]},
                        {"sd_at_return", forecast.at_return().sd[i]},
                        {"in_hand_s", forecast.in_hand(c)->count()},
                        {"chance_reserve_touched", forecast.chance_reserve_touched(c)},
                        {"reserve_met_pet_s", moment(forecast.reserve_at[i])},
                        {"used_up_pet_s", moment(forecast.used_up_at[i])}});
    }
    return list;
}

ordered_json margins_json(const Outing& outing, const Timeline& timeline, const SuitRun& run) {
    ordered_json list = ordered_json::array();
    for (const Margin& margin : run.latest().margins) {
        ordered_json left = ordered_json::object(), sd = ordered_json::object();
        for (Consumable c : all_consumables)
            if (run.latest().carries(c)) {
                left[std::string(word(c))] = margin.left[index(c)];
                sd[std::string(word(c))] = margin.sd[index(c)];
            }
        ordered_json activity = nullptr;
        if (margin.load && run.work.activity[*margin.load])
            activity = title(outing, timeline.activities[*run.work.activity[*margin.load]]);
        list.push_back({{"pet_s", since_zero(margin.at).count()},
                        {"activity", activity},
                        {"left", left},
                        {"sd", sd},
                        {"in_hand_s", margin.least ? ordered_json(margin.in_hand.count()) : ordered_json(nullptr)},
                        {"least", margin.least ? ordered_json(word(*margin.least)) : ordered_json(nullptr)}});
    }
    return list;
}

ordered_json estimate_json(const SuitRun& run) {
    if (!run.estimate) return nullptr;
    const Factors& factors = run.estimate->state.factors;
    ordered_json values = ordered_json::array();
    for (const JudgedValue& value : run.estimate->values) {
        ordered_json remarks = ordered_json::array();
        for (Remark remark : value.remarks) remarks.push_back(word(remark));
        values.push_back({{"pet_s", since_zero(value.at).count()},
                          {"consumable", word(value.consumable)},
                          {"found", value.found},
                          {"expected", value.expected ? ordered_json(*value.expected) : ordered_json(nullptr)},
                          {"used", value.used()},
                          {"remarks", remarks}});
    }
    return {{"readings_used", run.estimate->used},
            {"metabolic_factor", factors.metabolic},
            {"metabolic_factor_sd", run.estimate->state.sd_metabolic()},
            {"co2_factor", factors.co2_ratio},
            {"electrical_factor", factors.electrical},
            {"extra_heat_w", factors.extra_heat.value()},
            {"leak_kg_per_h", factors.leak.value()},
            {"values", values}};
}

ordered_json suits_json(const Outing& outing, const Timeline& timeline, const std::array<SuitRun, 2>& runs) {
    ordered_json suits = ordered_json::array();
    for (const SuitRun& run : runs)
        suits.push_back({{"crew", word(run.crew)},
                         {"name", outing.person(run.crew).name},
                         {"suit", outing.suit_of(run.crew).name},
                         {"mean_metabolic_w", run.plan.mean_metabolic.value()},
                         {"consumables", consumables_json(run.latest())},
                         {"margins", margins_json(outing, timeline, run)},
                         {"estimate", estimate_json(run)}});
    return {{"format", "handrail-suits"},
            {"version", 1},
            {"outing", outing.name},
            {"fingerprint", outing.fingerprint},
            {"suits", suits},
            {"assumptions", assumptions},
            {"caution", caution}};
}

SuitRun run_of(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Crew crew,
               const std::optional<CrewReadings>& readings) {
    SuitRun run;
    run.crew = crew;
    const SuitType& suit = outing.suit_of(crew);
    run.work = loads_of(outing, windows, timeline, crew);
    run.plan = forecast(suit, run.work.loads);
    if (readings) {
        run.estimate = estimate(suit, run.work.loads, (*readings)[index(crew)]);
        run.now = forecast(suit, run.work.loads, run.estimate->state);
    }
    return run;
}

void write_chart(const Options& options, const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                 const std::array<SuitRun, 2>& runs) {
    std::array<brief::SuitCurve, 2> curves;
    for (std::size_t i = 0; i < 2; ++i) {
        curves[i].plan = runs[i].plan;
        curves[i].now = runs[i].now;
        if (runs[i].estimate) curves[i].readings = runs[i].estimate->values;
    }
    const std::string& file = options.chart;
    std::optional<brief::Canvas> canvas;
    try {
        canvas = brief::suits_chart(outing, windows, timeline, curves);
    } catch (const brief::FontMissing& missing) {
        fail(std::string(missing.what()));
    }
    if (file.ends_with(".svg"))
        write_or_fail(file, canvas->svg());
    else if (file.ends_with(".png"))
        write_or_fail(file, canvas->png(2.08));
    else
        write_or_fail(file, brief::pdf(std::span(&*canvas, 1), canvas->title()));
}

bool reserve_is_met(const Forecast& forecast) {
    return std::ranges::any_of(forecast.reserve_at, [](const auto& at) { return at.has_value(); });
}

void run(const Options& options) {
    if (!options.chart.empty() && !options.chart.ends_with(".svg") && !options.chart.ends_with(".png") &&
        !options.chart.ends_with(".pdf"))
        fail(fmt::format("--chart: expected a file name ending in .svg, .png or .pdf, found \"{}\".", options.chart));
    const Outing outing = outing_or_fail(options.file);
    if (options.timeline.empty()) {
        if (!options.chart.empty() || !options.readings.empty() || options.json)
            fail(
                "--chart, --readings and --json need a timeline: add --timeline FILE (handrail plan --out FILE writes "
                "one).");
        for (Crew crew : both_crew) print_durations(outing, crew);
        fmt::print("{}\n{}\n", assumptions, caution);
        return;
    }
    Result<Timeline> timeline = read_timeline(outing, text_or_fail(options.timeline), options.timeline);
    if (!timeline) fail(timeline.errors());
    if (timeline.value().fingerprint != outing.fingerprint)
        fmt::print(stderr, "{} was made from another version of the outing file.\n", options.timeline);
    const auto windows = sky::windows_of(outing, timeline.value().pet_zero);
    if (!windows) fail(windows.errors());
    std::optional<CrewReadings> readings;
    if (!options.readings.empty()) readings = readings_or_fail(options.readings);
    std::array<SuitRun, 2> runs;
    for (Crew crew : both_crew) runs[index(crew)] = run_of(outing, windows.value(), timeline.value(), crew, readings);
    if (!options.chart.empty()) write_chart(options, outing, windows.value(), timeline.value(), runs);
    if (options.json) {
        fmt::print("{}\n", suits_json(outing, timeline.value(), runs).dump(2));
    } else {
        for (const SuitRun& one : runs) {
            fmt::print("{}  {}, {}\n", word(one.crew), outing.person(one.crew).name, outing.suit_of(one.crew).name);
            print_workload(one, outing.suit_of(one.crew));
            if (limited(outing.suit_of(one.crew))) {
                print_summary(one.plan);
                if (one.estimate) print_estimate(one);
                print_margins(outing, timeline.value(), one);
            } else {
                fmt::print("{}", never_runs_out);
            }
            fmt::print("\n");
        }
        fmt::print("{}\n{}\n", assumptions, caution);
    }
    for (const SuitRun& one : runs)
        if (reserve_is_met(one.latest())) throw Exit{1};
}

}  // namespace

void add_suits(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command = app.add_subcommand("suits", "What each suit has left along a timeline, and how surely");
    command->footer(
        "Exit code 1 when a reserve is expected to be used before the end of ingress.\n"
        "Example: handrail suits demo/larkspur/outing.toml --timeline plan.json --chart suits.pdf");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--timeline", options->timeline, "timeline (JSON); without one: how long a full suit lasts");
    command->add_option("--readings", options->readings,
                        "gauge readings (CSV: crew,pet,oxygen,co2,water,battery,gas; amounts left with units)");
    command->add_option("--chart", options->chart, "draw both suits into this file (.svg, .png or .pdf)");
    command->add_flag("--json", options->json, "print JSON instead of tables");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
