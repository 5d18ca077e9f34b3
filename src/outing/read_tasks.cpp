#include <fmt/format.h>

#include <algorithm>

#include "outing/draft.h"
#include "outing/made_steps.h"
#include "units/parse.h"

namespace handrail::detail {
namespace {

bool takes_part(const Step& step, Role role) { return std::ranges::find(step.who, role) != step.who.end(); }
bool has_crew(const Step& step) { return takes_part(step, Role::lead) || takes_part(step, Role::helper); }

/// Names that are part of "valve.open" are kept simple.
void check_name(const Fields& from, const std::string& name, std::string_view characters) {
    const bool simple = std::ranges::all_of(name, [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
               static_cast<unsigned char>(c) >= 0x80;
    });
    const bool digits = !name.empty() && std::ranges::all_of(name, [](char c) { return c >= '0' && c <= '9'; });
    if (name.empty() && from.has("id"))
        from.wrong("id", "a short name", "an empty one", "write one");
    else if (!simple || digits)
        from.wrong("id", fmt::format("a short name of {}", characters), shown_text(name), "rename it");
}

void read_conditions(const Fields& from, std::string_view key, std::vector<std::string>& target, Draft& draft) {
    for (Fields::Placed& text : from.texts(key)) {
        draft.conditions.push_back({text.text, from.path_of(key), text.place});
        target.push_back(std::move(text.text));
    }
}

void read_who(const Fields& from, Step& step) {
    step.who = {Role::lead};
    from.take("who", step.who);
    if (from.has("who") && step.who.empty()) {
        if (std::holds_alternative<List>(from.find("who")->value) && std::get<List>(from.find("who")->value).empty())
            from.wrong("who", "at least one role", "none", "write who = \"lead\"");
        step.who = {Role::lead};
    }
    std::ranges::sort(step.who);
    const auto again = std::ranges::adjacent_find(step.who);
    if (again == step.who.end()) return;
    from.wrong("who", "each role once", fmt::format("\"{}\" twice", word(*again)),
               "a task has one lead and one helper; take one out");
    step.who.erase(std::unique(step.who.begin(), step.who.end()), step.who.end());
}

void read_step_items(const Fields& from, Draft& draft, Step& step) {
    step.needs = draft.references<ItemId>(from, "needs", draft.items);
    step.takes = draft.references<ItemId>(from, "takes", draft.items);
    step.leaves = draft.references<ItemId>(from, "leaves", draft.items);
    step.installs = draft.references<ItemId>(from, "installs", draft.items);
    step.moves = draft.references<ItemId>(from, "moves", draft.items);
    step.stows = draft.references<ItemId>(from, "stows", draft.items);
    step.into = draft.reference<ItemId>(from, "into", draft.items);
    step.hands_over = draft.references<ItemId>(from, "hands_over", draft.items);
    for (const Fields& one : from.each("uses")) {
        const auto resource = draft.reference<ResourceId>(one, "resource", draft.resources);
        ResourceUse use;
        one.take("amount", use.amount);
        if (!resource) continue;
        use.resource = *resource;
        const Resource& of = draft.outing.resources[index(*resource)];
        if (use.amount > of.capacity)
            one.wrong("amount", fmt::format("at most the {:g} there are", of.capacity), fmt::format("{:g}", use.amount),
                      "make it less, or the resource's capacity larger");
        step.uses.push_back(use);
    }
    step.inhibits = draft.references<InhibitId>(from, "inhibits", draft.inhibits);
}

Step read_step(const Fields& from, Draft& draft, const Task& task, std::size_t number) {
    Step step;
    step.id = static_cast<StepId>(draft.outing.steps.size());
    step.task = task.id;
    step.place = source_place(from.place());
    std::string own;
    from.take("id", own);
    if (from.has("id")) check_name(from, own, "letters, digits, - and _, not digits alone");
    step.label = fmt::format("{}.{}", task.key, own.empty() ? fmt::format("{}", number) : own);
    draft.steps.add(step.label, from.place_of("id"), from, "id");
    from.take("name", step.name);
    read_who(from, step);
    step.at = draft.reference<WorksiteId>(from, "at", draft.worksites);
    step.to = draft.reference<WorksiteId>(from, "to", draft.worksites);
    step.duration = {Seconds{60}, Seconds{60}, Seconds{60}};
    from.take("duration", step.duration);
    from.take("effort", step.effort);
    from.take("arm", step.arm);
    from.take("by_hand", step.by_hand);
    read_step_items(from, draft, step);
    read_conditions(from, "during", step.during, draft);
    read_conditions(from, "not_during", step.not_during, draft);
    from.take("opens", step.opens);
    from.take("close_up", step.close_up);
    for (const Fields& one : from.each("hazards")) {
        Hazard hazard;
        one.take("what", hazard.what);
        one.take("control", hazard.control);
        step.hazards.push_back(std::move(hazard));
    }
    from.take("say", step.crew_words);
    from.take("public", step.public_words);
    from.take("picture", step.picture);
    return step;
}

/// What a step's own fields must have to do with each other.
class StepCheck {
public:
    StepCheck(const Fields& from, const Draft& draft, const Step& step) : from_(from), draft_(draft), step_(step) {}

    void run() const {
        places();
        items();
        arm();
        for (const std::string& condition : step_.during)
            if (std::ranges::find(step_.not_during, condition) != step_.not_during.end())
                from_.wrong("not_during", "conditions other than those in during", shown_text(condition),
                            "take it out of one of the two");
    }

private:
    void places() const {
        if (from_.has("to") && !from_.has("at"))
            from_.wrong("to", "a step with at", "a to alone", "add at = where it starts");
        const bool placed = from_.has("at") || from_.has("to");
        if (placed && !has_crew(step_) && step_.arm == ArmUse::none)
            from_.wrong("at", "a place only for crew or arm", fmt::format("a step of {}", roles()),
                        "take at and to out, or name a crew role in who");
        for (const std::string_view key : {"opens", "close_up"})
            if (from_.has(key) && !from_.has("at"))
                from_.wrong(key, "a step at a worksite", "a step without at", "add at = the worksite");
    }
    void items() const {
        for (const std::string_view key : {"needs", "takes", "leaves", "installs", "moves", "stows", "hands_over"}) {
            if (from_.has(key) && !has_crew(step_))
                from_.wrong(key, "items only in steps of crew", fmt::format("a step of {}", roles()),
                            "name lead or helper in who");
            if (from_.has(key) && key != "needs" && !from_.has("at"))
                from_.wrong(key, "a step at a worksite", "a step without at", "add at = the worksite");
        }
        if (from_.has("moves") && !from_.has("to"))
            from_.wrong("moves", "where the items are brought", "no to", "add to = a worksite");
        if (from_.has("stows") != from_.has("into"))
            from_.wrong(from_.has("stows") ? "stows" : "into", "stows and into together", "one of the two",
                        "say what is stowed into which bag");
        if (step_.into && draft_.outing.item(*step_.into).holds == 0)
            from_.wrong("into", "a bag: an item with holds", shown_text(draft_.outing.item(*step_.into).id),
                        "give that item holds = 6, or name another");
        const bool both = takes_part(step_, Role::lead) && takes_part(step_, Role::helper);
        if (from_.has("hands_over") && !both)
            from_.wrong("hands_over", "a step of lead and helper", fmt::format("a step of {}", roles()),
                        "write who = [\"lead\", \"helper\"]");
        for (const auto& [key, list] : {std::pair{"takes", &step_.takes},
                                        {"leaves", &step_.leaves},
                                        {"installs", &step_.installs},
                                        {"moves", &step_.moves},
                                        {"stows", &step_.stows}})
            for (const ItemId item : *list)
                if (draft_.outing.item(item).two_people && !both)
                    from_.wrong(key, "a step of lead and helper, as the item takes two people",
                                fmt::format("a step of {}", roles()), "write who = [\"lead\", \"helper\"]");
        for (const ItemId item : step_.takes)
            if (draft_.outing.item(item).size == SizeClass::oversize)
                from_.wrong("takes", "an item that can be carried",
                            fmt::format("{}, which is oversize", shown_text(draft_.outing.item(item).id)), "use moves");
        for (const ItemId item : step_.leaves)
            if (draft_.outing.item(item).size == SizeClass::oversize)
                from_.wrong("leaves", "an item that can be carried",
                            fmt::format("{}, which is oversize", shown_text(draft_.outing.item(item).id)), "use moves");
    }
    void arm() const {
        const bool uses = step_.arm != ArmUse::none || takes_part(step_, Role::arm);
        const std::string_view key = from_.has("arm") ? "arm" : "who";
        if (from_.has("by_hand") && step_.arm != ArmUse::ride)
            from_.wrong("by_hand", "a step with arm = \"ride\"", "another step", "take by_hand out");
        if (!uses) return;
        const Station& station = draft_.outing.station;
        if (!station.arm) {
            from_.wrong(key, "an arm in [station.arm]", "no arm", "add [station.arm], or do the step without it");
            return;
        }
        if (step_.arm == ArmUse::none) return;
        if (step_.arm == ArmUse::ride && !has_crew(step_))
            from_.wrong("arm", "a crew member who rides", fmt::format("a step of {}", roles()),
                        "name lead or helper in who");
        if (!from_.has("at")) from_.wrong("arm", "the worksite where the arm's tip is", "no at", "add at");
        for (const auto& [name, site] : {std::pair{"at", step_.at}, std::pair{"to", step_.to}})
            if (site && index(*site) < station.worksites.size() && !arm_reaches(station, *site))
                from_.wrong(name, fmt::format("a worksite within {} m of the arm's base", station.arm->reach.value()),
                            shown_text(draft_.outing.worksite(*site).id),
                            "choose one in reach, or do the step without the arm");
    }
    std::string roles() const {
        std::vector<std::string_view> words;
        for (const Role role : step_.who) words.push_back(word(role));
        return fmt::format("{}", fmt::join(words, " and "));
    }

    const Fields& from_;
    const Draft& draft_;
    const Step& step_;
};

/// Orders of one step, once every step is known by name.
class OrderReader {
public:
    /// `written`: the steps of the task as they stand in the file; those made from them are not among them.
    OrderReader(const Fields& from, Draft& draft, const Step& step, const std::vector<StepId>& written)
        : from_(from), draft_(draft), step_(step), written_(written) {}

    void run() {
        std::vector<StepId> before = predecessors();
        Seconds gap{0};
        from_.take("gap", gap);
        for (const StepId one : before) add({one, step_.id, gap, std::nullopt, false});
        read_within(before);
        read_together();
    }

private:
    /// "valve.2", or "2" for a step of the same task.
    std::optional<StepId> step_named(Fields::Placed text, std::string_view key) const {
        if (text.text.find('.') == std::string::npos) text.text = draft_.outing.task(step_.task).key + "." + text.text;
        const auto found = draft_.steps.find(text, from_, key);
        if (found && *found == index(step_.id)) {
            from_.wrong_at(text.place, key, "another step", shown_text(text.text) + ", which is this one",
                           "name the step before it");
            return std::nullopt;
        }
        return found ? std::optional{static_cast<StepId>(*found)} : std::nullopt;
    }
    /// As written; else the step before it in its task and those that start together with that one.
    std::vector<StepId> predecessors() const {
        std::vector<StepId> before;
        if (from_.has("after")) {
            for (const Fields::Placed& text : from_.texts("after"))
                if (const auto id = step_named(text, "after")) before.push_back(draft_.last_part[index(*id)]);
            return before;
        }
        const auto self = std::ranges::find(written_, step_.id);
        if (self == written_.begin() || from_.has("together")) return before;
        const StepId last = *std::prev(self);
        before.push_back(draft_.last_part[index(last)]);
        for (const Order& order : draft_.outing.orders)
            if (order.starts_together && order.after == last && draft_.outing.step(order.before).task == step_.task)
                before.push_back(order.before);
        return before;
    }
    std::optional<StepId> last_part_of(std::optional<StepId> step) const {
        return step ? std::optional{draft_.last_part[index(*step)]} : std::nullopt;
    }
    void read_within(const std::vector<StepId>& before) {
        const Node* node = from_.find("within");
        if (!node) return;
        const auto [time, of] = within_parts(*node);
        if (!time) return;
        std::optional<StepId> from_step;
        if (of)
            from_step = last_part_of(step_named(*of, "within"));
        else if (before.size() == 1)
            from_step = before.front();
        else
            from_.wrong("within", expectation(*step_section().field("within")), describe(*node),
                        "say of which step: \"10 min of valve.2\"");
        if (!from_step) return;
        const auto same = std::ranges::find_if(draft_.outing.orders, [&](const Order& order) {
            return order.before == *from_step && order.after == step_.id && !order.starts_together;
        });
        const bool known = same != draft_.outing.orders.end();
        if (known && *time < same->gap) {
            from_.wrong("within", fmt::format("no less than the gap of {}", print_duration(same->gap)),
                        print_duration(*time), "make it longer, or the gap shorter");
            return;
        }
        if (known)
            same->within = *time;
        else
            add({*from_step, step_.id, Seconds{0}, *time, false});
    }
    std::pair<std::optional<Seconds>, std::optional<Fields::Placed>> within_parts(const Node& node) const {
        if (std::holds_alternative<Table>(node.value)) {
            const Fields table(node, within_section(), from_.path_of("within"), from_.context());
            std::optional<Seconds> time;
            table.take("time", time);
            const std::vector<Fields::Placed> of = table.texts("of");
            return {time, of.empty() ? std::nullopt : std::optional{of.front()}};
        }
        const std::vector<Fields::Placed> texts = from_.texts("within");
        if (texts.size() != 1) {
            if (texts.size() > 1)
                from_.wrong("within", "one time", fmt::format("{} of them", texts.size()), "keep one");
            return {};
        }
        const std::string& text = texts.front().text;
        const std::size_t cut = text.find(" of ");
        const auto time = parse_duration(text.substr(0, cut));
        if (const ParseError* error = std::get_if<ParseError>(&time)) {
            from_.wrong("within", expectation(*step_section().field("within")), shown_text(text), error->remedy);
            return {};
        }
        std::optional<Fields::Placed> of;
        if (cut != std::string::npos) of = Fields::Placed{text.substr(cut + 4), node.place};
        return {std::get<Seconds>(time), of};
    }
    void read_together() {
        const std::vector<Fields::Placed> texts = from_.texts("together");
        if (texts.size() > 1) from_.wrong("together", "one step", fmt::format("{} of them", texts.size()), "keep one");
        if (texts.size() != 1) return;
        const auto other = step_named(texts.front(), "together");
        if (!other) return;
        const Step& with = draft_.outing.step(*other);
        const bool same_task = with.task == step_.task;
        const auto clash = std::ranges::find_if(step_.who, [&](Role role) {
            const bool crew = role == Role::lead || role == Role::helper;
            return takes_part(with, role) && (same_task || !crew);
        });
        if (clash != step_.who.end()) {
            from_.wrong("together", "a step of other roles",
                        fmt::format("{}, in which {} also takes part", shown_text(with.label), word(*clash)),
                        "nobody does two steps at once; correct who");
            return;
        }
        add({*other, step_.id, Seconds{0}, std::nullopt, true});
    }
    void add(Order order) {
        draft_.outing.orders.push_back(order);
        draft_.order_places.push_back(from_.place());
    }

    const Fields& from_;
    Draft& draft_;
    const Step& step_;
    const std::vector<StepId>& written_;
};

void read_task_fields(const Fields& from, Task& task) {
    from.take("name", task.name);
    from.take("class", task.task_class);
    from.take("value", task.value);
    from.take("lead", task.lead);
    from.take("starts_by", task.starts_by);
    from.take("ends_by", task.ends_by);
    from.take("why", task.why);
    if (task.starts_by && task.ends_by && *task.ends_by <= *task.starts_by)
        from.wrong("ends_by", "a later PET than starts_by", print_pet(*task.ends_by), "correct one of the two");
}

void read_task_links(const Fields& from, Draft& draft, Task& task) {
    task.after = draft.references<TaskId>(from, "after", draft.tasks);
    task.needs = draft.references<TaskId>(from, "needs", draft.tasks);
    task.not_with = draft.references<TaskId>(from, "not_with", draft.tasks);
    const std::vector<TaskId> with = draft.references<TaskId>(from, "with", draft.tasks);
    const std::vector<TaskId> instead_of = draft.references<TaskId>(from, "instead_of", draft.tasks);
    for (const auto& [key, list] : {std::pair{"after", std::as_const(task.after)},
                                    {"needs", std::as_const(task.needs)},
                                    {"not_with", std::as_const(task.not_with)},
                                    {"with", with},
                                    {"instead_of", instead_of}})
        if (std::ranges::find(list, task.id) != list.end())
            from.wrong(key, "other tasks", shown_text(task.key) + ", which is this one", "take it out");
    for (const TaskId other : task.needs)
        if (std::ranges::find(task.not_with, other) != task.not_with.end())
            from.wrong("not_with", "tasks other than those in needs", shown_text(draft.outing.task(other).key),
                       "take it out of one of the two");
}

/// A worksite that is opened must be closed up later in the same task.
void check_open_sites(const std::vector<Fields>& steps, const Draft& draft, const Task& task,
                      const std::vector<StepId>& written) {
    for (std::size_t i = 0; i < steps.size(); ++i) {
        const Step& opening = draft.outing.step(written[i]);
        const auto site = opening.to ? opening.to : opening.at;
        if (!opening.opens || !site) continue;
        const auto closes = [&](StepId id) {
            const Step& later = draft.outing.step(id);
            return later.close_up && (later.to ? later.to : later.at) == site;
        };
        const auto after = std::ranges::find(task.steps, written[i]);
        if (std::none_of(after + 1, task.steps.end(), closes))
            steps[i].wrong("opens", "a later step of this task with close_up = true there", "none",
                           fmt::format("add one at {}", shown_text(draft.outing.worksite(*site).id)));
    }
}

/// `with` and `instead_of` hold both ways. REQUIRES: the other links of all tasks were read.
void read_mutual_links(const std::vector<Fields>& tasks, Draft& draft) {
    const auto once = [](std::vector<TaskId>& list, TaskId id) {
        if (std::ranges::find(list, id) == list.end()) list.push_back(id);
    };
    std::vector<Task>& all = draft.outing.tasks;
    for (std::size_t t = 0; t < tasks.size(); ++t)
        for (const auto& [key, both] : {std::pair{"with", true}, {"instead_of", false}})
            for (const Fields::Placed& text : tasks[t].texts(key)) {
                const auto other = draft.tasks.index_of(text.text);
                if (!other || *other == t) continue;  // said already
                const TaskId mine = all[t].id;
                const TaskId theirs = all[*other].id;
                once(both ? all[t].needs : all[t].instead_of, theirs);
                once(both ? all[*other].needs : all[*other].instead_of, mine);
                if (!both) {
                    once(all[t].not_with, theirs);
                    once(all[*other].not_with, mine);
                }
            }
    for (const Task& task : all)
        for (const TaskId other : task.needs)
            if (std::ranges::find(task.not_with, other) != task.not_with.end())
                tasks[index(task.id)].wrong("with", "tasks that may be in one outing with it",
                                            shown_text(draft.outing.task(other).key), "correct not_with or instead_of");
}

void check_links(const std::vector<Fields>& tasks, const Draft& draft) {
    const Outing& outing = draft.outing;
    for (const Task& task : outing.tasks)
        for (const TaskId other : task.not_with)
            if (task.task_class == TaskClass::required && outing.task(other).task_class == TaskClass::required &&
                std::ranges::find(task.instead_of, other) == task.instead_of.end())
                tasks[index(task.id)].wrong(
                    "not_with", "tasks of which at most one is required",
                    fmt::format("{}, which is required too", shown_text(outing.task(other).key)),
                    "change the class of one of the two");
}

void check_installs(const std::vector<std::vector<Fields>>& steps, const Draft& draft,
                    const std::vector<std::vector<StepId>>& written) {
    const Outing& outing = draft.outing;
    std::vector<std::optional<StepId>> by(outing.items.size());
    for (const Task& task : outing.tasks) {
        for (std::size_t i = 0; i < written[index(task.id)].size(); ++i) {
            const Step& step = outing.step(draft.last_part[index(written[index(task.id)][i])]);
            for (const ItemId item : step.installs) {
                std::optional<StepId>& first = by[index(item)];
                if (!first) {
                    first = step.id;
                    continue;
                }
                const Task& other = outing.task(outing.step(*first).task);
                const auto excludes = [](const Task& a, const Task& b) {
                    return std::ranges::find(a.not_with, b.id) != a.not_with.end();
                };
                if (other.id == task.id || excludes(task, other) || excludes(other, task)) continue;
                steps[index(task.id)][i].wrong("installs", "an item that no other task installs",
                                               fmt::format("{}, which task {} installs too",
                                                           shown_text(outing.item(item).id), shown_text(other.name)),
                                               "take it out of one of the two, or say not_with in one of the tasks");
            }
        }
    }
}

}  // namespace

void read_tasks(const Fields& file, Draft& draft) {
    Outing& outing = draft.outing;
    const std::vector<Fields> tasks = file.each("task");
    if (file.has("task") && tasks.empty()) file.wrong("task", "at least one task", "none", "add [[task]]");
    std::vector<std::vector<Fields>> steps;
    std::vector<std::vector<StepId>> written;  // by task: its steps as they stand in the file
    outing.tasks.reserve(tasks.size());
    for (const Fields& from : tasks) {
        Task& task = outing.tasks.emplace_back();
        task.id = static_cast<TaskId>(outing.tasks.size() - 1);
        task.place = source_place(from.place());
        from.take("id", task.key);
        if (from.has("id")) check_name(from, task.key, "letters, digits, - and _, not digits alone");
        draft.tasks.add(task.key, from.place_of("id"), from, "id");
        read_task_fields(from, task);
        steps.push_back(from.each("step"));
        written.emplace_back();
        if (from.has("step") && steps.back().empty())
            from.wrong("step", "at least one step", "none", "add [[task.step]]");
        for (const Fields& one : steps.back()) {
            written.back().push_back(static_cast<StepId>(outing.steps.size()));
            task.steps.push_back(written.back().back());
            outing.steps.push_back(read_step(one, draft, task, written.back().size()));
            draft.last_part.push_back(task.steps.back());
            make_parts(one, draft, task);
            make_watch(one, draft, task, written.back().back());
        }
        make_inhibit_steps(from, draft, task);
    }
    for (std::size_t t = 0; t < tasks.size(); ++t)
        for (std::size_t i = 0; i < written[t].size(); ++i)
            draft.steps.alias(fmt::format("{}.{}", outing.tasks[t].key, i + 1), index(written[t][i]));
    for (std::size_t t = 0; t < tasks.size(); ++t) {
        read_task_links(tasks[t], draft, outing.tasks[t]);
        for (std::size_t i = 0; i < steps[t].size(); ++i) {
            const Step& step = outing.step(written[t][i]);
            StepCheck(steps[t][i], draft, step).run();
            OrderReader(steps[t][i], draft, step, written[t]).run();
            read_interrupters(steps[t][i], draft, written[t][i]);
        }
        check_open_sites(steps[t], draft, outing.tasks[t], written[t]);
    }
    read_mutual_links(tasks, draft);
    check_links(tasks, draft);
    check_installs(steps, draft, written);
}

}  // namespace handrail::detail
