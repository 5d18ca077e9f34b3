#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>

#include "check/check.h"
#include "cli/commands.h"
#include "cli/terminal.h"
#include "lifesupport/prebreathe.h"
#include "plan/planner.h"
#include "sky/windows.h"
#include "timeline/loads.h"
#include "units/parse.h"

namespace handrail::cli {
namespace {

using namespace lifesupport;
using nlohmann::ordered_json;

struct Options {
    std::string file, timeline, limit;
    std::vector<std::string> holds, breaks;
    bool json = false, no_plan = false;
    std::uint64_t iterations = 20000;
};

/// What goes wrong on the morning: in the prebreathe, or a hold after PET zero, on battery power before egress.
struct Slips {
    std::vector<Hold> holds;
    std::vector<Break> breaks;
    Seconds on_battery{0};
};

/// "12:20" is the first such UTC clock time at or after the start of the prebreathe; else UTC or PET.
Utc moment_or_fail(std::string text, Utc prebreathe_start, Utc pet_zero, const std::string& option) {
    const bool pet_said = text.find("PET") != std::string::npos || text.starts_with('-');
    if (pet_said) {
        const auto clock = parse_pet(text);
        if (const Pet* at = std::get_if<Pet>(&clock)) return to_utc(*at, pet_zero);
    } else {
        const auto utc = parse_utc(text);
        if (const Utc* at = std::get_if<Utc>(&utc)) return *at;
        const auto clock = parse_pet(text);
        if (const Pet* at = std::get_if<Pet>(&clock); at && *at < pet(std::chrono::hours{24})) {
            Utc instant = std::chrono::floor<std::chrono::days>(prebreathe_start) + at->time_since_epoch();
            while (instant < prebreathe_start) instant += std::chrono::days{1};
            return instant;
        }
    }
    fail(
        fmt::format("{}: expected a UTC clock time such as \"12:20\", a UTC instant, or a PET such as \"PET 00:05\", "
                    "found \"{}\".",
                    option, text));
}

Seconds length_or_fail(const std::string& text, const std::string& option) {
    const auto parsed = parse_duration(text);
    if (const Seconds* value = std::get_if<Seconds>(&parsed); value && value->count() > 0) return *value;
    fail(fmt::format("{}: expected a time such as \"8 min\", found \"{}\".", option, text));
}

/// "8 min at 12:20" -> "8 min", "12:20".
std::pair<std::string, std::string> halves(const std::string& text) {
    const auto at = text.find(" at ");
    if (at == std::string::npos) return {text, ""};
    return {text.substr(0, at), text.substr(at + 4)};
}

Slips slips_or_fail(const Options& options, Utc start, Utc pet_zero) {
    Slips slips;
    for (const std::string& text : options.holds) {
        const auto [length, when] = halves(text);
        Hold hold{length_or_fail(length, "--hold"), std::nullopt};
        if (!when.empty()) hold.at = moment_or_fail(when, start, pet_zero, "--hold");
        if (hold.at && when.find("PET") != std::string::npos && *hold.at >= pet_zero)
            slips.on_battery += hold.length;
        else
            slips.holds.push_back(hold);
    }
    for (const std::string& text : options.breaks) {
        const auto [length, when] = halves(text);
        if (when.empty()) fail(fmt::format("--break: say when, such as \"8 min at 12:20\"; found \"{}\".", text));
        slips.breaks.push_back({length_or_fail(length, "--break"), moment_or_fail(when, start, pet_zero, "--break")});
    }
    return slips;
}

/// The lower of the two suit pressures: the larger R.
KiloPascal suit_pressure_or_fail(const Outing& outing) {
    std::optional<KiloPascal> lowest;
    for (Crew crew : both_crew)
        if (const auto& pressure = outing.suit_of(crew).pressure; pressure && (!lowest || *pressure < *lowest))
            lowest = pressure;
    if (!lowest) fail("No suit type of this outing has a pressure, so there is no R; add `pressure` to the suit type.");
    return *lowest;
}

/// What the plan makes of a morning.
struct Consequence {
    std::optional<Timeline> plan;
    std::vector<std::string> reasons;  ///< when there is none
    std::vector<Finding> findings;     ///< of a timeline that was given
    std::array<std::optional<Forecast>, 2> suits;
};

/// Everything after PET zero waits: a hold on battery power moves each activity by its length.
Timeline waiting(Timeline timeline, Seconds hold) {
    for (Activity& activity : timeline.activities) activity.start += hold;
    return timeline;
}

Consequence consequence(const Outing& outing, Utc pet_zero, Seconds on_battery, const Options& options,
                        const std::optional<Timeline>& given) {
    Consequence out;
    const auto windows = sky::windows_of(outing, pet_zero);
    if (!windows) fail(windows.errors());
    if (given) {
        out.plan = waiting(*given, on_battery);
        out.plan->pet_zero = pet_zero;
        out.findings = check(outing, windows.value(), *out.plan);
    } else {
        plan::Situation situation = plan::initial(outing);
        situation.now = pet(on_battery);
        plan::Budget budget;
        budget.iterations = options.iterations;
        Outing moved = outing;
        moved.pet_zero = pet_zero;
        auto planned = plan::make_plan(moved, windows.value(), situation, budget);
        if (auto* none = std::get_if<plan::NoPlan>(&planned))
            out.reasons = none->reasons;
        else
            out.plan = std::get<Timeline>(std::move(planned));
    }
    if (out.plan)
        for (Crew crew : both_crew)
            out.suits[index(crew)] =
                forecast(outing.suit_of(crew), loads_of(outing, windows.value(), *out.plan, crew).loads);
    return out;
}

std::string clock(Utc at) { return print_utc(at).substr(11, 5); }

void print_course(const PrebreatheCourse& course, const Prebreathe& protocol) {
    fmt::print("{:<6}{:<34}{:>12}{:>20}{:>8}{:>13}{:>8}\n", "UTC", "stage", "duration", "pressure, kPa", "oxygen",
               "tissue N2", "R");
    for (const StageRow& row : course.rows) {
        const std::string pressure =
            row.pressure_start == row.pressure_end
                ? fmt::format("{:.1f}", row.pressure_end.value())
                : fmt::format("{:.1f} to {:.1f}", row.pressure_start.value(), row.pressure_end.value());
        fmt::print("{:<6}{:<34}{:>12}{:>20}{:>8}{:>9.1f} kPa{:>8.3f}\n", clock(row.start),
                   row.name + (row.exercise ? ", exercise" : ""), print_duration(row.duration), pressure,
                   fmt::format("{:.0f} %", row.oxygen.value() * 100), row.tissue_end.value(), row.r_end);
    }
    fmt::print("\nEarliest depress {}  R {:.3f}", print_utc(course.depress), course.r_at_depress);
    if (course.r_after_depress < course.r_at_depress) fmt::print(", {:.3f} when it ends", course.r_after_depress);
    fmt::print("\nPET zero         {}", print_utc(course.end));
    if (course.later > Seconds{0}) fmt::print("  ({} later than planned)", print_duration(course.later));
    fmt::print("\n{}.\n", course.convention);
    if (protocol.validated_exercise)
        fmt::print(
            "\"{}\" is an exercise protocol: it holds only as a whole, as it was validated. R is shown and judges "
            "nothing; a step done otherwise has no number here.\n",
            protocol.protocol);
    if (course.limit_out_of_reach)
        fmt::print("The gas breathed before the depress never brings R down to the outing's limit of {:.2f}.\n",
                   *course.limit_r);
    else if (course.limit_r)
        fmt::print("Limit of this outing's rules: R {:.2f} at depress.\n", *course.limit_r);
}

void print_breaks(const PrebreatheCourse& course) {
    for (const BreakCost& cost : course.breaks) {
        fmt::print("Break of {} at {}: ", print_duration(cost.what.length), print_utc(cost.what.at));
        if (!cost.on_oxygen)
            fmt::print("no oxygen was being breathed; nothing to repay.\n");
        else if (cost.rule.restart)
            fmt::print("by the rules the prebreathe starts again.\n");
        else
            fmt::print(
                "the rules ask {} more on oxygen (the tissue model alone would ask {:.1f} min; it is not used: "
                "fast tissues reload in minutes).\n",
                print_duration(cost.rule.time), cost.tissue.count());
    }
}

/// Light and dark over the outing, in words.
std::string light_of(const WindowTable& windows, Pet from, Pet to) {
    if (!windows.knows("daylight")) return "light unknown";
    std::string text;
    for (const Window& window : windows.of("daylight", "")) {
        const Pet rise = std::max(window.from(), from), set = std::min(window.to(), to);
        if (rise < set) text += fmt::format("{}{}-{}", text.empty() ? "" : ", ", print_pet(rise), print_pet(set));
    }
    return text.empty() ? "dark throughout" : text;
}

/// Daylight in three places that matter to who opens the hatch.
void print_light(const Outing& outing, Utc planned, Utc actual) {
    const auto before = sky::windows_of(outing, planned), after = sky::windows_of(outing, actual);
    if (!before) fail(before.errors());
    if (!after) fail(after.errors());
    const Pet end{outing.rules.limit};
    fmt::print("Sunlight, PET: {}\n", light_of(after.value(), Pet{}, end));
    if (planned != actual) fmt::print("   as planned: {}\n", light_of(before.value(), Pet{}, end));
}

std::string left_out_names(const Outing& outing, const Timeline& timeline) {
    std::string text;
    for (const LeftOut& left : timeline.left_out)
        text += fmt::format("{}{}", text.empty() ? "" : ", ", outing.task(left.task).name);
    return text.empty() ? "nothing" : text;
}

void print_plan(const Outing& outing, const Consequence& what, std::string_view label, bool given) {
    if (!what.plan) {
        fmt::print("{}: no plan does every required task and keeps every rule.\n", label);
        for (const std::string& reason : what.reasons) fmt::print("  - {}\n", reason);
        return;
    }
    fmt::print("{}: end of ingress PET {}, limit PET {}", label, print_pet(what.plan->finish()),
               print_pet(Pet{outing.rules.limit}));
    if (!given) fmt::print(", value {:g}, left out: {}", what.plan->note.value, left_out_names(outing, *what.plan));
    for (Crew crew : both_crew)
        if (const auto& suit = what.suits[index(crew)]; suit && suit->at_return().least)
            fmt::print("; {} {} {} over its reserve", word(crew), word(*suit->at_return().least),
                       print_duration(std::max(Seconds{0}, suit->at_return().in_hand)));
    fmt::print(".\n");
}

/// Findings that only the slip causes.
std::vector<Finding> new_findings(const std::vector<Finding>& before, const std::vector<Finding>& after) {
    std::vector<Finding> fresh;
    for (const Finding& finding : after) {
        const bool known = std::ranges::any_of(before, [&](const Finding& old) {
            return old.rule == finding.rule && old.lanes == finding.lanes && old.what == finding.what;
        });
        if (!known && finding.severity == Severity::finding) fresh.push_back(finding);
    }
    return fresh;
}

ordered_json course_json(const PrebreatheCourse& course, const Prebreathe& protocol) {
    ordered_json rows = ordered_json::array(), breaks = ordered_json::array();
    for (const StageRow& row : course.rows)
        rows.push_back({{"kind", word(row.kind)},
                        {"name", row.name},
                        {"start_utc", print_utc(row.start)},
                        {"duration_s", row.duration.count()},
                        {"pressure_start_kpa", row.pressure_start.value()},
                        {"pressure_end_kpa", row.pressure_end.value()},
                        {"oxygen", row.oxygen.value()},
                        {"exercise", row.exercise},
                        {"tissue_n2_kpa", row.tissue_end.value()},
                        {"r", row.r_end}});
    for (const BreakCost& cost : course.breaks)
        breaks.push_back({{"at_utc", print_utc(cost.what.at)},
                          {"length_s", cost.what.length.count()},
                          {"on_oxygen", cost.on_oxygen},
                          {"restart", cost.rule.restart},
                          {"payback_s", cost.rule.time.count()},
                          {"tissue_model_min", cost.tissue.count()}});
    return {{"protocol", protocol.protocol},
            {"validated_exercise", protocol.validated_exercise},
            {"convention", course.convention},
            {"stages", rows},
            {"breaks", breaks},
            {"earliest_depress_utc", print_utc(course.depress)},
            {"r_at_depress", course.r_at_depress},
            {"r_after_depress", course.r_after_depress},
            {"limit_r", course.limit_r ? ordered_json(*course.limit_r) : ordered_json(nullptr)},
            {"limit_out_of_reach", course.limit_out_of_reach},
            {"pet_zero_utc", print_utc(course.end)},
            {"later_s", course.later.count()}};
}

ordered_json consequence_json(const Outing& outing, const Consequence& what) {
    ordered_json left_out = ordered_json::array(), suits = ordered_json::array();
    if (what.plan)
        for (const LeftOut& left : what.plan->left_out) left_out.push_back(outing.task(left.task).key);
    for (Crew crew : both_crew)
        if (const auto& suit = what.suits[index(crew)]; suit && suit->at_return().least)
            suits.push_back({{"crew", word(crew)},
                             {"least", word(*suit->at_return().least)},
                             {"in_hand_s", suit->at_return().in_hand.count()}});
    const ordered_json finish =
        what.plan ? ordered_json(since_zero(what.plan->finish()).count()) : ordered_json(nullptr);
    return {{"possible", what.plan.has_value()},
            {"reasons", what.reasons},
            {"finish_pet_s", finish},
            {"left_out", left_out},
            {"suits", suits},
            {"findings", ordered_json::parse(findings_json(what.findings))["findings"]}};
}

PrebreatheCourse course_or_fail(const Prebreathe& protocol, KiloPascal suit_pressure, Utc start, const Slips& slips) {
    auto outcome = run_prebreathe(protocol, suit_pressure, start, slips.holds, slips.breaks);
    if (const auto* misplaced = std::get_if<Misplaced>(&outcome)) fail(misplaced->why);
    return std::get<PrebreatheCourse>(std::move(outcome));
}

void print_outing(const Prebreathe& protocol, const PrebreatheCourse& course, Seconds outside) {
    // 10 to 20 min with a hold for a leak check (from memory).
    constexpr Seconds repress{15 * 60};
    fmt::print("\nThrough an outing of {} and a repress of {}:\n", print_duration(outside), print_duration(repress));
    for (const TissueMoment& moment : through_outing(protocol, course, outside, repress))
        fmt::print("  {:<20}tissue N2 {:>5.1f} kPa  R {:.3f}\n", moment.what, moment.tissue.value(), moment.r);
}

/// Exit code 1 when the slip breaks a rule or leaves no plan.
int print_consequences(const Outing& outing, const PrebreatheCourse& course, const Slips& slips, Utc pet_zero,
                       const Options& options, const std::optional<Timeline>& given, ordered_json* json) {
    const bool slipped = course.end != pet_zero || slips.on_battery > Seconds{0};
    const Consequence before = consequence(outing, pet_zero, Seconds{0}, options, given);
    const Consequence after = slipped ? consequence(outing, course.end, slips.on_battery, options, given) : before;
    const std::vector<Finding> fresh = new_findings(before.findings, after.findings);
    if (json) {
        (*json)["as_planned"] = consequence_json(outing, before);
        (*json)["now"] = consequence_json(outing, after);
    } else {
        fmt::print("\n");
        print_light(outing, pet_zero, course.end);
        if (slipped) print_plan(outing, before, "As planned", given.has_value());
        print_plan(outing, after, slipped ? "Now" : "Plan", given.has_value());
        if (slips.on_battery > Seconds{0})
            fmt::print("The {} held after PET zero are spent on battery power at rest; the limit stays at PET {}.\n",
                       print_duration(slips.on_battery), print_pet(Pet{outing.rules.limit}));
        if (given && slipped) {
            fmt::print("{} that the slip causes{}\n",
                       fresh.size() == 1 ? "1 finding" : fmt::format("{} findings", fresh.size()),
                       fresh.empty() ? "." : ":");
            for (const Finding& finding : fresh)
                fmt::print("  PET {}  {}: {}\n", print_pet_seconds(finding.at), finding.rule, finding.what);
        }
    }
    return fresh.empty() && after.plan ? 0 : 1;
}

void run(const Options& options) {
    const Outing outing = outing_or_fail(options.file);
    if (!outing.prebreathe)
        fail(fmt::format("{}: the outing has no prebreathe; add a [prebreathe] section.", options.file));
    Prebreathe protocol = *outing.prebreathe;
    if (!options.limit.empty()) {
        char* end = nullptr;
        const double limit = std::strtod(options.limit.c_str(), &end);
        // Below 0.1 the time would run to many days.
        if (*end != '\0' || !(limit >= 0.1 && limit <= 10))
            fail(fmt::format("--limit-r: expected a number from 0.1 to 10 such as 1.65, found \"{}\".", options.limit));
        protocol.limit_r = limit;
    }
    const KiloPascal suit_pressure = suit_pressure_or_fail(outing);
    const Utc start = outing.pet_zero - length(protocol);
    const Slips slips = slips_or_fail(options, start, outing.pet_zero);
    const PrebreatheCourse course = course_or_fail(protocol, suit_pressure, start, slips);
    std::optional<Timeline> given;
    if (!options.timeline.empty()) {
        auto timeline = read_timeline(outing, text_or_fail(options.timeline), options.timeline);
        if (!timeline) fail(timeline.errors());
        given = std::move(timeline).value();
    }
    int code = 0;
    if (options.json) {
        ordered_json json{{"format", "handrail-prebreathe"}, {"version", 1}, {"outing", outing.name}};
        json.update(course_json(course, protocol));
        json["egress_begins_utc"] = print_utc(course.end + slips.on_battery);
        if (!options.no_plan) code = print_consequences(outing, course, slips, outing.pet_zero, options, given, &json);
        json["caution"] = caution;
        fmt::print("{}\n", json.dump(2));
    } else {
        fmt::print("Prebreathe \"{}\", begun {}\n\n", protocol.protocol, print_utc(start));
        print_course(course, protocol);
        print_breaks(course);
        fmt::print("Egress begins    {}, at the earliest\n", print_utc(course.end + slips.on_battery));
        print_outing(protocol, course, outing.rules.limit);
        if (!options.no_plan)
            code = print_consequences(outing, course, slips, outing.pet_zero, options, given, nullptr);
        fmt::print(
            "\nR is a number from one assumed tissue, not a probability. The flight surgeon and the flight rules "
            "decide on prebreathe and its breaks.\n{}\n",
            caution);
    }
    if (code != 0) throw Exit{code};
}

}  // namespace

void add_prebreathe(CLI::App& app) {
    auto options = std::make_shared<Options>();
    CLI::App* command =
        app.add_subcommand("prebreathe", "The prebreathe as it will be, and what holds and breaks cost");
    command->footer(
        "Times: \"12:20\" is UTC, \"PET 00:05\" or \"-01:20\" is PET. A hold after PET zero is spent on battery "
        "power.\n"
        "Exit code 1 when a slip breaks a rule of the timeline or leaves no plan.\n"
        "Example: handrail prebreathe demo/larkspur/outing.toml --hold \"30 min\" --break \"8 min at 06:20\"");
    command->add_option("file", options->file, "outing file (TOML)")->required();
    command->add_option("--hold", options->holds,
                        "a hold: \"30 min\" (before the depress) or \"30 min at 06:20\"; may be repeated");
    command->add_option("--break", options->breaks, "a break in breathing oxygen: \"8 min at 06:20\"; may be repeated");
    command->add_option("--limit-r", options->limit, "another limit for R at depress than the outing's");
    command->add_option("--timeline", options->timeline,
                        "check this timeline against the slip instead of making a new plan");
    command->add_option("--iterations", options->iterations, "of the search for the new plan (default 20000)");
    command->add_flag("--no-plan", options->no_plan, "the prebreathe only");
    command->add_flag("--json", options->json, "print JSON instead of tables");
    command->callback([options] { run(*options); });
}

}  // namespace handrail::cli
