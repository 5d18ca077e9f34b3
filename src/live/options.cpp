#include "live/options.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "live/json_parts.h"

namespace handrail::live {
namespace {

using detail::OrderedJson;
using plan::StepStatus;

bool ahead_of(const Forecast& forecast, StepId step) {
    return std::ranges::any_of(forecast.ahead, [step](const AsRun& run) { return run.activity.step == step; });
}

bool any_ahead(const Outing& outing, const Forecast& forecast, TaskId task) {
    return std::ranges::any_of(outing.task(task).steps, [&](StepId step) { return ahead_of(forecast, step); });
}

bool will_be_done(const Day& day, const Forecast& forecast, const Task& task) {
    bool any = false;
    for (const StepId step : task.steps) {
        const StepStatus status = day.situation.steps[index(step)];
        if (status == StepStatus::skipped) continue;
        any = true;
        if (status == StepStatus::to_do && !ahead_of(forecast, step)) return false;
    }
    return any;
}

/// Rules that would be broken from now on. What the past broke is no choice any more; what is owed at the end is.
std::vector<Finding> findings_of(const Outing& outing, const Day& day, const Forecast& forecast,
                                 const std::vector<TaskId>& dropped) {
    if (!forecast.timeline) return {};
    CheckOptions facts;
    facts.dropped = dropped;
    for (const Task& task : outing.tasks)
        if (day.situation.dropped[index(task.id)] && std::ranges::find(dropped, task.id) == dropped.end())
            facts.dropped.push_back(task.id);
    for (const Crew crew : both_crew)
        if (!day.situation.crew[index(crew)].able) facts.unable.push_back(crew);
    if (!day.situation.arm_available) facts.unavailable.push_back(Lane::arm);
    for (std::size_t i = 0; i < day.items.size(); ++i)
        if (day.items[i].where == plan::ItemPlace::Where::lost) facts.lost.push_back(static_cast<ItemId>(i));
    std::vector<Finding> findings = check(outing, day.windows, *forecast.timeline, facts);
    std::erase_if(findings, [&](const Finding& finding) {
        if (finding.severity == Severity::note) return true;
        const bool whole_day = finding.rule == "required" || finding.rule == "whole-task" ||
                               finding.rule == "returns" || finding.rule == "limit" || finding.rule == "consumable";
        return finding.at < day.pet_now() && !whole_day;
    });
    return findings;
}

const Activity* next_step(const Forecast& forecast, Crew crew) {
    for (const AsRun& run : forecast.ahead)
        if (run.activity.step && run.activity.on(lane_of(crew))) return &run.activity;
    return nullptr;
}

std::string where(const Outing& outing, const Activity& activity) {
    return activity.path.empty() ? "" : outing.worksite(activity.path.front()).name;
}

/// What one person takes along before their next step.
std::string takes(const Outing& outing, const Forecast& forecast, Crew crew) {
    std::string text;
    for (const AsRun& run : forecast.ahead) {
        if (!run.activity.on(lane_of(crew))) continue;
        if (run.activity.step) break;
        if (run.activity.kind != ActivityKind::pick_up) continue;
        for (const ItemId item : run.activity.items) text += (text.empty() ? "" : " and ") + outing.item(item).name;
    }
    return text;
}

std::string next_change(const Outing& outing, const Forecast& now, const Forecast& then, Crew crew) {
    const Activity* before = next_step(now, crew);
    const Activity* after = next_step(then, crew);
    if (before == nullptr && after == nullptr) return {};
    const std::string who(word(crew));
    if (after == nullptr) return fmt::format("{} comes home instead of {}", who, title(outing, *before));
    std::string text;
    if (before == nullptr)
        text = fmt::format("{} does {}", who, title(outing, *after));
    else if (before->step == after->step)
        return {};
    else if (where(outing, *before) != where(outing, *after) && !where(outing, *after).empty())
        text = fmt::format("{} goes to {} instead of {}", who, where(outing, *after),
                           where(outing, *before).empty() ? title(outing, *before) : where(outing, *before));
    else
        text = fmt::format("{} does {} next instead of {}", who, title(outing, *after), title(outing, *before));
    const std::string taken = takes(outing, then, crew);
    if (!taken.empty() && taken != takes(outing, now, crew)) text += fmt::format(", takes {}", taken);
    return text;
}

std::vector<std::string> changes_of(const Outing& outing, const Day& day, const Forecast& now, const Forecast& then) {
    std::vector<std::string> changes;
    for (const Crew crew : both_crew) {
        std::string change = next_change(outing, now, then, crew);
        if (!change.empty()) changes.push_back(std::move(change));
    }
    for (const Task& task : outing.tasks) {
        const bool before = will_be_done(day, now, task);
        const bool after = will_be_done(day, then, task);
        if (before && !after)
            changes.push_back(any_ahead(outing, then, task.id) ? fmt::format("{} is only closed up", task.name)
                                                               : fmt::format("{} is left out", task.name));
        if (!before && after) changes.push_back(fmt::format("{} is done after all", task.name));
        if (before && after && now.timeline && then.timeline) {
            const auto led = now.timeline->lead_of(task.id);
            const auto leads = then.timeline->lead_of(task.id);
            if (led && leads && led != leads)
                changes.push_back(fmt::format("{} leads {} instead of {}", word(*leads), task.name, word(*led)));
        }
    }
    const Seconds shift = std::chrono::floor<Seconds>(then.finish - now.finish);
    if (std::chrono::abs(shift) >= Seconds{60})
        changes.push_back(fmt::format("both are in {} {}",
                                      print_duration(std::chrono::floor<std::chrono::minutes>(std::chrono::abs(shift))),
                                      shift < Seconds{0} ? "sooner" : "later"));
    return changes;
}

/// Fills in what follows from the forecast.
Option complete(const Outing& outing, const Day& day, const Forecast& now, std::string id, std::string title,
                Forecast forecast, std::vector<TaskId> dropped) {
    Option option;
    option.id = std::move(id);
    option.title = std::move(title);
    option.dropped = std::move(dropped);
    for (const Task& task : outing.tasks) {
        if (will_be_done(day, forecast, task)) {
            option.done.push_back(task.id);
            if (task.task_class != TaskClass::required) option.value += task.value;
        } else {
            option.left.push_back(task.id);
            if (task.task_class == TaskClass::required) option.required_left.push_back(task.id);
        }
    }
    option.tightest = tightest_of(outing, forecast, suits_of(outing, day, forecast));
    option.changes = changes_of(outing, day, now, forecast);
    // Whoever comes in leaves everything else on purpose.
    const bool coming_in = option.id == "come-in" || option.id == "abort" || day.stand_down;
    option.findings = findings_of(outing, day, forecast, coming_in ? option.left : option.dropped);
    if (option.id == "abort") {
        // What an abort does without is no finding, but must be said.
        std::erase_if(option.findings, [](const Finding& f) { return f.rule == "ingress" || f.rule == "returns"; });
        option.changes.emplace_back("nothing is closed up, collected or counted on the way in");
    }
    option.forecast = std::move(forecast);
    return option;
}

bool same_future(const Forecast& a, const Forecast& b) {
    return std::ranges::equal(a.ahead, b.ahead, [](const AsRun& x, const AsRun& y) {
        return x.activity.kind == y.activity.kind && x.activity.step == y.activity.step &&
               x.activity.start == y.activity.start && x.activity.lanes == y.activity.lanes &&
               x.activity.path == y.activity.path;
    });
}

/// Tasks not begun whose lead the file leaves open, the next ones first.
std::vector<TaskId> can_be_handed_over(const Outing& outing, const Day& day, const Forecast& now) {
    constexpr std::size_t most = 4;
    std::vector<TaskId> tasks;
    for (const AsRun& run : now.ahead) {
        if (!run.activity.step || tasks.size() >= most) continue;
        const Task& task = outing.task(outing.step(*run.activity.step).task);
        const bool begun = day.situation.lead[index(task.id)].has_value();
        if (!task.lead && !begun && std::ranges::find(tasks, task.id) == tasks.end()) tasks.push_back(task.id);
    }
    return tasks;
}

}  // namespace

std::vector<Option> options_of(const Outing& outing, const Day& day, const OptionBudget& budget) {
    std::vector<Option> options;
    if (!can_replan(day) || !day.plan) return options;
    const Forecast now = carry_on(outing, day);
    const auto add = [&](std::string id, std::string title, Forecast forecast, std::vector<TaskId> dropped = {}) {
        if (forecast.possible)
            options.push_back(
                complete(outing, day, now, std::move(id), std::move(title), std::move(forecast), std::move(dropped)));
    };
    if (day.stand_down) {
        add("carry-on", day.stand_down->kind == StandDownKind::abort ? "Come in at once" : "Come in in order", now);
        if (day.stand_down->kind != StandDownKind::abort)
            add("abort", "Come in at once", come_in(outing, day, ComeIn::at_once));
        return options;
    }
    add("carry-on", "Carry on in order", now);
    plan::Freedom in_order;
    in_order.keep_order = true;
    in_order.start_from = day.plan;
    plan::Freedom free;
    free.start_from = day.plan;
    plan::Budget search;
    search.seed = budget.seed;
    search.iterations = budget.iterations;
    search.time = budget.time;
    Forecast best = carry_on_with(outing, day, free, search);
    if (!same_future(best, now)) add("replan", "Re-plan freely", std::move(best));
    std::vector<TaskId> ahead;
    for (const Task& task : outing.tasks)
        if (any_ahead(outing, now, task.id)) ahead.push_back(task.id);
    std::ranges::stable_sort(ahead, [&](TaskId a, TaskId b) {
        const auto rank = [&](TaskId t) { return outing.task(t).task_class == TaskClass::required ? 1 : 0; };
        return rank(a) < rank(b);
    });
    for (const TaskId id : ahead) {
        const Task& task = outing.task(id);
        plan::Freedom freedom = in_order;
        freedom.leave_out = {id};
        const bool required = task.task_class == TaskClass::required;
        add("leave-out:" + task.key, (required ? "Leave out the required task " : "Leave out ") + task.name,
            carry_on_with(outing, day, freedom, {}), {id});
    }
    for (const TaskId id : can_be_handed_over(outing, day, now)) {
        const auto lead = now.timeline->lead_of(id);
        if (!lead) continue;
        plan::Freedom freedom = in_order;
        freedom.lead = {{id, partner(*lead)}};
        Forecast forecast = carry_on_with(outing, day, freedom, {});
        if (!forecast.timeline || forecast.timeline->lead_of(id) != partner(*lead)) continue;
        // Only worth a line where it gains something.
        const bool sooner = forecast.finish < now.finish;
        if (sooner || findings_of(outing, day, forecast, {}).size() < options.front().findings.size())
            add("hand-over:" + outing.task(id).key,
                fmt::format("{} leads {}", word(partner(*lead)), outing.task(id).name), std::move(forecast));
    }
    add("come-in", "Come in now, in order", come_in(outing, day, ComeIn::orderly));
    add("abort", "Come in at once", come_in(outing, day, ComeIn::at_once));
    return options;
}

PlanAdopted adoption(const Outing& outing, const Option& option) {
    PlanAdopted adopted{option.id, option.title, to_json(outing, *option.forecast.timeline), {}};
    for (const TaskId task : option.dropped) adopted.dropped.push_back(outing.task(task).key);
    return adopted;
}

void add_odds(const Outing& outing, const Day& day, std::vector<Option>& options) {
    for (Option& option : options)
        if (option.id != "abort") option.odds = odds_now(outing, day, option.forecast, WithGates::no);
}

std::string options_json(const Outing& outing, const Day& day, const std::vector<Option>& options,
                         Timelines timelines) {
    const auto keys = [&](const std::vector<TaskId>& tasks) {
        OrderedJson list = OrderedJson::array();
        for (const TaskId task : tasks) list.push_back(outing.task(task).key);
        return list;
    };
    OrderedJson list = OrderedJson::array();
    for (const Option& option : options) {
        OrderedJson findings = OrderedJson::array();
        for (const Finding& f : option.findings) {
            OrderedJson lanes = OrderedJson::array();
            for (const Lane lane : f.lanes) lanes.push_back(word(lane));
            findings.push_back({{"rule", f.rule},
                                {"lanes", std::move(lanes)},
                                {"at_s", detail::pet_s(f.at)},
                                {"amount", detail::rounded(f.amount)},
                                {"unit", f.unit},
                                {"what", f.what}});
        }
        OrderedJson activities = OrderedJson::array();
        for (const AsRun& run : option.forecast.ahead) activities.push_back(detail::activity_json(outing, run));
        OrderedJson one{
            {"id", option.id},
            {"title", option.title},
            {"done", keys(option.done)},
            {"left", keys(option.left)},
            {"required_left", keys(option.required_left)},
            {"dropped", keys(option.dropped)},
            {"value", detail::rounded(option.value)},
            {"finish_pet_s", detail::pet_s(option.forecast.finish)},
            {"tightest", option.tightest ? OrderedJson{{"words", words(*option.tightest)},
                                                       {"margin_min", detail::minutes(option.tightest->in_hand)}}
                                         : OrderedJson()},
            {"changes", option.changes},
            {"findings", std::move(findings)},
            {"activities", std::move(activities)}};
        if (option.odds)
            one["odds"] = {{"required_done", detail::rounded(option.odds->required)},
                           {"in_time_with_reserves", detail::rounded(option.odds->home)},
                           {"standard_error", detail::rounded(option.odds->error)},
                           {"finish_p50_pet_s", detail::pet_s(option.odds->finish_p50)},
                           {"finish_p90_pet_s", detail::pet_s(option.odds->finish_p90)}};
        if (timelines == Timelines::included && option.forecast.timeline)
            one["timeline"] = to_json(outing, *option.forecast.timeline);
        list.push_back(std::move(one));
    }
    return detail::dumped({{"format", "handrail-options"},
                           {"version", 1},
                           {"position", number(day.position)},
                           {"utc", print_utc(day.now)},
                           {"pet_s", detail::pet_s(day.pet_now())},
                           {"options", std::move(list)},
                           {"caution", caution}});
}

std::string print(const Outing& outing, const Day& day, const std::vector<Option>& options) {
    if (options.empty()) return "There is nothing left to decide.\n";
    std::string text = fmt::format("Ways on at PET {}\n", print_pet(day.pet_now()));
    for (const Option& option : options) {
        text += fmt::format("\n{}: {}\n  done {} of {} tasks, value {:g}, both in at PET {}", option.id, option.title,
                            option.done.size(), outing.tasks.size(), option.value, print_pet(option.forecast.finish));
        if (option.tightest)
            text += fmt::format(", tightest {} with {} in hand", words(*option.tightest),
                                print_duration(std::chrono::floor<std::chrono::minutes>(option.tightest->in_hand)));
        text += "\n";
        if (option.odds)
            text +=
                fmt::format("  odds: all required {:.0f} %, home in time with reserves {:.0f} %, P90 {}\n",
                            100 * option.odds->required, 100 * option.odds->home, print_pet(option.odds->finish_p90));
        for (const std::string& change : option.changes) text += "  " + change + "\n";
        // Enough to decide by; the document has them all.
        constexpr std::size_t shown = 3;
        for (std::size_t i = 0; i < std::min(shown, option.findings.size()); ++i)
            text += fmt::format("  breaks {}: {}\n", option.findings[i].rule, option.findings[i].what);
        if (option.findings.size() > shown)
            text += fmt::format("  and {} findings more\n", option.findings.size() - shown);
    }
    return text + "\nNothing is adopted until somebody says so: handrail adopt ID.\n" + std::string(caution) + "\n";
}

}  // namespace handrail::live
