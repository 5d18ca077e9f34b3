#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "rehearse/debrief.h"
#include "units/clock_difference.h"

namespace handrail::rehearse {
namespace {

using Json = nlohmann::ordered_json;

std::string minutes(Seconds s) { return fmt::format("{} min", (s.count() + (s.count() < 0 ? -30 : 30)) / 60); }

bool holds(const std::vector<TaskId>& tasks, TaskId task) { return std::ranges::find(tasks, task) != tasks.end(); }

/// One part of the debrief: a heading and its lines.
struct Section {
    std::string heading;
    std::vector<std::string> lines;
};

Section how_it_ended(const Outing& outing, const Debrief& d) {
    Section section{"How it ended", {}};
    if (!d.inside) {
        section.lines.push_back("Broken off: not everybody was inside.");
        return section;
    }
    section.lines.push_back(
        fmt::format("Both inside at PET {}; the hard end is {}: {} {}.", print_pet(d.in_at), print_pet(d.limit),
                    print_duration(std::chrono::abs(left_by_the_clock(d.limit, d.in_at, d.wanted_margin))),
                    d.margin() < Seconds{0} ? "TOO LATE" : "in hand"));
    if (d.margin() >= Seconds{0} && d.margin() < d.wanted_margin)
        section.lines.push_back(fmt::format("The wanted margin of {} was touched.", minutes(d.wanted_margin)));
    for (const Crew crew : both_crew)
        if (const auto& left = d.suit_left[index(crew)])
            section.lines.push_back(
                *left < Seconds{0}
                    ? fmt::format("{}'s suit came in {} INSIDE its reserve.", word(crew), minutes(-*left))
                    : fmt::format("{}'s suit had {} beyond its reserve.", word(crew), minutes(*left)));
    if (d.impossible) section.lines.push_back(*d.impossible);
    (void)outing;
    return section;
}

Section what_was_reached(const Outing& outing, const Debrief& d) {
    Section section{"What was reached, against the best possible in hindsight", {}};
    section.lines.push_back(fmt::format("Required tasks: {} of {}; possible were {}.", d.reached.required,
                                        d.required_in_all, d.best.required));
    section.lines.push_back(fmt::format("Value of the others: {:g} of {:g}; possible were {:g}.", d.reached.value,
                                        d.value_in_all, d.best.value));
    for (const Task& task : outing.tasks) {
        const bool done = holds(d.reached.tasks, task.id);
        const bool best = holds(d.best.tasks, task.id);
        if (done != best)
            section.lines.push_back(done ? fmt::format("Done, though the best plan left it out: {}.", task.name)
                                         : fmt::format("Not done, though it was possible: {}.", task.name));
    }
    return section;
}

std::string mishap_words(const Outing& outing, const Befallen& one) {
    std::string what;
    switch (one.mishap.kind) {
        case Mishap::Kind::unable:
            what = fmt::format("{} could do no more", word(one.mishap.crew));
            break;
        case Mishap::Kind::arm_lost:
            what = "the arm was lost";
            break;
        case Mishap::Kind::no_coverage:
            what = "coverage was lost";
            break;
        case Mishap::Kind::hazard:
            what = fmt::format("{} was closed for a hazard", outing.worksite(one.mishap.site).name);
            break;
    }
    const bool passes = one.mishap.kind == Mishap::Kind::no_coverage || one.mishap.kind == Mishap::Kind::hazard;
    const std::string until = one.over ? " until PET " + print_pet(*one.over) : passes ? " to the end" : "";
    return fmt::format("PET {}: {}{}.", print_pet(one.at), what, until);
}

Section what_happened(const Outing& outing, const Debrief& d) {
    Section section{"What went wrong", {}};
    if (d.late_start > Seconds{0}) section.lines.push_back(fmt::format("Egress began {} late.", minutes(d.late_start)));
    if (d.private_talk > Seconds{0})
        section.lines.push_back(fmt::format("Work was held for {}.", minutes(d.private_talk)));
    for (const Befallen& one : d.befallen) section.lines.push_back(mishap_words(outing, one));
    for (const Struck& struck : d.struck)
        section.lines.push_back(fmt::format("PET {}: {} ({}){}, {} longer.", print_pet(struck.at),
                                            outing.step(struck.step).name, outing.step(struck.step).label,
                                            struck.lost ? fmt::format(", {} lost", outing.item(*struck.lost).name) : "",
                                            minutes(struck.extra)));
    if (section.lines.empty()) section.lines.push_back("Nothing.");
    return section;
}

Section what_was_late(const Debrief& d) {
    Section section{"Decided too late", {}};
    for (const Late& late : d.late)
        section.lines.push_back(
            late.by > Pet{} ? fmt::format("{}: at PET {}, by {}.", late.what, print_pet(late.at), print_pet(late.by))
                            : late.what + ".");
    if (section.lines.empty()) section.lines.push_back("Nothing.");
    if (d.recording.recorded > 0)
        section.lines.push_back(
            fmt::format("The record was {} s behind the calls on average; {} of {} starts and ends "
                        "were never recorded.",
                        d.recording.mean.count(), d.recording.never, d.recording.recorded + d.recording.never));
    return section;
}

Section what_was_broken(const Debrief& d) {
    Section section{"Margins and rules touched by what really happened", {}};
    for (const Finding& finding : d.findings)
        section.lines.push_back(fmt::format("PET {}: {} ({})", print_pet(finding.at), finding.what, finding.rule));
    if (section.lines.empty()) section.lines.push_back("None.");
    return section;
}

std::vector<Section> sections(const Outing& outing, const Debrief& d) {
    return {how_it_ended(outing, d), what_was_reached(outing, d), what_happened(outing, d), what_was_late(d),
            what_was_broken(d)};
}

std::string title(const Outing& outing, const Debrief& d) {
    return fmt::format("Debrief of a rehearsal: {}, trouble {}, seed {}", outing.name, word(d.level), d.seed);
}

Json pet_s(Pet at) { return std::chrono::floor<Seconds>(at - Pet{}).count(); }

Json reached_json(const Outing& outing, const Reached& reached) {
    Json tasks = Json::array();
    for (const TaskId task : reached.tasks) tasks.push_back(outing.task(task).key);
    return {{"required", reached.required}, {"value", reached.value}, {"tasks", tasks}};
}

}  // namespace

std::string print(const Outing& outing, const Debrief& d) {
    std::string text = title(outing, d) + "\n";
    for (const Section& section : sections(outing, d)) {
        text += "\n" + section.heading + "\n";
        for (const std::string& line : section.lines) text += "  " + line + "\n";
    }
    return text + "\n" + std::string(caution) + "\n";
}

std::string to_markdown(const Outing& outing, const Debrief& d) {
    std::string text = "# " + title(outing, d) + "\n";
    for (const Section& section : sections(outing, d)) {
        text += "\n## " + section.heading + "\n\n";
        for (const std::string& line : section.lines) text += "- " + line + "\n";
    }
    return text + "\n> " + std::string(caution) + "\n";
}

std::string to_json(const Outing& outing, const Debrief& d) {
    Json suits = Json::object();
    for (const Crew crew : both_crew) {
        const auto& left = d.suit_left[index(crew)];
        suits[std::string(word(crew))] = left ? Json(left->count()) : Json();
    }
    Json struck = Json::array();
    for (const Struck& one : d.struck)
        struck.push_back({{"step", outing.step(one.step).label},
                          {"at_pet_s", pet_s(one.at)},
                          {"extra_s", one.extra.count()},
                          {"lost", one.lost ? Json(outing.item(*one.lost).id) : Json()}});
    Json mishaps = Json::array();
    for (const Befallen& one : d.befallen) {
        const bool hazard = one.mishap.kind == Mishap::Kind::hazard;
        mishaps.push_back({{"what", word(one.mishap.kind)},
                           {"at_pet_s", pet_s(one.at)},
                           {"over_pet_s", one.over ? pet_s(*one.over) : Json()},
                           {"crew", one.mishap.kind == Mishap::Kind::unable ? Json(word(one.mishap.crew)) : Json()},
                           {"worksite", hazard ? Json(outing.worksite(one.mishap.site).id) : Json()}});
    }
    Json late = Json::array();
    for (const Late& one : d.late)
        late.push_back({{"what", one.what}, {"at_pet_s", pet_s(one.at)}, {"by_pet_s", pet_s(one.by)}});
    Json findings = Json::array();
    for (const Finding& one : d.findings)
        findings.push_back({{"rule", one.rule},
                            {"at_pet_s", pet_s(one.at)},
                            {"amount", one.amount},
                            {"unit", one.unit},
                            {"what", one.what}});
    const Json json{{"format", "handrail-debrief"},
                    {"version", 1},
                    {"outing", outing.name},
                    {"trouble", word(d.level)},
                    {"seed", d.seed},
                    {"inside", d.inside},
                    {"intact", d.intact()},
                    {"impossible", d.impossible ? Json(*d.impossible) : Json()},
                    {"in_at_pet_s", pet_s(d.in_at)},
                    {"limit_pet_s", pet_s(d.limit)},
                    {"margin_s", d.margin().count()},
                    {"suit_beyond_reserve_s", suits},
                    {"required_in_all", d.required_in_all},
                    {"value_in_all", d.value_in_all},
                    {"reached", reached_json(outing, d.reached)},
                    {"best_in_hindsight", reached_json(outing, d.best)},
                    {"late_start_s", d.late_start.count()},
                    {"hold_s", d.private_talk.count()},
                    {"troubles", struck},
                    {"mishaps", mishaps},
                    {"late", late},
                    {"recording",
                     {{"mean_s", d.recording.mean.count()},
                      {"longest_s", d.recording.longest.count()},
                      {"recorded", d.recording.recorded},
                      {"never", d.recording.never}}},
                    {"findings", findings},
                    {"caution", caution}};
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace handrail::rehearse
