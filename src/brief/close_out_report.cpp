#include "brief/close_out_report.h"

#include <fmt/format.h>

#include <algorithm>

#include "brief/carrying.h"
#include "brief/codes.h"
#include "brief/day_words.h"
#include "brief/facts.h"
#include "lifesupport/forecast.h"
#include "risk/learn.h"
#include "timeline/loads.h"

namespace handrail::brief {
namespace {

using live::Reader;
using live::TaskProgress;

struct Desk {
    const Outing& outing;
    const live::Status& status;
    const live::CloseOut& close_out;
    const Wording& say;
    Units units;
    const live::Day& day() const { return status.day; }
};

bool never_out(const Desk& d) { return !d.close_out.out && !d.day().outside[0]; }

/// "+30 s", "-1 min 5 s".
std::string difference(Seconds off) { return (off < Seconds{0} ? "-" : "+") + print_duration(std::chrono::abs(off)); }

Section ended(const Desk& d) {
    const live::Day& day = d.day();
    const Wording& say = d.say;
    Section s{say("close.ended"), {}, {}};
    if (day.stand_down) {
        s.sentences.push_back({stand_down_words(d.status, say), Weight::strong});
    } else {
        s.sentences.push_back({say(day.situation.crew[0].inside_again ? "close.as_planned"
                                   : day.outside[0]                   ? "close.outside"
                                   : day.pet_running                  ? "close.airlock"
                                                                      : "close.not_begun"),
                               Weight::strong});
    }
    const auto late = std::chrono::floor<Seconds>(day.pet_zero - day.planned_pet_zero);
    s.sentences.push_back({!day.pet_running ? say("close.pet_zero_planned", {print_utc(day.planned_pet_zero)})
                           : late == Seconds{0}
                               ? say("close.pet_zero", {print_utc(day.pet_zero)})
                               : say(late > Seconds{0} ? "close.pet_zero_late" : "close.pet_zero_early",
                                     {print_utc(day.pet_zero), print_duration(std::chrono::abs(late))})});
    if (never_out(d)) s.sentences.push_back({say("close.never_out")});
    if (d.close_out.out) s.sentences.push_back({say("close.out", {print_pet(*d.close_out.out)})});
    if (d.close_out.in)
        s.sentences.push_back({say(
            "close.in", {print_pet(*d.close_out.in), day.first_plan ? print_pet(day.first_plan->finish()) : "–"})});
    if (d.close_out.held > Seconds{0}) s.sentences.push_back({say("close.held", {print_duration(d.close_out.held)})});
    int required = 0, required_done = 0;
    double value = 0, value_done = 0;
    for (const Task& task : d.outing.tasks) {
        const bool done = d.status.tasks[index(task.id)].progress == TaskProgress::done;
        if (task.task_class == TaskClass::required) {
            ++required;
            required_done += done;
        } else {
            value += task.value;
            value_done += done ? task.value : 0;
        }
    }
    s.sentences.push_back({say("close.value", {std::to_string(required_done), std::to_string(required),
                                               say.number(print_value(value_done)), say.number(print_value(value))})});
    for (const WorksiteId site : d.close_out.left_open)
        s.sentences.push_back({say("close.open", {d.outing.worksite(site).name}), Weight::finding});
    return s;
}

/// Why a task is not done, with the reasons of skipped steps.
std::string why_not(const Desk& d, const Task& task) {
    std::string why = why_not_done(d.outing, d.status, task.id, d.say);
    for (const StepId step : task.steps) {
        if (d.day().situation.steps[index(step)] != plan::StepStatus::skipped) continue;
        const std::string reason = reason_of(d.day().skipped_because[index(step)]);
        const std::string name = step_code(d.outing, step);
        why += (why.empty() ? "" : " ") +
               (reason.empty() ? d.say("hand_over.skipped", {name}) : d.say("hand_over.skipped_why", {name, reason}));
    }
    return why;
}

Section tasks(const Desk& d) {
    const Wording& say = d.say;
    Section s{say("close.tasks"), {}, {}};
    Grid grid{"",
              {{say("director.task")},
               {say("director.class")},
               {say("director.value_column"), Kind::number},
               {say("close.outcome")},
               {say("close.left_steps")},
               {say("close.reason")}},
              {}};
    for (const Task& task : d.outing.tasks) {
        const TaskProgress at = d.status.tasks[index(task.id)].progress;
        std::string left;
        if (at == TaskProgress::partly || at == TaskProgress::running)
            for (const StepId step : task.steps)
                if (d.day().situation.steps[index(step)] == plan::StepStatus::to_do)
                    left += (left.empty() ? "" : ", ") + step_code(d.outing, step);
        grid.rows.push_back({task_code(task.id) + " " + task.name, say.task_class(task.task_class),
                             say.number(print_value(task.value)), progress_name(at, say), left, why_not(d, task)});
    }
    if (never_out(d)) s.sentences.push_back({say("close.carried")});
    drop_empty_columns(grid);
    s.grids.push_back(std::move(grid));
    return s;
}

/// By ItemId: moved by what was done, elsewhere than at first, or in a bag of which that is true.
std::vector<bool> items_moved(const Desk& d) {
    Timeline done = d.day().first_plan.value_or(Timeline{});
    done.activities.clear();
    for (const live::AsRun& run : d.day().as_run) done.activities.push_back(run.activity);
    put_in_order(done);
    std::vector<bool> moved(d.outing.items.size(), false);
    const Carrying carrying(d.outing, done);
    for (const Carrying::Change& change : carrying.changes())
        for (const auto& [item, place] : change.items) moved[index(item)] = true;
    using Where = plan::ItemPlace::Where;
    for (std::size_t pass = 0; pass < moved.size(); ++pass)  // bags within bags
        for (std::size_t i = 0; i < moved.size(); ++i) {
            const Item& item = d.outing.items[i];
            const plan::ItemPlace& now = d.day().items[i];
            const bool there =
                item.in ? now.where == Where::in_bag && now.bag == *item.in
                        : (now.where == Where::loose || now.where == Where::installed) && now.site == item.at;
            moved[i] = moved[i] || !there || (item.in && moved[index(*item.in)]);
        }
    return moved;
}

Section items(const Desk& d) {
    const Wording& say = d.say;
    Section s{say("close.items"), {}, {}};
    if (never_out(d)) {
        s.sentences.push_back({say("close.items_untouched")});
        return s;
    }
    // While they are still outside, what they have with them is not missing; what nobody ever moved waits for the next
    // outing.
    const std::vector<bool> moved = items_moved(d);
    const bool ended = d.day().situation.crew[0].inside_again || never_out(d);
    for (const auto* list : {&d.close_out.left_outside, &d.close_out.lost})
        for (const ItemId item : ended || list == &d.close_out.lost ? *list : std::vector<ItemId>{}) {
            if (list != &d.close_out.lost && !moved[index(item)]) continue;
            s.sentences.push_back(
                {say("close.missing", {d.outing.item(item).name, item_place(d.outing, d.day().items, item, say)}),
                 Weight::finding});
        }
    Grid grid{"", {{say("tools.item")}, {say("where")}, {say("close.must_return")}}, {}};
    for (std::size_t i = 0; i < d.outing.items.size(); ++i) {
        const auto item = static_cast<ItemId>(i);
        grid.rows.push_back({d.outing.items[i].name, item_place(d.outing, d.day().items, item, say),
                             say(!moved[i]                   ? "close.not_moved"
                                 : d.outing.items[i].returns ? "yes"
                                                             : "no")});
    }
    if (grid.rows.empty()) return {};
    s.grids.push_back(std::move(grid));
    return s;
}

/// "EV1 and arm": who did a step, as logged.
std::string who(const Desk& d, const live::CloseOutStep& step) {
    for (const live::AsRun& run : d.day().as_run)
        if (run.activity.step == step.step && run.activity.start == step.start) return d.say.lanes(run.activity);
    return step.who;
}

Section as_run(const Desk& d) {
    const Wording& say = d.say;
    if (d.close_out.steps.empty()) return {};
    Grid grid{say("close.as_run_note"),
              {{say("step")},
               {say("who")},
               {say("close.planned_at"), Kind::number},
               {say("close.began"), Kind::number},
               {say("close.planned_for"), Kind::number},
               {say("close.took"), Kind::number},
               {say("close.longer"), Kind::number},
               {""}},
              {}};
    for (const live::CloseOutStep& step : d.close_out.steps)
        grid.rows.push_back({step_code(d.outing, step.step) + " " + d.outing.step(step.step).name, who(d, step),
                             step.planned_start ? print_pet(*step.planned_start) : "–", print_pet(step.start),
                             step.planned_duration ? print_duration(*step.planned_duration) : "–",
                             print_duration(step.duration),
                             step.planned_duration ? difference(step.duration - *step.planned_duration) : "–",
                             step.assumed ? say("close.assumed") : ""});
    grid.columns.back().title = say("note.column");
    drop_empty_columns(grid);
    return {say("close.as_run"), {}, {std::move(grid)}};
}

Section consumables(const Desk& d) {
    const Wording& say = d.say;
    if (never_out(d) || !d.day().first_plan) return {};
    Grid grid{say("close.consumables_note"),
              {{say("close.suit")},
               {say("director.consumable")},
               {say("close.planned_left"), Kind::number},
               {say("close.measured_left"), Kind::number},
               {say("close.difference"), Kind::number},
               {say("director.reserve_column"), Kind::number},
               {say("close.reading"), Kind::number}},
              {}};
    for (const Crew crew : both_crew) {
        const lifesupport::Forecast planned = lifesupport::forecast(
            d.outing.suit_of(crew), loads_of(d.outing, d.day().windows, *d.day().first_plan, crew).loads);
        for (const live::ConsumableStatus& one : d.status.people[index(crew)].suit.consumables) {
            const lifesupport::Consumable c = one.consumable;
            const double before = planned.at_return().left[static_cast<std::size_t>(c)];
            const double off = one.left - before;
            grid.rows.push_back({say.crew(crew) + " " + d.outing.person(crew).name, say.consumable(c),
                                 print_amount(c, before, say, d.units), print_amount(c, one.left, say, d.units),
                                 (off < 0 ? "-" : "+") + print_amount(c, std::abs(off), say, d.units),
                                 print_amount(c, one.reserve, say, d.units),
                                 one.measured ? print_pet(*one.measured) : say("close.no_reading")});
        }
    }
    if (grid.rows.empty()) return {};
    return {say("close.consumables"), {}, {std::move(grid)}};
}

/// What happened and was logged as such: assumed times are no observations.
Timeline observed(const live::Day& day) {
    Timeline timeline = day.first_plan.value_or(Timeline{});
    timeline.activities.clear();
    for (const live::AsRun& run : day.as_run) {
        if (run.running || run.assumed || run.end_assumed) continue;
        timeline.activities.push_back(run.activity);
        timeline.activities.back().as_run = true;
    }
    put_in_order(timeline);
    return timeline;
}

std::string factor(double value, const Wording& say) { return say.number(fmt::format("{:.2f}", value)); }

Section lessons(const Desk& d) {
    const Wording& say = d.say;
    Section s{say("close.lessons"), {}, {}};
    const Timeline seen = observed(d.day());
    if (seen.activities.empty()) {
        s.sentences.push_back({say("close.no_lessons")});
        return s;
    }
    const risk::Learned learned = risk::learn(d.outing, seen, risk::RunIn::flight, d.outing.name);
    Grid grid{say("close.lessons_note"),
              {{say("close.class")},
               {say("close.seen"), Kind::number},
               {say("close.seen_median"), Kind::number},
               {say("close.before"), Kind::number},
               {say("close.after"), Kind::number}},
              {}};
    for (const risk::Learned::Row& row : learned.rows)
        grid.rows.push_back({say("work." + row.what), std::to_string(row.seen), factor(row.seen_median, say),
                             factor(row.before.median, say), factor(row.after.median, say)});
    if (grid.rows.empty()) {
        s.sentences.push_back({say("close.no_lessons")});
        return s;
    }
    s.sentences.push_back({say("close.day_factor", {factor(learned.day, say)})});
    for (const risk::Learned::Person& person : learned.people)
        s.sentences.push_back({say("close.person_factor", {person.name, factor(person.before.factor, say),
                                                           factor(person.after.factor, say)})});
    s.grids.push_back(std::move(grid));
    return s;
}

Section steps_back(const Desk& d) {
    const bool scrubbed = d.day().stand_down && d.day().stand_down->kind == live::StandDownKind::scrub;
    if (!scrubbed || d.outing.doffing.empty()) return {};
    Section s{d.say("close.steps_back"), {}, {}};
    int number = 0;
    for (const std::string& step : d.outing.doffing) s.sentences.push_back({fmt::format("{}. {}", ++number, step)});
    return s;
}

Section record(const Desk& d) {
    const std::string entries = std::to_string(live::number(d.day().position));
    // From the hash of a short private text the text could be guessed.
    const bool tells = d.status.record.empty() || may_read(Reader::console, d.status.record.back().visibility);
    return {d.say("close.record"),
            {{tells ? d.say("close.entries", {entries, d.close_out.chain}) : d.say("close.entries_only", {entries})}},
            {}};
}

}  // namespace

std::vector<Section> close_out_report(const Outing& outing, const live::Status& status,
                                      std::span<const live::Recorded> entries, const live::CloseOut& close_out,
                                      const Wording& say, Units units) {
    const Desk desk{outing, status, close_out, say, units};
    std::vector<Section> sections{ended(desk),
                                  tasks(desk),
                                  steps_back(desk),
                                  items(desk),
                                  decisions(outing, status, entries, say("close.decisions"), say),
                                  consumables(desk),
                                  as_run(desk),
                                  lessons(desk),
                                  private_section(status, say),
                                  record(desk)};
    std::erase_if(sections, [](const Section& s) { return s.sentences.empty() && s.grids.empty(); });
    return sections;
}

}  // namespace handrail::brief
