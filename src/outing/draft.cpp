#include "outing/draft.h"

#include <fmt/format.h>

namespace handrail::detail {

void Names::add(const std::string& name, Place place, const Fields& from, std::string_view key) {
    const auto [entry, is_new] = index_.try_emplace(name, places_.size());
    places_.push_back(place);
    if (is_new || name.empty()) return;
    const Place first = places_[entry->second];
    from.wrong_at(
        place, key, fmt::format("a name no other {} has", what_), shown_text(name),
        fmt::format("rename it; the other one is in {}:{}", first.file ? *first.file : std::string{}, first.line));
}

std::optional<std::size_t> Names::index_of(const std::string& name) const {
    const auto entry = index_.find(name);
    return entry == index_.end() ? std::nullopt : std::optional{entry->second};
}

std::optional<std::size_t> Names::find(const Fields::Placed& reference, const Fields& from,
                                       std::string_view key) const {
    if (const auto index = index_of(reference.text)) return index;
    std::string remedy = fmt::format("add the {}, or correct the name", what_);
    if (!from.context().errors.full()) {
        std::vector<std::string_view> known;
        for (const auto& [name, index] : index_) known.push_back(name);
        std::ranges::sort(known);
        remedy = did_you_mean(reference.text, known, remedy);
    }
    from.wrong_at(reference.place, key, fmt::format("{} {} of this outing", what_.starts_with('i') ? "an" : "a", what_),
                  shown_text(reference.text), remedy);
    return std::nullopt;
}

}  // namespace handrail::detail
