#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "plan/explain.h"

namespace handrail::plan {
namespace {

using Json = nlohmann::ordered_json;

Json reason_json(const Outing& outing, const Timeline& timeline, const Reason& reason) {
    Json json{{"cause", word(reason.cause)}};
    if (reason.earliest > Pet::min()) json["earliest_s"] = since_zero(reason.earliest).count();
    if (reason.before) {
        const Activity& before = timeline.activities[*reason.before];
        json["after"] = *reason.before;
        json["after_title"] = title(outing, before);
    }
    if (!reason.condition.empty()) json["condition"] = reason.condition;
    return json;
}

Json missing_json(const Outing& outing, const Missing& missing) {
    Json json{{"task", outing.task(missing.task).key}, {"value", outing.task(missing.task).value}};
    if (!missing.reason.empty()) json["reason"] = missing.reason;
    json["looked"] = missing.looked;
    for (const TaskId task : missing.with) json["with"].push_back(outing.task(task).key);
    json["remedies"] = Json::array();
    for (const Remedy& remedy : missing.remedies) {
        Json one{{"kind", word(remedy.kind)}};
        if (remedy.by > Seconds{0}) one["by_s"] = remedy.by.count();
        if (remedy.suits_by > Seconds{0}) one["suits_by_s"] = remedy.suits_by.count();
        for (const Remedy::Stretch& stretch : remedy.stretches)
            one["stretches"].push_back({{"step", outing.step(stretch.step).label},
                                        {"condition", stretch.condition},
                                        {"worksite", stretch.worksite},
                                        {"holds", stretch.holds},
                                        {"from_s", since_zero(stretch.from).count()},
                                        {"to_s", since_zero(stretch.to).count()}});
        for (const auto& [item, site] : remedy.items)
            one["items"].push_back({{"item", outing.item(item).id}, {"at", outing.worksite(site).id}});
        if (remedy.out) {
            one["out"] = outing.task(*remedy.out).key;
            one["value"] = remedy.value;
        }
        one["what"] = remedy.what;
        json["remedies"].push_back(std::move(one));
    }
    json["what"] = missing.what;
    return json;
}

/// One line for each run of the same task; what leads to it (ways, handling, glove checks) is in it.
std::vector<std::string> folded(const Outing& outing, const Explanation& explanation) {
    struct Run {
        std::string name;
        Pet from{}, to{};
        std::vector<Lane> lanes;
        const Reason* window = nullptr;
    };
    std::vector<Run> runs;
    std::optional<Pet> pending;  // where what leads to the next run began
    for (const ChainLink& link : explanation.chain) {
        const Activity& activity = explanation.timeline.activities[link.activity];
        const bool ends = activity.kind == ActivityKind::clean_up || activity.kind == ActivityKind::ingress;
        if (!activity.step && !ends && activity.kind != ActivityKind::egress) {
            if (!pending) pending = activity.start;
            continue;
        }
        const std::string name = activity.step ? outing.task(outing.step(*activity.step).task).name
                                 : ends        ? "home, clean-up and ingress"
                                               : "egress";
        if (runs.empty() || runs.back().name != name)
            runs.push_back({name, pending.value_or(activity.start), {}, {}, nullptr});
        Run& run = runs.back();
        run.to = activity.end();
        for (const Lane lane : activity.lanes)
            if (std::find(run.lanes.begin(), run.lanes.end(), lane) == run.lanes.end()) run.lanes.push_back(lane);
        if (link.reason.cause == Cause::window) run.window = &link.reason;
        pending.reset();
    }
    std::vector<std::string> lines;
    for (Run& run : runs) {
        std::sort(run.lanes.begin(), run.lanes.end());
        std::string lanes;
        for (const Lane lane : run.lanes) lanes += (lanes.empty() ? "" : ", ") + std::string(handrail::word(lane));
        lines.push_back(fmt::format(
            "PET {} to {}  {} ({}){}", print_pet(run.from), print_pet(run.to), run.name, lanes,
            run.window ? fmt::format("; {} at PET {}", turn_of(run.window->condition), print_pet(run.window->earliest))
                       : ""));
    }
    return lines;
}

}  // namespace

std::string how_good(const Timeline& timeline) {
    const PlanNote& note = timeline.note;
    if (!note.value_bound) return {};
    if (note.proven)
        return fmt::format("Optimal: no plan has more value than {:g}, and none with it ends sooner.", note.value);
    const double bound = *note.value_bound;
    std::string text = note.value >= bound - 1e-9 ? fmt::format("Value {:g}: no plan has more", note.value)
                                                  : fmt::format("Value {:g}: no plan has more than {:g} (gap {:.1f} %)",
                                                                note.value, bound, 100 * (bound - note.value) / bound);
    if (note.finish_bound && *note.finish_bound < timeline.finish())
        text += fmt::format("; home at PET {}: no plan of this value before PET {}", print_pet(timeline.finish()),
                            print_pet(*note.finish_bound));
    return text + ".";
}

std::string print_explanation(const Outing& outing, const Explanation& explanation, ChainDetail detail) {
    std::string text = how_good(explanation.timeline);
    if (!text.empty()) text += "\n";
    text += explanation.finish + "\n";
    text += explanation.missing.empty() ? "\nNothing is left out.\n" : "\nLeft out, and what alone would let it in:\n";
    for (const Missing& missing : explanation.missing) {
        text += fmt::format("  {} ({}, value {:g}).{}\n", outing.task(missing.task).name,
                            word(outing.task(missing.task).task_class), outing.task(missing.task).value,
                            missing.reason.empty() ? "" : " " + missing.reason);
        if (missing.remedies.empty()) text += "    - " + missing.what + "\n";
        for (const Remedy& remedy : missing.remedies) text += "    - " + remedy.what + "\n";
    }
    text += explanation.rules.empty() ? "\nNo rule, relaxed alone, brings more.\n"
                                      : "\nWhat the rules cost, each relaxed alone and the outing planned anew:\n";
    for (const RuleCost& cost : explanation.rules) text += fmt::format("  {} [{}]\n", cost.what, cost.rule);
    if (!explanation.rules_free.empty())
        text += fmt::format("  Nothing is gained {}.\n", fmt::join(explanation.rules_free, "; "));
    text += explanation.waits.empty() ? "\nNobody waits.\n" : "\nWaits:\n";
    for (const Wait& wait : explanation.waits) text += "  " + wait.what + "\n";
    if (!explanation.chain.empty()) {
        text += "\nThe chain that sets the finish:\n";
        if (detail == ChainDetail::whole)
            for (const ChainLink& link : explanation.chain) text += "  " + link.what + "\n";
        else
            for (const std::string& line : folded(outing, explanation)) text += "  " + line + "\n";
    }
    return text + "\n" + std::string(caution) + "\n";
}

std::string to_json(const Outing& outing, const Explanation& explanation) {
    const Timeline& timeline = explanation.timeline;
    Json json{{"format", "handrail-explanation"},
              {"version", 1},
              {"caution", caution},
              {"outing", outing.name},
              {"fingerprint", outing.fingerprint},
              {"finish_s", since_zero(timeline.finish()).count()},
              {"finish", explanation.finish},
              {"chain", Json::array()},
              {"waits", Json::array()},
              {"left_out", Json::array()},
              {"rules", Json::array()},
              {"rules_without_effect", explanation.rules_free}};
    const PlanNote& note = timeline.note;
    if (const std::string good = how_good(timeline); !good.empty()) {
        json["bounds"] = {{"value", note.value}, {"proven", note.proven}, {"what", good}};
        if (note.value_bound) json["bounds"]["value_at_most"] = *note.value_bound;
        if (note.finish_bound) json["bounds"]["finish_not_before_s"] = since_zero(*note.finish_bound).count();
    }
    for (const ChainLink& link : explanation.chain) {
        const Activity& activity = timeline.activities[link.activity];
        Json one{{"activity", link.activity},
                 {"start_s", since_zero(activity.start).count()},
                 {"duration_s", activity.duration.count()},
                 {"lanes", Json::array()},
                 {"title", title(outing, activity)},
                 {"reason", reason_json(outing, timeline, link.reason)},
                 {"what", link.what}};
        for (const Lane lane : activity.lanes) one["lanes"].push_back(handrail::word(lane));
        if (activity.step) one["step"] = outing.step(*activity.step).label;
        json["chain"].push_back(std::move(one));
    }
    for (const Wait& wait : explanation.waits)
        json["waits"].push_back({{"crew", handrail::word(wait.crew)},
                                 {"from_s", since_zero(wait.from).count()},
                                 {"length_s", wait.length.count()},
                                 {"next", wait.next},
                                 {"reason", reason_json(outing, timeline, wait.reason)},
                                 {"what", wait.what}});
    for (const Missing& missing : explanation.missing) json["left_out"].push_back(missing_json(outing, missing));
    for (const RuleCost& cost : explanation.rules) {
        Json one{{"rule", cost.rule}, {"relaxed", cost.relaxed}, {"value", cost.value}};
        one["sooner_s"] = cost.sooner.count();
        one["required_sooner_s"] = cost.required_sooner.count();
        one["comes"] = Json::array();
        for (const TaskId task : cost.comes) one["comes"].push_back(outing.task(task).key);
        one["what"] = cost.what;
        json["rules"].push_back(std::move(one));
    }
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace handrail::plan
