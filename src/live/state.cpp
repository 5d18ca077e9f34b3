#include "live/state.h"

#include <algorithm>
#include <numeric>

#include "live/corrections.h"
#include "live/folding.h"

namespace handrail::live {
namespace {

bool same_word(std::string_view a, std::string_view b) {
    const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
    return std::ranges::equal(a, b, [&](char x, char y) { return lower(x) == lower(y); });
}

/// Exact spelling first, then any case.
template <class Id, class List, class Name>
std::optional<Id> find_named(const List& list, std::string_view wanted, Name name_of) {
    for (std::size_t i = 0; i < list.size(); ++i)
        if (name_of(list[i]) == wanted) return static_cast<Id>(i);
    for (std::size_t i = 0; i < list.size(); ++i)
        if (same_word(name_of(list[i]), wanted)) return static_cast<Id>(i);
    return std::nullopt;
}

}  // namespace

std::optional<StepId> find_step(const Outing& outing, std::string_view label) {
    return find_named<StepId>(outing.steps, label, [](const Step& s) -> std::string_view { return s.label; });
}
std::optional<TaskId> find_task(const Outing& outing, std::string_view key) {
    return find_named<TaskId>(outing.tasks, key, [](const Task& t) -> std::string_view { return t.key; });
}
std::optional<ItemId> find_item(const Outing& outing, std::string_view id) {
    return find_named<ItemId>(outing.items, id, [](const Item& i) -> std::string_view { return i.id; });
}
std::optional<WorksiteId> find_worksite(const Outing& outing, std::string_view id) {
    return find_named<WorksiteId>(outing.station.worksites, id,
                                  [](const Worksite& w) -> std::string_view { return w.id; });
}

const Hold* Day::open_hold() const {
    const auto open = std::ranges::find_if(holds, [](const Hold& hold) { return !hold.to; });
    return open == holds.end() ? nullptr : &*open;
}

Utc moment(std::span<const Recorded> entries, Utc clock) {
    for (const Recorded& recorded : entries) clock = std::max(clock, recorded.entry.happened);
    return clock;
}

Day fold(const Outing& outing, const WindowSource& windows, std::span<const Recorded> entries, Utc now) {
    Day day;
    day.now = now;
    day.position = entries.empty() ? Position{0} : entries.back().position;
    Standing standing_of = standing(entries);
    day.in_force = std::move(standing_of.in_force);
    day.entry_visibility = std::move(standing_of.visibility);

    std::vector<std::size_t> order(entries.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::erase_if(order, [&](std::size_t i) { return !day.in_force[i] || entries[i].entry.happened > now; });
    std::ranges::stable_sort(order, {}, [&](std::size_t i) { return entries[i].entry.happened; });

    day.planned_pet_zero = outing.pet_zero;
    if (!entries.empty())
        if (const auto* opened = std::get_if<OutingOpened>(&entries.front().entry.body))
            day.planned_pet_zero = opened->pet_zero;
    day.pet_zero = day.planned_pet_zero;
    for (const std::size_t i : order)
        if (std::holds_alternative<PetZero>(entries[i].entry.body)) {
            day.pet_zero = entries[i].entry.happened;
            day.pet_running = true;
        }
    // PET zero that is overdue is expected now: the plan slips, light and coverage do not.
    if (!day.pet_running) day.pet_zero = std::max(day.planned_pet_zero, Utc{std::chrono::ceil<Seconds>(now)});
    day.situation.now = pet(since_zero(to_pet(now, day.pet_zero)));
    day.windows = windows(day.pet_zero);

    detail::Folding folding(outing, day);
    for (const std::size_t i : order)
        folding.apply(entries[i], day.entry_visibility[i],
                      pet(since_zero(to_pet(entries[i].entry.happened, day.pet_zero))));
    folding.finish();
    return day;
}

}  // namespace handrail::live
