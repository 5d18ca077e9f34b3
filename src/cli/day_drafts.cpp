#include "cli/day_drafts.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <nlohmann/json.hpp>
#include <variant>

#include "check/check.h"
#include "edit/edit.h"
#include "edit/edit_json.h"

namespace handrail::cli {
namespace {

using nlohmann::json;
using serve::Reply;

constexpr std::size_t kept = 300;
// A forecast made longer ago starts from a moment that has passed.
constexpr auto forecast_holds = std::chrono::seconds{20};

/// What the day has already settled, for the checker (docs/rules.md, "As-run").
CheckOptions facts_of(const Outing& outing, const live::Day& day, const plan::Wishes& wishes) {
    CheckOptions facts;
    facts.dropped = wishes.leave_out;
    for (const Task& task : outing.tasks)
        if (day.situation.dropped[index(task.id)] && std::ranges::find(facts.dropped, task.id) == facts.dropped.end())
            facts.dropped.push_back(task.id);
    for (const Crew crew : both_crew)
        if (!day.situation.crew[index(crew)].able) facts.unable.push_back(crew);
    if (!day.situation.arm_available) facts.unavailable.push_back(Lane::arm);
    for (std::size_t i = 0; i < day.items.size(); ++i)
        if (day.items[i].where == plan::ItemPlace::Where::lost) facts.lost.push_back(static_cast<ItemId>(i));
    return facts;
}

live::Forecast forecast_of(const live::Day& day, Timeline timeline) {
    live::Forecast forecast;
    timeline.pet_zero = day.pet_zero;
    for (const Activity& activity : timeline.activities) {
        forecast.finish = std::max(forecast.finish, activity.end());
        if (activity.as_run) continue;
        live::AsRun run;
        run.activity = activity;
        forecast.ahead.push_back(std::move(run));
    }
    forecast.timeline = std::move(timeline);
    return forecast;
}

bool will_be_done(const live::Day& day, const live::Forecast& forecast, const Task& task) {
    bool any = false;
    for (const StepId step : task.steps) {
        const plan::StepStatus status = day.situation.steps[index(step)];
        if (status == plan::StepStatus::skipped) continue;
        any = true;
        const bool ahead =
            std::ranges::any_of(forecast.ahead, [step](const live::AsRun& run) { return run.activity.step == step; });
        if (status == plan::StepStatus::to_do && !ahead) return false;
    }
    return any;
}

/// Findings and what follows from the timeline, as for any other way on.
live::Option option_of(const Outing& outing, const live::Day& day, std::uint64_t number, const edit::Edited& edited) {
    live::Option option;
    option.id = fmt::format("draft:{}", number);
    option.title = "As drafted";
    option.forecast = forecast_of(day, edited.timeline);
    option.dropped = edited.wishes.leave_out;
    for (const Task& task : outing.tasks) {
        if (will_be_done(day, option.forecast, task)) {
            option.done.push_back(task.id);
            if (task.task_class != TaskClass::required) option.value += task.value;
        } else {
            option.left.push_back(task.id);
            if (task.task_class == TaskClass::required) option.required_left.push_back(task.id);
        }
    }
    option.tightest = live::tightest_of(outing, option.forecast, live::suits_of(outing, day, option.forecast));
    option.findings = edited.findings;
    std::erase_if(option.findings, [&](const Finding& finding) {
        if (finding.severity == Severity::note) return true;
        const bool whole_day = finding.rule == "required" || finding.rule == "whole-task" ||
                               finding.rule == "returns" || finding.rule == "limit" || finding.rule == "consumable";
        return finding.at < day.pet_now() && !whole_day;
    });
    return option;
}

}  // namespace

const Drafts::Draft* Drafts::on(std::uint64_t number, live::Position position) const {
    const auto found = std::ranges::find(drafts_, number, &Draft::number);
    return found == drafts_.end() || found->position != position ? nullptr : &*found;
}

const live::Option* Drafts::find(const std::string& id, live::Position position) const {
    for (const Draft& draft : drafts_)
        if (draft.option.id == id && draft.position == position) return &draft.option;
    return nullptr;
}

serve::Reply Drafts::make(const Outing& outing, const live::Day& day, const live::Forecast* known,
                          const std::string& request) {
    const auto begun = std::chrono::steady_clock::now();
    const json wish = json::parse(request, nullptr, false);
    if (!wish.is_object() || !wish.contains("seen") || !wish["seen"].is_number_unsigned() || !wish.contains("edit") ||
        !wish["edit"].is_object() || (wish.contains("on") && !wish["on"].is_number_unsigned()))
        return {Reply::Kind::bad_input,
                "Expected {\"seen\": position, \"on\": number of a draft or left out, \"edit\": {...}}."};
    if (wish["seen"].get<std::uint64_t>() != live::number(day.position)) {
        Reply stale{Reply::Kind::stale, {}};
        stale.position = live::number(day.position);
        return stale;
    }
    if (!live::can_replan(day) || !day.plan)
        return {Reply::Kind::bad_input, "There is nothing left to plan, or no plan yet."};
    const Result<edit::Edit> edit = edit::read_edit(outing, wish["edit"].dump(), "edit");
    if (!edit) return {Reply::Kind::bad_input, print(edit.errors().front())};

    if (!carried_on_ || carried_on_at_ != day.position || day.pet_now() - carried_on_from_ > forecast_holds) {
        carried_on_ = known ? *known : live::carry_on(outing, day);
        carried_on_at_ = day.position;
        carried_on_from_ = day.pet_now();
    }
    if (!carried_on_->timeline)
        return {Reply::Kind::bad_input, "The plan no longer fits as it is; look at the options first."};
    const Draft* before = wish.contains("on") ? on(wish["on"].get<std::uint64_t>(), day.position) : nullptr;
    if (wish.contains("on") && before == nullptr)
        return {Reply::Kind::bad_input, "That draft is no longer kept; begin again from the forecast."};
    const Timeline& from = before ? *before->option.forecast.timeline : *carried_on_->timeline;
    const plan::Wishes wishes = before ? before->wishes : plan::Wishes{};
    const auto made = edit::apply(outing, day.windows, day.situation, from, wishes, edit.value(),
                                  facts_of(outing, day, edit::with(wishes, edit.value())));
    json answer{{"position", live::number(day.position)}};
    if (const auto* refused = std::get_if<edit::Refused>(&made)) {
        answer["refused"] = refused->why;
    } else {
        const edit::Edited& edited = std::get<edit::Edited>(made);
        Draft draft{++last_number_, day.position, option_of(outing, day, last_number_, edited), edited.wishes};
        for (const edit::Difference& one : edit::differences(outing, *carried_on_->timeline, edited.timeline))
            draft.option.changes.push_back(one.what);
        const json options = json::parse(live::options_json(outing, day, {draft.option}, live::Timelines::left_out));
        answer["refused"] = nullptr;
        answer["draft"] = draft.number;
        answer["option"] = options["options"][0];
        answer["wishes"] = json::parse(edit::to_json(outing, edited.wishes));
        answer["unkept"] = edited.unkept;
        answer["before"] = {
            {"finish_pet_s", std::chrono::floor<Seconds>(carried_on_->finish.time_since_epoch()).count()}};
        drafts_.push_back(std::move(draft));
        if (drafts_.size() > kept) drafts_.pop_front();
    }
    answer["took_ms"] =
        std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::steady_clock::now() - begun).count();
    return {Reply::Kind::done, answer.dump(-1, ' ', false, json::error_handler_t::replace)};
}

}  // namespace handrail::cli
