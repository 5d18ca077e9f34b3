#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "outing/csv.h"
#include "outing/draft.h"
#include "units/parse.h"

namespace handrail::detail {
namespace {

struct ReadWindow {
    Pet from{}, to{};
    std::string note;
    Place place;
};
using Key = std::pair<std::string, std::string>;  // condition, worksite
using Collected = std::map<Key, std::vector<ReadWindow>>;

void add(Collected& all, Key key, ReadWindow window, Errors& errors) {
    if (window.to <= window.from) {
        errors.add(window.place, fmt::format("window {}", shown_text(key.first)), "an end after its start",
                   fmt::format("from {} to {}", print_pet_seconds(window.from), print_pet_seconds(window.to)),
                   "correct from or to");
        return;
    }
    all[std::move(key)].push_back(std::move(window));
}

std::optional<Pet> moment(const Cell& cell, const Fields& file, std::string_view column) {
    const auto clock = parse_pet(cell.text);
    if (const Pet* at = std::get_if<Pet>(&clock)) return *at;
    const auto utc = parse_utc(cell.text);
    const Utc* instant = std::get_if<Utc>(&utc);
    if (instant) return to_pet(*instant, file.context().pet_zero.value_or(Utc{}));
    file.context().errors.add(
        cell.place, fmt::format("window, {}", column), expectation(*window_section().field(column)),
        cell.text.empty() ? "nothing" : shown_text(cell.text), "write hh:mm since PET zero, or UTC ending with Z");
    return std::nullopt;
}

void read_csv(const Fields& file, const Source& source, Draft& draft, Collected& all) {
    Errors& errors = file.context().errors;
    const auto table =
        CsvTable::read(source, {"condition", "worksite", "from", "to", "note"}, {"condition", "from", "to"}, errors);
    if (!table) return;
    for (const Row& row : table->rows()) {
        const Cell condition = table->cell(row, "condition");
        if (condition.text.empty())
            errors.add(condition.place, "window, condition", "the word steps use", "nothing",
                       "write it, for example daylight");
        const Cell worksite = table->cell(row, "worksite");
        if (!worksite.text.empty() && !draft.worksites.index_of(worksite.text)) {
            draft.worksites.find({worksite.text, worksite.place}, file, "window");
            continue;
        }
        const auto from = moment(table->cell(row, "from"), file, "from");
        const auto to = moment(table->cell(row, "to"), file, "to");
        if (!from || !to || condition.text.empty()) continue;
        add(all, {condition.text, worksite.text}, {*from, *to, table->cell(row, "note").text, row.front().place},
            errors);
    }
}

}  // namespace

void read_windows(const Fields& file, Draft& draft, Sources& sources, const std::filesystem::path& folder) {
    Errors& errors = file.context().errors;
    Collected all;
    for (const Fields& one : file.each("window")) {
        std::string condition;
        std::string worksite;
        ReadWindow window;
        window.place = one.place();
        one.take("condition", condition);
        one.take("worksite", worksite);
        const std::size_t before = errors.count();
        draft.reference<WorksiteId>(one, "worksite", draft.worksites);
        one.take("from", window.from);
        one.take("to", window.to);
        one.take("note", window.note);
        const bool whole = one.has("from") && one.has("to") && one.has("condition") && errors.count() == before;
        if (whole) add(all, {condition, worksite}, std::move(window), errors);
    }
    if (const auto from = file.one("windows")) {
        std::string name;
        from->take("csv", name);
        Errors unreadable;
        const Source* source = name.empty() ? nullptr : sources.read((folder / name).lexically_normal(), unreadable);
        for (const InputError& why : unreadable.count() ? unreadable.sorted({}) : std::vector<InputError>{}) {
            if (why.line > 0)
                errors.add(why);
            else
                from->wrong("csv", why.expected, fmt::format("{} ({})", shown_text(name), why.found), why.remedy);
        }
        if (source) read_csv(file, *source, draft, all);
    }
    for (auto& [key, windows] : all) {
        std::ranges::stable_sort(windows, {}, &ReadWindow::from);
        std::vector<Window> kept;
        for (std::size_t i = 0; i < windows.size(); ++i) {
            if (i > 0 && windows[i].from < windows[i - 1].to)
                errors.add(windows[i].place, fmt::format("window {}", shown_text(key.first)),
                           "windows of one condition that do not overlap",
                           fmt::format("from {}, while another lasts until {} ({}:{})",
                                       print_pet_seconds(windows[i].from), print_pet_seconds(windows[i - 1].to),
                                       *windows[i - 1].place.file, windows[i - 1].place.line),
                           "join the two, or correct one");
            kept.emplace_back(windows[i].from, windows[i].to, windows[i].note);
        }
        draft.outing.windows.set(key.first, key.second, std::move(kept));
    }
}

void check_conditions(Draft& draft, Context& context) {
    const Outing& outing = draft.outing;
    const bool antennas = !outing.coverage.ground_stations.empty() || !outing.coverage.relays.empty();
    std::vector<std::string> known;
    for (const auto& [key, windows] : outing.windows.all())
        if (known.empty() || known.back() != key.first) known.push_back(key.first);
    if (outing.orbit) {
        for (const char* computed : {"daylight", "penumbra", "umbra", "dark", "lit", "shadowed", "glare"})
            known.emplace_back(computed);
        if (antennas) known.emplace_back("coverage");
    }
    const std::vector<std::string_view> names(known.begin(), known.end());
    for (const Draft::ConditionUse& use : draft.conditions) {
        if (std::ranges::find(names, use.condition) != names.end()) continue;
        context.errors.add(use.place, use.field, "a condition that has windows", shown_text(use.condition),
                           did_you_mean(use.condition, names, "add windows for it, or [orbit] and [coverage]"));
    }
}

}  // namespace handrail::detail
