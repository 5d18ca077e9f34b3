#include "live/carry_over.h"

#include <fmt/format.h>

#include <algorithm>

namespace handrail::live {
namespace {

using plan::ItemPlace;
using plan::StepStatus;

template <class Id>
bool holds(const std::vector<Id>& ids, Id id) {
    return std::ranges::find(ids, id) != ids.end();
}

std::optional<WorksiteId> end_of(const Step& step) { return step.to ? step.to : step.at; }

/// A step that moves nothing from where it was can be done a second time.
bool repeatable(const Step& step) {
    return step.takes.empty() && step.leaves.empty() && step.installs.empty() && step.moves.empty();
}

/// Finds what must be done again for the steps that are left.
class StepsLeft {
public:
    StepsLeft(const Outing& outing, const Day& day) : outing_(outing), day_(day) {
        for (const Step& step : outing.steps) {
            const StepStatus status = day.situation.steps[index(step.id)];
            goes_on_.push_back(status == StepStatus::to_do || status == StepStatus::running);
        }
    }

    void run(std::vector<Removal::Tie>& loose) {
        for (bool more = true; more;) {
            more = false;
            for (const Order& order : outing_.orders) more = repeat_for(order) || more;
            for (const Task& task : outing_.tasks) {
                more = reopen(task) || more;
                more = inhibit(task) || more;
            }
        }
        for (const Order& order : outing_.orders)
            if (binds(order) && goes_on_[index(order.after)] && !goes_on_[index(order.before)] && done(order.before))
                loose.push_back({order.before, order.after});
    }
    bool goes_on(StepId id) const { return goes_on_[index(id)]; }
    bool done(StepId id) const { return day_.situation.steps[index(id)] == StepStatus::done; }

private:
    /// Being near the other in time is what it asks; merely coming later it will anyway.
    static bool binds(const Order& order) { return order.within || order.starts_together; }

    bool repeat(StepId id) {
        if (goes_on_[index(id)] || !done(id) || !repeatable(outing_.step(id))) return false;
        goes_on_[index(id)] = true;
        return true;
    }
    bool repeat_for(const Order& order) {
        if (!binds(order)) return false;
        const bool again = goes_on_[index(order.after)] && repeat(order.before);
        // What starts together is done together again, whichever of the two is left.
        return (order.starts_together && goes_on_[index(order.before)] && repeat(order.after)) || again;
    }
    /// Work inside something that has been closed again: it is opened and closed once more.
    bool reopen(const Task& task) {
        bool more = false;
        for (std::size_t i = 0; i < task.steps.size(); ++i) {
            const Step& opening = outing_.step(task.steps[i]);
            if (!opening.opens) continue;
            const auto site = end_of(opening);
            bool inside = goes_on(opening.id);
            for (std::size_t k = i + 1; k < task.steps.size(); ++k) {
                const Step& later = outing_.step(task.steps[k]);
                if (!(later.close_up && end_of(later) == site)) {
                    inside = inside || goes_on(later.id);
                    continue;
                }
                if (inside && done(later.id)) {
                    more = repeat(opening.id) || more;
                    more = repeat(later.id) || more;
                }
                break;
            }
        }
        return more;
    }

    /// What ground or IV made safe for the work (a breaker, a valve, a motor) is not believed to be so another day:
    /// it is done again, and what they confirmed within a time of it.
    bool inhibit(const Task& task) {
        bool more = false;
        for (std::size_t i = 0; i < task.steps.size(); ++i) {
            const Step& step = outing_.step(task.steps[i]);
            if (has_role(step, Role::lead) || has_role(step, Role::helper) || step.hazards.empty()) continue;
            const bool work_left = std::any_of(task.steps.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                                               task.steps.end(), [&](StepId id) { return goes_on(id); });
            if (!work_left) continue;
            more = repeat(step.id) || more;
            if (!goes_on(step.id)) continue;
            for (const Order& order : outing_.orders) {
                if (order.before != step.id || !binds(order)) continue;
                const Step& after = outing_.step(order.after);
                if (has_role(after, Role::iv) || has_role(after, Role::ground)) more = repeat(after.id) || more;
            }
        }
        return more;
    }
    static bool has_role(const Step& step, Role role) { return holds(step.who, role); }

    const Outing& outing_;
    const Day& day_;
    std::vector<bool> goes_on_;
};

bool needs(const Step& step, ItemId item) {
    return holds(step.needs, item) || holds(step.takes, item) || holds(step.leaves, item) ||
           holds(step.installs, item) || holds(step.moves, item);
}

/// Where things are when everybody is in and the hatch is closed.
class ItemsLeft {
public:
    ItemsLeft(const Outing& outing, const Day& day, const StepsLeft& steps)
        : outing_(outing), day_(day), steps_(steps), room_(outing.items.size()) {
        for (std::size_t i = 0; i < outing.items.size(); ++i) room_[i] = outing.items[i].holds;
    }

    ItemLeft of(ItemId item) {
        ItemLeft left;
        left.item = item;
        const Item& about = outing_.item(item);
        const bool wanted = std::ranges::any_of(
            outing_.steps, [&](const Step& step) { return steps_.goes_on(step.id) && needs(step, item); });
        const ItemPlace& where = day_.items[index(item)];
        if (lost(item)) {
            left.fate = wanted ? ItemLeft::Fate::replaced : ItemLeft::Fate::lost;
            left.place = outing_.station.airlock;
        } else if (where.where == ItemPlace::Where::in_bag && fits(item, where.bag)) {
            left.bag = where.bag;
        } else {
            left.place = site_of(item);
            if (!wanted && where.where == ItemPlace::Where::installed) left.fate = ItemLeft::Fate::fixed;
        }
        const bool inside = !left.bag && left.fate == ItemLeft::Fate::starts && left.place == outing_.station.airlock;
        if (inside && !wanted && about.holds == 0 && taken_off(item)) left.fate = ItemLeft::Fate::brought_in;
        left.elsewhere = left.bag ? about.in != left.bag : about.at != left.place;
        return left;
    }

private:
    bool lost(ItemId item) const {
        const ItemPlace& where = day_.items[index(item)];
        return where.where == ItemPlace::Where::lost || (where.where == ItemPlace::Where::in_bag && lost(where.bag));
    }
    WorksiteId site_of(ItemId item) const {
        const ItemPlace& where = day_.items[index(item)];
        switch (where.where) {
            case ItemPlace::Where::in_bag:
                return site_of(where.bag);
            case ItemPlace::Where::loose:
            case ItemPlace::Where::installed:
                return where.site;
            case ItemPlace::Where::carried:
            case ItemPlace::Where::lost:
                break;
        }
        return outing_.station.airlock;
    }
    /// A bag that was filled fuller than the file allows, or lies in another one, keeps only what may be in it.
    bool fits(ItemId item, ItemId bag) {
        const int units = size_units(outing_.item(item).size);
        if (outing_.item(item).holds > 0 || units > room_[index(bag)]) return false;
        room_[index(bag)] -= units;
        return true;
    }
    bool taken_off(ItemId item) const {
        return std::ranges::any_of(outing_.steps,
                                   [&](const Step& step) { return steps_.done(step.id) && holds(step.takes, item); });
    }

    const Outing& outing_;
    const Day& day_;
    const StepsLeft& steps_;
    std::vector<int> room_;  ///< by item: size units still free in it
};

/// The edits that put an item of an outing file where it is now.
void place_item(const Outing& outing, const ItemLeft& left, const Item& there, std::vector<OutingEdit>& edits) {
    const std::string table = fmt::format("item[{}]", there.id);
    const std::string key = left.bag ? "in" : "at";
    const std::string& value = left.bag ? outing.item(*left.bag).id : outing.worksite(left.place).id;
    if (there.at && left.bag) edits.push_back(RemoveKey{table, "at"});
    if (there.in && !left.bag) edits.push_back(RemoveKey{table, "in"});
    edits.push_back(SetKey{table, key, toml_text(value)});
}

std::string remark_on_lost(const Outing& outing) { return fmt::format("lost in {}: bring another one", outing.name); }

std::string labels(const Outing& outing, const std::vector<StepId>& steps) {
    std::vector<std::string_view> names;
    for (const StepId step : steps) names.push_back(outing.step(step).label);
    return fmt::format("{}", fmt::join(names, ", "));
}

std::string place_words(const Outing& outing, const ItemLeft& left) {
    if (left.bag) return "in " + outing.item(*left.bag).name;
    return left.place == outing.station.airlock ? "inside" : "at " + outing.worksite(left.place).name;
}

bool stays(const ItemLeft& left) {
    return left.fate == ItemLeft::Fate::starts || left.fate == ItemLeft::Fate::replaced;
}

const Item* item_called(const Outing& outing, const std::string& id) {
    const auto found = std::ranges::find(outing.items, id, &Item::id);
    return found == outing.items.end() ? nullptr : &*found;
}

}  // namespace

LeftOver left_over(const Outing& outing, const Day& day, const CloseOut& close_out) {
    LeftOver result;
    result.open = close_out.left_open;
    StepsLeft steps(outing, day);
    steps.run(result.loose);
    for (const Task& task : outing.tasks) {
        TaskLeft left;
        left.task = task.id;
        std::vector<StepId> skipped;
        for (const StepId id : task.steps) {
            if (steps.goes_on(id)) (steps.done(id) ? left.again : left.left).push_back(id);
            if (day.situation.steps[index(id)] == StepStatus::skipped) skipped.push_back(id);
        }
        // Steps of a finished task may be needed by another one's; alone they are not a job.
        if (left.left.empty() && left.again.empty()) {
            result.done.push_back(task.id);
            continue;
        }
        left.whole = left.left.size() == task.steps.size();
        result.skipped.insert(result.skipped.end(), skipped.begin(), skipped.end());
        result.tasks.push_back(std::move(left));
    }
    ItemsLeft items(outing, day, steps);
    for (std::size_t i = 0; i < outing.items.size(); ++i) result.items.push_back(items.of(static_cast<ItemId>(i)));
    return result;
}

Result<EditedOuting> only_what_is_left(const std::vector<OutingText>& texts, const Outing& outing,
                                       const LeftOver& left) {
    Removal removal;
    removal.tasks = left.done;
    removal.ties = left.loose;
    for (const TaskLeft& one : left.tasks)
        for (const StepId id : outing.task(one.task).steps)
            if (!holds(one.left, id) && !holds(one.again, id)) removal.steps.push_back(id);
    for (const ItemLeft& item : left.items)
        if (!stays(item)) removal.items.push_back(item.item);
    Result<std::vector<OutingEdit>> edits = removal_of(texts, outing, removal);
    if (!edits) return edits.errors();
    std::vector<OutingEdit> all;
    // Remarks first: an address by number means another step once steps have gone.
    for (const TaskLeft& one : left.tasks)
        if (!one.whole)
            all.push_back(Remark{fmt::format("task[{}]", outing.task(one.task).key),
                                 fmt::format("begun in {}: what is left of it", outing.name)});
    for (const ItemLeft& item : left.items) {
        if (!stays(item)) continue;
        if (item.fate == ItemLeft::Fate::replaced)
            all.push_back(Remark{fmt::format("item[{}]", outing.item(item.item).id), remark_on_lost(outing)});
        if (item.elsewhere) place_item(outing, item, outing.item(item.item), all);
    }
    all.insert(all.end(), edits.value().begin(), edits.value().end());
    return edit_texts(texts, all);
}

namespace {

/// Puts what is left into the next outing, one thing after the other.
class Adder {
public:
    Adder(const std::vector<OutingText>& left_texts, const Outing& outing, const LeftOver& left)
        : left_texts_(left_texts), outing_(outing), left_(left) {}

    /// Items that are in the next outing are put where they are.
    Result<EditedOuting> place_known(const std::vector<OutingText>& next) {
        const Result<EditedOuting> before = edit_texts(next, {});
        if (!before) return before;
        std::vector<OutingEdit> edits;
        for (const ItemLeft& item : left_.items) {
            const Item* there = item_called(before.value().outing, outing_.item(item.item).id);
            if (!there) continue;
            const bool lost = item.fate == ItemLeft::Fate::lost || item.fate == ItemLeft::Fate::replaced;
            if (lost) edits.push_back(Remark{fmt::format("item[{}]", there->id), remark_on_lost(outing_)});
            const bool bag_there = !item.bag || item_called(before.value().outing, outing_.item(*item.bag).id);
            if (!lost && item.elsewhere && bag_there) place_item(outing_, item, *there, edits);
        }
        return edit_texts(next, edits);
    }

    /// These tasks with the items they need that the outing does not have yet.
    Result<EditedOuting> with_tasks(const EditedOuting& to, const std::vector<TaskId>& tasks) {
        std::vector<OutingEdit> edits;
        std::vector<ItemId> items;
        for (const TaskLeft& one : left_.tasks) {
            if (!holds(tasks, one.task)) continue;
            for (const StepId id : outing_.task(one.task).steps)
                if (holds(one.left, id) || holds(one.again, id))
                    for (std::size_t i = 0; i < outing_.items.size(); ++i)
                        if (needs(outing_.step(id), static_cast<ItemId>(i)))
                            want(to.outing, static_cast<ItemId>(i), items);
        }
        for (const ItemId item : items)
            if (std::optional<InputError> wrong = insert("item", outing_.item(item).id, edits)) return *wrong;
        for (const TaskId task : tasks)
            if (std::optional<InputError> wrong = insert("task", outing_.task(task).key, edits)) return *wrong;
        return edit_texts(to.texts, edits);
    }

    /// Items left outside that must come back in: they are nobody's job, but the next crew's.
    Result<EditedOuting> with_left_behind(const EditedOuting& to) {
        std::vector<OutingEdit> edits;
        std::vector<ItemId> items;
        for (const ItemLeft& item : left_.items) {
            const bool outside = stays(item) && item.elsewhere && !item.bag && item.place != outing_.station.airlock;
            if (outside && outing_.item(item.item).returns) want(to.outing, item.item, items);
        }
        for (const ItemId item : items)
            if (std::optional<InputError> wrong = insert("item", outing_.item(item).id, edits)) return *wrong;
        return edit_texts(to.texts, edits);
    }

private:
    void want(const Outing& next, ItemId item, std::vector<ItemId>& items) const {
        if (item_called(next, outing_.item(item).id) || holds(items, item)) return;
        if (left_.items[index(item)].bag) want(next, *left_.items[index(item)].bag, items);
        items.push_back(item);
    }
    std::optional<InputError> insert(const std::string& list, const std::string& id, std::vector<OutingEdit>& edits) {
        Result<std::string> text = table_text(left_texts_, fmt::format("{}[{}]", list, id));
        if (!text) return text.errors().front();
        edits.push_back(InsertTable{list, std::move(text).value()});
        return std::nullopt;
    }

    const std::vector<OutingText>& left_texts_;
    const Outing& outing_;
    const LeftOver& left_;
};

}  // namespace

Result<AddedTo> added_to(const std::vector<OutingText>& next, const std::vector<OutingText>& left_texts,
                         const Outing& outing, const LeftOver& left) {
    Adder adder(left_texts, outing, left);
    Result<EditedOuting> placed = adder.place_known(next);
    if (!placed) return placed.errors();
    AddedTo result{std::move(placed).value(), {}, {}, {}};
    std::vector<TaskId> wanted;
    for (const TaskLeft& one : left.tasks) {
        const bool there = std::ranges::find(result.next.outing.tasks, outing.task(one.task).key, &Task::key) !=
                           result.next.outing.tasks.end();
        (there ? result.there_already : wanted).push_back(one.task);
    }
    if (Result<EditedOuting> all = adder.with_tasks(result.next, wanted)) {
        result.next = std::move(all).value();
        result.added = wanted;
    } else {
        for (const TaskId task : wanted) {
            Result<EditedOuting> one = adder.with_tasks(result.next, {task});
            if (one) {
                result.next = std::move(one).value();
                result.added.push_back(task);
            } else {
                result.refused.push_back({task, one.errors().front()});
            }
        }
    }
    if (Result<EditedOuting> behind = adder.with_left_behind(result.next)) result.next = std::move(behind).value();
    for (std::size_t i = 0; i < next.size(); ++i)
        if (next[i].text != result.next.texts[i].text && !holds(result.next.changed, next[i].name))
            result.next.changed.push_back(next[i].name);
    std::erase_if(result.next.changed, [&](const std::string& name) {
        const auto old = std::ranges::find(next, name, &OutingText::name);
        const auto now = std::ranges::find(result.next.texts, name, &OutingText::name);
        return old->text == now->text;
    });
    return result;
}

std::vector<std::string> sentences(const Outing& outing, const LeftOver& left) {
    std::vector<std::string> said;
    std::vector<std::string_view> whole, done;
    for (const TaskLeft& one : left.tasks) {
        const Task& task = outing.task(one.task);
        if (one.whole) {
            whole.push_back(task.name);
            continue;
        }
        std::string text = fmt::format("Carried over in part: {} ({} of {} steps: {}).", task.name, one.left.size(),
                                       task.steps.size(), labels(outing, one.left));
        if (!one.again.empty()) text += fmt::format(" To be done again for these: {}.", labels(outing, one.again));
        said.push_back(std::move(text));
    }
    for (const TaskId task : left.done) done.push_back(outing.task(task).name);
    if (!whole.empty()) said.push_back(fmt::format("Carried over whole: {}.", fmt::join(whole, "; ")));
    if (!done.empty()) said.push_back(fmt::format("Done, not carried over: {}.", fmt::join(done, "; ")));
    if (!left.skipped.empty())
        said.push_back(fmt::format("Skipped that day, not carried over: {}.", labels(outing, left.skipped)));
    for (const Removal::Tie& tie : left.loose)
        said.push_back(fmt::format("{} was timed by {}, which is done for good: look whether it may stand alone.",
                                   outing.step(tie.after).label, outing.step(tie.before).label));
    for (const WorksiteId site : left.open)
        said.push_back(
            fmt::format("Left open: {}. Closing it is among the steps carried over.", outing.worksite(site).name));
    for (const ItemLeft& item : left.items) {
        const std::string& name = outing.item(item.item).name;
        switch (item.fate) {
            case ItemLeft::Fate::starts:
                if (item.elsewhere) said.push_back(fmt::format("Now {}: {}.", place_words(outing, item), name));
                break;
            case ItemLeft::Fate::fixed:
                said.push_back(fmt::format("Installed for good, off the list: {}.", name));
                break;
            case ItemLeft::Fate::brought_in:
                said.push_back(fmt::format("Brought in, off the list: {}.", name));
                break;
            case ItemLeft::Fate::lost:
                said.push_back(fmt::format("Lost, and no job left needs it, off the list: {}.", name));
                break;
            case ItemLeft::Fate::replaced:
                said.push_back(fmt::format("Lost and still needed: {}. The list counts on another one at {}.", name,
                                           outing.worksite(item.place).name));
                break;
        }
    }
    return said;
}

std::string next_name(const std::string& name) {
    const std::size_t last = name.find_last_not_of("0123456789");
    const std::size_t from = last == std::string::npos ? 0 : last + 1;
    const std::string digits = name.substr(from);
    // Longer than this is no count of outings.
    if (digits.empty() || digits.size() > 6) return name + " 2";
    return name.substr(0, from) + std::to_string(std::stoul(digits) + 1);
}

}  // namespace handrail::live
