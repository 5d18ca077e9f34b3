#include "live/corrections.h"

#include <algorithm>

namespace handrail::live {
namespace {

/// The entry that this one corrects, if it is an earlier one.
std::optional<std::size_t> target(std::span<const Recorded> entries, std::size_t i) {
    const std::optional<Position>& corrects = entries[i].entry.corrects;
    if (!corrects || number(*corrects) < 1 || number(*corrects) > i) return std::nullopt;
    return static_cast<std::size_t>(number(*corrects) - 1);
}

/// The step whose progress an entry tells, if it does.
const std::string* step_told(const Body& body) {
    if (const auto* b = std::get_if<StepStarted>(&body)) return &b->step;
    if (const auto* b = std::get_if<StepFinished>(&body)) return &b->step;
    if (const auto* b = std::get_if<StepSkipped>(&body)) return &b->step;
    if (const auto* b = std::get_if<StepDelayed>(&body)) return &b->step;
    return nullptr;
}

}  // namespace

Standing standing(std::span<const Recorded> entries) {
    Standing result{std::vector<bool>(entries.size(), true), {}};
    for (std::size_t i = 0; i < entries.size(); ++i) {
        result.visibility.push_back(entries[i].entry.visibility);
        if (const auto corrected = target(entries, i))
            result.visibility[i] = std::max(result.visibility[i], result.visibility[*corrected]);
    }
    for (std::size_t i = entries.size(); i-- > 0;) {
        if (!result.in_force[i]) continue;
        const Entry& entry = entries[i].entry;
        const bool strikes = std::holds_alternative<Struck>(entry.body);
        std::optional<std::size_t> gone = target(entries, i);
        while (gone) {
            result.in_force[*gone] = false;
            // Striking a correction brings back what it corrected; replacing it does not.
            gone = strikes ? std::nullopt : target(entries, *gone);
        }
        if (const auto* undone = std::get_if<StepUndone>(&entry.body))
            for (std::size_t j = 0; j < i; ++j) {
                const std::string* step = step_told(entries[j].entry.body);
                if (step != nullptr && *step == undone->step) result.in_force[j] = false;
            }
    }
    return result;
}

}  // namespace handrail::live
