#include "outing/import_tasks.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <deque>

#include "outing/csv.h"
#include "outing/table_reader.h"

namespace handrail {
namespace detail {
namespace {

/// A column of the table and the field it fills.
struct Column {
    std::string_view name;
    std::string_view key;
    const Section* section;
};

std::vector<Column> columns() {
    std::vector<Column> all{{"task", "id", &task_section()}, {"task_name", "name", &task_section()}};
    for (const char* key : {"class", "value", "lead", "starts_by", "ends_by", "why"})
        all.push_back({key, key, &task_section()});
    all.push_back({"step", "name", &step_section()});
    all.push_back({"step_id", "id", &step_section()});
    for (const Field& field : step_section().fields)
        if (field.key != "name" && field.key != "id" && field.kind != Kind::section_list)
            all.push_back({field.key, field.key, &step_section()});
    all.push_back({"low", "low", &duration_section()});
    all.push_back({"high", "high", &duration_section()});
    return all;
}

Node text_node(const Cell& cell) { return {cell.text, cell.place}; }

/// The cell as the kind of value its field wants; what does not convert stays text, and the reader says what is wrong.
Node node_of(const Cell& cell, const Field& field) {
    if (field.kind == Kind::text_list || field.kind == Kind::choice_list) {
        List list;
        std::string_view rest = cell.text;
        while (!rest.empty()) {
            const std::size_t end = std::min(rest.find('|'), rest.size());
            std::string_view one = rest.substr(0, end);
            while (one.starts_with(' ')) one.remove_prefix(1);
            while (one.ends_with(' ')) one.remove_suffix(1);
            // "-" is the empty list: `after = []`.
            if (!one.empty() && one != "-") list.push_back({std::string(one), cell.place});
            rest.remove_prefix(std::min(end + 1, rest.size()));
        }
        return {std::move(list), cell.place};
    }
    if (field.kind == Kind::flag) {
        for (const std::string_view yes : {"yes", "true", "x"})
            if (cell.text == yes) return {true, cell.place};
        for (const std::string_view no : {"no", "false"})
            if (cell.text == no) return {false, cell.place};
    }
    if (field.kind == Kind::number || field.kind == Kind::whole) {
        double number = 0;
        const char* end = cell.text.data() + cell.text.size();
        const auto read = std::from_chars(cell.text.data(), end, number);
        if (read.ec == std::errc{} && read.ptr == end) return {number, cell.place};
    }
    return text_node(cell);
}

void put(Table& table, std::string_view key, Node value) {
    const Place place = value.place;
    const auto at = std::ranges::lower_bound(table, key, {}, &Member::key);
    table.insert(at, {std::string(key), place, std::move(value)});
}

/// Reads every field of a table once, for the sake of its errors.
void judge(const Fields& from, const Section& section) {
    for (const Field& field : section.fields) {
        if (!from.has(field.key) || field.section) continue;
        switch (field.kind) {
            case Kind::number: {
                double number = 0;
                from.take(field.key, number);
                break;
            }
            case Kind::flag: {
                bool flag = false;
                from.take(field.key, flag);
                break;
            }
            case Kind::duration: {
                Seconds duration{};
                from.take(field.key, duration);
                break;
            }
            case Kind::duration3: {
                Duration3 duration{};
                from.take(field.key, duration);
                break;
            }
            case Kind::moment: {
                Pet moment{};
                from.take(field.key, moment);
                break;
            }
            case Kind::choice:
            case Kind::choice_list:
                from.words(field.key);
                break;
            default:
                from.texts(field.key);
                break;
        }
    }
}

std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\')
            out += {'\\', c};
        else if (c == '\n')
            out += "\\n";
        else if (byte < 0x20 || byte == 0x7F)
            out += fmt::format("\\u{:04x}", byte);
        else
            out += c;
    }
    return out + "\"";
}

std::string toml_of(const Node& node);

struct TomlOf {
    std::string operator()(Unused) const { return "\"\""; }
    std::string operator()(bool flag) const { return flag ? "true" : "false"; }
    std::string operator()(std::int64_t whole) const { return fmt::format("{}", whole); }
    std::string operator()(double number) const { return fmt::format("{}", number); }
    std::string operator()(const std::string& text) const { return in_quotes(text); }
    std::string operator()(const List& list) const {
        std::vector<std::string> parts;
        for (const Node& node : list) parts.push_back(toml_of(node));
        return fmt::format("[{}]", fmt::join(parts, ", "));
    }
    std::string operator()(const Table& table) const {
        std::vector<std::string> parts;
        for (const Field& field : duration_section().fields)
            if (const Node* value = find(table, field.key))
                parts.push_back(fmt::format("{} = {}", field.key, toml_of(*value)));
        return fmt::format("{{ {} }}", fmt::join(parts, ", "));
    }
};
std::string toml_of(const Node& node) { return std::visit(TomlOf{}, node.value); }

/// The members in the order of the section's fields.
std::string lines_of(const Table& table, const Section& section) {
    std::string lines;
    for (const Field& field : section.fields) {
        const Node* value = find(table, field.key);
        if (value && !field.section) lines += fmt::format("{} = {}\n", field.key, toml_of(*value));
    }
    return lines;
}

struct ImportedTask {
    Table fields;
    Place place;
    std::vector<Node> steps;
};

class Importer {
public:
    Importer(const CsvTable& table, Errors& errors) : table_(table), errors_(errors), columns_(columns()) {}

    std::deque<ImportedTask>& tasks() {
        for (const Row& row : table_.rows()) take(row);
        return tasks_;
    }

private:
    void take(const Row& row) {
        const Cell id = table_.cell(row, "task");
        if (id.text.empty() && tasks_.empty()) {
            errors_.add(id.place, "task", "the short name of the task", "nothing",
                        "write it; rows below may leave it out");
            return;
        }
        const bool goes_on = id.text.empty();
        auto task = goes_on ? std::prev(tasks_.end()) : std::ranges::find_if(tasks_, [&](const ImportedTask& one) {
            return toml_text(one.fields, "id") == id.text;
        });
        if (task == tasks_.end()) {
            task = tasks_.insert(tasks_.end(), ImportedTask{{}, id.place, {}});
            put(task->fields, "id", text_node(id));
        }
        Node step{Table{}, row.front().place};
        for (const Column& column : columns_) {
            const Cell cell = table_.cell(row, column.name);
            if (cell.text.empty() || column.name == "task") continue;
            Node value = node_of(cell, *column.section->field(column.key));
            if (column.section == &step_section())
                put(std::get<Table>(step.value), column.key, std::move(value));
            else if (column.section == &task_section())
                put_task_field(*task, column, cell, std::move(value));
        }
        put_spread(row, std::get<Table>(step.value));
        task->steps.push_back(std::move(step));
    }
    static std::string toml_text(const Table& table, std::string_view key) {
        const Node* node = find(table, key);
        const std::string* text = node ? std::get_if<std::string>(&node->value) : nullptr;
        return text ? *text : std::string{};
    }
    void put_task_field(ImportedTask& task, const Column& column, const Cell& cell, Node value) {
        const Node* before = find(task.fields, column.key);
        if (!before) {
            put(task.fields, column.key, std::move(value));
        } else if (toml_of(*before) != toml_of(value)) {
            errors_.add(cell.place, std::string(column.name), "one value in all rows of a task",
                        fmt::format("{}, but {} in line {}", describe(value), describe(*before), before->place.line),
                        "keep one; the other rows may leave it out");
        }
    }
    /// low and high beside duration make it a table of three.
    void put_spread(const Row& row, Table& step) const {
        const Cell low = table_.cell(row, "low");
        const Cell high = table_.cell(row, "high");
        if (low.text.empty() && high.text.empty()) return;
        const auto likely = std::ranges::find(step, "duration", &Member::key);
        Table three;
        if (!low.text.empty()) put(three, "low", text_node(low));
        if (likely != step.end()) put(three, "likely", likely->value);
        if (!high.text.empty()) put(three, "high", text_node(high));
        const Place place = likely != step.end() ? likely->place : row.front().place;
        if (likely != step.end()) step.erase(likely);
        put(step, "duration", {std::move(three), place});
    }

    const CsvTable& table_;
    Errors& errors_;
    std::vector<Column> columns_;
    std::deque<ImportedTask> tasks_;
};

std::string written(ImportedTask& task, Context& context) {
    const std::string name = describe(*find(task.fields, "id"));
    if (!find(task.fields, "name")) put(task.fields, "name", *find(task.fields, "id"));
    List steps;
    for (const Node& step : task.steps) steps.push_back(step);
    Table whole = task.fields;
    put(whole, "step", {std::move(steps), task.place});
    const Node node{std::move(whole), task.place};
    const Fields fields(node, task_section(), fmt::format("task {}", name), context);
    judge(fields, task_section());
    std::string text = fmt::format("[[task]]\n{}\n", lines_of(task.fields, task_section()));
    for (const Fields& step : fields.each("step")) judge(step, step_section());
    for (const Node& step : task.steps)
        text += fmt::format("[[task.step]]\n{}\n", lines_of(std::get<Table>(step.value), step_section()));
    return text;
}

Result<std::string> imported(const Source& source, Sources& sources, Errors& errors) {
    std::vector<std::string_view> names;
    for (const Column& column : columns()) names.push_back(column.name);
    const auto table = CsvTable::read(source, names, {"task", "step", "duration"}, errors);
    if (!table || errors.count() > 0) return errors.sorted(sources.names());
    Context context{errors, std::nullopt};
    std::deque<ImportedTask> tasks = Importer(*table, errors).tasks();
    if (tasks.empty() && errors.count() == 0)
        errors.add(Place{&source.name, 1, 1}, {}, "at least one row", "none", "add a row for each step");
    std::string text = fmt::format("# Tasks imported from {}; include this file in an outing file.\n\n", source.name);
    for (ImportedTask& task : tasks) text += written(task, context);
    if (errors.count() > 0) return errors.sorted(sources.names());
    return text;
}

}  // namespace
}  // namespace detail

Result<std::string> import_tasks(const std::string& csv, const std::string& file) {
    detail::Sources sources;
    detail::Errors errors;
    const detail::Source* source = sources.take(csv, file, errors);
    if (!source) return errors.sorted(sources.names());
    return detail::imported(*source, sources, errors);
}

}  // namespace handrail
