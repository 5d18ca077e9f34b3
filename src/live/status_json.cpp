#include <algorithm>
#include <cassert>
#include <cmath>
#include <nlohmann/json.hpp>

#include "live/behind.h"
#include "live/json_parts.h"
#include "live/status.h"

namespace handrail::live {
namespace {

using Json = nlohmann::ordered_json;
using namespace detail;

constexpr int version = 1;

Json named(const std::string& id, const std::string& name) { return {{"id", id}, {"name", name}}; }
Json site_json(const Outing& outing, WorksiteId site) {
    return named(outing.worksite(site).id, outing.worksite(site).name);
}

/// The keys that running and coming activities share.
Json doing(const Outing& outing, const Activity& activity) {
    const bool step = activity.step.has_value();
    const bool placed = !activity.path.empty();
    return {{"kind", word(activity.kind)},
            {"label", step ? Json(outing.step(*activity.step).label) : Json()},
            {"title", title(outing, activity)},
            {"task", step ? Json(outing.task(outing.step(*activity.step).task).key) : Json()},
            {"place", placed ? Json(outing.worksite(activity.path.back()).id) : Json()},
            {"place_name", placed ? Json(outing.worksite(activity.path.back()).name) : Json()}};
}

Json now_json(const Outing& outing, const NowDoing& now) {
    Json json = doing(outing, now.run.activity);
    json["started_pet_s"] = pet_s(now.run.activity.start);
    json["planned_start_pet_s"] = pet_s(now.planned_start);
    json["planned_end_pet_s"] = pet_s(now.planned_end);
    json["expected_end_pet_s"] = pet_s(now.run.activity.end());
    json["assumed"] = now.run.assumed;
    json["words"] = now.run.activity.step ? outing.step(*now.run.activity.step).crew_words : "";
    return json;
}

Json next_json(const Outing& outing, const ToCome& next) {
    Json json = doing(outing, next.activity);
    json["planned_start_pet_s"] = pet_s(next.planned_start);
    json["forecast_start_pet_s"] = pet_s(next.activity.start);
    json["duration_s"] = next.activity.duration.count();
    return json;
}

Json suit_json(const Outing& outing, const SuitStatus& suit, Crew crew) {
    Json consumables = Json::array();
    for (const ConsumableStatus& one : suit.consumables)
        consumables.push_back({{"id", consumable_key(one.consumable)},
                               {"unit", unit(one.consumable)},
                               {"capacity", rounded(one.capacity)},
                               {"used", rounded(one.used)},
                               {"left", rounded(one.left)},
                               {"left_at_return", rounded(one.left_at_return)},
                               {"reserve", rounded(one.reserve)},
                               {"margin_min", minutes(one.in_hand)},
                               {"measured_pet_s", pet_s(one.measured)}});
    std::string words;
    if (suit.terminate.limit) words = std::string(word(*suit.terminate.limit)) + " sets the turn-back";
    return {{"type", outing.suit_of(crew).name},
            {"limiting", suit.limiting ? Json(consumable_key(*suit.limiting)) : Json()},
            {"margin_min", minutes(suit.in_hand)},
            {"turn_back_terminate_pet_s", pet_s(suit.terminate.at)},
            {"turn_back_abort_pet_s", pet_s(suit.abort.at)},
            {"turn_back_words", words},
            {"consumables", std::move(consumables)}};
}

Json person_json(const Outing& outing, const Status& status, Crew crew, Reader reader) {
    const PersonStatus& person = status.people[index(crew)];
    const Day& day = status.day;
    Json carries = Json::array();
    for (const ItemId item : person.carries) carries.push_back(named(outing.item(item).id, outing.item(item).name));
    Json next = Json::array();
    for (const ToCome& one : person.next) next.push_back(next_json(outing, one));
    const bool knows_able = may_read(reader, day.able_visibility[index(crew)]);
    return {{"id", word(crew)},
            {"name", outing.person(crew).name},
            {"outside", day.outside[index(crew)]},
            {"able", knows_able ? Json(day.situation.crew[index(crew)].able) : Json()},
            {"at", site_json(outing, day.at[index(crew)])},
            {"anchor", site_json(outing, day.anchor[index(crew)])},
            {"carries", std::move(carries)},
            {"now", person.now ? now_json(outing, *person.now) : Json()},
            {"next", std::move(next)},
            {"behind_s", person.behind.count()},
            {"cause", person.cause},
            {"suit", suit_json(outing, person.suit, crew)}};
}

std::string condition_words(const ConditionStatus& status, const std::string& name) {
    if (!status.known) return name + " unknown";
    const std::string until = status.next ? " until " + print_pet(*status.next) : "";
    return (status.now ? name : "no " + name) + until;
}

Json condition_json(const ConditionStatus& status, const std::string& name) {
    return {{"known", status.known},
            {"now", status.known ? Json(status.now) : Json()},
            {"next_pet_s", pet_s(status.next)},
            {"words", condition_words(status, name)}};
}

Json tightest_json(const Status& status) {
    if (!status.tightest) return nullptr;
    const Tightest& t = *status.tightest;
    return {{"kind", t.crew ? "consumable" : "limit"},
            {"words", words(t)},
            {"crew", t.crew ? Json(word(*t.crew)) : Json()},
            {"consumable", t.consumable ? Json(consumable_key(*t.consumable)) : Json()},
            {"margin_min", minutes(t.in_hand)}};
}

Json windows_json(const WindowTable& windows) {
    Json list = Json::array();
    for (const auto& [key, stretches] : windows.all())
        for (const Window& window : stretches)
            list.push_back({{"condition", key.first},
                            {"worksite", key.second},
                            {"from_s", pet_s(window.from())},
                            {"to_s", pet_s(window.to())},
                            {"note", window.note()}});
    return list;
}

Json plan_json(const Outing& outing, const Day& day) {
    if (!day.plan) return nullptr;
    Json activities = Json::array();
    for (const Activity& activity : day.plan->activities) {
        AsRun run;
        run.activity = activity;
        Json json = activity_json(outing, run);
        json["status"] = planned_progress(day, activity);
        activities.push_back(std::move(json));
    }
    Json bindings = Json::array();
    for (const Binding& binding : day.plan->bindings)
        bindings.push_back({{"task", outing.task(binding.task).key}, {"lead", word(binding.lead)}});
    Json left_out = Json::array();
    for (const LeftOut& left : day.plan->left_out)
        left_out.push_back({{"task", outing.task(left.task).key}, {"reason", left.reason}});
    return {{"position", number(day.plan_position)},
            {"finish_pet_s", pet_s(day.plan->finish())},
            {"activities", std::move(activities)},
            {"bindings", std::move(bindings)},
            {"left_out", std::move(left_out)}};
}

Json task_json(const Outing& outing, const Status& status, const Task& task, Reader reader) {
    const TaskStatus& one = status.tasks[index(task.id)];
    const Day& day = status.day;
    Json steps = Json::array();
    for (const StepId id : task.steps) {
        const auto step = day.situation.steps[index(id)];
        const bool begun = step == plan::StepStatus::done || step == plan::StepStatus::running;
        steps.push_back(
            {{"label", outing.step(id).label},
             {"name", outing.step(id).name},
             {"status", step_word(step)},
             {"start_s", begun ? pet_s(day.situation.step_start[index(id)]) : Json()},
             {"end_s", step == plan::StepStatus::done ? pet_s(day.situation.step_end[index(id)]) : Json()}});
    }
    const bool tells = one.reason && may_read(reader, one.reason->visibility) && !one.reason->text.empty();
    return {{"id", task.key},
            {"name", task.name},
            {"class", class_key(task.task_class)},
            {"value", task.value},
            {"lead", one.lead ? Json(word(*one.lead)) : Json()},
            {"status", word(one.progress)},
            {"forecast_end_pet_s", pet_s(one.forecast_end)},
            {"reason", tells ? Json(one.reason->text) : Json()},
            {"steps", std::move(steps)}};
}

Json items_json(const Outing& outing, const Day& day) {
    Json items = Json::array();
    for (std::size_t i = 0; i < day.items.size(); ++i) {
        const plan::ItemPlace& place = day.items[i];
        items.push_back({{"id", outing.items[i].id},
                         {"name", outing.items[i].name},
                         {"where", where_key(place.where)},
                         {"place", place_key(outing, place)},
                         {"words", words(outing, place)}});
    }
    return items;
}

Json record_json(const RecordLine& line) {
    return {{"position", number(line.position)},
            {"utc", print_utc(line.happened)},
            {"logged", print_utc(line.logged)},
            {"pet_s", pet_s(line.pet)},
            {"kind", line.kind},
            {"words", line.words},
            {"author", line.author},
            {"visibility", word(line.visibility)},
            {"corrects", line.corrects ? Json(number(*line.corrects)) : Json()},
            {"struck", line.struck}};
}

Json stand_down_json(const Outing& outing, const Status& status, Reader reader) {
    const Day& day = status.day;
    if (!day.stand_down) return nullptr;
    const bool tells = may_read(reader, day.stand_down->visibility) && !day.stand_down->reason.empty();
    Json json{{"kind", word(day.stand_down->kind)},
              {"since_pet_s", pet_s(day.stand_down->at)},
              {"reason", tells ? Json(day.stand_down->reason) : Json()}};
    if (status.coming_down) json.update(coming_in_json(outing, day, *status.coming_down));
    return json;
}

Json utc_json(const std::optional<Utc>& t) { return t ? Json(print_utc(*t)) : Json(); }

/// Null once PET runs.
Json morning_json(const Outing& outing, const Day& day) {
    if (day.pet_running) return nullptr;
    const Morning& morning = day.morning;
    Json steps = Json::array();
    for (const MorningStep& step : morning_steps(outing, morning, day.planned_pet_zero, day.pet_zero))
        steps.push_back({{"name", step.name},
                         {"planned", utc_json(step.planned)},
                         {"begins", utc_json(step.begins)},
                         {"begun", step.begun}});
    return {{"pet_zero_expected", print_utc(day.pet_zero)},
            {"pet_zero_earliest", utc_json(morning.earliest)},
            {"depress_earliest", morning.course ? Json(print_utc(morning.course->depress)) : Json()},
            {"payback_s", morning.payback.count()},
            {"early_depress_s", morning.early_depress.count()},
            {"cause", morning.cause},
            {"trouble", morning.trouble},
            {"steps", std::move(steps)}};
}

Json hold_json(const Day& day, Reader reader) {
    const Hold* hold = day.open_hold();
    if (hold == nullptr) return nullptr;
    const bool tells = may_read(reader, hold->visibility) && !hold->reason.empty();
    return {{"since_pet_s", pet_s(hold->from)},
            {"utc", print_utc(to_utc(hold->from, day.pet_zero))},
            {"words", "hold"},
            {"reason", tells ? Json(hold->reason) : Json()}};
}

Json pace_json(const Pace& pace) {
    return {{"factor", rounded(pace.factor)}, {"log_sd", rounded(pace.sd)}, {"steps", pace.steps}};
}

Json odds_json(const Outing& outing, const OddsNow& odds) {
    Json json{{"position", number(odds.position)},           {"required_done", rounded(odds.required)},
              {"in_time_with_reserves", rounded(odds.home)}, {"standard_error", rounded(odds.error)},
              {"finish_p10_pet_s", pet_s(odds.finish_p10)},  {"finish_p50_pet_s", pet_s(odds.finish_p50)},
              {"finish_p90_pet_s", pet_s(odds.finish_p90)}};
    Json tasks = Json::array();
    for (const TaskOdds& task : odds.tasks)
        tasks.push_back({{"task", outing.task(task.task).key}, {"done", rounded(task.done)}});
    json["tasks"] = std::move(tasks);
    const auto gate_json = [&](const NextGate& gate) {
        return Json{{"task", outing.task(gate.task).key},
                    {"planned_pet_s", pet_s(gate.planned)},
                    {"begin_until_pet_s", pet_s(gate.begin_until)},
                    {"start_home_by_pet_s", pet_s(gate.start_home_by)}};
    };
    json["gate"] = odds.gate ? gate_json(*odds.gate) : Json();
    Json gates = Json::array();
    for (const NextGate& gate : odds.gates) gates.push_back(gate_json(gate));
    json["gates"] = std::move(gates);
    return json;
}

}  // namespace

std::string status_json(const Outing& outing, const Status& status, Reader reader) {
    assert(reader != Reader::everyone);
    const Day& day = status.day;
    Json json{
        {"format", "handrail-status"},
        {"version", version},
        {"role", word(reader)},
        {"position", number(day.position)},
        {"outing", outing.name},
        {"note", outing.note},
        {"utc", print_utc(day.now)},
        {"pet_s", pet_s(day.pet_now())},
        {"pet_zero", print_utc(day.pet_zero)},
        {"pet_running", day.pet_running},
        {"slip_s", std::chrono::floor<Seconds>(day.pet_zero - day.planned_pet_zero).count()},
        {"phase", word(day.phase)},
        {"stand_down", stand_down_json(outing, status, reader)},
        {"morning", morning_json(outing, day)},
        {"hold", hold_json(day, reader)},
        {"behind_s", status.behind.count()},
        {"finish_shift_s", status.finish_shift.count()},
        {"cause", status.cause},
        {"finish",
         {{"planned_pet_s", day.plan ? pet_s(status.planned_finish) : Json()},
          {"forecast_pet_s", pet_s(status.forecast.finish)},
          {"limit_pet_s", outing.rules.limit.count()},
          {"margin_s", (outing.rules.limit - since_zero(status.forecast.finish)).count()}}},
        {"tightest", tightest_json(status)},
        {"turn_back", {{"terminate_pet_s", pet_s(status.terminate_by)}, {"abort_pet_s", pet_s(status.abort_by)}}},
        {"crew", {person_json(outing, status, Crew::ev1, reader), person_json(outing, status, Crew::ev2, reader)}},
        {"light", condition_json(status.light, "daylight")},
        {"coverage", condition_json(status.coverage, "coverage")},
        {"windows", windows_json(day.windows)},
        {"plan", plan_json(outing, day)}};
    Json as_run = Json::array();
    for (const AsRun& run : day.as_run) as_run.push_back(activity_json(outing, run));
    Json ahead = Json::array();
    for (const AsRun& run : status.forecast.ahead) ahead.push_back(activity_json(outing, run));
    json["as_run"] = std::move(as_run);
    json["forecast"] = {{"possible", status.forecast.possible},
                        {"finish_pet_s", pet_s(status.forecast.finish)},
                        {"activities", std::move(ahead)},
                        {"reasons", status.forecast.reasons}};
    Json tasks = Json::array();
    for (const Task& task : outing.tasks) tasks.push_back(task_json(outing, status, task, reader));
    json["tasks"] = std::move(tasks);
    json["items"] = items_json(outing, day);
    Json record = Json::array();
    for (const RecordLine& line : visible(status.record, reader)) record.push_back(record_json(line));
    json["record"] = std::move(record);
    Json problems = Json::array();
    for (const Unapplied& one : day.unapplied)
        if (may_read(reader, one.visibility))
            problems.push_back({{"position", number(one.position)}, {"words", one.why}});
    json["problems"] = std::move(problems);
    json["findings"] = findings_json(status.findings);
    json["pace"] = {{"EV1", pace_json(status.pace[0])},
                    {"EV2", pace_json(status.pace[1])},
                    {"finish_pet_s", pet_s(status.finish_at_pace)}};
    if (status.odds) json["odds"] = odds_json(outing, *status.odds);
    json["caution"] = caution;
    return dumped(json);
}

}  // namespace handrail::live
