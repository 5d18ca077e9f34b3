#include "brief/hand_over.h"

#include <algorithm>
#include <utility>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/day_words.h"
#include "brief/entry_words.h"
#include "brief/finding_words.h"
#include "brief/said.h"
#include "units/clock_difference.h"

namespace handrail::brief {
namespace {

using live::Reader;
using live::Status;

constexpr std::chrono::hours last_hour{1};

/// What every part of the sheet is written with.
struct Desk {
    const Outing& outing;
    const Status& status;
    std::span<const live::Recorded> entries;
    const Wording& say;
    Units units;
    const live::Day& day() const { return status.day; }
    Pet now() const { return status.day.pet_now(); }
    /// Nothing is left to be early or late for.
    bool over() const {
        return status.day.situation.crew[0].inside_again ||
               (status.day.stand_down && status.day.stand_down->kind == live::StandDownKind::scrub);
    }
    std::string named(const Activity& activity) const {
        return activity.step ? step_code(outing, *activity.step) + " " + outing.step(*activity.step).name
                             : say.title(outing, activity);
    }
};

/// "12 min behind the plan (valve.3 took longer)."
std::string behind_words(const Desk& d, Seconds by, const std::string& cause) {
    if (by == Seconds{0}) return d.say("hand_over.on_time");
    const std::string minutes = print_duration(std::chrono::abs(by));
    const bool late = by > Seconds{0};
    if (cause.empty()) return d.say(late ? "hand_over.behind" : "hand_over.ahead", {minutes});
    return d.say(late ? "hand_over.behind_why" : "hand_over.ahead_why",
                 {minutes, with_codes(d.outing, said_again(cause, d.say))});
}

std::string tightest_words(const Desk& d) {
    const live::Tightest& t = *d.status.tightest;
    const std::string what = t.crew && t.consumable
                                 ? d.say("hand_over.suit", {d.say.crew(*t.crew), d.say.consumable(*t.consumable)})
                                 : d.say("hand_over.hard_end");
    return d.say("hand_over.tightest", {what, print_in_hand(t.in_hand)});
}

/// "PET zero is 10 min later than planned."
std::string pet_zero_moved(const live::Day& day, const Wording& say) {
    const auto by = std::chrono::floor<Seconds>(day.pet_zero - day.planned_pet_zero);
    return say(by > Seconds{0} ? "hand_over.late_start" : "hand_over.early_start",
               {print_duration(std::chrono::abs(by))});
}

enum class Finish : std::uint8_t { told, elsewhere };
Section state(const Desk& d, Finish finish) {
    const live::Day& day = d.day();
    const Wording& say = d.say;
    Section s{say("hand_over.state"), {}, {}};
    const std::string utc = print_utc(day.now).substr(11, 5);
    s.sentences.push_back({scrubbed(day)
                               ? say("hand_over.moment_utc", {utc})
                               : say("hand_over.moment", {print_pet(d.now()), utc, phase_name(day.phase, say)}),
                           Weight::strong});
    if (!day.pet_running) s.sentences.push_back({say("hand_over.not_begun", {print_utc(day.planned_pet_zero)})});
    if (day.pet_zero != day.planned_pet_zero && !scrubbed(day)) s.sentences.push_back({pet_zero_moved(day, say)});
    if (const live::Hold* hold = day.open_hold(); hold != nullptr && !d.over()) {
        const bool tells = may_read(Reader::console, hold->visibility) && !hold->reason.empty();
        s.sentences.push_back({tells ? say("hand_over.hold_why", {print_pet(hold->from), hold->reason})
                                     : say("hand_over.hold", {print_pet(hold->from)}),
                               Weight::finding});
    }
    if (day.stand_down) {
        s.sentences.push_back({stand_down_words(d.status, say), Weight::finding});
    }
    if (scrubbed(day)) return s;
    if (day.situation.crew[0].inside_again) {
        s.sentences.push_back(
            {say("close.in", {print_pet(d.status.forecast.finish), print_pet(d.status.planned_finish)})});
        return s;
    }
    // Coming in early is not being ahead.
    if (day.plan && d.status.forecast.possible && !day.stand_down)
        s.sentences.push_back({behind_words(d, d.status.behind, d.status.cause)});
    if (day.plan && d.status.forecast.possible && finish == Finish::told) {
        s.sentences.push_back(
            {say("hand_over.finish", {print_pet(d.status.forecast.finish), print_pet(d.status.planned_finish),
                                      print_pet(pet(d.outing.rules.limit))})});
    }
    for (const std::string& reason : d.status.forecast.reasons)
        s.sentences.push_back(
            {say("hand_over.no_forecast", {with_codes(d.outing, said_again(reason, say))}), Weight::finding});
    if (d.status.tightest) s.sentences.push_back({tightest_words(d)});
    if (const auto& odds = d.status.odds)
        s.sentences.push_back({say("hand_over.odds", {print_share(odds->required), print_share(odds->home),
                                                      print_pet(odds->finish_p10), print_pet(odds->finish_p90)})});
    return s;
}

Section people(const Desk& d) {
    const Wording& say = d.say;
    Section s{say("hand_over.people"), {}, {}};
    Grid grid{"", {{say("hand_over.person")}}, {}};
    const bool ahead = !d.over();
    if (ahead) {
        grid.columns.push_back({say("hand_over.now")});
        grid.columns.push_back({say("hand_over.next")});
        if (!d.day().stand_down) grid.columns.push_back({say("hand_over.against_plan")});
    }
    grid.columns.push_back({say("hand_over.place")});
    grid.columns.push_back({say("hand_over.carries")});
    for (const Crew crew : both_crew) {
        const live::PersonStatus& person = d.status.people[index(crew)];
        const std::size_t c = index(crew);
        const std::string now =
            person.now
                ? say("hand_over.doing", {d.named(person.now->run.activity), print_pet(person.now->run.activity.start),
                                          print_pet(person.now->run.activity.end())})
                : say("hand_over.idle");
        std::string next, carries;
        for (const live::ToCome& one : person.next)
            next += (next.empty() ? "" : "; ") +
                    say("hand_over.coming", {print_pet(one.activity.start), d.named(one.activity)});
        for (const ItemId item : person.carries) carries += (carries.empty() ? "" : ", ") + d.outing.item(item).name;
        const bool out = d.day().outside[c];
        std::vector<std::string> row{say.crew(crew) + " " + d.outing.person(crew).name};
        if (ahead) {
            row.push_back(now);
            row.push_back(next.empty() ? "–" : next);
            if (!d.day().stand_down) row.push_back(behind_words(d, person.behind, person.cause));
        }
        row.push_back(out ? say("hand_over.place_words",
                                {d.outing.worksite(d.day().at[c]).name, d.outing.worksite(d.day().anchor[c]).name})
                          : say("hand_over.inside"));
        row.push_back(carries.empty() ? say("nothing") : carries);
        grid.rows.push_back(std::move(row));
    }
    s.grids.push_back(std::move(grid));
    return s;
}

/// With US units beside the metric ones a row a suit and consumable: side by side they would not fit a page.
Section suits_in_rows(const Desk& d, bool ahead, bool read, std::string note) {
    const Wording& say = d.say;
    Grid grid{std::move(note), {{say("director.consumable")}}, {}};
    const auto column = [&](std::string_view key) {
        std::string title = say(key, {""});
        title.erase(0, title.find_first_not_of(' '));
        grid.columns.push_back({title, Kind::number});
    };
    column(ahead ? "hand_over.left_now" : "director.left");
    if (ahead) column("hand_over.left_return");
    column("director.in_hand");
    if (read) column("hand_over.measured");
    for (const Crew crew : both_crew)
        for (const live::ConsumableStatus& one : d.status.people[index(crew)].suit.consumables) {
            const lifesupport::Consumable c = one.consumable;
            std::vector<std::string> row{say.crew(crew) + " " + say.consumable(c),
                                         print_amount(c, one.left, say, d.units)};
            if (ahead) row.push_back(print_amount(c, one.left_at_return, say, d.units));
            row.push_back(print_in_hand(one.in_hand));
            if (read) row.push_back(one.measured ? print_pet(*one.measured) : "–");
            grid.rows.push_back(std::move(row));
        }
    if (grid.rows.empty()) return {};
    return {say("hand_over.suits"), {}, {std::move(grid)}};
}

enum class Room : std::uint8_t { enough, little };
Section suits(const Desk& d, Room room) {
    const Wording& say = d.say;
    if (!d.day().pet_running) return {};
    // Once they are in, what is left now is what was left at return.
    const bool ahead = !d.over();
    bool read = false;
    for (const live::PersonStatus& person : d.status.people)
        for (const live::ConsumableStatus& one : person.suit.consumables) read = read || one.measured;
    std::string note = say(!ahead ? "hand_over.suits_end" : read ? "hand_over.suits_note" : "hand_over.suits_computed");
    const bool wide = d.units == Units::metric_and_us;
    if (wide && room == Room::enough) return suits_in_rows(d, ahead, read, std::move(note));
    const bool now = !ahead || !wide;  // what is left at return matters more
    Grid grid{std::move(note), {{say("director.consumable")}}, {}};
    for (const Crew crew : both_crew) {
        if (now)
            grid.columns.push_back(
                {say(ahead ? "hand_over.left_now" : "director.left", {say.crew(crew)}), Kind::number});
        if (ahead) grid.columns.push_back({say("hand_over.left_return", {say.crew(crew)}), Kind::number});
        grid.columns.push_back({say("director.in_hand", {say.crew(crew)}), Kind::number});
        if (read) grid.columns.push_back({say("hand_over.measured", {say.crew(crew)}), Kind::number});
    }
    for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
        const auto c = static_cast<lifesupport::Consumable>(i);
        std::vector<std::string> row{say.consumable(c)};
        bool any = false;
        for (const Crew crew : both_crew) {
            const auto& list = d.status.people[index(crew)].suit.consumables;
            const auto one = std::ranges::find(list, c, &live::ConsumableStatus::consumable);
            if (one == list.end()) {
                row.insert(row.end(), 1 + (now ? 1 : 0) + (ahead ? 1 : 0) + (read ? 1 : 0), "–");
                continue;
            }
            any = true;
            if (now) row.push_back(print_amount(c, one->left, say, d.units));
            if (ahead) row.push_back(print_amount(c, one->left_at_return, say, d.units));
            row.push_back(print_in_hand(one->in_hand));
            if (read) row.push_back(one->measured ? print_pet(*one->measured) : "–");
        }
        if (any) grid.rows.push_back(std::move(row));
    }
    if (grid.rows.empty()) return {};
    return {say("hand_over.suits"), {}, {std::move(grid)}};
}

Section last_entries(const Desk& d) {
    const Wording& say = d.say;
    const Utc now = d.day().now, since = now - last_hour;
    Section s{say("hand_over.last_hour"), {}, {}};
    const bool in_pet = !scrubbed(d.day());
    const std::string from = in_pet ? print_pet(d.now() - last_hour) : print_utc(since).substr(11, 5);
    Grid grid{in_pet ? say("hand_over.last_hour_note", {from, print_pet(d.now())})
                     : say("hand_over.last_hour_utc", {from, print_utc(now).substr(11, 5)}),
              {{"PET"}, {"UTC"}, {say("hand_over.entry")}, {say("hand_over.author")}},
              {}};
    for (const live::RecordLine& line : live::visible(d.status.record, Reader::console)) {
        if (line.happened < since || now < line.happened) continue;
        const std::string words = line_words(d.outing, line, d.entries, say);
        const Happened at = happened(line, d.day());
        grid.rows.push_back({at.pet, at.utc, line.struck ? say("hand_over.taken_back", {words}) : words, line.author});
    }
    drop_empty_columns(grid);
    if (grid.rows.empty())
        s.sentences.push_back({say(in_pet ? "hand_over.last_hour_none" : "hand_over.last_hour_none_utc", {from})});
    else
        s.grids.push_back(std::move(grid));
    return s;
}

/// "EV1, ", where the sentence does not name them itself.
std::string whose(const Desk& d, const Finding& finding) {
    if (d.say.language() == Language::english || finding.lanes.empty()) return {};
    std::vector<std::string> lanes;
    for (const Lane lane : finding.lanes) lanes.push_back(d.say.lane(lane));
    return d.say.list(lanes) + ", ";
}

Section troubles(const Desk& d, const std::vector<Finding>& findings) {
    const live::Day& day = d.day();
    const Wording& say = d.say;
    Section s{say("hand_over.troubles"), {}, {}};
    const auto add = [&](std::string words) { s.sentences.push_back({std::move(words), Weight::finding}); };
    if (!day.situation.arm_available && d.outing.station.arm) add(say("hand_over.arm_lost"));
    for (const Crew crew : both_crew)
        if (!day.situation.crew[index(crew)].able)
            add(may_read(Reader::console, day.able_visibility[index(crew)]) ? say("hand_over.unable", {say.crew(crew)})
                                                                            : say("hand_over.restricted"));
    for (std::size_t i = 0; i < day.items.size(); ++i)
        if (day.items[i].where == plan::ItemPlace::Where::lost)
            add(say("hand_over.item_lost", {d.outing.items[i].name}));
    for (const WorksiteId site : open_worksites(d.outing, day))
        add(say("hand_over.left_open", {d.outing.worksite(site).name}));
    for (const Step& step : d.outing.steps) {
        const plan::StepStatus at = day.situation.steps[index(step.id)];
        const std::string name = step_code(d.outing, step.id) + " " + step.name;
        if (at == plan::StepStatus::running && day.delay[index(step.id)] > Seconds{0})
            add(say("hand_over.delayed", {name, print_duration(day.delay[index(step.id)])}));
        if (at != plan::StepStatus::skipped) continue;
        const std::string why = reason_of(day.skipped_because[index(step.id)]);
        add(why.empty() ? say("hand_over.skipped", {name}) : say("hand_over.skipped_why", {name, why}));
    }
    for (const Finding& finding : findings)
        if (finding.severity == Severity::finding)
            add(say("hand_over.finding",
                    {finding.rule, print_pet(finding.at),
                     whose(d, finding) + finding_words(d.outing, *d.status.forecast.timeline, finding, say)}));
    for (std::string& words : short_of_reserve(d.status, findings, say, d.units)) add(std::move(words));
    for (const live::Unapplied& one : day.unapplied)
        if (may_read(Reader::console, one.visibility))
            add(say("hand_over.unapplied",
                    {std::to_string(live::number(one.position)), with_codes(d.outing, said_again(one.why, say))}));
    if (s.sentences.empty()) s.sentences.push_back({say("hand_over.no_troubles")});
    return s;
}

Section gates(const Desk& d) {
    if (d.over()) return {};
    const live::Day& day = d.day();
    const Wording& say = d.say;
    std::vector<std::pair<Pet, std::string>> all;
    const auto add = [&](const std::optional<Pet>& at, std::string what) {
        if (at && d.now() <= *at) all.emplace_back(*at, std::move(what));
    };
    if (d.status.odds) {
        for (const live::NextGate& gate : d.status.odds->gates) {
            const std::string task = task_code(gate.task) + " " + d.outing.task(gate.task).name;
            if (gate.begin_until)
                add(gate.begin_until, say("hand_over.gate_begin", {task}));
            else
                add(std::max(gate.planned, d.now()), say("hand_over.gate_leave", {task}));
        }
    }
    for (const Task& task : d.outing.tasks) {
        const live::TaskProgress at = d.status.tasks[index(task.id)].progress;
        const std::string name = task_code(task.id) + " " + task.name;
        if (at == live::TaskProgress::to_do) add(task.starts_by, say("hand_over.gate_starts_by", {name}));
        if (at == live::TaskProgress::to_do || at == live::TaskProgress::running || at == live::TaskProgress::partly)
            add(task.ends_by, say("hand_over.gate_ends_by", {name}));
    }
    const bool inside_again = day.situation.crew[0].inside_again;
    if (!inside_again && !day.outside[0]) add(d.outing.rules.egress_by, say("hand_over.gate_egress"));
    if (!inside_again) {
        add(d.status.terminate_by, say("hand_over.gate_terminate"));
        add(d.status.abort_by, say("hand_over.gate_abort"));
        add(pet(d.outing.rules.limit), say("hand_over.gate_limit"));
        if (d.status.light.known)
            add(d.status.light.next,
                say(d.status.light.now ? "hand_over.gate_light_ends" : "hand_over.gate_light_begins"));
        if (d.status.coverage.known)
            add(d.status.coverage.next,
                say(d.status.coverage.now ? "hand_over.gate_link_ends" : "hand_over.gate_link_begins"));
    }
    std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    Section s{say("hand_over.gates"), {}, {}};
    Grid grid{"", {{say("hand_over.what")}, {"PET"}, {"UTC"}, {say("hand_over.in"), Kind::number}}, {}};
    for (const auto& [at, what] : all)
        grid.rows.push_back(
            {what, print_pet(at), clock_utc(at, day.pet_zero), print_in_hand(left_by_the_clock(at, d.now()))});
    if (grid.rows.empty())
        s.sentences.push_back({say("hand_over.no_gates")});
    else
        s.grids.push_back(std::move(grid));
    return s;
}

Section tasks(const Desk& d) {
    const Wording& say = d.say;
    Grid grid{"",
              {{say("director.task")},
               {say("director.class")},
               {say("hand_over.progress")},
               {say("hand_over.forecast_end"), Kind::number},
               {say("close.reason")}},
              {}};
    for (const Task& task : d.outing.tasks) {
        const live::TaskStatus& one = d.status.tasks[index(task.id)];
        grid.rows.push_back({task_code(task.id) + " " + task.name, say.task_class(task.task_class),
                             progress_name(one.progress, say), one.forecast_end ? print_pet(*one.forecast_end) : "",
                             why_not_done(d.outing, d.status, task.id, say)});
    }
    drop_empty_columns(grid);
    return {say("hand_over.tasks"), {}, {std::move(grid)}};
}

}  // namespace

Section day_state(const Outing& outing, const Status& status, const Wording& say) {
    return state({outing, status, {}, say, Units::metric}, Finish::elsewhere);
}
Section day_gates(const Outing& outing, const Status& status, const Wording& say) {
    return gates({outing, status, {}, say, Units::metric});
}
Section day_suits(const Outing& outing, const Status& status, const Wording& say, Units units) {
    return suits({outing, status, {}, say, units}, Room::little);
}

std::vector<Section> hand_over(const Outing& outing, const Status& status, std::span<const live::Recorded> entries,
                               const std::vector<Finding>& findings, const Wording& say, Units units) {
    const Desk desk{outing, status, entries, say, units};
    std::vector<Section> sections{state(desk, Finish::told),
                                  people(desk),
                                  troubles(desk, findings),
                                  gates(desk),
                                  decisions(outing, status, entries, say("hand_over.decisions"), say),
                                  last_entries(desk),
                                  suits(desk, Room::enough),
                                  tasks(desk),
                                  private_section(status, say)};
    std::erase_if(sections, [](const Section& s) { return s.sentences.empty() && s.grids.empty(); });
    return sections;
}

}  // namespace handrail::brief
