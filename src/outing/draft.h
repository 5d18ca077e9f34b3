#pragma once

#include <algorithm>
#include <filesystem>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "outing/table_reader.h"

/// The outing while it is being read: the model so far, the names in it, and where each thing was written.
namespace handrail::detail {

/// The names of one kind of thing, each once.
class Names {
public:
    explicit Names(std::string_view what) : what_(what) {}

    /// Gives `name` the next index; a name already taken is an error at `place`.
    void add(const std::string& name, Place place, const Fields& from, std::string_view key);
    /// Another name for the thing at `index`; a name already taken stays as it is.
    void alias(const std::string& name, std::size_t index) { index_.try_emplace(name, index); }
    /// The index of the thing a text refers to, or an error with the nearest name.
    std::optional<std::size_t> find(const Fields::Placed& reference, const Fields& from, std::string_view key) const;
    std::optional<std::size_t> index_of(const std::string& name) const;
    std::size_t size() const { return places_.size(); }
    Place place(std::size_t index) const { return places_[index]; }
    const std::string& what() const { return what_; }

private:
    std::string what_;
    std::unordered_map<std::string, std::size_t> index_;
    std::vector<Place> places_;
};

struct Draft {
    Outing outing;
    Names worksites{"worksite"}, suits{"suit type"}, items{"item"}, tasks{"task"}, steps{"step"}, resources{"resource"},
        inhibits{"inhibit"};
    std::vector<StepId> last_part{};  ///< by step: the last of its parts; itself when it has no others
    std::vector<Place> route_places;
    std::vector<Place> order_places;  ///< by order: the step it was written at
    /// Where a step names a condition, for the check once all windows are known.
    struct ConditionUse {
        std::string condition, field;
        Place place;
    };
    std::vector<ConditionUse> conditions;

    /// The id `key` refers to in `names`; nothing when absent or wrong.
    template <class Id>
    std::optional<Id> reference(const Fields& from, std::string_view key, const Names& names) const {
        const std::vector<Fields::Placed> texts = from.texts(key);
        if (texts.empty()) return std::nullopt;
        const auto found = names.find(texts.front(), from, key);
        return found ? std::optional{static_cast<Id>(*found)} : std::nullopt;
    }
    /// All ids a list refers to; a name given twice is an error.
    template <class Id>
    std::vector<Id> references(const Fields& from, std::string_view key, const Names& names) const {
        std::vector<Id> ids;
        for (const Fields::Placed& text : from.texts(key)) {
            const auto found = names.find(text, from, key);
            if (!found) continue;
            const Id id = static_cast<Id>(*found);
            if (std::ranges::find(ids, id) == ids.end())
                ids.push_back(id);
            else
                from.wrong_at(text.place, key, "each name once", shown_text(text.text) + " again", "take one out");
        }
        return ids;
    }
};

void read_station(const Fields& file, Draft& draft);
void read_orbit(const Fields& file, Draft& draft, Sources& sources, const std::filesystem::path& folder);
void read_suits(const Fields& file, Draft& draft);
void read_crew(const Fields& file, Draft& draft);
void read_items(const Fields& file, Draft& draft);
/// What several steps share. REQUIRES: nothing; tasks are read after it.
void read_resources(const Fields& file, Draft& draft);
void read_inhibits(const Fields& file, Draft& draft);
void read_tasks(const Fields& file, Draft& draft);
/// REQUIRES: the tasks were read.
void read_preferences(const Fields& file, Draft& draft);
void read_windows(const Fields& file, Draft& draft, Sources& sources, const std::filesystem::path& folder);
void read_rules(const Fields& file, Draft& draft);
/// REQUIRES: the tasks were read; troubles name their steps.
void read_risk(const Fields& file, Draft& draft);
void read_prebreathe(const Fields& file, Draft& draft);

/// Every worksite can be reached on routes and by tether. REQUIRES: the station was read without errors.
void check_ways(const Fields& file, Draft& draft);
/// Conditions named by steps are known.
void check_conditions(Draft& draft, Context& context);
/// Orders are free of cycles. REQUIRES: the tasks were read without errors.
void check_orders(const Draft& draft, Context& context);
/// Items: one task installs each; bags hold what is in them.
void check_items(const Fields& file, const Draft& draft);

}  // namespace handrail::detail
