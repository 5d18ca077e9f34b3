#include "live/close_out.h"

#include <fmt/format.h>

#include <algorithm>

#include "live/json_parts.h"
#include "live/stand_down.h"

namespace handrail::live {
namespace {

using detail::OrderedJson;
using detail::pet_s;
using plan::ItemPlace;

std::string ended_words(const Day& day) {
    if (day.stand_down) return std::string(word(day.stand_down->kind));
    if (day.situation.crew[0].inside_again) return "came in as planned";
    if (day.outside[0]) return "still outside";
    return day.pet_running ? "in the airlock" : "not begun";
}

std::string lanes_words(const std::vector<Lane>& lanes) {
    std::string text;
    for (const Lane lane : lanes) text += (text.empty() ? "" : " ") + std::string(word(lane));
    return text;
}

const Activity* first_planned(const Day& day, StepId step) {
    if (!day.first_plan) return nullptr;
    for (const Activity& activity : day.first_plan->activities)
        if (activity.step == step) return &activity;
    return nullptr;
}

bool inside(const Outing& outing, const Day& day, ItemId item) {
    const ItemPlace& place = day.items[index(item)];
    switch (place.where) {
        case ItemPlace::Where::carried:
            return !day.outside[index(place.carrier)];
        case ItemPlace::Where::in_bag:
            return inside(outing, day, place.bag);
        case ItemPlace::Where::loose:
        case ItemPlace::Where::installed:
            return place.site == outing.station.airlock;
        case ItemPlace::Where::lost:
            return false;
    }
    return false;
}

std::vector<WorksiteId> open_sites(const Outing& outing, const Day& day) {
    std::vector<WorksiteId> open;
    for (const Task& task : outing.tasks)
        for (const StepId id : task.steps) {
            const Step& step = outing.step(id);
            if (day.situation.steps[index(id)] != plan::StepStatus::done) continue;
            const auto site = step.to ? step.to : step.at;
            if (!site) continue;
            if (step.opens && std::ranges::find(open, *site) == open.end()) open.push_back(*site);
            if (step.close_up) std::erase(open, *site);
        }
    return open;
}

std::string reason_of(const TaskStatus& task, Reader reader) {
    return task.reason && may_read(reader, task.reason->visibility) ? task.reason->text : "";
}

std::string task_text(const Outing& outing, const Status& status, const Task& task, Reader reader) {
    const TaskStatus& one = status.tasks[index(task.id)];
    std::string text = fmt::format("  {}", task.name);
    const std::string reason = reason_of(one, reader);
    if (one.progress == TaskProgress::partly || one.progress == TaskProgress::running) {
        std::string left;
        for (const StepId step : task.steps)
            if (status.day.situation.steps[index(step)] == plan::StepStatus::to_do)
                left += (left.empty() ? "" : ", ") + outing.step(step).label;
        if (!left.empty()) text += ": still to do " + left;
    }
    for (const StepId step : task.steps)
        if (const auto& skipped = status.day.skipped_because[index(step)];
            skipped && status.day.situation.steps[index(step)] == plan::StepStatus::skipped) {
            text += fmt::format("; {} skipped", outing.step(step).label);
            if (may_read(reader, skipped->visibility) && !skipped->text.empty())
                text += fmt::format(" ({})", skipped->text);
        }
    if (!reason.empty()) text += fmt::format(" ({})", reason);
    return text + "\n";
}

bool is_left(TaskProgress progress) { return progress == TaskProgress::to_do || progress == TaskProgress::left_out; }

}  // namespace

bool can_close(const Day& day) {
    if (day.situation.crew[0].inside_again) return true;
    return day.stand_down && day.stand_down->kind == StandDownKind::scrub && !day.outside[0];
}

CloseOut close_out_of(const Outing& outing, std::span<const Recorded> entries, const Status& status) {
    const Day& day = status.day;
    CloseOut result;
    result.ended = ended_words(day);
    for (const AsRun& run : day.as_run) {
        if (run.activity.kind == ActivityKind::egress && !run.running) result.out = run.activity.end();
        if (run.activity.kind == ActivityKind::ingress && !run.running) result.in = run.activity.end();
        if (!run.activity.step) continue;
        CloseOutStep step;
        step.step = *run.activity.step;
        step.who = lanes_words(run.activity.lanes);
        step.start = run.activity.start;
        step.duration = run.activity.duration;
        step.assumed = run.assumed || run.end_assumed;
        if (const Activity* planned = first_planned(day, *run.activity.step)) {
            step.planned_start = planned->start;
            step.planned_duration = planned->duration;
        }
        result.steps.push_back(std::move(step));
    }
    for (std::size_t i = 0; i < outing.items.size(); ++i) {
        const auto item = static_cast<ItemId>(i);
        if (day.items[i].where == ItemPlace::Where::lost)
            result.lost.push_back(item);
        else if (outing.items[i].returns && !inside(outing, day, item) && !waits_for_its_step(outing, day, item))
            result.left_outside.push_back(item);
    }
    result.left_open = open_sites(outing, day);
    for (const Hold& hold : day.holds)
        result.held += std::chrono::floor<Seconds>(hold.to.value_or(day.pet_now()) - hold.from);
    for (const RecordLine& line : status.record)
        if (line.visibility == Visibility::medical) ++result.private_entries;
    if (!entries.empty()) result.chain = entries.back().hash;
    return result;
}

std::string print(const Outing& outing, const Status& status, const CloseOut& close_out, Reader reader) {
    const Day& day = status.day;
    std::string text = fmt::format("Close-out of {}\n", outing.name);
    if (!outing.note.empty()) text += fmt::format("({})\n", outing.note);
    text += fmt::format("PET zero {}{}", day.pet_running ? "" : "not logged; planned ", print_utc(day.pet_zero));
    if (close_out.out) text += fmt::format(", both outside at {}", print_pet(*close_out.out));
    if (close_out.in) text += fmt::format(", hatch closed at {}", print_pet(*close_out.in));
    text += fmt::format("\nended: {}", close_out.ended);
    if (day.stand_down && may_read(reader, day.stand_down->visibility) && !day.stand_down->reason.empty())
        text += fmt::format(" at {}: {}", print_pet(day.stand_down->at), day.stand_down->reason);
    text += "\n";
    if (close_out.held > Seconds{0}) text += fmt::format("held for {} in all\n", print_duration(close_out.held));

    const auto section = [&](const char* name, auto wanted) {
        std::string lines;
        for (const Task& task : outing.tasks)
            if (wanted(status.tasks[index(task.id)].progress)) lines += task_text(outing, status, task, reader);
        if (!lines.empty()) text += fmt::format("\n{}\n{}", name, lines);
    };
    section("Done", [](TaskProgress p) { return p == TaskProgress::done; });
    section("Partly done", [](TaskProgress p) { return p == TaskProgress::partly || p == TaskProgress::running; });
    section("Left", is_left);
    for (const WorksiteId site : close_out.left_open)
        text += fmt::format("\nLeft open: {}\n", outing.worksite(site).name);

    if (!outing.items.empty()) text += "\nItems\n";
    for (std::size_t i = 0; i < outing.items.size(); ++i) {
        const bool missing =
            std::ranges::find(close_out.left_outside, static_cast<ItemId>(i)) != close_out.left_outside.end();
        text += fmt::format("  {}: {}{}\n", outing.items[i].name, words(outing, day.items[i]),
                            missing ? " (should have come back in)" : "");
    }
    if (!close_out.steps.empty())
        text += fmt::format("\nAs run against the plan\n  {:<14} {:<10} {:>7} {:>7} {:>8} {:>8} {:>8}\n", "step", "who",
                            "planned", "began", "planned", "took", "longer");
    for (const CloseOutStep& step : close_out.steps) {
        using std::chrono::minutes, std::chrono::round;
        const minutes took = round<minutes>(step.duration);
        const minutes planned = round<minutes>(step.planned_duration.value_or(Seconds{0}));
        const auto written = [](minutes m) { return fmt::format("{} min", m.count()); };
        text += fmt::format("  {:<14} {:<10} {:>7} {:>7} {:>8} {:>8} {:>8}{}\n", outing.step(step.step).label, step.who,
                            step.planned_start ? print_pet(*step.planned_start) : "", print_pet(step.start),
                            step.planned_duration ? written(planned) : "", written(took),
                            step.planned_duration ? print_signed_minutes(took - planned) : "",
                            step.assumed ? "  assumed" : "");
    }
    std::string decisions;
    for (const RecordLine& line : visible(status.record, reader))
        if (!line.struck && (line.kind == "decision" || line.kind == "plan_adopted" || line.kind == "stand_down" ||
                             line.kind == "task_dropped"))
            decisions += fmt::format("  {} {}{}\n", print_pet(line.pet), line.words,
                                     line.author.empty() ? "" : " [" + line.author + "]");
    if (!decisions.empty()) text += "\nDecisions\n" + decisions;
    const bool called_off = day.stand_down && day.stand_down->kind == StandDownKind::scrub;
    if (called_off && !outing.doffing.empty()) {
        text += "\nSteps back\n";
        for (const std::string& step : outing.doffing) text += "  " + step + "\n";
    }
    if (reader != Reader::everyone && close_out.private_entries > 0)
        text += fmt::format("\nprivate entries: {}\n", close_out.private_entries);
    if (reader != Reader::everyone)
        text += fmt::format("\njournal: {} entries, last hash {}\n", number(day.position), close_out.chain);
    return text + std::string(caution) + "\n";
}

std::string close_out_json(const Outing& outing, const Status& status, const CloseOut& close_out, Reader reader) {
    const Day& day = status.day;
    OrderedJson tasks = OrderedJson::array();
    for (const Task& task : outing.tasks) {
        const TaskStatus& one = status.tasks[index(task.id)];
        OrderedJson left = OrderedJson::array();
        for (const StepId step : task.steps)
            if (day.situation.steps[index(step)] == plan::StepStatus::to_do) left.push_back(outing.step(step).label);
        const std::string outcome = one.progress == TaskProgress::done ? "done"
                                    : is_left(one.progress)            ? "left"
                                                                       : "partly";
        tasks.push_back({{"id", task.key},
                         {"name", task.name},
                         {"class", detail::class_key(task.task_class)},
                         {"outcome", outcome},
                         {"steps_left", outcome == "done" ? OrderedJson::array() : left},
                         {"reason", reason_of(one, reader)}});
    }
    OrderedJson items = OrderedJson::array();
    for (std::size_t i = 0; i < outing.items.size(); ++i)
        items.push_back({{"id", outing.items[i].id},
                         {"name", outing.items[i].name},
                         {"where", detail::where_key(day.items[i].where)},
                         {"place", detail::place_key(outing, day.items[i])},
                         {"should_be_inside", std::ranges::find(close_out.left_outside, static_cast<ItemId>(i)) !=
                                                  close_out.left_outside.end()}});
    OrderedJson steps = OrderedJson::array();
    for (const CloseOutStep& step : close_out.steps)
        steps.push_back({{"label", outing.step(step.step).label},
                         {"who", step.who},
                         {"planned_start_pet_s", pet_s(step.planned_start)},
                         {"planned_duration_s",
                          step.planned_duration ? OrderedJson(step.planned_duration->count()) : OrderedJson()},
                         {"start_pet_s", pet_s(step.start)},
                         {"duration_s", step.duration.count()},
                         {"assumed", step.assumed}});
    OrderedJson decisions = OrderedJson::array();
    for (const RecordLine& line : visible(status.record, reader))
        if (!line.struck && (line.kind == "decision" || line.kind == "plan_adopted" || line.kind == "stand_down" ||
                             line.kind == "task_dropped"))
            decisions.push_back({{"position", number(line.position)},
                                 {"pet_s", pet_s(line.pet)},
                                 {"words", line.words},
                                 {"author", line.author}});
    OrderedJson open = OrderedJson::array();
    for (const WorksiteId site : close_out.left_open) open.push_back(outing.worksite(site).id);
    const bool tells = day.stand_down && may_read(reader, day.stand_down->visibility);
    return detail::dumped({{"format", "handrail-close-out"},
                           {"version", 1},
                           {"role", word(reader)},
                           {"outing", outing.name},
                           {"note", outing.note},
                           {"fingerprint", outing.fingerprint},
                           {"pet_zero", print_utc(day.pet_zero)},
                           {"pet_zero_logged", day.pet_running},
                           {"ended", close_out.ended},
                           {"reason", tells ? day.stand_down->reason : ""},
                           {"outside_pet_s", pet_s(close_out.out)},
                           {"inside_pet_s", pet_s(close_out.in)},
                           {"held_s", close_out.held.count()},
                           {"tasks", std::move(tasks)},
                           {"left_open", std::move(open)},
                           {"items", std::move(items)},
                           {"as_run", std::move(steps)},
                           {"decisions", std::move(decisions)},
                           {"private_entries", close_out.private_entries},
                           {"entries", number(day.position)},
                           {"chain", close_out.chain},
                           {"caution", caution}});
}

std::string export_json_lines(std::span<const Recorded> entries, const Status& status, Reader reader) {
    std::string text;
    for (const RecordLine& line : visible(status.record, reader)) {
        OrderedJson json{{"position", number(line.position)},
                         {"happened", print_utc(line.happened)},
                         {"logged", print_utc(line.logged)},
                         {"pet_s", pet_s(line.pet)},
                         {"kind", line.kind},
                         {"words", line.words}};
        if (reader != Reader::everyone) {
            json["author"] = line.author;
            json["visibility"] = word(line.visibility);
            json["corrects"] = line.corrects ? OrderedJson(number(*line.corrects)) : OrderedJson();
            json["struck"] = line.struck;
        }
        if (reader == Reader::medical) {
            const Recorded& recorded = entries[number(line.position) - 1];
            json["hash"] = recorded.hash;
            json["entry"] = OrderedJson::parse(to_json(recorded.entry));
        }
        text += detail::dumped(json) + "\n";
    }
    return text;
}

std::string export_csv(const Status& status, Reader reader) {
    const auto quoted = [](const std::string& field) {
        std::string text = "\"";
        for (const char c : field) {
            if (c == '"') text += '"';
            text += c;
        }
        return text + "\"";
    };
    const bool full = reader != Reader::everyone;
    std::string text = full ? "position,happened,logged,pet_s,kind,author,visibility,corrects,struck,words\r\n"
                            : "position,happened,logged,pet_s,kind,words\r\n";
    for (const RecordLine& line : visible(status.record, reader)) {
        text += fmt::format("{},{},{},{},{},", number(line.position), print_utc(line.happened), print_utc(line.logged),
                            since_zero(line.pet).count(), line.kind);
        if (full)
            text +=
                fmt::format("{},{},{},{},", quoted(line.author), word(line.visibility),
                            line.corrects ? std::to_string(number(*line.corrects)) : "", line.struck ? "yes" : "no");
        text += quoted(line.words) + "\r\n";
    }
    return text;
}

}  // namespace handrail::live
