#include "brief/day_words.h"

#include <algorithm>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/entry_words.h"
#include "brief/said.h"

namespace handrail::brief {

using live::Reader;

std::string phase_name(live::Phase phase, const Wording& say) { return say("phase." + std::string(word(phase))); }

std::string progress_name(live::TaskProgress progress, const Wording& say) {
    switch (progress) {
        case live::TaskProgress::to_do:
            return say("progress.to_do");
        case live::TaskProgress::running:
            return say("progress.running");
        case live::TaskProgress::partly:
            return say("progress.partly");
        case live::TaskProgress::done:
            return say("progress.done");
        case live::TaskProgress::left_out:
            return say("progress.left_out");
    }
    return {};
}

std::string item_place(const Outing& outing, const std::vector<plan::ItemPlace>& items, ItemId item,
                       const Wording& say) {
    using Where = plan::ItemPlace::Where;
    std::string out;
    // A bag within a bag within a bag: never deeper than there are items.
    for (std::size_t depth = 0; depth <= items.size(); ++depth) {
        const plan::ItemPlace& place = items[index(item)];
        const std::string join = out.empty() ? "" : ", ";
        switch (place.where) {
            case Where::carried:
                return out + join + say("item.carried", {say.crew(place.carrier)});
            case Where::loose:
                return out + join + say("item.at", {outing.worksite(place.site).name});
            case Where::installed:
                return out + join + say("item.fitted", {outing.worksite(place.site).name});
            case Where::lost:
                return out + join + say("item.lost");
            case Where::in_bag:
                out += join + say("item.in", {outing.item(place.bag).name});
                item = place.bag;
                break;
        }
    }
    return out;
}

std::vector<WorksiteId> open_worksites(const Outing& outing, const live::Day& day) {
    std::vector<WorksiteId> open;
    for (const Task& task : outing.tasks)
        for (const StepId id : task.steps) {
            const Step& step = outing.step(id);
            const auto site = step.to ? step.to : step.at;
            if (day.situation.steps[index(id)] != plan::StepStatus::done || !site) continue;
            if (step.opens && std::ranges::find(open, *site) == open.end()) open.push_back(*site);
            if (step.close_up) std::erase(open, *site);
        }
    return open;
}

std::string reason_of(const std::optional<live::Reason>& reason) {
    return reason && may_read(Reader::console, reason->visibility) ? reason->text : "";
}

std::string why_left_out(const live::Status& status, TaskId task, const Wording& say) {
    const std::string reason = reason_of(status.tasks[index(task)].reason);
    if (!status.day.dropped_because[index(task)]) return said_again(reason, say);
    return reason.empty() || say.language() == Language::english ? reason : say("said_as_written", {reason});
}

std::string why_not_done(const Outing& outing, const live::Status& status, TaskId task, const Wording& say) {
    const live::Day& day = status.day;
    const live::TaskProgress at = status.tasks[index(task)].progress;
    const bool begun = at == live::TaskProgress::partly || at == live::TaskProgress::running;
    const bool stopped = day.stand_down.has_value() || day.situation.crew[0].inside_again;
    if (!begun || !stopped || day.dropped_because[index(task)]) return why_left_out(status, task, say);
    const auto& steps = outing.task(task).steps;
    const auto open = std::ranges::find_if(
        steps, [&](StepId step) { return day.situation.steps[index(step)] == plan::StepStatus::to_do; });
    if (open == steps.end()) return {};
    const std::string before = step_code(outing, *open);
    if (!day.stand_down) return say("close.not_reached", {before});
    const live::StoodDown& down = *day.stand_down;
    const std::string words = say("close.stopped", {say("called_off." + std::string(word(down.kind))), before});
    const bool tells = may_read(Reader::console, down.visibility) && !down.reason.empty();
    return tells ? say("close.stopped_why", {words, down.reason}) : words;
}

bool scrubbed(const live::Day& day) { return day.stand_down && day.stand_down->kind == live::StandDownKind::scrub; }

Utc shown_zero(const live::Day& day) { return scrubbed(day) ? day.planned_pet_zero : day.pet_zero; }

// Not RecordLine::pet: before PET zero it counts to the moment that was expected when the entry was written.
Happened happened(const live::RecordLine& line, const live::Day& day) {
    return {scrubbed(day) ? "" : print_pet(to_pet(line.happened, day.pet_zero)),
            print_utc(line.happened).substr(11, 5)};
}

std::vector<std::string> short_of_reserve(const live::Status& status, const std::vector<Finding>& findings,
                                          const Wording& say, Units units) {
    std::vector<std::string> out;
    if (!status.day.pet_running || status.day.situation.crew[0].inside_again || scrubbed(status.day)) return out;
    for (const Crew crew : both_crew) {
        const bool found = std::ranges::any_of(findings, [&](const Finding& finding) {
            return finding.rule == "consumable" && std::ranges::count(finding.lanes, lane_of(crew)) > 0;
        });
        for (const live::ConsumableStatus& one : status.people[index(crew)].suit.consumables)
            if (!found && one.in_hand && *one.in_hand < Seconds{0})
                out.push_back(say("hand_over.reserve", {say.crew(crew), say.consumable(one.consumable),
                                                        print_amount(one.consumable, one.left_at_return, say, units),
                                                        print_amount(one.consumable, one.reserve, say, units)}));
    }
    return out;
}

std::string stand_down_words(const live::Status& status, const Wording& say) {
    const live::StoodDown& down = *status.day.stand_down;
    const std::string utc = clock_utc(down.at, status.day.pet_zero), pet = print_pet(down.at);
    const bool tells = may_read(Reader::console, down.visibility) && !down.reason.empty();
    const std::string key = "down." + std::string(word(down.kind));
    // Before PET zero a PET counts to a moment that never came.
    const std::string words = say(key, {utc, status.day.pet_running ? say("down.pet", {pet}) : ""});
    return tells ? say("down.why", {words, down.reason}) : words;
}

std::size_t private_entries(const live::Status& status) {
    return static_cast<std::size_t>(std::ranges::count_if(
        status.record, [](const live::RecordLine& line) { return !may_read(Reader::console, line.visibility); }));
}

std::vector<Finding> findings_ahead(const Outing& outing, const live::Status& status) {
    const live::Day& day = status.day;
    if (!status.forecast.timeline || day.stand_down || day.situation.crew[0].inside_again) return {};
    CheckOptions facts;
    for (const Task& task : outing.tasks)
        if (day.situation.dropped[index(task.id)]) facts.dropped.push_back(task.id);
    for (const Crew crew : both_crew)
        if (!day.situation.crew[index(crew)].able) facts.unable.push_back(crew);
    if (!day.situation.arm_available) facts.unavailable.push_back(Lane::arm);
    for (std::size_t i = 0; i < day.items.size(); ++i)
        if (day.items[i].where == plan::ItemPlace::Where::lost) facts.lost.push_back(static_cast<ItemId>(i));
    std::vector<Finding> findings = check(outing, day.windows, *status.forecast.timeline, facts);
    std::erase_if(findings, [&](const Finding& finding) {
        const bool whole_day = finding.rule == "required" || finding.rule == "whole-task" ||
                               finding.rule == "returns" || finding.rule == "limit" || finding.rule == "consumable";
        return finding.severity == Severity::note || (finding.at < day.pet_now() && !whole_day);
    });
    return findings;
}

Section decisions(const Outing& outing, const live::Status& status, std::span<const live::Recorded> entries,
                  const std::string& heading, const Wording& say) {
    Section s{heading, {}, {}};
    Grid grid{"", {{"PET"}, {"UTC"}, {say("hand_over.decision")}, {say("hand_over.author")}}, {}};
    for (const live::RecordLine& line : live::visible(status.record, Reader::console)) {
        const bool decides = line.kind == "decision" || line.kind == "plan_adopted" || line.kind == "stand_down" ||
                             line.kind == "task_dropped" || line.kind == "step_skipped";
        if (!decides || line.struck) continue;
        const Happened at = happened(line, status.day);
        grid.rows.push_back({at.pet, at.utc, line_words(outing, line, entries, say), line.author});
    }
    drop_empty_columns(grid);
    if (grid.rows.empty())
        s.sentences.push_back({say("hand_over.no_decisions")});
    else
        s.grids.push_back(std::move(grid));
    return s;
}

Section private_section(const live::Status& status, const Wording& say) {
    const std::size_t count = private_entries(status);
    return {say("hand_over.private"),
            {{count == 0   ? say("hand_over.private_none")
              : count == 1 ? say("hand_over.private_one")
                           : say("hand_over.private_count", {std::to_string(count)})}},
            {}};
}

}  // namespace handrail::brief
