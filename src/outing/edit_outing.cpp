#include "outing/edit_outing.h"

#include <fmt/format.h>

#include <algorithm>

#include "outing/edit_address.h"
#include "outing/edit_text.h"

namespace handrail {
namespace detail {
namespace {

using Steps = std::vector<AddressStep>;

/// One text as it becomes.
struct Change {
    std::size_t number = 0;  ///< among the texts
    std::string text;
};

std::string address_of(const std::string& table, const std::string& key) {
    return table.empty() ? key : key.empty() ? table : table + "." + key;
}

/// What an edit means, in the words of its address.
std::vector<InputError> at_address(std::vector<InputError> errors, const std::string& address) {
    for (InputError& error : errors)
        if (error.line == 0) error.field = address;
    return errors;
}

Result<Change> change_of(const Part& part, Result<std::string> text) {
    if (!text) return text.errors();
    return Change{part.text->number, std::move(text).value()};
}

InputError nothing_there(std::string expected, std::string remedy) {
    return {{}, {}, 0, 0, std::move(expected), "nothing there", std::move(remedy)};
}

/// Makes one edit in the texts as they stand.
class Editor {
public:
    explicit Editor(const ParsedTexts& texts) : texts_(texts) {}

    Result<Change> operator()(const SetKey& edit) const {
        if (std::vector<InputError> fault = fault_of_value(edit.value); !fault.empty()) return fault;
        const Result<Steps> steps = parse_address(edit.table);
        if (!steps) return steps.errors();
        return set(steps.value(), edit.key, edit.value);
    }

    Result<Change> operator()(const RemoveKey& edit) const {
        const Result<std::vector<Part>> parts = parts_at(edit.table);
        if (!parts) return parts.errors();
        for (const Part& part : parts.value())
            if (find(*part.table, edit.key))
                return change_of(part, without_key(Layout(part.text->source, part.text->root), *part.table, edit.key));
        return nothing_there("a key of that table", "check the key");
    }

    Result<Change> operator()(const RemoveTable& edit) const {
        const Result<std::vector<Part>> parts = parts_at(edit.table);
        if (!parts) return parts.errors();
        if (edit.table.empty() || parts.value().empty())
            return nothing_there("a table of the outing", "check the address");
        const Part& part = parts.value().front();
        const Layout layout(part.text->source, part.text->root);
        if (layout.form(*part.table) == Form::in_line || layout.form(*part.table) == Form::dotted)
            return without_header(edit.table);
        return change_of(part, without_table(layout, *part.table));
    }

    Result<Change> operator()(const Remark& edit) const {
        const Result<std::vector<Part>> parts = parts_at(edit.table);
        if (!parts) return parts.errors();
        if (edit.table.empty() || parts.value().empty())
            return nothing_there("a table of the outing", "check the address");
        const Part& part = parts.value().front();
        const Layout layout(part.text->source, part.text->root);
        if (layout.block_of(*part.table) == nullptr) return without_header(edit.table);
        return Change{part.text->number, with_remark(layout, *part.table, edit.text)};
    }

    Result<Change> operator()(const InsertTable& edit) const {
        const Result<Steps> steps = parse_address(edit.list);
        if (!steps) return steps.errors();
        if (steps.value().empty() || steps.value().back().entry)
            return InputError{{},
                              {},
                              0,
                              0,
                              "a list of tables such as task or task[valve].step",
                              shown_text(edit.list),
                              "name the list, not an entry of it"};
        return insert(steps.value(), edit);
    }

private:
    Result<std::vector<Part>> parts_at(const std::string& table) const {
        const Result<Steps> steps = parse_address(table);
        if (!steps) return steps.errors();
        return find_parts(texts_, steps.value());
    }
    const ParsedText& main() const { return texts_.before.front(); }

    Result<Change> set(const Steps& steps, const std::string& key, const std::string& value) const {
        const Result<std::vector<Part>> parts = find_parts(texts_, steps);
        if (!parts) return parts.errors();
        if (parts.value().empty()) return set_in_new_table(steps, key, value);
        const auto holder =
            std::ranges::find_if(parts.value(), [&](const Part& part) { return find(*part.table, key) != nullptr; });
        const Part& part = holder != parts.value().end() ? *holder : parts.value().front();
        return change_of(part, with_key(Layout(part.text->source, part.text->root), *part.table, key, value));
    }

    /// At the top of the file a table gets a header; inside a table that is there, braces.
    Result<Change> set_in_new_table(Steps steps, const std::string& key, const std::string& value) const {
        const bool plain = std::ranges::none_of(steps, [](const AddressStep& step) { return step.entry.has_value(); });
        const Result<std::vector<Part>> top = find_parts(texts_, {steps.front()});
        if (plain && top.ok() && top.value().empty()) {
            std::vector<std::string> keys;
            for (const AddressStep& step : steps) keys.push_back(step.key);
            return Change{main().number, with_new_table(Layout(main().source, main().root), keys, key, value)};
        }
        const std::string name = steps.back().key;
        steps.pop_back();
        return set(steps, name, fmt::format("{{ {} = {} }}", toml_key(key), value));
    }

    static InputError without_header(const std::string& address) {
        return {{},
                {},
                0,
                0,
                "a table under a header of its own",
                shown_text(address) + " in braces or with dots",
                "change the key that holds it"};
    }

    Result<Change> insert(const Steps& steps, const InsertTable& edit) const {
        const Steps parents(steps.begin(), steps.end() - 1);
        const Result<std::vector<Part>> parts = find_parts(texts_, parents);
        if (!parts) return parts.errors();
        const Result<std::string> body = body_of(steps, edit.text);
        if (!body) return body.errors();
        const std::vector<ListEntry> entries = entries_of(texts_, parts.value(), steps.back().key);
        if (edit.where != InsertTable::Where::last) {
            const Result<ListEntry> sibling = find_entry(entries, steps.back().key, edit.sibling);
            if (!sibling) return sibling.errors();
            return beside(sibling.value().part, edit, body.value());
        }
        if (!entries.empty()) return beside(entries.back().part, edit, body.value());
        if (parents.empty() || parts.value().empty())
            return Change{main().number, with_block_last(Layout(main().source, main().root), body.value())};
        return beside(parts.value().front(), edit, body.value());
    }

    static Result<Change> beside(const Part& part, const InsertTable& edit, const std::string& body) {
        const Layout layout(part.text->source, part.text->root);
        const Form form = layout.form(*part.table);
        if (form == Form::in_line || form == Form::dotted) return without_header(edit.list);
        return change_of(part, edit.where == InsertTable::Where::before ? with_block_before(layout, *part.table, body)
                                                                        : with_block_after(layout, *part.table, body));
    }

    /// The text under its header, which is put above it unless it is there; one entry of that list and nothing else.
    static Result<std::string> body_of(const Steps& steps, const std::string& text) {
        std::vector<std::string> keys;
        for (const AddressStep& step : steps) keys.push_back(toml_key(step.key));
        const std::string header = fmt::format("[[{}]]", fmt::join(keys, "."));
        const std::string body = starts_with_header(text, header) ? text : header + "\n" + text;
        Errors errors;
        const Source source{"the new table", body + "\n"};
        const std::optional<Table> root = parse_toml(source, errors);
        if (!root) return errors.sorted({});
        const Table* table = &*root;
        for (std::size_t i = 0; i < steps.size(); ++i) {
            const bool alone = table->size() == 1 && table->front().key == steps[i].key;
            if (!alone) return more_than_one(header);
            const Node& node = table->front().value;
            if (i + 1 == steps.size()) {
                const List* list = std::get_if<List>(&node.value);
                return list && list->size() == 1 ? Result<std::string>(body) : more_than_one(header);
            }
            table = std::get_if<Table>(&node.value);
            if (!table) return more_than_one(header);
        }
        return more_than_one(header);
    }
    static InputError more_than_one(const std::string& header) {
        return {{},
                {},
                0,
                0,
                fmt::format("one {} and the tables inside it", header),
                "other tables",
                "add them one by one"};
    }
    static bool starts_with_header(std::string_view text, std::string_view header) {
        for (std::size_t at = 0; at < text.size();) {
            const std::size_t stop = std::min(text.find('\n', at), text.size() - 1) + 1;
            const std::string_view line = text.substr(at, stop - at);
            if (!is_blank(line) && !is_comment(line)) return line.starts_with(header);
            at = stop;
        }
        return false;
    }

    const ParsedTexts& texts_;
};

std::string address_of(const OutingEdit& edit) {
    struct Address {
        std::string operator()(const SetKey& set) const { return address_of(set.table, set.key); }
        std::string operator()(const RemoveKey& remove) const { return address_of(remove.table, remove.key); }
        std::string operator()(const InsertTable& insert) const { return insert.list; }
        std::string operator()(const RemoveTable& remove) const { return remove.table; }
        std::string operator()(const Remark& remark) const { return remark.table; }
    };
    return std::visit(Address{}, edit);
}

Result<std::vector<OutingText>> edited(std::vector<OutingText> texts, const std::vector<OutingEdit>& edits) {
    for (const OutingEdit& edit : edits) {
        const Result<ParsedTexts> parsed = parse_texts(texts);
        if (!parsed) return parsed.errors();
        Result<Change> change = std::visit(Editor(parsed.value()), edit);
        if (!change) return at_address(change.errors(), address_of(edit));
        const std::size_t number = change.value().number;
        texts[number].text = std::move(change).value().text;
    }
    return texts;
}

Result<EditedOuting> edit(const std::vector<OutingText>& texts, const std::vector<OutingEdit>& edits,
                          Sources::Others others) {
    if (texts.empty()) return InputError{{}, {}, 0, 0, "the texts of an outing", "none", "read the outing file first"};
    const Result<std::vector<OutingText>> after = edited(texts, edits);
    if (!after) return after.errors();
    Result<OutingWithTexts> read = read_texts(after.value(), others);
    if (!read) return read.errors();
    EditedOuting result{std::move(read).value().outing, {}, {}};
    result.texts = after.value();
    for (std::size_t i = 0; i < texts.size(); ++i)
        if (texts[i].text != result.texts[i].text) result.changed.push_back(texts[i].name);
    return result;
}

}  // namespace
}  // namespace detail

Result<EditedOuting> edit_texts(const std::vector<OutingText>& texts, const std::vector<OutingEdit>& edits) {
    return detail::edit(texts, edits, detail::Sources::Others::none);
}

Result<EditedOuting> edit_outing(const std::filesystem::path& file, const std::vector<OutingEdit>& edits) {
    const Result<OutingWithTexts> before = read_outing_with_texts(file);
    if (!before) return before.errors();
    Result<EditedOuting> after = detail::edit(before.value().texts, edits, detail::Sources::Others::on_disk);
    if (!after) return after;
    if (std::vector<InputError> wrong = detail::write_changed(before.value().texts, after.value()); !wrong.empty())
        return wrong;
    return after;
}

std::vector<InputError> replace_texts(const std::vector<OutingText>& before, const EditedOuting& after) {
    return detail::write_changed(before, after);
}

Result<Outing> create_outing(const std::vector<OutingText>& texts) {
    if (texts.empty()) return InputError{{}, {}, 0, 0, "the texts of an outing", "none", "give the outing file"};
    Result<OutingWithTexts> read = detail::read_texts(texts, detail::Sources::Others::on_disk);
    if (!read) return read.errors();
    if (std::vector<InputError> wrong = detail::write_new(texts); !wrong.empty()) return wrong;
    return std::move(read).value().outing;
}

Result<std::string> table_text(const std::vector<OutingText>& texts, const std::string& table) {
    using namespace detail;
    const Result<ParsedTexts> parsed = parse_texts(texts);
    if (!parsed) return parsed.errors();
    const Result<Steps> steps = parse_address(table);
    if (!steps) return at_address(steps.errors(), table);
    const Result<std::vector<Part>> parts = find_parts(parsed.value(), steps.value());
    if (!parts) return at_address(parts.errors(), table);
    if (parts.value().empty()) return at_address({nothing_there("a table of the outing", "check the address")}, table);
    const Part& part = parts.value().front();
    const Layout layout(part.text->source, part.text->root);
    if (layout.block_of(*part.table) == nullptr)
        return at_address({InputError{{},
                                      {},
                                      0,
                                      0,
                                      "a table under a header of its own",
                                      "one in braces or with dots",
                                      "copy the key that holds it"}},
                          table);
    return text_of(layout, *part.table);
}

std::string toml_text(std::string_view text) {
    std::string result = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\')
            result += fmt::format("\\{}", c);
        else if (c == '\n')
            result += "\\n";
        else if (c == '\t')
            result += "\\t";
        else if (byte < 0x20 || byte == 0x7F)
            result += fmt::format("\\u{:04X}", byte);
        else
            result += c;
    }
    return result + "\"";
}

std::string toml_list(const std::vector<std::string>& texts) {
    std::vector<std::string> written;
    for (const std::string& text : texts) written.push_back(toml_text(text));
    return fmt::format("[{}]", fmt::join(written, ", "));
}

}  // namespace handrail
