#include "brief/director_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "brief/codes.h"
#include "brief/facts.h"
#include "lifesupport/forecast.h"
#include "timeline/loads.h"

namespace handrail::brief {
namespace {

/// Least slack first; more rows than these would not fit one page.
constexpr std::size_t most_dependent_steps = 6, most_findings = 8, most_tasks = 14;

Section time_in_hand(const Outing& outing, const Timeline& timeline) {
    const Facts f = facts(outing, timeline);
    Section s{"", {}, {}};
    s.sentences.push_back({f.in_hand.count() >= 0
                               ? fmt::format("Finish PET {}, {} before the hard end at PET {}; {}{} wanted.",
                                             print_pet(f.finish), print_duration(f.in_hand), print_pet(f.limit),
                                             f.in_hand < f.wanted ? "less than the " : "", print_duration(f.wanted))
                               : fmt::format("Finish PET {}, {} after the hard end at PET {}.", print_pet(f.finish),
                                             print_duration(-f.in_hand), print_pet(f.limit)),
                           f.in_hand.count() < 0 ? Weight::finding : Weight::strong});
    std::string value = fmt::format("{} of {} required tasks; value {} of {} from wanted and get-ahead tasks",
                                    f.required_done, f.required, print_value(f.value), print_value(f.value_of_all));
    if (timeline.note.value_bound && *timeline.note.value_bound > f.value)
        value += fmt::format("; no plan is known to allow more than {}", print_value(*timeline.note.value_bound));
    s.sentences.push_back({value + (timeline.note.proven ? "; value and finish are proven best." : ".")});
    return s;
}

std::string amount(lifesupport::Consumable c, double value) {
    using lifesupport::Consumable;
    switch (c) {
        case Consumable::oxygen:
        case Consumable::co2:
        case Consumable::water:
            return fmt::format("{:.2f} kg", value);
        case Consumable::battery:
            return fmt::format("{:.0f} Wh", value);
        case Consumable::gas:
            return fmt::format("{:.0f} L", value);
    }
    return {};
}

Section consumables(const Outing& outing, const WindowTable& windows, const Timeline& timeline) {
    Section s{"Consumables at the end of ingress", {}, {}};
    Grid grid{
        "Full suits, no readings. In hand: time beyond the reserve at this plan's mean draw.", {{"Consumable"}}, {}};
    std::array<std::optional<lifesupport::Forecast>, 2> suits;
    for (const Crew crew : both_crew) {
        suits[index(crew)] =
            lifesupport::forecast(outing.suit_of(crew), loads_of(outing, windows, timeline, crew).loads);
        for (const std::string_view what : {"left", "reserve", "in hand"})
            grid.columns.push_back({fmt::format("{} {}", word(crew), what), Kind::number});
    }
    for (std::size_t i = 0; i < lifesupport::consumable_count; ++i) {
        const auto c = static_cast<lifesupport::Consumable>(i);
        if (!suits[0]->carries(c) && !suits[1]->carries(c)) continue;
        std::vector<std::string> row{std::string(lifesupport::word(c))};
        for (const auto& forecast : suits) {
            const std::optional<Seconds> in_hand = forecast->in_hand(c);
            const bool carried = forecast->carries(c);
            row.push_back(carried ? amount(c, forecast->at_return().left[i]) : "–");
            row.push_back(carried ? amount(c, forecast->reserve[i]) : "–");
            row.push_back(!in_hand ? "–"
                                   : (in_hand->count() < 0 ? "-" : "") +
                                         print_duration(Seconds{std::abs(in_hand->count()) / 60 * 60}));
        }
        grid.rows.push_back(std::move(row));
    }
    if (grid.rows.empty())
        s.sentences.push_back({"Nothing these suits carry limits this outing."});
    else
        s.grids.push_back(std::move(grid));
    return s;
}

Section found(const std::vector<Finding>& findings) {
    Section s{"What the checker finds", {}, {}};
    if (findings.empty()) s.sentences.push_back({"No rule is broken by this plan, and nothing is noted."});
    for (std::size_t i = 0; i < findings.size(); ++i) {
        if (i == most_findings) {
            s.sentences.push_back({fmt::format("and {} more: see handrail check.", findings.size() - i)});
            break;
        }
        const Finding& f = findings[i];
        std::string lanes;
        for (const Lane lane : f.lanes) lanes += std::string(word(lane)) + " ";
        s.sentences.push_back(
            {fmt::format("{}{} (rule {}), PET {}: {}", lanes, f.severity == Severity::finding ? "finding" : "note",
                         f.rule, print_pet(f.at), f.what),
             f.severity == Severity::finding ? Weight::finding : Weight::normal});
    }
    return s;
}

Section dependent_steps(const Outing& outing, const WindowTable& windows, const Timeline& timeline) {
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
                                 print_pet(activity.start) + "–" + print_pet(activity.end()), condition,
                                 print_pet(window.to()), print_short(slack)}});
            }
        for (const std::string& condition : step.not_during)
            for (const Window& window : windows.of(condition, site)) {
                if (window.from() < activity.end()) continue;
                const Seconds slack = std::chrono::floor<Seconds>(window.from() - activity.end());
                rows.push_back({slack,
                                {step_code(outing, step.id) + " " + step.name,
                                 print_pet(activity.start) + "–" + print_pet(activity.end()), "not " + condition,
                                 print_pet(window.from()), print_short(slack)}});
                break;
            }
    }
    std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.slack < b.slack; });
    if (rows.empty()) return {};
    Section s{"Steps that wait for nobody: least time before their window closes", {}, {}};
    Grid grid{"", {{"Step"}, {"PET"}, {"Needs"}, {"Until", Kind::number}, {"To spare", Kind::number}}, {}};
    for (std::size_t i = 0; i < std::min(rows.size(), most_dependent_steps); ++i) grid.rows.push_back(rows[i].cells);
    s.grids.push_back(std::move(grid));
    return s;
}

Section tasks(const Outing& outing, const Timeline& timeline) {
    Section s{"Tasks", {}, {}};
    Grid grid{"", {{"Task"}, {"Class"}, {"Value", Kind::number}, {"Lead"}, {"PET", Kind::number}}, {}};
    for (const Task& task : outing.tasks) {
        const auto span = span_of(outing, timeline, task.id);
        const auto lead = timeline.lead_of(task.id);
        if (!span) continue;
        if (grid.rows.size() == most_tasks) {
            s.sentences.push_back({"The timeline chart lists all tasks; these are the first of the outing file."});
            break;
        }
        grid.rows.push_back({task_code(task.id) + " " + task.name, std::string(word(task.task_class)),
                             print_value(task.value), lead ? std::string(word(*lead)) : "–",
                             print_pet(span->from) + "–" + print_pet(span->to)});
    }
    if (grid.rows.empty()) return {};
    s.grids.push_back(std::move(grid));
    return s;
}

Section left_out(const Outing& outing, const Timeline& timeline) {
    Section s{"Left out, and why", {}, {}};
    if (timeline.left_out.empty()) s.sentences.push_back({"Nothing: every task is in the plan."});
    for (const LeftOut& left : timeline.left_out) {
        const Task& task = outing.task(left.task);
        s.sentences.push_back({fmt::format("{} {} ({}, value {}): {}", task_code(left.task), task.name,
                                           word(task.task_class), print_value(task.value), left.reason)});
    }
    return s;
}

}  // namespace

std::vector<Section> director_page(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                   const std::vector<Finding>& findings) {
    std::vector<Section> sections{time_in_hand(outing, timeline),
                                  found(findings),
                                  left_out(outing, timeline),
                                  dependent_steps(outing, windows, timeline),
                                  consumables(outing, windows, timeline),
                                  tasks(outing, timeline)};
    std::erase_if(sections, [](const Section& s) { return s.sentences.empty() && s.grids.empty(); });
    return sections;
}

}  // namespace handrail::brief
