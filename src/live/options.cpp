#include "live/options.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "live/changes.h"
#include "live/findings.h"
#include "live/json_parts.h"

namespace handrail::live {
namespace {

using detail::OrderedJson;
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
    const bool coming_in = option.id == "come-in" || option.id == "abort" || day.stand_down ||
                           (option.id == "carry-on" && needs_partner(day));
    option.findings = findings_ahead(outing, day, forecast, coming_in ? option.left : option.dropped);
    option.cannot = forecast.cannot;
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

/// Tasks still to come and not begun, the next ones first.
std::vector<TaskId> not_begun(const Outing& outing, const Day& day, const Forecast& now) {
    std::vector<TaskId> tasks;
    for (const AsRun& run : now.ahead) {
        if (!run.activity.step) continue;
        const Task& task = outing.task(outing.step(*run.activity.step).task);
        const bool begun = day.situation.lead[index(task.id)].has_value();
        if (!begun && std::ranges::find(tasks, task.id) == tasks.end()) tasks.push_back(task.id);
    }
    return tasks;
}

/// "Power driver 2" and "Power driver 1" are of one kind: the same words but for a number at the end.
std::string kind_of(const std::string& name) {
    std::string kind = name;
    while (!kind.empty() && (kind.back() == ' ' || kind.back() == '-' || (kind.back() >= '0' && kind.back() <= '9')))
        kind.pop_back();
    return kind;
}

/// What could serve for a lost tool: of its kind, within reach, and itself only a tool.
std::vector<ItemId> substitutes(const Outing& outing, const Day& day, ItemId lost) {
    const auto is_tool = [&](ItemId item) {
        bool needed = false;
        for (const Step& step : outing.steps) {
            for (const auto* list : {&step.installs, &step.leaves, &step.takes, &step.moves})
                if (std::ranges::find(*list, item) != list->end()) return false;
            needed = needed || std::ranges::find(step.needs, item) != step.needs.end();
        }
        return needed;
    };
    std::vector<ItemId> found;
    if (!is_tool(lost)) return found;
    for (std::size_t i = 0; i < outing.items.size(); ++i) {
        const auto item = static_cast<ItemId>(i);
        if (item == lost || day.items[i].where == plan::ItemPlace::Where::lost || outing.items[i].holds > 0) continue;
        if (kind_of(outing.items[i].name) == kind_of(outing.item(lost).name)) found.push_back(item);
    }
    return found;
}

/// Puts the list together; every way is compared with carrying on.
class WaysOn {
public:
    WaysOn(const Outing& outing, const Day& day, const OptionBudget& budget)
        : outing_(outing), day_(day), budget_(budget), now_(carry_on(outing, day)) {}

    std::vector<Option> after_stand_down() {
        const bool abort = day_.stand_down->kind == StandDownKind::abort;
        add("carry-on", abort ? "Come in at once" : "Come in in order", now_);
        if (!abort) add("abort", "Come in at once", come_in(outing_, day_, ComeIn::at_once));
        return std::move(options_);
    }
    /// One of the two can do nothing more.
    std::vector<Option> together(Crew resting) {
        add("carry-on", "Both come in together", now_);
        add("abort", "Both come in together at once", come_in(outing_, day_, ComeIn::at_once));
        add("alone", fmt::format("{} goes on alone", word(partner(resting))),
            carry_on_with(outing_, day_, in_order(), {}));
        return std::move(options_);
    }
    std::vector<Option> all() {
        add("carry-on", "Carry on in order", now_);
        with_substitutes();
        searched();
        swapped();
        without_each();
        handed_over();
        if (day_.pet_running) {
            add("come-in", "Come in now, in order", come_in(outing_, day_, ComeIn::orderly));
            add("abort", "Come in at once", come_in(outing_, day_, ComeIn::at_once));
        }
        return std::move(options_);
    }

private:
    void add(std::string id, std::string title, Forecast forecast, std::vector<TaskId> dropped = {}) {
        if (forecast.possible)
            options_.push_back(complete(outing_, day_, now_, std::move(id), std::move(title), std::move(forecast),
                                        std::move(dropped)));
    }
    plan::Freedom in_order() const {
        plan::Freedom freedom;
        freedom.keep_order = true;
        freedom.start_from = day_.plan;
        return freedom;
    }
    plan::Budget search(std::uint64_t share) const {
        plan::Budget search;
        search.seed = budget_.seed;
        search.iterations = budget_.iterations / share;
        if (budget_.time) search.time = *budget_.time / static_cast<std::int64_t>(share);
        return search;
    }
    /// Ends sooner by a minute, or breaks fewer rules.
    bool gains(const Option& option) const {
        const Option& first = options_.front();
        return option.forecast.finish + Seconds{60} <= first.forecast.finish ||
               option.findings.size() < first.findings.size();
    }
    void drop_last_unless_it_gains() {
        if (options_.size() > 1 && !gains(options_.back())) options_.pop_back();
    }

    void with_substitutes() {
        for (std::size_t i = 0; i < day_.items.size(); ++i) {
            const auto lost = static_cast<ItemId>(i);
            if (day_.items[i].where != plan::ItemPlace::Where::lost || day_.stands_in[i] != lost) continue;
            for (const ItemId by : substitutes(outing_, day_, lost)) {
                Day supposed = day_;
                supposed.stands_in[i] = by;
                Forecast forecast = carry_on_with(outing_, supposed, in_order(), {});
                // What waited for the lost tool may no longer fit where it stood.
                if (forecast.finish > pet(outing_.rules.limit))
                    forecast = carry_on_with(outing_, supposed, free(), search(2));
                if (!forecast.possible || same_future(forecast, now_)) continue;
                options_.push_back(complete(
                    outing_, supposed, now_, fmt::format("use:{}:{}", outing_.item(by).id, outing_.item(lost).id),
                    fmt::format("Use {} in place of {}", outing_.item(by).name, outing_.item(lost).name),
                    std::move(forecast), {}));
                options_.back().uses = {{lost, by}};
            }
        }
    }
    plan::Freedom free() const {
        plan::Freedom freedom;
        freedom.start_from = day_.plan;
        return freedom;
    }
    void searched() {
        Forecast best = carry_on_with(outing_, day_, free(), search(1));
        const bool other = !same_future(best, now_);
        // The same tasks by the same people, in another order.
        plan::Freedom reorder = free();
        for (const Task& task : outing_.tasks) {
            if (any_ahead(outing_, now_, task.id)) {
                if (const auto lead = now_.timeline->lead_of(task.id)) reorder.lead.emplace_back(task.id, *lead);
            } else {
                reorder.leave_out.push_back(task.id);
            }
        }
        Forecast ordered = carry_on_with(outing_, day_, reorder, search(2));
        const bool differs = !same_future(ordered, now_) && !(other && same_future(ordered, best));
        if (other) add("replan", "Re-plan freely", std::move(best));
        if (!differs) return;
        add("reorder", "Same tasks, same people, another order", std::move(ordered));
        drop_last_unless_it_gains();
    }
    /// What EV1 was to lead EV2 leads, and the other way round.
    void swapped() {
        plan::Freedom freedom = in_order();
        for (const TaskId task : not_begun(outing_, day_, now_))
            if (const auto lead = now_.timeline->lead_of(task); lead && !outing_.task(task).lead)
                freedom.lead.emplace_back(task, partner(*lead));
        if (freedom.lead.size() < 2) return;
        Forecast forecast = carry_on_with(outing_, day_, freedom, {});
        if (!same_future(forecast, now_)) add("swap-roles", "EV1 and EV2 swap what they lead", std::move(forecast));
    }
    void without_each() {
        std::vector<TaskId> ahead;
        for (const Task& task : outing_.tasks)
            if (any_ahead(outing_, now_, task.id)) ahead.push_back(task.id);
        std::ranges::stable_sort(ahead, {},
                                 [&](TaskId t) { return outing_.task(t).task_class == TaskClass::required ? 1 : 0; });
        for (const TaskId id : ahead) {
            const Task& task = outing_.task(id);
            plan::Freedom freedom = in_order();
            freedom.leave_out = {id};
            const bool required = task.task_class == TaskClass::required;
            add("leave-out:" + task.key, (required ? "Leave out the required task " : "Leave out ") + task.name,
                carry_on_with(outing_, day_, freedom, {}), {id});
        }
    }
    /// Only where it gains: a list of everything that changes nothing helps nobody.
    void handed_over() {
        constexpr std::size_t most = 4;
        std::size_t tried = 0;
        for (const TaskId id : not_begun(outing_, day_, now_)) {
            const auto lead = now_.timeline->lead_of(id);
            if (!lead || outing_.task(id).lead || ++tried > most) continue;
            plan::Freedom freedom = in_order();
            freedom.lead = {{id, partner(*lead)}};
            Forecast forecast = carry_on_with(outing_, day_, freedom, {});
            if (!forecast.timeline || forecast.timeline->lead_of(id) != partner(*lead)) continue;
            add("hand-over:" + outing_.task(id).key,
                fmt::format("{} leads {}", word(partner(*lead)), outing_.task(id).name), std::move(forecast));
            drop_last_unless_it_gains();
        }
    }

    const Outing& outing_;
    const Day& day_;
    OptionBudget budget_;
    Forecast now_;
    std::vector<Option> options_;
};

}  // namespace

std::vector<Option> options_of(const Outing& outing, const Day& day, const OptionBudget& budget) {
    if (!can_replan(day) || !day.plan) return {};
    WaysOn ways(outing, day, budget);
    if (day.stand_down) return ways.after_stand_down();
    if (const auto resting = needs_partner(day)) return ways.together(*resting);
    return ways.all();
}

Option likeliest_way(const Outing& outing, const Day& day, const Forecast& instead_of) {
    Option option = complete(outing, day, instead_of, "carry-on", "Carry on in order", carry_on(outing, day), {});
    const bool decided = day.stand_down || needs_partner(day);
    if (option.forecast.finish <= pet(outing.rules.limit) || decided) return option;
    constexpr std::uint64_t enough_to_fit = 1500;
    plan::Freedom free;
    free.start_from = day.plan;
    plan::Budget search;
    search.iterations = enough_to_fit;
    return complete(outing, day, instead_of, "replan", "Re-plan freely", carry_on_with(outing, day, free, search), {});
}

PlanAdopted adoption(const Outing& outing, const Option& option) {
    PlanAdopted adopted{option.id, option.title, to_json(outing, *option.forecast.timeline), {}, {}};
    for (const TaskId task : option.dropped) adopted.dropped.push_back(outing.task(task).key);
    for (const auto& [item, by] : option.uses) adopted.uses.emplace_back(outing.item(item).id, outing.item(by).id);
    return adopted;
}

void add_odds(const Outing& outing, const Day& day, std::vector<Option>& options) {
    for (Option& option : options)
        if (option.id != "abort") option.odds = odds_now(outing, day, option.forecast, WithGates::no);
}

detail::OrderedJson option_json(const Outing& outing, const Option& option) {
    const auto keys = [&](const std::vector<TaskId>& tasks) {
        OrderedJson list = OrderedJson::array();
        for (const TaskId task : tasks) list.push_back(outing.task(task).key);
        return list;
    };
    OrderedJson cannot = OrderedJson::array();
    for (const Cannot& one : option.cannot) cannot.push_back({{"task", outing.task(one.task).key}, {"why", one.why}});
    OrderedJson uses = OrderedJson::array();
    for (const auto& [item, by] : option.uses)
        uses.push_back({{"item", outing.item(item).id}, {"by", outing.item(by).id}});
    OrderedJson activities = OrderedJson::array();
    for (const AsRun& run : option.forecast.ahead) activities.push_back(detail::activity_json(outing, run));
    OrderedJson one{
        {"id", option.id},
        {"title", option.title},
        {"done", keys(option.done)},
        {"left", keys(option.left)},
        {"required_left", keys(option.required_left)},
        {"dropped", keys(option.dropped)},
        {"uses", std::move(uses)},
        {"cannot", std::move(cannot)},
        {"value", detail::rounded(option.value)},
        {"finish_pet_s", detail::pet_s(option.forecast.finish)},
        {"tightest", option.tightest ? OrderedJson{{"words", words(*option.tightest)},
                                                   {"margin_min", detail::minutes(option.tightest->in_hand)}}
                                     : OrderedJson()},
        {"changes", option.changes},
        {"findings", detail::findings_json(option.findings)},
        {"activities", std::move(activities)}};
    if (option.odds)
        one["odds"] = {{"required_done", detail::rounded(option.odds->required)},
                       {"in_time_with_reserves", detail::rounded(option.odds->home)},
                       {"standard_error", detail::rounded(option.odds->error)},
                       {"finish_p50_pet_s", detail::pet_s(option.odds->finish_p50)},
                       {"finish_p90_pet_s", detail::pet_s(option.odds->finish_p90)}};
    return one;
}

std::string options_json(const Outing& outing, const Day& day, const std::vector<Option>& options,
                         Timelines timelines) {
    OrderedJson list = OrderedJson::array();
    for (const Option& option : options) {
        OrderedJson one = option_json(outing, option);
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

namespace {

/// The first few in words; those that carrying on breaks as well are only counted after the first option.
std::string findings_text(const Option& option, const Option& first) {
    constexpr std::size_t shown = 3;
    const bool is_first = &option == &first;
    std::string text;
    std::size_t told = 0, more = 0, as_before = 0;
    for (const Finding& finding : option.findings) {
        const bool known = !is_first && std::ranges::any_of(first.findings, [&](const Finding& f) {
            return f.rule == finding.rule && f.what == finding.what;
        });
        if (known)
            ++as_before;
        else if (told < shown)
            text += fmt::format("  breaks {}: {}\n", finding.rule, finding.what), ++told;
        else
            ++more;
    }
    if (more > 0) text += fmt::format("  and {} findings more\n", more);
    if (as_before > 0) text += fmt::format("  breaks {} rules as carrying on does\n", as_before);
    return text;
}

}  // namespace

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
        for (const Cannot& cannot : option.cannot)
            if (&option == &options.front())
                text += fmt::format("  {} cannot be done: {}\n", outing.task(cannot.task).name, cannot.why);
        text += findings_text(option, options.front());
    }
    return text + "\nNothing is adopted until somebody says so: handrail adopt ID.\n" + std::string(caution) + "\n";
}

}  // namespace handrail::live
