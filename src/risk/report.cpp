#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "risk/words.h"

/// Odds as JSON and as tables.
namespace handrail::risk {
namespace {

using Json = nlohmann::ordered_json;

/// Six digits: what a standard error of a hundred thousand runs deserves, and no binary noise.
double rounded(double value) { return std::stod(fmt::format("{:.6g}", value)); }

Json share_json(const Share& share) {
    return {{"value", rounded(share.value)}, {"standard_error", rounded(share.error)}};
}
Json moment_json(const Moment& moment) {
    return {{"pet_s", since_zero(moment.at).count()}, {"standard_error_s", rounded(moment.error_s)}};
}

Json gate_json(const Outing& outing, const Gate& gate, double confidence) {
    Json json{{"task", outing.task(gate.task).key}};
    if (gate.after) json["after_step"] = outing.step(*gate.after).label;
    json["crew"] = handrail::word(gate.crew);
    json["planned_s"] = since_zero(gate.planned).count();
    json["begin_until_s"] = gate.begin_until ? Json(since_zero(*gate.begin_until).count()) : Json(nullptr);
    json["set_by"] = gate.always ? "likely times" : word(gate.because);
    json["home_when_begun_then"] = share_json(gate.home);
    json["start_home_by_s"] = since_zero(gate.start_home_by).count();
    json["sentence"] = sentence(outing, gate, confidence);
    return json;
}

Json driver_json(const Outing& outing, const Driver& driver) {
    Json json{
        {"what", word(driver.what)}, {"name", name_of(outing, driver)}, {"first_order_index", rounded(driver.share)}};
    if (driver.step) json["step"] = outing.step(*driver.step).label;
    if (driver.person) json["crew"] = handrail::word(*driver.person);
    return json;
}

std::string percent(const Share& share) {
    return fmt::format("{:5.1f} % ±{:.1f}", 100 * share.value, 100 * share.error);
}

void say_finish(const Odds& odds, std::string& text) {
    const auto at = [](const Moment& m) { return fmt::format("{} ±{:.0f} s", print_pet(m.at), m.error_s); };
    text += fmt::format("Home (end of ingress): planned {}, P10 {}, P50 {}, P90 {}\n", print_pet(odds.planned_finish),
                        at(odds.p10), at(odds.p50), at(odds.p90));
    if (odds.explained_runs > 0)
        text +=
            fmt::format("If nothing were left out: P50 {}, P90 {}\n", at(odds.everything_p50), at(odds.everything_p90));
    const auto left = [&](Crew c) {
        const auto& time = odds.suit_left_p10[index(c)];
        return time ? print_duration(*time) : std::string("no limit");
    };
    text += fmt::format("Suits at return, one outing in ten has less than: EV1 {}, EV2 {} at the reserve's rate\n",
                        left(Crew::ev1), left(Crew::ev2));
}

void say_gates(const Outing& outing, const Odds& odds, std::string& text) {
    if (odds.gates.empty()) return;
    text +=
        fmt::format("\nDecision gates, for {:.0f} % of coming home in time with the reserves\n", 100 * odds.confidence);
    for (const Gate& gate : odds.gates) text += "- " + sentence(outing, gate, odds.confidence) + "\n";
}

void say_drivers(const Outing& outing, const Odds& odds, std::string& text) {
    if (odds.explained_runs == 0) return;
    text += fmt::format(
        "\nWhat the end time hangs on (first-order indices, given-data estimator over 16 classes, {} runs with nothing "
        "left out)\n",
        odds.explained_runs);
    int shown = 0;
    for (const Driver& driver : odds.drivers) {
        if (++shown > 10 || driver.share < 0.005) break;
        text += fmt::format("{:5.1f} %  {}\n", 100 * driver.share, name_of(outing, driver));
    }
    text += fmt::format("{:5.1f} %  acting together, and what is too small to see\n",
                        100 * std::max(0.0, odds.unexplained));
    std::vector<StepRisk> waits = odds.steps;
    std::stable_sort(waits.begin(), waits.end(),
                     [](const StepRisk& a, const StepRisk& b) { return a.wait_mean_s > b.wait_mean_s; });
    text += "\nWhere people wait (mean of both crew members)\n";
    shown = 0;
    for (const StepRisk& step : waits) {
        if (++shown > 8 || step.wait_mean_s < 60) break;
        text +=
            fmt::format("{:>9}  {} (for {})\n", print_duration(Seconds{static_cast<Seconds::rep>(step.wait_mean_s)}),
                        name_of(outing, step.step), word(step.waits_for));
    }
    std::stable_sort(waits.begin(), waits.end(),
                     [](const StepRisk& a, const StepRisk& b) { return a.critical > b.critical; });
    text += "\nSteps that set the end most often\n";
    shown = 0;
    for (const StepRisk& step : waits) {
        if (++shown > 8 || step.critical < 0.05) break;
        text += fmt::format("{:5.1f} %  {}\n", 100 * step.critical, name_of(outing, step.step));
    }
}

}  // namespace

std::string to_json(const Outing& outing, const Odds& odds) {
    Json json{{"format", "handrail-risk"},
              {"version", 1},
              {"outing", outing.name},
              {"fingerprint", outing.fingerprint},
              {"caution", caution},
              {"runs", odds.runs},
              {"seed", odds.seed},
              {"gates_in_force", odds.gates_in_force},
              {"confidence", odds.confidence}};
    json["required_done"] = share_json(odds.required);
    json["in_time"] = share_json(odds.in_time);
    json["with_margin"] = share_json(odds.with_margin);
    json["reserve_touched"] = share_json({1 - odds.reserve_kept.value, odds.reserve_kept.error});
    json["in_time_with_reserves"] = share_json(odds.home);
    json["value"] = {{"expected", rounded(odds.value)},
                     {"standard_error", rounded(odds.value_error)},
                     {"planned", odds.value_planned}};
    json["tasks"] = Json::array();
    for (const TaskOdds& task : odds.tasks)
        json["tasks"].push_back({{"task", outing.task(task.task).key},
                                 {"class", handrail::word(outing.task(task.task).task_class)},
                                 {"planned", task.planned},
                                 {"done", share_json(task.done)}});
    Json finish{{"planned_s", since_zero(odds.planned_finish).count()},
                {"mean_s", rounded(odds.finish_mean_s)},
                {"sd_s", rounded(odds.finish_sd_s)},
                {"p10", moment_json(odds.p10)},
                {"p50", moment_json(odds.p50)},
                {"p90", moment_json(odds.p90)}};
    finish["histogram"] = {{"from_s", since_zero(odds.histogram_from).count()},
                           {"width_s", odds.histogram_width.count()},
                           {"counts", odds.histogram}};
    json["finish"] = std::move(finish);
    for (Crew c : both_crew) {
        const auto& left = odds.suit_left_p10[index(c)];
        json["suit_left_p10_s"][handrail::word(c)] = left ? Json(left->count()) : Json(nullptr);
    }
    json["unlikely"] = Json::array();
    for (const Unlikely& one : unlikely(outing, odds))
        json["unlikely"].push_back({{"task", outing.task(one.task).key}, {"sentence", one.what}});
    json["gates"] = Json::array();
    for (const Gate& gate : odds.gates) json["gates"].push_back(gate_json(outing, gate, odds.confidence));
    if (odds.explained_runs > 0) {
        json["nothing_left_out"] = {{"runs", odds.explained_runs},
                                    {"p50", moment_json(odds.everything_p50)},
                                    {"p90", moment_json(odds.everything_p90)}};
        Json drivers = Json::array();
        for (const Driver& driver : odds.drivers) drivers.push_back(driver_json(outing, driver));
        json["drivers"] = {{"method", "first-order indices, given-data estimator over 16 classes"},
                           {"of", "end time with nothing left out"},
                           {"inputs", std::move(drivers)},
                           {"unexplained", rounded(odds.unexplained)}};
        json["steps"] = Json::array();
        for (const StepRisk& step : odds.steps)
            json["steps"].push_back({{"step", outing.step(step.step).label},
                                     {"critical", rounded(step.critical)},
                                     {"wait_mean_s", rounded(step.wait_mean_s)},
                                     {"waits_for", word(step.waits_for)}});
    }
    json["order_differs_s"] = odds.order_differs_s;
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

std::string print_odds(const Outing& outing, const Odds& odds) {
    std::string text = fmt::format("{} runs, seed {}, {}\n\n", odds.runs, odds.seed,
                                   odds.gates_in_force ? "decision gates in force" : "no gates: likely times decide");
    text += fmt::format("{}  all required tasks done\n", percent(odds.required));
    text += fmt::format("{}  home by the limit, {}\n", percent(odds.in_time), print_duration(outing.rules.limit));
    text += fmt::format("{}  home with the wanted margin\n", percent(odds.with_margin));
    text += fmt::format("{}  a reserve touched\n", percent({1 - odds.reserve_kept.value, odds.reserve_kept.error}));
    say_finish(odds, text);
    text += fmt::format("Value of wanted and get-ahead tasks: planned {:g}, expected {:.2f} ±{:.2f}\n",
                        odds.value_planned, odds.value, odds.value_error);
    if (odds.order_differs_s != 0)
        text += fmt::format(
            "Note: followed in its order and as soon as the rules allow, this timeline ends {} {} than it says.\n",
            print_duration(Seconds{std::abs(odds.order_differs_s)}), odds.order_differs_s > 0 ? "sooner" : "later");
    text += "\nTask odds\n";
    for (const TaskOdds& task : odds.tasks) {
        const Task& of = outing.task(task.task);
        text += fmt::format("{}  {} ({}{})\n", percent(task.done), of.name, handrail::word(of.task_class),
                            task.planned ? "" : ", not in the plan");
    }
    for (const Unlikely& one : unlikely(outing, odds)) text += "Note: " + one.what + "\n";
    say_gates(outing, odds, text);
    say_drivers(outing, odds, text);
    text += fmt::format("\n±: one standard error of the simulation, not of the model.\n{}\n", caution);
    return text;
}

}  // namespace handrail::risk
