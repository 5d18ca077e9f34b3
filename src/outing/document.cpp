#include "outing/document.h"

#include <fmt/format.h>

#include <algorithm>

#include "outing/nearest.h"

// Header-only, so that the program stays one file to copy; no exceptions, so that an error can only be a value.
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_MAX_NESTED_VALUES 32
// The library asserts that a key starts like one ("[=" does not) a few lines before it reports that very error. A file
// must never end the program, and NDEBUG would turn the assertion into an assumption: so it is left out.
#undef NDEBUG
#define TOML_ASSERT(expression) static_assert(true)
#include <toml++/toml.h>

namespace handrail::detail {
namespace {

Place place_of(const toml::source_region& region, const Source& source) {
    return {&source.name, static_cast<int>(region.begin.line), static_cast<int>(region.begin.column)};
}
Place end_of(const toml::source_region& region, const Source& source) {
    return {&source.name, static_cast<int>(region.end.line), static_cast<int>(region.end.column)};
}

Node node_of(const toml::node& node, const Source& source);

Table table_of(const toml::table& table, const Source& source) {
    Table members;
    members.reserve(table.size());
    for (const auto& [key, value] : table)
        members.push_back({std::string(key.str()), place_of(key.source(), source), node_of(value, source)});
    std::ranges::sort(members, {}, &Member::key);
    return members;
}

Node node_of(const toml::node& node, const Source& source) {
    Node result;
    result.place = place_of(node.source(), source);
    result.end = end_of(node.source(), source);
    if (const toml::table* table = node.as_table()) {
        result.value = table_of(*table, source);
    } else if (const toml::array* array = node.as_array()) {
        List list;
        list.reserve(array->size());
        for (const toml::node& element : *array) list.push_back(node_of(element, source));
        result.value = std::move(list);
    } else if (const auto* text = node.as_string()) {
        result.value = text->get();
    } else if (const auto* whole = node.as_integer()) {
        result.value = whole->get();
    } else if (const auto* number = node.as_floating_point()) {
        result.value = number->get();
    } else if (const auto* flag = node.as_boolean()) {
        result.value = flag->get();
    }
    return result;
}

/// Walks TOML text far enough to tell strings and comments from the rest.
class Scanner {
public:
    explicit Scanner(std::string_view text) : text_(text) {}

    /// Where a key has more than `most` dots: each dot nests a table, and the library nests as deep as it is told to.
    std::optional<std::size_t> too_deep_key(int most) {
        int dots = 0;
        while (at_ < text_.size()) {
            const char c = text_[at_];
            if (c == '"' || c == '\'') {
                skip_string(c);
                continue;
            }
            if (c == '#') skip_to_line_end();
            if (at_ >= text_.size()) break;
            const char now = text_[at_];
            if (now == '\n' || now == ',' || now == '=' || now == '{' || now == '[' || now == ']') dots = 0;
            if (now == '.' && ++dots > most) return at_;
            ++at_;
        }
        return std::nullopt;
    }

private:
    void skip_to_line_end() {
        while (at_ < text_.size() && text_[at_] != '\n') ++at_;
    }
    void skip_string(char quote) {
        const std::string three(3, quote);
        const bool many_lines = text_.substr(at_, 3) == three;
        at_ += many_lines ? 3 : 1;
        while (at_ < text_.size()) {
            if (quote == '"' && text_[at_] == '\\') {
                at_ += 2;
            } else if (many_lines ? text_.substr(at_, 3) == three : text_[at_] == quote) {
                at_ += many_lines ? 3 : 1;
                return;
            } else if (!many_lines && text_[at_] == '\n') {
                return;
            } else {
                ++at_;
            }
        }
    }

    std::string_view text_;
    std::size_t at_ = 0;
};

Place place_at(const Source& source, std::size_t offset) {
    const std::string_view before = std::string_view(source.text).substr(0, offset);
    const auto line = std::ranges::count(before, '\n');
    const std::size_t start = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
    return {&source.name, static_cast<int>(line) + 1, static_cast<int>(offset - start) + 1};
}

bool is_list_of_tables(const Node& node) {
    const List* list = std::get_if<List>(&node.value);
    return list && !list->empty() &&
           std::ranges::all_of(*list, [](const Node& n) { return std::holds_alternative<Table>(n.value); });
}

enum class Conflict { replaces, is_an_error };

/// Lays `over` on `under`: tables merge, lists of tables are put together, anything else follows `conflict`.
void lay_over(Table& under, Table over, Conflict conflict, Errors& errors) {
    Table added;
    for (Member& member : over) {
        const auto found = std::ranges::lower_bound(under, member.key, {}, &Member::key);
        if (found == under.end() || found->key != member.key) {
            added.push_back(std::move(member));
            continue;
        }
        Node& below = found->value;
        if (Table* table = std::get_if<Table>(&below.value);
            table && std::holds_alternative<Table>(member.value.value)) {
            lay_over(*table, std::move(std::get<Table>(member.value.value)), conflict, errors);
        } else if (is_list_of_tables(below) && is_list_of_tables(member.value)) {
            for (Node& element : std::get<List>(member.value.value))
                std::get<List>(below.value).push_back(std::move(element));
        } else if (conflict == Conflict::replaces) {
            *found = std::move(member);
        } else {
            errors.add(member.place, member.key, "a value given by one included file only",
                       fmt::format("another in {}:{}", *found->place.file, found->place.line),
                       "keep one, or give it in the including file");
        }
    }
    const auto middle = static_cast<Table::difference_type>(under.size());
    std::ranges::move(added, std::back_inserter(under));
    std::ranges::inplace_merge(under, under.begin() + middle, {}, &Member::key);
}

/// Loads a file and its includes, depth first.
class Loader {
public:
    Loader(Sources& sources, Errors& errors) : sources_(sources), errors_(errors) {}

    Table load(const Source& source, const std::filesystem::path& folder) {
        std::optional<Table> own = parse_toml(source, errors_);
        if (!own) return {};
        Table under;
        const auto include = std::ranges::find(*own, "include", &Member::key);
        if (include != own->end()) {
            for (const Node* name : names_in(include->value)) {
                Table included = load_included(*name, folder);
                lay_over(under, std::move(included), Conflict::is_an_error, errors_);
            }
            own->erase(include);
        }
        lay_over(under, std::move(*own), Conflict::replaces, errors_);
        return under;
    }

    void opened(const std::filesystem::path& file) { open_.push_back(identity(file)); }

private:
    static std::filesystem::path identity(const std::filesystem::path& file) {
        std::error_code error;
        const std::filesystem::path real = std::filesystem::weakly_canonical(file, error);
        return error ? file.lexically_normal() : real;
    }

    std::vector<const Node*> names_in(const Node& include) {
        std::vector<const Node*> names;
        const List* list = std::get_if<List>(&include.value);
        if (std::holds_alternative<std::string>(include.value))
            names.push_back(&include);
        else if (!list)
            wrong_include(include);
        if (list) {
            for (const Node& name : *list) {
                if (std::holds_alternative<std::string>(name.value))
                    names.push_back(&name);
                else
                    wrong_include(name);
            }
        }
        return names;
    }
    void wrong_include(const Node& node) {
        errors_.add(node.place, "include", "file names in quotes", describe(node),
                    "write include = [\"station.toml\"]");
    }

    Table load_included(const Node& name, const std::filesystem::path& folder) {
        const std::filesystem::path file = (folder / std::get<std::string>(name.value)).lexically_normal();
        const std::filesystem::path id = identity(file);
        if (std::ranges::find(open_, id) != open_.end()) {
            errors_.add(name.place, "include", "files that do not include each other in a circle", describe(name),
                        "take one of the includes out");
            return {};
        }
        if (std::ranges::find(done_, id) != done_.end()) return {};
        constexpr std::size_t deepest = 16;
        if (open_.size() > deepest) {
            errors_.add(name.place, "include", fmt::format("at most {} files inside each other", deepest),
                        describe(name), "include it from a file further up");
            return {};
        }
        Errors unreadable;
        const Source* source = sources_.read(file, unreadable);
        if (!source) {
            for (const InputError& why : unreadable.sorted({}))
                errors_.add(why.line > 0 ? why
                                         : InputError{*name.place.file, "include", name.place.line, name.place.column,
                                                      why.expected, fmt::format("{} ({})", describe(name), why.found),
                                                      why.remedy});
            return {};
        }
        open_.push_back(id);
        Table table = load(*source, file.parent_path());
        open_.pop_back();
        done_.push_back(id);
        std::erase_if(table, [](const Member& member) { return member.key == "handrail"; });
        return table;
    }

    Sources& sources_;
    Errors& errors_;
    std::vector<std::filesystem::path> open_, done_;
};

}  // namespace

SourcePlace source_place(Place place) { return {place.file ? *place.file : std::string{}, place.line, place.column}; }

const Node* find(const Table& table, std::string_view key) {
    const auto member = std::ranges::lower_bound(table, key, {}, &Member::key);
    return member == table.end() || member->key != key ? nullptr : &member->value;
}

std::string shown_text(std::string_view text) {
    constexpr std::size_t longest = 60;
    std::string shown = "\"";
    std::size_t used = 0;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        const bool continues = (byte & 0xC0U) == 0x80U;
        if (++used > longest && !continues) return shown + "...\"";
        if (c == '\n')
            shown += "\\n";
        else if (byte < 0x20 || byte == 0x7F)
            shown += fmt::format("\\x{:02x}", byte);
        else
            shown += c;
    }
    return shown + "\"";
}

std::string describe(const Node& node) {
    struct Describe {
        std::string operator()(Unused) const { return "a TOML date or time"; }
        std::string operator()(bool flag) const { return flag ? "true" : "false"; }
        std::string operator()(std::int64_t whole) const { return fmt::format("{}", whole); }
        std::string operator()(double number) const { return fmt::format("{}", number); }
        std::string operator()(const std::string& text) const { return shown_text(text); }
        std::string operator()(const List&) const { return "a list"; }
        std::string operator()(const Table&) const { return "a table"; }
    };
    return std::visit(Describe{}, node.value);
}

std::optional<Table> parse_toml(const Source& source, Errors& errors) {
    constexpr int deepest_key = 12;
    if (const auto offset = Scanner(source.text).too_deep_key(deepest_key)) {
        errors.add(place_at(source, *offset), {}, fmt::format("a key of at most {} parts", deepest_key + 1),
                   "a longer one", "check the dots");
        return std::nullopt;
    }
    const toml::parse_result result = toml::parse(std::string_view(source.text));
    if (result) return table_of(result.table(), source);
    const toml::parse_error& error = result.error();
    errors.add(place_of(error.source(), source), {}, "valid TOML", std::string(error.description()),
               "correct the line; https://toml.io shows the syntax");
    return std::nullopt;
}

Table load_document(const Source& main, const std::filesystem::path& folder, Sources& sources, Errors& errors) {
    Loader loader(sources, errors);
    loader.opened(folder / std::filesystem::path(main.name).filename());
    return loader.load(main, folder);
}

}  // namespace handrail::detail
