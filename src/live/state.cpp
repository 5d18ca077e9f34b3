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
    // Entries taken back do not count: one logged while a clock ran ahead must not hold the day in the future.
    const Standing standing_of = standing(entries);
    for (std::size_t i = 0; i < entries.size(); ++i)
        if (standing_of.in_force[i] && !std::holds_alternative<OutingOpened>(entries[i].entry.body))
            clock = std::max(clock, entries[i].entry.happened);
    return clock;
}

namespace {

/// Takes [from, to) out of every list of a condition.
void take_out(WindowTable& windows, const ConditionLoss& loss) {
    const Pet to = loss.to.value_or(Pet::max());
    std::vector<std::pair<std::string, std::vector<Window>>> changed;
    for (const auto& [key, stretches] : windows.all()) {
        if (key.first != loss.condition) continue;
        std::vector<Window> left;
        for (const Window& window : stretches) {
            if (window.from() < std::min(loss.from, window.to()))
                left.emplace_back(window.from(), std::min(window.to(), loss.from), window.note());
            if (std::max(to, window.from()) < window.to())
                left.emplace_back(std::max(to, window.from()), window.to(), window.note());
        }
        changed.emplace_back(key.second, std::move(left));
    }
    for (auto& [site, left] : changed) windows.set(loss.condition, site, std::move(left));
}

/// What the journal says about conditions and worksites, and what it takes out of the windows.
void read_conditions(const Outing& outing, std::span<const Recorded> entries, std::span<const std::size_t> order,
                     Day& day) {
    const auto at = [&](Utc t) { return pet(since_zero(to_pet(t, day.pet_zero))); };
    const auto end_at = [&](Pet from, const std::optional<Utc>& until) {
        return until ? std::optional(std::max(from, at(*until))) : std::nullopt;
    };
    for (const std::size_t i : order) {
        const Entry& entry = entries[i].entry;
        const Pet from = at(entry.happened);
        if (const auto* changed = std::get_if<ConditionChanged>(&entry.body)) {
            for (ConditionLoss& loss : day.lost_conditions)
                if (loss.condition == changed->condition && (!loss.to || *loss.to > from))
                    loss.to = std::max(loss.from, from);
            if (!changed->holds)
                day.lost_conditions.push_back({entries[i].position, changed->condition, from,
                                               end_at(from, changed->until), day.entry_visibility[i], changed->reason});
        }
        if (const auto* closed = std::get_if<WorksiteClosed>(&entry.body)) {
            const auto site = find_worksite(outing, closed->worksite);
            if (!site) continue;
            for (Closure& closure : day.closed)
                if (closure.site == *site && (!closure.to || *closure.to > from))
                    closure.to = std::max(closure.from, from);
            if (closed->closed)
                day.closed.push_back({entries[i].position, *site, from, end_at(from, closed->until),
                                      day.entry_visibility[i], closed->reason});
        }
    }
    for (const ConditionLoss& loss : day.lost_conditions)
        if (!loss.to || *loss.to > loss.from) take_out(day.windows, loss);
}

}  // namespace

Day fold(const Outing& outing, const WindowSource& windows, std::span<const Recorded> entries, Utc now) {
    Day day;
    day.now = now;
    day.position = entries.empty() ? Position{0} : entries.back().position;
    Standing standing_of = standing(entries);
    day.in_force = std::move(standing_of.in_force);
    day.entry_visibility = std::move(standing_of.visibility);

    // What opens the journal comes first, whenever it was written: entries may be back-dated to before it.
    const bool opens = !entries.empty() && std::holds_alternative<OutingOpened>(entries.front().entry.body);
    std::vector<std::size_t> order(entries.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::erase_if(order, [&](std::size_t i) {
        return !day.in_force[i] || (entries[i].entry.happened > now && !(opens && i == 0));
    });
    std::ranges::stable_sort(order, {},
                             [&](std::size_t i) { return opens && i == 0 ? Utc::min() : entries[i].entry.happened; });

    day.planned_pet_zero = outing.pet_zero;
    if (opens) day.planned_pet_zero = std::get<OutingOpened>(entries.front().entry.body).pet_zero;
    day.morning = morning_of(outing, entries, order, day.planned_pet_zero, now);
    for (const std::size_t i : order)
        if (std::holds_alternative<PetZero>(entries[i].entry.body)) {
            day.pet_zero = entries[i].entry.happened;
            day.pet_running = true;
        }
    if (!day.pet_running) {
        // As expected, but not before the prebreathe allows and not in the past: the plan slips, light and coverage do
        // not.
        day.pet_zero =
            std::max(day.morning.expected.value_or(day.planned_pet_zero), Utc{std::chrono::ceil<Seconds>(now)});
        if (day.morning.earliest) day.pet_zero = std::max(day.pet_zero, *day.morning.earliest);
    }
    day.situation.now = pet(since_zero(to_pet(now, day.pet_zero)));
    day.windows = windows(day.pet_zero);
    read_conditions(outing, entries, order, day);

    detail::Folding folding(outing, day);
    for (const std::size_t i : order) {
        const Utc happened = opens && i == 0 ? std::min(now, entries[i].entry.happened) : entries[i].entry.happened;
        folding.apply(entries[i], day.entry_visibility[i], pet(since_zero(to_pet(happened, day.pet_zero))));
    }
    folding.finish();
    return day;
}

}  // namespace handrail::live
