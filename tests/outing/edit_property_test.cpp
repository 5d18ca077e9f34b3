#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <sstream>

#include "outing/document.h"
#include "outing/edit_outing.h"
#include "support/random_outing.h"

/// Laws of an edit, over random outings with random comments: the tree afterwards is the tree before with exactly that
/// change, and no line but those of the change is different. The trees are changed here without any text.
namespace handrail {
namespace {

using detail::List;
using detail::Member;
using detail::Node;
using detail::Table;

/// SplitMix64 (Steele, Lea, Flood 2014): the same edits on every machine.
class Dice {
public:
    explicit Dice(std::uint64_t seed) : state_(seed) {}
    std::size_t below(std::size_t n) {
        state_ += 0x9E3779B97F4A7C15U;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
        return static_cast<std::size_t>((z ^ (z >> 31U)) % n);
    }

private:
    std::uint64_t state_;
};

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

/// Comments above headers, behind values and by themselves; blank lines; spaces. None of it changes what is said.
std::string dressed(const std::string& text, Dice& dice) {
    std::string result = "# A file with remarks.\n\n";
    for (const std::string& line : lines_of(text)) {
        if (line.starts_with("[") && dice.below(4) == 0) result += "# ---- a heading\n\n";
        if (line.starts_with("[") && dice.below(3) == 0) result += "# about the next one: ü\n";
        const bool value = line.find(" = ") != std::string::npos && line.find("\"\"\"") == std::string::npos;
        result += line + (value && dice.below(5) == 0 ? "   # a remark" : "") + "\n";
        if (value && dice.below(12) == 0) result += "# a thought in between\n";
    }
    return result;
}

std::string shown(const Node& node) {
    if (const Table* table = std::get_if<Table>(&node.value)) {
        std::string text = "{";
        for (const Member& member : *table) text += member.key + "=" + shown(member.value) + ",";
        return text + "}";
    }
    if (const List* list = std::get_if<List>(&node.value)) {
        std::string text = "[";
        for (const Node& element : *list) text += shown(element) + ",";
        return text + "]";
    }
    return describe(node);
}

Node tree_of(const std::string& text) {
    detail::Errors errors;
    const detail::Source source{"random.toml", text};
    std::optional<Table> table = detail::parse_toml(source, errors);
    if (!table) throw std::logic_error(print(errors.sorted({}).front()));
    Node node;
    node.value = std::move(*table);
    return node;
}

Node& member(Node& node, const std::string& key) {
    Table& table = std::get<Table>(node.value);
    const auto found = std::ranges::find(table, key, &Member::key);
    if (found != table.end()) return found->value;
    const auto place = std::ranges::lower_bound(table, key, {}, &Member::key);
    return table.insert(place, Member{key, {}, {}})->value;
}
List& list(Node& node, const std::string& key) { return std::get<List>(member(node, key).value); }

/// Lines of `after` that are not in `before`, when `before` is `after` with those left out; nothing otherwise.
std::optional<std::vector<std::string>> added(const std::vector<std::string>& before,
                                              const std::vector<std::string>& after) {
    std::vector<std::string> extra;
    std::size_t next = 0;
    for (const std::string& line : after) {
        if (next < before.size() && before[next] == line)
            ++next;
        else
            extra.push_back(line);
    }
    return next == before.size() ? std::optional{extra} : std::nullopt;
}

class EditLaws {
public:
    explicit EditLaws(std::uint64_t seed)
        : dice_(seed), text_(dressed(test::random_outing_text(seed), dice_)), tree_(tree_of(text_)) {}

    /// One random edit; false when this outing cannot take it.
    bool step() {
        switch (dice_.below(6)) {
            case 0:
                return set_value();
            case 1:
                return new_key();
            case 2:
                return insert_task();
            case 3:
                return remove_task();
            case 4:
                return insert_step();
            default:
                return set_item_or_rule();
        }
    }

private:
    std::string random_task() {
        List& tasks = list(tree_, "task");
        at_ = dice_.below(tasks.size());
        return "task[" + std::get<std::string>(member(tasks[at_], "id").value) + "]";
    }
    Node& task() { return list(tree_, "task")[at_]; }

    /// Makes the edit and compares with the tree that was changed without it.
    bool matches(const OutingEdit& edit, Node expected) {
        const Result<EditedOuting> result = edit_texts({{"random.toml", text_}}, {edit});
        if (!result) return false;
        before_ = lines_of(text_);
        text_ = result.value().texts.front().text;
        after_ = lines_of(text_);
        tree_ = tree_of(text_);
        EXPECT_EQ(shown(tree_), shown(expected));
        return true;
    }
    Node& expect(Node& expected, const std::string& key) { return member(list(expected, "task")[at_], key); }

    bool set_value() {
        const std::string address = random_task();
        if (!detail::find(std::get<Table>(task().value), "value")) return new_key();
        Node expected = tree_;
        expect(expected, "value").value = std::int64_t{777};
        if (!matches(SetKey{address, "value", "777"}, std::move(expected))) return false;
        EXPECT_EQ(before_.size(), after_.size());
        std::size_t different = 0;
        for (std::size_t i = 0; i < std::min(before_.size(), after_.size()); ++i) different += before_[i] != after_[i];
        EXPECT_LE(different, 1U) << "one line at most";
        return true;
    }
    bool new_key() {
        const std::string address = random_task();
        if (detail::find(std::get<Table>(task().value), "why")) return false;
        Node expected = tree_;
        expect(expected, "why").value = std::string("because");
        if (!matches(SetKey{address, "why", "\"because\""}, std::move(expected))) return false;
        EXPECT_EQ(added(before_, after_), std::vector<std::string>{"why = \"because\""});
        return true;
    }
    bool set_item_or_rule() {
        List& items = list(tree_, "item");
        const std::size_t at = dice_.below(items.size());
        Node expected = tree_;
        member(list(expected, "item")[at], "name").value = std::string("A \"renamed\" thing");
        return matches(SetKey{"item[" + std::to_string(at + 1) + "]", "name", toml_text("A \"renamed\" thing")},
                       std::move(expected));
    }
    bool insert_task() {
        const std::string address = random_task();
        const std::string sibling = std::get<std::string>(member(task(), "id").value);
        const std::string id = "new-" + std::to_string(++count_);
        const std::string body =
            "id = \"" + id + "\"\nname = \"N\"\n\n[[task.step]]\nname = \"S\"\nduration = \"2 min\"\n";
        Node fresh;
        fresh.value = Table{};
        member(fresh, "id").value = id;
        member(fresh, "name").value = std::string("N");
        Node step;
        step.value = Table{};
        member(step, "name").value = std::string("S");
        member(step, "duration").value = std::string("2 min");
        member(fresh, "step").value = List{step};
        const bool before = dice_.below(2) == 0;
        Node expected = tree_;
        List& tasks = list(expected, "task");
        tasks.insert(tasks.begin() + static_cast<std::ptrdiff_t>(at_ + (before ? 0 : 1)), fresh);
        const InsertTable edit{"task", body, before ? InsertTable::Where::before : InsertTable::Where::after, sibling};
        if (!matches(edit, std::move(expected))) return false;
        expect_only_added("[[task]]\n" + body);
        return true;
    }
    bool insert_step() {
        const std::string address = random_task();
        Node step;
        step.value = Table{};
        member(step, "name").value = std::string("Rest");
        member(step, "duration").value = std::string("3 min");
        Node expected = tree_;
        list(list(expected, "task")[at_], "step").push_back(step);
        const std::string body = "name = \"Rest\"\nduration = \"3 min\"";
        if (!matches(InsertTable{address + ".step", body}, std::move(expected))) return false;
        expect_only_added("[[task.step]]\n" + body);
        return true;
    }
    bool remove_task() {
        const std::string address = random_task();
        Node expected = tree_;
        List& tasks = list(expected, "task");
        if (tasks.size() < 2) return false;
        tasks.erase(tasks.begin() + static_cast<std::ptrdiff_t>(at_));
        if (!matches(RemoveTable{address}, std::move(expected))) return false;
        const auto gone = added(after_, before_);
        EXPECT_TRUE(gone) << "what is left stands as it stood";
        return true;
    }
    void expect_only_added(const std::string& body) {
        const auto extra = added(before_, after_);
        ASSERT_TRUE(extra);
        std::vector<std::string> said;
        std::ranges::copy_if(*extra, std::back_inserter(said), [](const std::string& line) { return !line.empty(); });
        std::vector<std::string> wanted;
        std::ranges::copy_if(lines_of(body), std::back_inserter(wanted),
                             [](const std::string& l) { return !l.empty(); });
        std::ranges::sort(said);
        std::ranges::sort(wanted);
        EXPECT_EQ(said, wanted);
    }

    Dice dice_;
    std::string text_;
    Node tree_;
    std::size_t at_ = 0;
    int count_ = 0;
    std::vector<std::string> before_, after_;
};

TEST(EditProperty, AnEditChangesWhatItNamesAndNothingElse) {
    const char* wanted = std::getenv("HANDRAIL_EDIT_OUTINGS");
    const std::uint64_t outings = wanted ? std::strtoull(wanted, nullptr, 10) : 40;
    int made = 0;
    for (std::uint64_t seed = 1; seed <= outings; ++seed) {
        EditLaws laws(seed);
        for (int i = 0; i < 12 && !testing::Test::HasFailure(); ++i) made += laws.step() ? 1 : 0;
        ASSERT_FALSE(testing::Test::HasFailure()) << "seed " << seed;
    }
    EXPECT_GT(made, static_cast<int>(outings) * 6) << "most edits can be made";
}

}  // namespace
}  // namespace handrail
