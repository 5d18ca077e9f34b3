#include "brief/director_page.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "brief/codes.h"
#include "brief/day_words.h"
#include "brief/facts.h"
#include "brief/finding_words.h"
#include "brief/hand_over.h"
#include "brief/odds_words.h"
#include "brief/said.h"
#include "lifesupport/forecast.h"
#include "risk/words.h"
#include "timeline/loads.h"

namespace handrail::brief {
namespace {

/// Least slack first; more rows than these would not fit one page.
constexpr std::size_t most_dependent_steps = 5, most_findings = 8, most_findings_of_day = 3, most_tasks = 14,
                      most_drivers = 4;
/// With more tasks than this their table needs the room.
constexpr std::size_t many_tasks = 7, most_beside_many = 3;

/// What every part of the page is written with.
struct Desk {
    const Outing& outing;
    const WindowTable& windows;
    const Timeline& timeline;
    const Wording& say;
    Units units;
};

/// Whether there is an end still to come whose time can be spent or saved.
bool goes_on(const live::Status* status) {
    return status == nullptr ||
           (!status->day.stand_down && !status->day.situation.crew[0].inside_again && status->forecast.possible);
}

Section time_in_hand(const Desk& d, const live::Status* status) {
    const Facts f = facts(d.outing, d.timeline, status);
    const Wording& say = d.say;
    Section s{"", {}, {}};
    const std::string finish = print_pet(f.finish), limit = print_pet(f.limit);
    if (goes_on(status))
        s.sentences.push_back(
            {f.in_hand.count() < 0 ? say("director.past", {finish, print_duration(-f.in_hand_told), limit})
             : f.in_hand < f.wanted
                 ? say("director.short", {finish, print_duration(f.in_hand_told), limit, print_duration(f.wanted)})
                 : say("director.finish", {finish, print_duration(f.in_hand_told), limit, print_duration(f.wanted)}),
             f.in_hand.count() < 0 ? Weight::finding : Weight::strong});
    s.sentences.push_back(
        {say("director.value", {std::to_string(f.required_done), std::to_string(f.required),
                                say.number(print_value(f.value)), say.number(print_value(f.value_of_all))})});
    if (status == nullptr && d.timeline.note.value_bound && *d.timeline.note.value_bound > f.value)
        s.sentences.back().text += " " + say("director.bound", {say.number(print_value(*d.timeline.note.value_bound))});
    if (status == nullptr && d.timeline.note.proven) s.sentences.back().text += " " + say("director.proven");
    return s;
}

Section odds_section(const Desk& d, const risk::Odds& odds, const live::Status* status) {
    const Wording& say = d.say;
    Section s{say("director.odds"), {}, {}};
    s.sentences.push_back({say("director.odds_line",
                               {print_share(odds.required.value), print_share(odds.home.value), print_pet(odds.p10.at),
                                print_pet(odds.p50.at), print_pet(odds.p90.at), std::to_string(odds.runs)})});
    std::string drivers;
    const std::vector<risk::Driver> told = told_drivers(odds);
    for (std::size_t i = 0; i < std::min(told.size(), most_drivers); ++i)
        drivers += (i == 0 ? "" : "; ") +
                   say("director.driver", {driver_name(d.outing, told[i], d.say), print_share(told[i].share)});
    if (!drivers.empty()) s.sentences.push_back({say("director.drivers", {drivers})});
    std::vector<std::string> unlikely;
    for (const risk::Unlikely& one : risk::unlikely(d.outing, odds)) {
        const auto of = std::ranges::find(odds.tasks, one.task, &risk::TaskOdds::task);
        const bool ahead = status == nullptr || status->tasks[index(one.task)].progress != live::TaskProgress::done;
        if (ahead && span_of(d.outing, d.timeline, one.task))
            unlikely.push_back(say("director.unlikely_task", {task_code(one.task) + " " + d.outing.task(one.task).name,
                                                              print_share(of->done.value)}));
    }
    if (!unlikely.empty()) s.sentences.push_back({say("director.unlikely", {say.list(unlikely)}), Weight::strong});
    return s;
}

/// The decision times themselves stand beside the tasks.
Section gates_section(const Desk& d, const risk::Odds& odds) {
    Section s{d.say("director.gates"), {}, {}};
    std::optional<Pet> first, last;
    for (const risk::Gate& gate : odds.gates) {
        first = std::min(first.value_or(gate.start_home_by), gate.start_home_by);
        last = std::max(last.value_or(gate.start_home_by), gate.start_home_by);
    }
    if (!first)
        s.sentences.push_back({d.say("director.no_gate")});
    else
        s.sentences.push_back(
            {d.say("director.gates_note", {print_share(odds.confidence), print_pet(*first), print_pet(*last)})});
    return s;
}

/// "02:40": begin the task until then.
std::string gate_of(const risk::Odds& odds, TaskId task, const Wording& say) {
    const auto gate = std::ranges::find(odds.gates, task, &risk::Gate::task);
    if (gate == odds.gates.end()) return "–";
    return gate->begin_until ? print_pet(*gate->begin_until) : say("director.gate_never");
}

/// Of what this suit carries, that whose reserve is the likeliest to be touched.
std::optional<lifesupport::Consumable> likeliest_touched(const lifesupport::Forecast& suit) {
    std::optional<lifesupport::Consumable> most;
    for (const lifesupport::Consumable c : lifesupport::all_consumables)
        if (suit.carries(c) && (!most || suit.chance_reserve_touched(c) > suit.chance_reserve_touched(*most))) most = c;
    return most;
}

enum class Simulation : std::uint8_t { none, told };
Section consumables(const Desk& d, Simulation told) {
    const Wording& say = d.say;
    Section s{say("director.consumables"), {}, {}};
    Grid grid{say("director.consumables_note"), {{say("director.consumable")}}, {}};
    std::array<std::optional<lifesupport::Forecast>, 2> suits;
    for (const Crew crew : both_crew) {
        suits[index(crew)] =
            lifesupport::forecast(d.outing.suit_of(crew), loads_of(d.outing, d.windows, d.timeline, crew).loads);
        for (const std::string_view what : {"director.left", "director.reserve", "director.in_hand"})
            grid.columns.push_back({say(what, {say.crew(crew)}), Kind::number});
    }
    for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
        const auto c = static_cast<lifesupport::Consumable>(i);
        if (!suits[0]->carries(c) && !suits[1]->carries(c)) continue;
        std::vector<std::string> row{say.consumable(c)};
        for (const auto& forecast : suits) {
            const bool carried = forecast->carries(c);
            row.push_back(carried ? print_amount(c, forecast->at_return().left[i], say, d.units) : "–");
            row.push_back(carried ? print_amount(c, forecast->reserve[i], say, d.units) : "–");
            row.push_back(print_in_hand(forecast->in_hand(c)));
        }
        grid.rows.push_back(std::move(row));
    }
    if (grid.rows.empty()) {
        s.sentences.push_back({say("director.no_consumable")});
        return s;
    }
    std::vector<std::string> touched;
    for (const Crew crew : both_crew)
        if (const auto likeliest = likeliest_touched(*suits[index(crew)]))
            touched.push_back(
                say("director.touched_suit", {say.crew(crew), say.consumable(*likeliest),
                                              print_share(suits[index(crew)]->chance_reserve_touched(*likeliest))}));
    s.sentences.push_back({say("director.touched", {say.list(touched)})});
    if (told == Simulation::told) s.sentences.back().text += " " + say("director.touched_less");
    s.grids.push_back(std::move(grid));
    return s;
}

Section found(const Desk& d, const std::vector<Finding>& findings, std::size_t most, const live::Status* status) {
    Section s{d.say("director.found"), {}, {}};
    if (status != nullptr)
        for (std::string& words : short_of_reserve(*status, findings, d.say, d.units))
            s.sentences.push_back({std::move(words), Weight::finding});
    if (findings.empty() && s.sentences.empty()) s.sentences.push_back({d.say("director.found_none")});
    for (std::size_t i = 0; i < findings.size(); ++i) {
        if (i == most) {
            s.sentences.push_back({d.say("director.found_more", {std::to_string(findings.size() - i)})});
            break;
        }
        const Finding& f = findings[i];
        std::vector<std::string> lanes;
        for (const Lane lane : f.lanes) lanes.push_back(d.say.lane(lane));
        const bool broken = f.severity == Severity::finding;
        s.sentences.push_back({(lanes.empty() ? "" : d.say.list(lanes) + ": ") +
                                   d.say(broken ? "director.finding" : "director.note",
                                         {f.rule, print_pet(f.at), finding_words(d.outing, d.timeline, f, d.say)}),
                               broken ? Weight::finding : Weight::normal});
    }
    return s;
}

Section dependent_steps(const Desk& d) {
    const auto& [outing, windows, timeline, say, units] = d;
    struct Row {
        Seconds slack;
        std::vector<std::string> cells;
    };
    std::vector<Row> rows;
    for (const Activity& activity : timeline.activities) {
        if (!activity.step || activity.as_run) continue;
        const Step& step = outing.step(*activity.step);
        const std::string site = step.at ? outing.worksite(*step.at).id : "";
        for (const std::string& condition : step.during)
            for (const Window& window : windows.of(condition, site)) {
                if (!window.holds(activity.start, activity.duration)) continue;
                const Seconds slack = std::chrono::floor<Seconds>(window.to() - activity.end());
                rows.push_back({slack,
                                {step_code(outing, step.id) + " " + step.name,
                                 print_pet(activity.start) + "–" + print_pet(activity.end()), say.condition(condition),
                                 print_pet(window.to()), print_left(window.to(), activity.end())}});
            }
        for (const std::string& condition : step.not_during)
            for (const Window& window : windows.of(condition, site)) {
                if (window.from() < activity.end()) continue;
                const Seconds slack = std::chrono::floor<Seconds>(window.from() - activity.end());
                rows.push_back({slack,
                                {step_code(outing, step.id) + " " + step.name,
                                 print_pet(activity.start) + "–" + print_pet(activity.end()),
                                 say("director.not", {say.condition(condition)}), print_pet(window.from()),
                                 print_left(window.from(), activity.end())}});
                break;
            }
    }
    std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.slack < b.slack; });
    if (rows.empty()) return {};
    Section s{say("director.dependent"), {}, {}};
    Grid grid{"",
              {{say("step")},
               {"PET"},
               {say("director.needs")},
               {say("director.until"), Kind::number},
               {say("director.spare"), Kind::number}},
              {}};
    const std::size_t planned = d.outing.tasks.size() - std::min(d.outing.tasks.size(), d.timeline.left_out.size());
    const std::size_t most = planned > many_tasks ? most_beside_many : most_dependent_steps;
    for (std::size_t i = 0; i < std::min(rows.size(), most); ++i) grid.rows.push_back(rows[i].cells);
    s.grids.push_back(std::move(grid));
    return s;
}

Section tasks(const Desk& d, const risk::Odds* odds, const live::Status* status) {
    const auto& [outing, windows, timeline, say, units] = d;
    Section s{say("tasks.heading"), {}, {}};
    std::vector<std::string> done;
    for (const Task& task : outing.tasks)
        if (status != nullptr && status->tasks[index(task.id)].progress == live::TaskProgress::done)
            done.push_back(task_code(task.id) + " " + task.name);
    if (!done.empty()) s.sentences.push_back({say("director.done", {say.list(done)})});
    Grid grid{"",
              {{say("director.task")},
               {say("director.class")},
               {say("director.value_column"), Kind::number},
               {say("director.lead")},
               {"PET", Kind::number}},
              {}};
    if (status != nullptr) grid.columns.push_back({say("hand_over.progress")});
    if (odds != nullptr) {
        grid.columns.push_back({say("director.gate_begin"), Kind::number});
        grid.columns.push_back({say("director.odds_done"), Kind::number});
    }
    for (const Task& task : outing.tasks) {
        const auto span = span_of(outing, timeline, task.id);
        const auto lead = timeline.lead_of(task.id);
        if (!span) continue;
        const live::TaskProgress at =
            status != nullptr ? status->tasks[index(task.id)].progress : live::TaskProgress::to_do;
        if (at == live::TaskProgress::done) continue;
        if (grid.rows.size() == most_tasks) {
            s.sentences.push_back({say("director.more_tasks")});
            break;
        }
        grid.rows.push_back({task_code(task.id) + " " + task.name, say.task_class(task.task_class),
                             say.number(print_value(task.value)), lead ? say.crew(*lead) : "–",
                             print_pet(span->from) + "–" + print_pet(span->to)});
        if (status != nullptr) grid.rows.back().push_back(progress_name(at, say));
        if (odds == nullptr) continue;
        grid.rows.back().push_back(gate_of(*odds, task.id, say));
        const auto of = std::ranges::find(odds->tasks, task.id, &risk::TaskOdds::task);
        grid.rows.back().push_back(of == odds->tasks.end() ? "–" : print_share(of->done.value));
    }
    if (!grid.rows.empty()) s.grids.push_back(std::move(grid));
    return s.sentences.empty() && s.grids.empty() ? Section{} : s;
}

/// Room on an A4 page below its head, and what takes how much of it, in rem: measured on pages that WeasyPrint laid out
/// with the style sheet of document.cpp.
constexpr double page_room = 74, heading_room = 2.5, line_room = 1.4, gap_room = 0.15, caption_room = 1.5,
                 table_head_room = 2.0, row_room = 1.75;
constexpr std::size_t letters_a_line = 112;

/// Letters of a UTF-8 text: the bytes that begin one.
long letters(const std::string& text) {
    return std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; });
}

double room_of(const Section& section) {
    double room = section.heading.empty() ? 0 : heading_room;
    for (const Sentence& sentence : section.sentences)
        room += gap_room + line_room * std::ceil(static_cast<double>(letters(sentence.text)) / letters_a_line);
    for (const Grid& grid : section.grids)
        room += (grid.caption.empty() ? 0 : caption_room) + table_head_room +
                row_room * static_cast<double>(grid.rows.size());
    return room;
}

/// One page: with that much to decide already, what may become urgent gives way first, then the last of the tasks.
void fit_page(std::vector<Section>& sections, const Wording& say) {
    const auto over = [&] {
        double room = -page_room;
        for (const Section& section : sections) room += room_of(section);
        return room;
    };
    const auto dependent = std::ranges::find(sections, say("director.dependent"), &Section::heading);
    if (dependent != sections.end()) {
        auto& rows = dependent->grids[0].rows;
        while (over() > 0 && rows.size() > 1) rows.pop_back();
        if (over() > 0) sections.erase(dependent);
    }
    if (over() <= 0 || sections.back().grids.empty()) return;
    auto& rows = sections.back().grids.back().rows;
    const auto too_many = static_cast<std::size_t>(std::ceil((over() + line_room) / row_room));
    rows.resize(rows.size() - std::min(too_many, rows.size() - 1));
    sections.back().sentences.push_back({say("director.more_tasks")});
}

Section left_out(const Desk& d) {
    Section s{d.say("left_out.heading"), {}, {}};
    if (d.timeline.left_out.empty()) s.sentences.push_back({d.say("left_out.nothing")});
    for (std::string& line : left_out_lines(d.outing, d.timeline, d.say)) s.sentences.push_back({std::move(line)});
    return s;
}

}  // namespace

std::vector<Section> director_page(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const std::vector<Finding>& findings, const risk::Odds* odds, const Wording& say,
                                   Units units, const live::Status* status) {
    const Desk desk{outing, windows, timeline, say, units};
    std::vector<Section> sections;
    if (status != nullptr) sections.push_back(day_state(outing, *status, say));
    sections.push_back(time_in_hand(desk, status));
    if (status != nullptr && goes_on(status)) sections.push_back(day_gates(outing, *status, say));
    if (odds != nullptr) sections.push_back(odds_section(desk, *odds, status));
    if (odds != nullptr) sections.push_back(gates_section(desk, *odds));
    if (goes_on(status))
        sections.push_back(found(desk, findings, status != nullptr ? most_findings_of_day : most_findings, status));
    for (Section& section :
         std::vector{left_out(desk), dependent_steps(desk),
                     status != nullptr ? day_suits(outing, *status, say, units)
                                       : consumables(desk, odds != nullptr ? Simulation::told : Simulation::none),
                     tasks(desk, odds, status)})
        sections.push_back(std::move(section));
    std::erase_if(sections, [](const Section& s) { return s.sentences.empty() && s.grids.empty(); });
    fit_page(sections, say);
    return sections;
}

}  // namespace handrail::brief
