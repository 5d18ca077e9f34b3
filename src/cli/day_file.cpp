#include "cli/day_file.h"

// Letter for letter the settings of outing/document.cpp (which says why): the linker keeps one copy for both.
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_MAX_NESTED_VALUES 32
#undef NDEBUG
#define TOML_ASSERT(expression) static_assert(true)
#include <toml++/toml.h>

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>
#include <variant>
#include <vector>

#include "outing/edit_outing.h"
#include "outing/outing.h"

namespace handrail::cli {
namespace {

using nlohmann::json;
using serve::Reply;

constexpr std::size_t most_edits = 200, longest_name = 60;

Reply bad(std::string sentence) { return {Reply::Kind::bad_input, std::move(sentence)}; }

json errors_json(const std::vector<InputError>& errors) {
    json list = json::array();
    for (const InputError& error : errors)
        list.push_back({{"file", std::filesystem::path(error.file).filename().string()},
                        {"line", error.line},
                        {"column", error.column},
                        {"field", error.field},
                        {"expected", error.expected},
                        {"found", error.found},
                        {"remedy", error.remedy}});
    return list;
}

std::string dumped(const json& value) { return value.dump(-1, ' ', false, json::error_handler_t::replace); }

/// A text of the outing as JSON; nothing where it is no TOML (a CSV of windows).
std::optional<json> tables_of(const OutingText& text) {
    if (std::filesystem::path(text.name).extension() != ".toml") return std::nullopt;
    const toml::parse_result parsed = toml::parse(std::string_view(text.text));
    if (!parsed) return std::nullopt;
    std::ostringstream out;
    out << toml::json_formatter{parsed.table()};
    json tables = json::parse(out.str(), nullptr, false);
    if (!tables.is_object()) return std::nullopt;
    return tables;
}

std::string text_of(const json& object, const char* key) {
    const auto found = object.find(key);
    return found != object.end() && found->is_string() ? found->get<std::string>() : std::string();
}

std::variant<std::vector<OutingEdit>, std::string> edits_of(const json& wish) {
    if (!wish.contains("edits") || !wish["edits"].is_array()) return std::string("edits: expected a list of edits.");
    if (wish["edits"].size() > most_edits) return std::string("edits: at most 200 at once; save these first.");
    std::vector<OutingEdit> edits;
    for (const json& one : wish["edits"]) {
        if (!one.is_object()) return std::string("edits: expected objects with \"do\" and \"table\".");
        const std::string what = text_of(one, "do"), table = text_of(one, "table"), key = text_of(one, "key");
        if (what == "set") {
            edits.push_back(SetKey{table, key, text_of(one, "value")});
        } else if (what == "remove_key") {
            edits.push_back(RemoveKey{table, key});
        } else if (what == "insert") {
            const std::string after = text_of(one, "after");
            edits.push_back(InsertTable{table, text_of(one, "text"),
                                        after.empty() ? InsertTable::Where::last : InsertTable::Where::after, after});
        } else if (what == "remove") {
            edits.push_back(RemoveTable{table});
        } else {
            return "edits: \"do\" is set, remove_key, insert or remove; found \"" + what + "\".";
        }
    }
    return edits;
}

/// "my-outing.toml" beside the present file: a plain name, so that nothing is written anywhere else.
bool plain_name(const std::string& name) {
    return name.size() > 5 && name.size() <= longest_name && name.ends_with(".toml") && name.front() != '.' &&
           name.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") ==
               std::string::npos;
}

/// Writes a file that must not be there yet, whole, and waits for the disk. Nothing, or why not.
std::optional<std::string> write_new(const std::filesystem::path& file, const std::string& content) {
    const int handle = ::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
    if (handle < 0)
        return errno == EEXIST ? file.filename().string() + " is there already; choose another name."
                               : file.filename().string() + " cannot be written: " + std::strerror(errno) + ".";
    std::size_t done = 0;
    while (done < content.size()) {
        const ssize_t wrote = ::write(handle, content.data() + done, content.size() - done);
        if (wrote < 0 && errno == EINTR) continue;
        if (wrote <= 0) break;
        done += static_cast<std::size_t>(wrote);
    }
    const bool whole = done == content.size() && ::fsync(handle) == 0;
    ::close(handle);
    if (whole) return std::nullopt;
    std::error_code ignored;
    std::filesystem::remove(file, ignored);
    return file.filename().string() + " could not be written whole; nothing is left of it.";
}

std::string tried(bool saved, const std::filesystem::path& file, const std::string& digest,
                  const std::vector<InputError>& errors) {
    return dumped(
        {{"saved", saved}, {"file", file.filename().string()}, {"digest", digest}, {"errors", errors_json(errors)}});
}

}  // namespace

serve::Reply DayFile::show() const {
    std::error_code ignored;
    if (!std::filesystem::exists(file_, ignored))
        return {Reply::Kind::missing, "The outing file " + file_.filename().string() +
                                          " is no longer where the day was opened from; start with the file itself."};
    const Result<OutingWithTexts> read = read_outing_with_texts(file_);
    if (!read) return bad(print(read.errors().front()));
    json texts = json::array();
    for (const OutingText& text : read.value().texts)
        if (std::optional<json> tables = tables_of(text))
            texts.push_back(
                {{"name", std::filesystem::path(text.name).filename().string()}, {"tables", std::move(*tables)}});
    const std::string& digest = read.value().outing.fingerprint;
    return {Reply::Kind::done, dumped({{"file", file_.filename().string()},
                                       {"digest", digest},
                                       {"of_today", digest == fingerprint_},
                                       {"texts", std::move(texts)}})};
}

serve::Reply DayFile::edit(const std::string& request) const {
    const json wish = json::parse(request, nullptr, false);
    if (!wish.is_object()) return bad("The body is not a JSON object; nothing was written.");
    const auto edits = edits_of(wish);
    if (const auto* sentence = std::get_if<std::string>(&edits)) return bad(*sentence);
    const std::string name = text_of(wish, "save_as");
    if (!name.empty() && !plain_name(name))
        return bad("save_as: expected a plain file name such as \"my-outing.toml\", found \"" + name + "\".");
    std::error_code ignored;
    if (!std::filesystem::exists(file_, ignored))
        return {Reply::Kind::missing, "The outing file is no longer where the day was opened from."};
    const Result<OutingWithTexts> read = read_outing_with_texts(file_);
    if (!read) return bad(print(read.errors().front()));
    if (text_of(wish, "digest") != read.value().outing.fingerprint) return {Reply::Kind::stale, {}};

    const Result<EditedOuting> edited = edit_texts(read.value().texts, std::get<std::vector<OutingEdit>>(edits));
    const std::string before = read.value().outing.fingerprint;
    if (!edited) return {Reply::Kind::done, tried(false, file_, before, edited.errors())};
    if (wish.value("dry", false)) return {Reply::Kind::done, tried(false, file_, before, {})};
    if (!name.empty()) {
        const auto& changed = edited.value().changed;
        const std::string& main = edited.value().texts.front().name;
        if (std::ranges::any_of(changed, [&](const std::string& one) { return one != main; }))
            return bad("A new outing file shares the included files; save what changes those in the present file.");
        const std::filesystem::path target = file_.parent_path() / name;
        if (const auto why = write_new(target, edited.value().texts.front().text)) return bad(*why);
        return {Reply::Kind::saved, tried(true, target, edited.value().outing.fingerprint, {})};
    }
    const Result<EditedOuting> saved = edit_outing(file_, std::get<std::vector<OutingEdit>>(edits));
    if (!saved) return {Reply::Kind::failed, print(saved.errors().front())};
    return {Reply::Kind::saved, tried(true, file_, saved.value().outing.fingerprint, {})};
}

}  // namespace handrail::cli
