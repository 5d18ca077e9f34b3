#include "outing/edit_address.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <filesystem>

#include "outing/nearest.h"

namespace handrail::detail {
namespace {

InputError unreadable(const std::string& address) {
    return {{},
            {},
            0,
            0,
            "the address of a table such as task[valve].step[open] or crew.EV1",
            shown_text(address),
            "write keys with dots between them and entries in brackets"};
}

/// The names in `include`, as the reader looks them up.
std::vector<std::string> includes_of(const ParsedText& text) {
    std::vector<std::string> names;
    const Node* include = find(text.root, "include");
    if (!include) return names;
    const std::filesystem::path folder = std::filesystem::path(text.source.name).parent_path();
    const auto add = [&](const Node& node) {
        if (const auto* name = std::get_if<std::string>(&node.value))
            names.push_back((folder / *name).lexically_normal().string());
    };
    add(*include);
    if (const List* list = std::get_if<List>(&include->value))
        for (const Node& node : *list) add(node);
    return names;
}

class TextParser {
public:
    explicit TextParser(const std::vector<OutingText>& texts) : texts_(texts) {}

    void enter(std::size_t number) {
        const std::size_t here = result.before.size();
        // The tree points into its source, so it is read where it stays.
        ParsedText& text =
            result.before.emplace_back(ParsedText{{texts_[number].name, texts_[number].text}, {}, number});
        std::optional<Table> root = parse_toml(text.source, errors);
        if (!root) return;
        text.root = std::move(*root);
        for (const std::string& name : includes_of(text)) {
            const auto found = std::ranges::find(texts_, name, &OutingText::name);
            if (found == texts_.end()) continue;
            const auto next = static_cast<std::size_t>(found - texts_.begin());
            if (std::ranges::find(result.before, next, &ParsedText::number) == result.before.end()) enter(next);
        }
        result.after.push_back(here);
    }

    ParsedTexts result;
    Errors errors;

private:
    const std::vector<OutingText>& texts_;
};

std::string name_of(const Table& table) {
    for (const std::string_view key : {"id", "name"})
        if (const Node* node = find(table, key))
            if (const auto* name = std::get_if<std::string>(&node->value)) return *name;
    return {};
}

}  // namespace

Result<std::vector<AddressStep>> parse_address(const std::string& address) {
    std::vector<AddressStep> steps;
    for (std::size_t at = 0; at < address.size();) {
        const std::size_t key_end = std::min(address.find_first_of(".[", at), address.size());
        AddressStep step{address.substr(at, key_end - at), std::nullopt};
        at = key_end;
        if (at < address.size() && address[at] == '[') {
            const std::size_t close = address.find(']', at);
            if (close == std::string::npos) return unreadable(address);
            step.entry = address.substr(at + 1, close - at - 1);
            at = close + 1;
        }
        if (step.key.empty() || (step.entry && step.entry->empty())) return unreadable(address);
        steps.push_back(std::move(step));
        if (at == address.size()) break;
        if (address[at] != '.' || ++at == address.size()) return unreadable(address);
    }
    return steps;
}

Result<ParsedTexts> parse_texts(const std::vector<OutingText>& texts) {
    TextParser parser(texts);
    parser.enter(0);
    if (parser.errors.count() > 0) return parser.errors.sorted({});
    return std::move(parser.result);
}

std::vector<ListEntry> entries_of(const ParsedTexts& texts, const std::vector<Part>& parts, const std::string& key) {
    std::vector<ListEntry> entries;
    for (const std::size_t number : texts.after) {
        for (const Part& part : parts) {
            const Node* node = part.text == &texts.before[number] ? find(*part.table, key) : nullptr;
            const List* list = node ? std::get_if<List>(&node->value) : nullptr;
            if (!list) continue;
            for (const Node& element : *list)
                if (const Table* table = std::get_if<Table>(&element.value))
                    entries.push_back({{part.text, table}, name_of(*table)});
        }
    }
    return entries;
}

Result<ListEntry> find_entry(const std::vector<ListEntry>& entries, const std::string& list, const std::string& entry) {
    const auto named = std::ranges::count(entries, entry, &ListEntry::name);
    if (named == 1) return *std::ranges::find(entries, entry, &ListEntry::name);
    if (named > 1)
        return InputError{{}, {}, 0, 0, "a name that only one of them has", shown_text(entry), "give its number"};
    std::size_t number = 0;
    const auto [stop, error] = std::from_chars(entry.data(), entry.data() + entry.size(), number);
    if (error == std::errc{} && stop == entry.data() + entry.size() && number >= 1 && number <= entries.size())
        return entries[number - 1];
    std::vector<std::string_view> names;
    for (const ListEntry& one : entries)
        if (!one.name.empty()) names.push_back(one.name);
    return InputError{{},
                      {},
                      0,
                      0,
                      fmt::format("the name of a {} of this outing, or its number from 1 to {}", list, entries.size()),
                      shown_text(entry),
                      did_you_mean(entry, names, "check the name")};
}

Result<std::vector<Part>> find_parts(const ParsedTexts& texts, const std::vector<AddressStep>& address) {
    std::vector<Part> parts;
    for (const ParsedText& text : texts.before) parts.push_back({&text, &text.root});
    for (const AddressStep& step : address) {
        if (step.entry) {
            const Result<ListEntry> entry = find_entry(entries_of(texts, parts, step.key), step.key, *step.entry);
            if (!entry) return entry.errors();
            parts = {entry.value().part};
            continue;
        }
        if (!entries_of(texts, parts, step.key).empty())
            return InputError{{},
                              {},
                              0,
                              0,
                              fmt::format("which {}", step.key),
                              "none named",
                              fmt::format("write {}[its id]", step.key)};
        std::vector<Part> inside;
        for (const Part& part : parts)
            if (const Node* node = find(*part.table, step.key))
                if (const Table* table = std::get_if<Table>(&node->value)) inside.push_back({part.text, table});
        parts = std::move(inside);
    }
    return parts;
}

}  // namespace handrail::detail
