#include "outing/made_steps.h"

#include <fmt/format.h>

#include <algorithm>

namespace handrail::detail {
namespace {

StepId append(Draft& draft, Task& task, Step step, const Fields& from) {
    step.id = static_cast<StepId>(draft.outing.steps.size());
    step.task = task.id;
    draft.steps.add(step.label, from.place_of("id"), from, "id");
    task.steps.push_back(step.id);
    draft.last_part.push_back(step.id);
    draft.outing.steps.push_back(std::move(step));
    return task.steps.back();
}

void order(Draft& draft, Order order, Place place) {
    draft.outing.orders.push_back(order);
    draft.order_places.push_back(place);
}

Seconds share(Seconds whole, Seconds::rep parts) { return Seconds{(whole.count() + parts - 1) / parts}; }

bool takes_part(const Step& step, Role role) { return std::ranges::find(step.who, role) != step.who.end(); }

Duration3 exactly(Seconds time) { return {time, time, time}; }

}  // namespace

void make_parts(const Fields& from, Draft& draft, Task& task) {
    const auto interrupt = from.one("interrupt");
    if (!interrupt) return;
    Seconds every{0};
    interrupt->take("every", every);
    const StepId first = task.steps.back();
    const Step whole = draft.outing.step(first);
    if (every <= Seconds{0}) return;
    const Seconds::rep parts = (whole.duration.likely + every - Seconds{1}) / every;
    if (whole.to && whole.to != whole.at)
        from.wrong("interrupt", "a step that ends where it starts", "a step with to", "take one of the two out");
    if (parts > 50) interrupt->wrong("every", "at most 50 parts", fmt::format("{}", parts), "make the parts longer");
    if (parts < 2 || parts > 50 || from.has("watched_from")) return;
    const Duration3 each{share(whole.duration.low, parts), share(whole.duration.likely, parts),
                         share(whole.duration.high, parts)};
    StepId last = first;
    for (Seconds::rep part = 1; part <= parts; ++part) {
        Step step = whole;
        step.duration = each;
        step.opens = whole.opens && part == 1;
        if (part < parts) {
            step.close_up = false;
            step.takes.clear();
            step.leaves.clear();
            step.installs.clear();
            step.moves.clear();
            step.stows.clear();
            step.into.reset();
            step.hands_over.clear();
            // What it fixes or lays down at the end is at hand from the beginning.
            for (const auto* list : {&whole.installs, &whole.stows})
                for (const ItemId item : *list)
                    if (std::ranges::find(step.needs, item) == step.needs.end()) step.needs.push_back(item);
        }
        step.name = fmt::format("{} (part {} of {})", whole.name, part, parts);
        if (part == 1) {
            draft.outing.steps[index(first)] = std::move(step);
            continue;
        }
        step.label = fmt::format("{}-part-{}", whole.label, part);
        step.continues = last;
        const StepId next = append(draft, task, std::move(step), from);
        order(draft, {last, next, Seconds{0}, std::nullopt, false}, from.place());
        last = next;
    }
    draft.last_part[index(first)] = last;
}

void read_interrupters(const Fields& from, Draft& draft, StepId first) {
    const auto interrupt = from.one("interrupt");
    if (!interrupt) return;
    const std::vector<TaskId> by = draft.references<TaskId>(*interrupt, "by", draft.tasks);
    const TaskId own = draft.outing.step(first).task;
    if (std::ranges::find(by, own) != by.end())
        interrupt->wrong("by", "other tasks", shown_text(draft.outing.task(own).key) + ", which is this one",
                         "take it out");
    for (StepId at = draft.last_part[index(first)]; draft.outing.step(at).continues;
         at = *draft.outing.step(at).continues)
        draft.outing.steps[index(at)].lets_in = by;
}

void make_watch(const Fields& from, Draft& draft, Task& task, StepId watched) {
    const auto site = draft.reference<WorksiteId>(from, "watched_from", draft.worksites);
    if (!from.has("watched_from") || !site) return;
    const Step& step = draft.outing.step(watched);
    const bool lead = takes_part(step, Role::lead);
    const bool helper = takes_part(step, Role::helper);
    if (lead == helper)
        from.wrong("watched_from", "a step of one crew member", lead ? "a step of both" : "a step of none",
                   "leave the other one out of who");
    if (from.has("interrupt"))
        from.wrong("watched_from", "a step that is not interrupted", "a step with interrupt",
                   "take one of the two out");
    if (lead == helper) return;
    Step watch;
    watch.label = step.label + "-watch";
    watch.name = fmt::format("Watch: {}", step.name);
    watch.who = {lead ? Role::helper : Role::lead};
    watch.at = *site;
    watch.duration = step.duration;
    watch.effort = Effort::light;
    watch.watches = watched;
    watch.place = step.place;
    const StepId id = append(draft, task, std::move(watch), from);
    order(draft, {watched, id, Seconds{0}, std::nullopt, true}, from.place());
}

void make_inhibit_steps(const Fields& from, Draft& draft, Task& task) {
    const std::vector<StepId> own = task.steps;
    for (std::size_t i = 0; i < draft.outing.inhibits.size(); ++i) {
        const InhibitId id = static_cast<InhibitId>(i);
        std::vector<StepId> wanting;
        for (const StepId step : own)
            if (std::ranges::find(draft.outing.step(step).inhibits, id) != draft.outing.step(step).inhibits.end())
                wanting.push_back(step);
        if (wanting.empty()) continue;
        const Inhibit& inhibit = draft.outing.inhibits[i];
        const SourcePlace written = draft.outing.step(wanting.front()).place;
        const Place place = from.place();
        const auto made = [&](std::string_view what, std::string name, Role who, Seconds time) {
            Step step;
            step.label = fmt::format("{}.{}-{}", task.key, what, inhibit.id);
            step.name = std::move(name);
            step.who = {who};
            step.duration = exactly(time);
            step.effort = Effort::rest;
            if (who == Role::ground) step.during = inhibit.during;
            step.place = written;
            return step;
        };
        Step command = made("inhibit", "Inhibit " + inhibit.name, Role::ground, inhibit.command);
        command.commands = id;
        Step confirm = made("confirm", "Confirm that " + inhibit.name + " is inhibited", Role::iv, inhibit.confirm);
        confirm.confirms = id;
        Step release = made("release", "Release " + inhibit.name, Role::ground, inhibit.release);
        release.releases = id;
        const StepId commanded = append(draft, task, std::move(command), from);
        const StepId confirmed = append(draft, task, std::move(confirm), from);
        const StepId released = append(draft, task, std::move(release), from);
        order(draft, {commanded, confirmed, Seconds{0}, std::nullopt, false}, place);
        for (const StepId step : wanting) {
            order(draft, {confirmed, step, Seconds{0}, std::nullopt, false}, place);
            order(draft, {step, released, Seconds{0}, std::nullopt, false}, place);
        }
    }
}

}  // namespace handrail::detail
