#include "live/findings.h"

#include <fmt/format.h>

#include <algorithm>

#include "live/present.h"

namespace handrail::live {
namespace {

void add_closed_sites(const Outing& outing, const Day& day, const Timeline& timeline, std::vector<Finding>& findings) {
    for (const Closure& closure : day.closed) {
        const Pet to = closure.to.value_or(Pet::max());
        for (const Activity& activity : timeline.activities) {
            const bool crew = activity.on(Lane::ev1) || activity.on(Lane::ev2);
            // To leave it is what they should do.
            const bool leaves = activity.kind == ActivityKind::translate && !activity.path.empty() &&
                                activity.path.front() == closure.site &&
                                std::ranges::count(activity.path, closure.site) == 1;
            if (!crew || activity.as_run || leaves || activity.end() <= std::max(closure.from, day.pet_now()) ||
                activity.start >= to || std::ranges::find(activity.path, closure.site) == activity.path.end())
                continue;
            Finding finding;
            finding.rule = "closed-site";
            for (const Lane lane : activity.lanes)
                if (lane == Lane::ev1 || lane == Lane::ev2) finding.lanes.push_back(lane);
            finding.at = std::max(activity.start, closure.from);
            finding.amount =
                static_cast<double>(std::chrono::floor<Seconds>(std::min(activity.end(), to) - finding.at).count());
            finding.unit = "s";
            finding.what = fmt::format("\"{}\" leads to or over {}, which is closed{}.", title(outing, activity),
                                       outing.worksite(closure.site).name,
                                       closure.to ? " until PET " + print_pet(*closure.to) : "");
            finding.source = fmt::format("entry {}", number(closure.position));
            findings.push_back(std::move(finding));
            break;
        }
    }
}

void add_alone(const Outing& outing, const Day& day, const Timeline& timeline, std::vector<Finding>& findings) {
    for (const Crew crew : both_crew) {
        const plan::CrewSituation& other = day.situation.crew[index(partner(crew))];
        if (other.able || day.situation.crew[index(crew)].inside_again) continue;
        Seconds alone{0};
        std::optional<Pet> from;
        for (const Activity& activity : timeline.activities)
            if (!activity.as_run && activity.step && activity.on(lane_of(crew)) &&
                !outing.step(*activity.step).close_up) {
                if (!from) from = activity.start;
                alone += activity.duration;
            }
        if (!from) continue;
        Finding finding;
        finding.rule = "alone";
        finding.lanes = {lane_of(crew)};
        finding.at = *from;
        finding.amount = static_cast<double>(alone.count());
        finding.unit = "s";
        finding.what = fmt::format("{} works on for {} while {} can neither work nor help: nobody works outside alone.",
                                   word(crew), print_duration(alone), word(partner(crew)));
        finding.source = "buddy rule, common practice";
        findings.push_back(std::move(finding));
    }
}

void add_prebreathe(const Day& day, std::vector<Finding>& findings) {
    if (day.morning.early_depress <= Seconds{0}) return;
    Finding finding;
    finding.rule = "prebreathe";
    finding.lanes = {Lane::ev1, Lane::ev2};
    finding.at = Pet{std::chrono::floor<Seconds>(*day.morning.depress - day.pet_zero)};
    finding.amount = static_cast<double>(day.morning.early_depress.count());
    finding.unit = "s";
    finding.what = fmt::format("The depress began {} before the prebreathe with its holds and paybacks was over.",
                               print_duration(day.morning.early_depress));
    finding.source = "the outing's prebreathe protocol";
    findings.push_back(std::move(finding));
}

}  // namespace

std::vector<Finding> findings_ahead(const Outing& outing, const Day& day, const Forecast& forecast,
                                    const std::vector<TaskId>& dropped) {
    if (!forecast.timeline) return {};
    const Present present(outing, day);
    std::vector<Finding> findings =
        check(present.outing(), present.windows(), *forecast.timeline, present.facts(dropped));
    std::erase_if(findings, [&](const Finding& finding) {
        if (finding.severity == Severity::note) return true;
        const bool whole_day = finding.rule == "required" || finding.rule == "whole-task" ||
                               finding.rule == "returns" || finding.rule == "limit" || finding.rule == "consumable";
        return finding.at < day.pet_now() && !whole_day;
    });
    // A place that was only said (CrewPlaced) breaks rules at the very moment it was said, and that is a fact too.
    std::erase_if(findings, [&](const Finding& finding) {
        return finding.at == day.pet_now() &&
               (finding.rule == "route" || finding.rule == "place" || finding.rule == "tether" ||
                finding.rule == "translation-time" || finding.rule == "handling-time") &&
               std::ranges::any_of(day.as_run, [&](const AsRun& run) {
                   return run.activity.start == finding.at && run.activity.duration == Seconds{0};
               });
    });
    add_closed_sites(outing, day, *forecast.timeline, findings);
    add_alone(outing, day, *forecast.timeline, findings);
    if (!day.situation.crew[0].inside_again) add_prebreathe(day, findings);
    // What endangers somebody comes before what is merely not done.
    const auto owed = [](const Finding& finding) {
        return finding.rule == "required" || finding.rule == "whole-task" || finding.rule == "returns";
    };
    std::ranges::stable_sort(findings, {}, [&](const Finding& f) { return std::pair(owed(f), f.at); });
    return findings;
}

}  // namespace handrail::live
