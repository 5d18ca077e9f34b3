#include "live/options.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <set>

#include "live/changes.h"
#include "live/findings.h"
#include "live/suit_margins.h"
#include "units/parallel.h"

namespace handrail::live {
namespace {

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
    // Of required alternatives one is enough.
    std::erase_if(option.required_left, [&](TaskId task) {
        return std::ranges::any_of(outing.task(task).instead_of, [&](TaskId other) {
            return std::ranges::find(option.done, other) != option.done.end();
        });
    });
    option.tightest = tightest_ahead(outing, day, forecast);
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

/// The day as it would be with this stand-down logged now.
Day stood_down(const Day& day, StandDownKind kind) {
    Day supposed = day;
    supposed.stand_down = StoodDown{day.position, kind, day.pet_now(), Visibility::console, {}};
    return supposed;
}

/// What coming in like this leaves behind, beside the tasks.
std::vector<std::string> consequences(const Outing& outing, const StandingDown& down) {
    std::string closed, open, brought, left;
    const auto add = [](std::string& list, const std::string& name) { list += (list.empty() ? "" : ", ") + name; };
    for (const OpenSite& site : down.open) add(site.closed_on_the_way ? closed : open, outing.worksite(site.site).name);
    for (const ItemOutside& one : down.outside)
        if (one.must_return) add(one.comes_in ? brought : left, outing.item(one.item).name);
    std::vector<std::string> words;
    if (!closed.empty()) words.push_back("closed up on the way: " + closed);
    if (!open.empty()) words.push_back("stays open: " + open);
    if (!brought.empty()) words.push_back("comes in: " + brought);
    if (!left.empty()) words.push_back("stays outside though it must come back: " + left);
    return words;
}

/// The way on as a stand-down: its steps, and what it leaves behind.
void call_off(const Outing& outing, const Day& day, StandDownKind kind, Option& option) {
    option.stand_down = kind;
    option.coming_in = standing_down(outing, stood_down(day, kind), option.forecast);
    // What lies outside before anybody has gone out is for another day.
    if (kind == StandDownKind::scrub) option.coming_in->outside.clear();
    for (std::string& words : consequences(outing, *option.coming_in)) option.changes.push_back(std::move(words));
}

/// Nobody goes outside.
Option scrubbed(const Outing& outing, const Day& day) {
    Option option;
    option.id = "scrub";
    option.title = "Scrub: nobody goes outside";
    option.forecast = carry_on(outing, stood_down(day, StandDownKind::scrub));
    option.forecast.timeline.reset();
    for (const Task& task : outing.tasks) {
        option.left.push_back(task.id);
        if (task.task_class == TaskClass::required) option.required_left.push_back(task.id);
    }
    option.changes.push_back(
        fmt::format("all {} tasks wait for another outing (handrail carry-over), {} of them required",
                    option.left.size(), option.required_left.size()));
    if (day.phase >= Phase::prebreathe) option.changes.emplace_back("the next try begins with a prebreathe of its own");
    call_off(outing, day, StandDownKind::scrub, option);
    return option;
}

/// Puts the list together; every way is compared with carrying on. The ways are worked out side by side, and what is
/// kept of them is decided afterwards, in order: the same list on any number of cores.
class WaysOn {
public:
    WaysOn(const Outing& outing, const Day& day, const OptionBudget& budget)
        : outing_(outing), day_(day), budget_(budget), now_(carry_on(outing, day)) {}

    std::vector<Option> after_stand_down() {
        const bool abort = day_.stand_down->kind == StandDownKind::abort;
        offer("carry-on", abort ? "Come in at once" : "Come in in order", [this] { return now_; });
        if (!abort) offer_abort("Come in at once");
        return worked_out();
    }
    /// One of the two can do nothing more.
    std::vector<Option> together(Crew resting) {
        offer("carry-on", "Both come in together", [this] { return now_; });
        offer_abort("Both come in together at once");
        offer("alone", fmt::format("{} goes on alone", word(partner(resting))),
              [this] { return carry_on_with(outing_, day_, in_order(), {}); });
        return worked_out();
    }
    std::vector<Option> all() {
        offer("carry-on", "Carry on in order", [this] { return now_; });
        with_substitutes();
        searched();
        swapped();
        without_each();
        handed_over();
        if (day_.pet_running) {
            offer("come-in", "Come in now, in order", [this] { return come_in(outing_, day_, ComeIn::orderly); });
            ways_.back().stand_down = StandDownKind::terminate;
            offer_abort("Come in at once");
        }
        std::vector<Option> options = worked_out();
        if (!day_.outside[0] && !day_.outside[1]) options.push_back(scrubbed(outing_, day_));
        return options;
    }

private:
    /// One way on, not worked out yet.
    struct Way {
        std::string id, title;
        std::function<Forecast()> forecast;
        std::vector<TaskId> dropped{};
        std::vector<std::pair<ItemId, ItemId>> uses{};
        std::optional<StandDownKind> stand_down{};
        bool must_differ = false;  ///< from carrying on and from the ways before it that must, too
        bool must_gain = false;
        std::optional<Option> option{};
    };

    void offer(std::string id, std::string title, std::function<Forecast()> forecast) {
        ways_.push_back({std::move(id), std::move(title), std::move(forecast)});
    }
    void offer_abort(std::string title) {
        offer("abort", std::move(title), [this] { return come_in(outing_, day_, ComeIn::at_once); });
        ways_.back().stand_down = StandDownKind::abort;
    }

    void work_out(Way& way) const {
        Forecast forecast = way.forecast();
        if (!forecast.possible || (way.must_differ && same_future(forecast, now_))) return;
        Day supposed;
        for (const auto& [item, by] : way.uses) {
            supposed = day_;
            supposed.stands_in[index(item)] = by;
        }
        way.option = complete(outing_, way.uses.empty() ? day_ : supposed, now_, way.id, way.title, std::move(forecast),
                              way.dropped);
        way.option->uses = way.uses;
        if (way.stand_down) call_off(outing_, day_, *way.stand_down, *way.option);
    }
    std::vector<Option> worked_out() {
        in_parallel(ways_.size(), [this](std::size_t i) { work_out(ways_[i]); });
        std::vector<Option> options;
        for (Way& way : ways_) {
            if (!way.option) continue;
            const auto same = [&](const Option& before) {
                return before.id != "carry-on" && before.uses == way.uses &&
                       same_future(before.forecast, way.option->forecast);
            };
            if (way.must_differ && std::ranges::any_of(options, same)) continue;
            if (way.must_gain && !options.empty() && !gains(*way.option, options.front())) continue;
            options.push_back(std::move(*way.option));
        }
        return options;
    }

    plan::Freedom in_order() const {
        plan::Freedom freedom;
        freedom.keep_order = true;
        freedom.start_from = day_.plan;
        return freedom;
    }
    plan::Freedom free() const {
        plan::Freedom freedom;
        freedom.start_from = day_.plan;
        return freedom;
    }
    /// One thread: the ways themselves are worked out side by side.
    plan::Budget search(std::uint64_t share) const {
        plan::Budget search;
        search.seed = budget_.seed;
        search.iterations = budget_.iterations / share;
        search.threads = 1;
        if (budget_.time) search.time = *budget_.time;
        return search;
    }
    /// Ends sooner by a minute, or breaks fewer rules.
    static bool gains(const Option& option, const Option& first) {
        return option.forecast.finish + Seconds{60} <= first.forecast.finish ||
               option.findings.size() < first.findings.size();
    }

    void with_substitutes() {
        for (std::size_t i = 0; i < day_.items.size(); ++i) {
            const auto lost = static_cast<ItemId>(i);
            if (day_.items[i].where != plan::ItemPlace::Where::lost || day_.stands_in[i] != lost) continue;
            for (const ItemId by : substitutes(outing_, day_, lost)) {
                offer(fmt::format("use:{}:{}", outing_.item(by).id, outing_.item(lost).id),
                      fmt::format("Use {} in place of {}", outing_.item(by).name, outing_.item(lost).name),
                      [this, lost, by] { return using_instead(lost, by); });
                ways_.back().uses = {{lost, by}};
                ways_.back().must_differ = true;
            }
        }
    }
    Forecast using_instead(ItemId lost, ItemId by) const {
        Day supposed = day_;
        supposed.stands_in[index(lost)] = by;
        Forecast forecast = carry_on_with(outing_, supposed, in_order(), {});
        // What waited for the lost tool may no longer fit where it stood.
        if (forecast.finish > pet(outing_.rules.limit)) return carry_on_with(outing_, supposed, free(), search(2));
        return forecast;
    }
    void searched() {
        offer("replan", "Re-plan freely", [this] { return carry_on_with(outing_, day_, free(), search(1)); });
        ways_.back().must_differ = true;
        // The same tasks by the same people, in another order.
        offer("reorder", "Same tasks, same people, another order", [this] {
            plan::Freedom reorder = free();
            for (const Task& task : outing_.tasks) {
                if (any_ahead(outing_, now_, task.id)) {
                    if (const auto lead = now_.timeline->lead_of(task.id)) reorder.lead.emplace_back(task.id, *lead);
                } else {
                    reorder.leave_out.push_back(task.id);
                }
            }
            return carry_on_with(outing_, day_, reorder, search(2));
        });
        ways_.back().must_differ = ways_.back().must_gain = true;
    }
    /// What EV1 was to lead EV2 leads, and the other way round.
    void swapped() {
        plan::Freedom freedom = in_order();
        for (const TaskId task : not_begun(outing_, day_, now_))
            if (const auto lead = now_.timeline->lead_of(task); lead && !outing_.task(task).lead)
                freedom.lead.emplace_back(task, partner(*lead));
        if (freedom.lead.size() < 2) return;
        offer("swap-roles", "EV1 and EV2 swap what they lead",
              [this, freedom = std::move(freedom)] { return carry_on_with(outing_, day_, freedom, {}); });
        ways_.back().must_differ = true;
    }
    void without_each() {
        std::vector<TaskId> ahead;
        for (const Task& task : outing_.tasks)
            if (any_ahead(outing_, now_, task.id)) ahead.push_back(task.id);
        std::ranges::stable_sort(ahead, {},
                                 [&](TaskId t) { return outing_.task(t).task_class == TaskClass::required ? 1 : 0; });
        for (const TaskId id : ahead) {
            const Task& task = outing_.task(id);
            const bool required = task.task_class == TaskClass::required;
            offer("leave-out:" + task.key, (required ? "Leave out the required task " : "Leave out ") + task.name,
                  [this, id] {
                      plan::Freedom freedom = in_order();
                      freedom.leave_out = {id};
                      return carry_on_with(outing_, day_, freedom, {});
                  });
            ways_.back().dropped = {id};
        }
    }
    /// Only where it gains: a list of everything that changes nothing helps nobody.
    void handed_over() {
        constexpr std::size_t most = 4;
        std::size_t tried = 0;
        for (const TaskId id : not_begun(outing_, day_, now_)) {
            const auto lead = now_.timeline->lead_of(id);
            if (!lead || outing_.task(id).lead || ++tried > most) continue;
            const Crew other = partner(*lead);
            offer("hand-over:" + outing_.task(id).key, fmt::format("{} leads {}", word(other), outing_.task(id).name),
                  [this, id, other] {
                      plan::Freedom freedom = in_order();
                      freedom.lead = {{id, other}};
                      Forecast forecast = carry_on_with(outing_, day_, freedom, {});
                      forecast.possible =
                          forecast.possible && forecast.timeline && forecast.timeline->lead_of(id) == other;
                      return forecast;
                  });
            ways_.back().must_gain = true;
        }
    }

    const Outing& outing_;
    const Day& day_;
    OptionBudget budget_;
    Forecast now_;
    std::vector<Way> ways_;
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

Body adoption(const Outing& outing, const Option& option) {
    if (option.stand_down) return StandDown{*option.stand_down, {}};
    PlanAdopted adopted{option.id, option.title, to_json(outing, *option.forecast.timeline), {}, {}};
    for (const TaskId task : option.dropped) adopted.dropped.push_back(outing.task(task).key);
    for (const auto& [item, by] : option.uses) adopted.uses.emplace_back(outing.item(item).id, outing.item(by).id);
    return adopted;
}

void add_odds(const Outing& outing, const Day& day, std::vector<Option>& options) {
    in_parallel(options.size(), [&](std::size_t i) {
        Option& option = options[i];
        const bool played = option.stand_down != StandDownKind::abort && option.stand_down != StandDownKind::scrub;
        if (played) option.odds = odds_now(outing, day, option.forecast, WithGates::no, 1);
    });
}

}  // namespace handrail::live
