#include "outing/edit_removal.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "outing/edit_address.h"
#include "outing/edit_layout.h"

namespace handrail {
namespace {

using namespace detail;

template <class Id>
bool holds(const std::vector<Id>& ids, Id id) {
    return std::ranges::find(ids, id) != ids.end();
}

std::vector<std::string> texts_in(const Node& node) {
    std::vector<std::string> texts;
    if (const auto* one = std::get_if<std::string>(&node.value)) texts.push_back(*one);
    if (const List* list = std::get_if<List>(&node.value))
        for (const Node& element : *list)
            if (const auto* one = std::get_if<std::string>(&element.value)) texts.push_back(*one);
    return texts;
}

class Remover {
public:
    Remover(const ParsedTexts& texts, const Outing& outing, const Removal& removal)
        : texts_(texts), outing_(outing), removal_(removal) {
        for (const Task& task : outing.tasks) {
            const bool whole = holds(removal.tasks, task.id) ||
                               std::ranges::all_of(task.steps, [&](StepId id) { return holds(removal.steps, id); });
            task_goes_.push_back(whole);
            std::size_t number = 0;
            for (std::size_t i = 0; i < task.steps.size(); ++i) {
                const StepId id = task.steps[i];
                const bool goes = whole || holds(removal.steps, id);
                step_goes_.push_back(goes);
                new_number_.push_back(goes ? 0 : ++number);
                by_name_.try_emplace(outing.step(id).label, id);
            }
        }
        for (const Task& task : outing.tasks)
            for (std::size_t i = 0; i < task.steps.size(); ++i)
                by_name_.try_emplace(fmt::format("{}.{}", task.key, i + 1), task.steps[i]);
    }

    Result<std::vector<OutingEdit>> run() {
        for (const Task& task : outing_.tasks)
            if (!task_goes_[index(task.id)]) mend_task(task);
        drop_troubles();
        for (auto task = outing_.tasks.rbegin(); task != outing_.tasks.rend(); ++task) drop_steps(*task);
        for (const ItemId item : removal_.items)
            edits_.push_back(RemoveTable{fmt::format("item[{}]", outing_.item(item).id)});
        if (!errors_.empty()) return errors_;
        return std::move(edits_);
    }

private:
    std::string address(const Task& task) const { return fmt::format("task[{}]", task.key); }

    /// The value a key has, or nothing.
    const Node* value(const std::string& table, std::string_view key) {
        const auto steps = parse_address(table);
        const auto parts = steps.ok() ? find_parts(texts_, steps.value()) : Result<std::vector<Part>>(steps.errors());
        if (!parts) {
            errors_.insert(errors_.end(), parts.errors().begin(), parts.errors().end());
            return nullptr;
        }
        for (const Part& part : parts.value())
            if (const Node* node = find(*part.table, key)) return node;
        return nullptr;
    }
    void set_list(const std::string& table, const std::string& key, const std::vector<std::string>& texts) {
        edits_.push_back(SetKey{table, key, toml_list(texts)});
    }

    std::optional<StepId> step_named(const Task& task, const std::string& text) const {
        const auto found = by_name_.find(text.find('.') == std::string::npos ? task.key + "." + text : text);
        return found == by_name_.end() ? std::nullopt : std::optional{found->second};
    }
    /// The same step as it is called afterwards: only numbers change.
    std::string renamed(const std::string& text, StepId step) const {
        const std::size_t own = text.rfind('.') == std::string::npos ? 0 : text.rfind('.') + 1;
        const bool by_number = std::all_of(text.begin() + static_cast<std::ptrdiff_t>(own), text.end(),
                                           [](char c) { return c >= '0' && c <= '9'; });
        return by_number ? text.substr(0, own) + std::to_string(new_number_[index(step)]) : text;
    }
    bool tied(StepId before, StepId after) const {
        return std::ranges::any_of(removal_.ties,
                                   [&](const Removal::Tie& tie) { return tie.before == before && tie.after == after; });
    }

    void mend_task(const Task& task) {
        for (const char* key : {"after", "needs", "not_with"}) {
            const Node* node = value(address(task), key);
            if (!node) continue;
            std::vector<std::string> kept = texts_in(*node);
            const std::size_t before = kept.size();
            std::erase_if(kept, [&](const std::string& name) {
                const auto found = std::ranges::find(outing_.tasks, name, &Task::key);
                return found != outing_.tasks.end() && task_goes_[index(found->id)];
            });
            if (kept.empty() && before > 0)
                edits_.push_back(RemoveKey{address(task), key});
            else if (kept.size() < before)
                set_list(address(task), key, kept);
        }
        for (std::size_t i = 0; i < task.steps.size(); ++i)
            if (!step_goes_[index(task.steps[i])]) mend_step(task, i);
    }

    void mend_step(const Task& task, std::size_t number) {
        const std::string table = fmt::format("{}.step[{}]", address(task), number + 1);
        const StepId self = task.steps[number];
        const std::vector<StepId> before = mend_after(task, number, table);
        mend_within(task, self, before, table);
        const Node* together = value(table, "together");
        const std::vector<std::string> names = together ? texts_in(*together) : std::vector<std::string>{};
        const auto other = names.size() == 1 ? step_named(task, names.front()) : std::nullopt;
        if (!other) return;
        if (step_goes_[index(*other)] || tied(*other, self))
            edits_.push_back(RemoveKey{table, "together"});
        else if (renamed(names.front(), *other) != names.front())
            edits_.push_back(SetKey{table, "together", toml_text(renamed(names.front(), *other))});
    }

    /// The steps it came after, as the file has them.
    std::vector<StepId> mend_after(const Task& task, std::size_t number, const std::string& table) {
        const Node* node = value(table, "after");
        if (!node) return number > 0 ? std::vector{task.steps[number - 1]} : std::vector<StepId>{};
        std::vector<StepId> before;
        std::vector<std::string> kept;
        const std::vector<std::string> names = texts_in(*node);
        for (const std::string& name : names) {
            const auto step = step_named(task, name);
            if (!step) continue;
            before.push_back(*step);
            if (!step_goes_[index(*step)]) kept.push_back(renamed(name, *step));
        }
        const bool first = new_number_[index(task.steps[number])] == 1;
        if (kept.empty() && !names.empty()) {
            if (first)
                edits_.push_back(RemoveKey{table, "after"});
            else
                set_list(table, "after", {});
            if (value(table, "gap")) edits_.push_back(RemoveKey{table, "gap"});
        } else if (kept != names) {
            set_list(table, "after", kept);
        }
        return before;
    }

    void mend_within(const Task& task, StepId self, const std::vector<StepId>& before, const std::string& table) {
        const Node* node = value(table, "within");
        if (!node) return;
        if (const Table* parts = std::get_if<Table>(&node->value)) {
            const Node* of = find(*parts, "of");
            const auto step = of ? step_named(task, describe_text(*of)) : only(before);
            if (!step) return;
            if (step_goes_[index(*step)] || tied(*step, self))
                edits_.push_back(RemoveKey{table, "within"});
            else if (of && renamed(describe_text(*of), *step) != describe_text(*of))
                edits_.push_back(SetKey{table + ".within", "of", toml_text(renamed(describe_text(*of), *step))});
            return;
        }
        const std::string text = describe_text(*node);
        const std::size_t cut = text.find(" of ");
        const std::string name = cut == std::string::npos ? "" : text.substr(cut + 4);
        const auto step = name.empty() ? only(before) : step_named(task, name);
        if (!step) return;
        if (step_goes_[index(*step)] || tied(*step, self))
            edits_.push_back(RemoveKey{table, "within"});
        else if (!name.empty() && renamed(name, *step) != name)
            edits_.push_back(SetKey{table, "within", toml_text(text.substr(0, cut + 4) + renamed(name, *step))});
    }
    static std::optional<StepId> only(const std::vector<StepId>& steps) {
        return steps.size() == 1 ? std::optional{steps.front()} : std::nullopt;
    }
    static std::string describe_text(const Node& node) {
        const auto* text = std::get_if<std::string>(&node.value);
        return text ? *text : std::string{};
    }

    void drop_troubles() {
        const auto risk = find_parts(texts_, {{"risk", std::nullopt}});
        if (!risk) return;
        for (std::size_t number = entries_of(texts_, risk.value(), "trouble").size(); number > 0; --number) {
            const std::string table = fmt::format("risk.trouble[{}]", number);
            const Node* node = value(table, "steps");
            if (!node) continue;
            const std::vector<std::string> names = texts_in(*node);
            std::vector<std::string> kept;
            for (const std::string& name : names)
                if (const auto found = by_name_.find(name);
                    found != by_name_.end() && !step_goes_[index(found->second)])
                    kept.push_back(renamed(name, found->second));
            if (kept.empty())
                edits_.push_back(RemoveTable{table});
            else if (kept != names)
                set_list(table, "steps", kept);
        }
    }

    void drop_steps(const Task& task) {
        if (task_goes_[index(task.id)]) {
            edits_.push_back(RemoveTable{address(task)});
            return;
        }
        for (std::size_t i = task.steps.size(); i > 0; --i)
            if (step_goes_[index(task.steps[i - 1])])
                edits_.push_back(RemoveTable{fmt::format("{}.step[{}]", address(task), i)});
    }

    const ParsedTexts& texts_;
    const Outing& outing_;
    const Removal& removal_;
    std::vector<bool> task_goes_;          ///< by task
    std::vector<bool> step_goes_;          ///< by step
    std::vector<std::size_t> new_number_;  ///< by step, from 1 in its task
    std::map<std::string, StepId> by_name_;
    std::vector<OutingEdit> edits_;
    std::vector<InputError> errors_;
};

}  // namespace

Result<std::vector<OutingEdit>> removal_of(const std::vector<OutingText>& texts, const Outing& outing,
                                           const Removal& removal) {
    const Result<ParsedTexts> parsed = parse_texts(texts);
    if (!parsed) return parsed.errors();
    return Remover(parsed.value(), outing, removal).run();
}

Result<std::string> moved_text(const OutingText& text, const std::filesystem::path& from,
                               const std::filesystem::path& to) {
    const Result<ParsedTexts> parsed = parse_texts({text});
    if (!parsed) return parsed.errors();
    std::string result = text.text;
    // From the end of the text to its start, so that places found in the old text stay good.
    struct Name {
        std::size_t from, to;
        std::string file;
    };
    std::vector<Name> names;
    const ParsedText& main = parsed.value().before.front();
    const Layout layout(main.source, main.root);
    const auto add = [&](const Node& node) {
        if (const auto* file = std::get_if<std::string>(&node.value))
            names.push_back({layout.begin(node), layout.end(node), *file});
    };
    const auto add_key = [&](const char* table, const char* key) {
        const Node* section = find(main.root, table);
        const Table* inside = section ? std::get_if<Table>(&section->value) : nullptr;
        if (const Node* node = inside ? find(*inside, key) : nullptr) add(*node);
    };
    if (const Node* include = find(main.root, "include")) {
        add(*include);
        if (const List* list = std::get_if<List>(&include->value)) std::ranges::for_each(*list, add);
    }
    add_key("windows", "csv");
    add_key("orbit", "tle_file");
    add_key("orbit", "omm");
    std::ranges::sort(names, std::greater{}, &Name::from);
    for (const Name& name : names) {
        const std::filesystem::path file = name.file;
        if (file.is_absolute()) continue;
        const std::filesystem::path now = (from / file).lexically_normal();
        const std::filesystem::path seen = now.lexically_relative(to.lexically_normal());
        result.replace(name.from, name.to - name.from, toml_text((seen.empty() ? now : seen).generic_string()));
    }
    return result;
}

}  // namespace handrail
